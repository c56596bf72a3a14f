"""What follows from the fields of a row, made anew after they were changed: its remark, the cautions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from narrate2log.records import Fields, Observation, Placement
from narrate2log.table.cautions import cautions_of
from narrate2log.table.merge import Row
from narrate2log.table.remark import remark
from narrate2log.units import LengthUnit, Millimetres, length_to_mm, seconds_to_ms
from narrate2log.wording.lexicon import Names


def remark_of(row: dict[str, Any], lexicon: Names, units: LengthUnit) -> str:
    """The sentence that a draft would make of a row with these fields."""
    seen = observation_of(row, units)
    told = Row(
        seen.feature,
        seen.standing,
        seen.placement,
        fields=seen.fields,
        end_mm=seen.end_distance_mm,
        general=seen.general,
        sense=seen.sense,
        objects=seen.about,
    )
    return remark(told, lexicon, units)


def cautions_anew(
    rows: Iterable[dict[str, Any]],
    drafted: Sequence[dict[str, Any]],
    lexicon: Names,
    units: LengthUnit,
) -> list[dict[str, Any]]:
    """The cautions that these rows call up, and those of the draft that only its own lexicon knows."""
    found = cautions_of([observation_of(row, units) for row in rows], lexicon)
    known = {entry["key"] for entry in lexicon.cautions}
    made = [{"key": c.key, "text": c.text, "defer_to": c.defer_to, "first": c.first} for c in found]
    return made + [caution for caution in drafted if caution["key"] not in known]


def observation_of(row: dict[str, Any], units: LengthUnit) -> Observation:
    """The record of a row of a draft or log."""
    return Observation(
        id=row["id"],
        row=row["row"],
        kind=row["kind"],
        feature=row["feature"],
        standing=row["standing"],
        placement=Placement(
            row["leg"],
            row["pass"],
            _mm(row["distance"], units),
            _mm(row["distance_low"], units),
            _mm(row["distance_high"], units),
            row["distance_basis"],
        ),
        end_distance_mm=_mm(row["end_distance"], units),
        fields=Fields(**{name: row[name] for name in Fields.__slots__}),
        time_ms=seconds_to_ms(row["time"]),
        time_end_ms=seconds_to_ms(row["time_end"]),
        sightings_ms=tuple(map(seconds_to_ms, row["sightings"])),
        heard=row["heard"],
        read_as=row["read_as"],
        remark=row["remark"],
        confidence=row["confidence"],
        check=tuple(row["check"]),
        rules=tuple(row["rules"]),
        # Drafts from before these fields were written have none of them.
        general=row.get("general", False),
        sense=row.get("sense"),
        about=tuple(row.get("about", ())),
    )


def _mm(value: float | None, units: LengthUnit) -> Millimetres | None:
    return None if value is None else length_to_mm(value, units)
