"""The length of the run, where it is known beforehand."""

from __future__ import annotations

import pytest
from footage.runs import at, feet_at, said, telling

from narrate2log.footage.place import place
from narrate2log.units import length_to_mm


def run(length_ft: float | None):
    moves = [("start", 0.0), ("end", 118.0), ("pull-back", 120.0)]
    return place(
        telling(moves, [said(40, 20)]),
        (),
        entries_ms=[],
        homes_ms=[200_000],
        far_ends=[],
        last_ms=200_000,
        length_mm=None if length_ft is None else length_to_mm(length_ft, "ft"),
    )


def test_the_length_holds_for_where_the_camera_stopped() -> None:
    assert feet_at(run(70), 118) == pytest.approx(70, abs=0.5)
    known, unknown = at(run(70), 100), at(run(None), 100)
    assert known.high_mm - known.low_mm < unknown.high_mm - unknown.low_mm  # type: ignore[operator]


def test_a_length_that_no_footage_fits_is_put_aside_and_told() -> None:
    (anchor,) = [a for a in run(900).legs[1].anchors if a.source == "total length"]
    assert anchor.aside is not None
    assert "the others put the camera near" in anchor.aside
