"""Whatever a draft holds, its rows are the same when its files are read again."""

import io
import json
from collections.abc import Mapping
from typing import get_args

import pandas as pd
from hypothesis import given, settings
from hypothesis import strategies as st

from narrate2log.records import (
    Basis,
    Draft,
    Fields,
    Observation,
    Pass,
    Placement,
    Severity,
    Standing,
    Transcript,
)
from narrate2log.report.observations_csv import observations_csv
from narrate2log.report.observations_json import observations_json
from narrate2log.report.row import ONLY_IN_JSON
from narrate2log.units import MM_PER_UNIT, LengthUnit, length_to_mm, seconds_to_ms

CHARACTERS = st.characters(exclude_categories=["Cs"], exclude_characters="\0")
TEXT = st.text(CHARACTERS, max_size=30) | st.sampled_from(
    ["", "=1+1", " -2", "@", "'=", "NA", "nan", "None", 'say "crack", twice', "a\nb", "a\r\nb", "1.0"]
)
MS = st.integers(0, 4 * 3_600_000)
MM = st.none() | st.integers(-1_000, 200_000)
SAID = st.none() | st.floats(0, 500)

OBSERVATIONS = st.builds(
    Observation,
    id=TEXT,
    row=st.integers(1, 999),
    kind=TEXT,
    feature=TEXT,
    standing=st.sampled_from(get_args(Standing)),
    placement=st.builds(
        Placement,
        leg=st.integers(1, 5),
        going=st.sampled_from(get_args(Pass)),
        distance_mm=MM,
        low_mm=MM,
        high_mm=MM,
        basis=st.sampled_from(get_args(Basis)),
    ),
    end_distance_mm=MM,
    fields=st.builds(
        Fields,
        severity=st.none() | st.sampled_from(get_args(Severity)),
        clock_from=st.none() | st.integers(1, 12),
        clock_to=st.none() | st.integers(1, 12),
        amount_pct=SAID,
        amount_in=SAID,
        material=st.none() | TEXT.filter(bool),
        size_in=SAID,
        depth_ft=SAID,
    ),
    time_ms=MS,
    time_end_ms=MS,
    sightings_ms=st.lists(MS, min_size=1, max_size=4).map(tuple),
    heard=TEXT,
    read_as=TEXT,
    remark=TEXT,
    confidence=st.floats(0, 1),
    check=st.lists(TEXT, max_size=3).map(tuple),
    rules=st.lists(TEXT, max_size=3).map(tuple),
)
DRAFTS = st.builds(
    Draft,
    units=st.sampled_from(get_args(LengthUnit)),
    transcript=st.just(Transcript((), ())),
    corrections=st.just(()),
    legs=st.just(()),
    observations=st.lists(OBSERVATIONS, max_size=5).map(tuple),
    slope_readings=st.just(()),
)


def same_length(value: float | None, mm: int | None, units: LengthUnit) -> bool:
    """Within half of the hundredth of a unit that is written."""
    if value is None or mm is None:
        return value is mm
    return abs(length_to_mm(value, units) - mm) <= MM_PER_UNIT[units] * 0.005 + 0.5


def same_number(value: float | None, said: float | None) -> bool:
    """Within half of the thousandth that is written."""
    if value is None or said is None:
        return value is said
    return abs(value - said) <= 0.000_51


@settings(max_examples=60, deadline=None)
@given(DRAFTS)
def test_json_gives_back_what_the_draft_holds(draft: Draft) -> None:
    rows = json.loads(observations_json(draft))["observations"]
    assert len(rows) == len(draft.observations)
    for row, seen in zip(rows, draft.observations, strict=True):
        for name in ("id", "row", "kind", "feature", "standing", "heard", "read_as", "remark"):
            assert row[name] == getattr(seen, name)
        for name in ("severity", "clock_from", "clock_to", "material"):
            assert row[name] == getattr(seen.fields, name)
        for name in ("amount_pct", "amount_in", "size_in", "depth_ft"):
            assert same_number(row[name], getattr(seen.fields, name))
        assert same_number(row["confidence"], seen.confidence)
        place = seen.placement
        assert (row["leg"], row["pass"], row["distance_basis"]) == (place.leg, place.going, place.basis)
        assert same_length(row["distance"], place.distance_mm, draft.units)
        assert same_length(row["distance_low"], place.low_mm, draft.units)
        assert same_length(row["distance_high"], place.high_mm, draft.units)
        assert same_length(row["end_distance"], seen.end_distance_mm, draft.units)
        assert seconds_to_ms(row["time"]) == seen.time_ms
        assert seconds_to_ms(row["time_end"]) == seen.time_end_ms
        assert tuple(map(seconds_to_ms, row["sightings"])) == seen.sightings_ms
        assert (tuple(row["check"]), tuple(row["rules"])) == (seen.check, seen.rules)


def same_cell(cell: str, value: object) -> bool:
    """A cell as text against the value that JSON has for it."""
    if value is None:
        return cell == ""
    if isinstance(value, list):
        value = "; ".join(map(str, value))
    if isinstance(value, str):
        return cell in (value, f"'{value}") and not cell.lstrip().startswith(("=", "+", "-", "@"))
    return not cell.startswith("'") and float(cell) == value


@settings(max_examples=60, deadline=None)
@given(DRAFTS)
def test_csv_opened_by_pandas_holds_the_rows_of_the_json(draft: Draft) -> None:
    rows: list[Mapping[str, object]] = json.loads(observations_json(draft))["observations"]
    table = pd.read_csv(io.BytesIO(observations_csv(draft)), dtype=str, keep_default_na=False)
    cells = table.to_dict("records")
    assert len(cells) == len(rows)
    for line, row in zip(cells, rows, strict=True):
        assert list(line) == [name for name in row if name not in ONLY_IN_JSON]
        wrong = {name: (line[name], row[name]) for name in line if not same_cell(line[name], row[name])}
        assert not wrong
