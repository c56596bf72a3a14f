"""slope.csv: the profile of the pipe for a spreadsheet, a stretch of one grade a line."""

from __future__ import annotations

import csv
import io

from narrate2log.records import Draft, GradeStretch, SlopeProfile
from narrate2log.slope.minimums import NO_CODE_TEST, usual_table, verdict
from narrate2log.units import LengthUnit, mm_to_length, percent_to_slope

COLUMNS = (
    "leg from to readings as_read_pct grade_pct grade_low_pct grade_high_pct in_per_ft in_per_ft_low"
    " in_per_ft_high degrees degrees_low degrees_high mm_per_m shape holds_water minimum_in_per_ft minimum_of"
    " against_minimum minimum_read_in caution lacks"
).split()


def slope_csv(draft: Draft) -> bytes:
    """Every stretch as read and as corrected, in four units, against the usual minimum; a leg without any
    is a line of what it lacks. Every verdict has the words that it is no code test beside it."""
    text = io.StringIO()
    table = csv.DictWriter(text, COLUMNS, lineterminator="\r\n")
    table.writeheader()
    for profile in draft.slope_profiles:
        lacks = "; ".join(profile.lacks)
        for stretch in profile.stretches:
            table.writerow({**_line(profile, stretch, draft.units), "lacks": lacks})
        if not profile.stretches:
            table.writerow({"leg": profile.leg, "lacks": lacks})
    # Without a byte-order mark spreadsheets take UTF-8 for the machine's old code page.
    return text.getvalue().encode("utf-8-sig")


def _line(profile: SlopeProfile, stretch: GradeStretch, units: LengthUnit) -> dict[str, object]:
    code = usual_table()
    row = code.row(profile.size_in) if profile.size_in else None
    band = stretch.grade_pct
    line: dict[str, object] = {
        "leg": profile.leg,
        "from": mm_to_length(stretch.from_mm, units),
        "to": mm_to_length(stretch.to_mm, units),
        "readings": stretch.readings,
        "as_read_pct": "" if stretch.raw_pct is None else round(stretch.raw_pct, 2),
        "mm_per_m": round(10 * band.value),
        "shape": stretch.shape,
        "holds_water": "yes" if stretch.holds_water else "",
        "minimum_in_per_ft": row.in_per_ft if row else "",
        "minimum_of": code.name if row else "",
        "against_minimum": verdict(stretch, row.in_per_ft) if row else "",
        "minimum_read_in": code.source if row else "",
        "caution": NO_CODE_TEST if row else "",
    }
    for ending, percent in (("", band.value), ("_low", band.low), ("_high", band.high)):
        line[f"grade{ending}_pct"] = round(percent, 2)
        line[f"in_per_ft{ending}"] = round(percent_to_slope(percent, "in/ft"), 3)
        line[f"degrees{ending}"] = round(percent_to_slope(percent, "deg"), 2)
    return line
