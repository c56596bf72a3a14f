"""Counters that drop out, stick, or count in another unit. 1 m is 3.28 ft by definition of the foot."""

from __future__ import annotations

import pytest
from footage.runs import at, feet_at, log, said, track_of

from narrate2log.footage.counter_faults import in_the_unit_said, mend
from narrate2log.records import CounterReading
from narrate2log.units import MM_PER_FOOT

STEADY = tuple((float(s), s / 2) for s in range(121))


def test_a_log_without_faults_is_left_alone() -> None:
    assert mend(log(*STEADY)) == (log(*STEADY), ())


@pytest.mark.parametrize("wild", [0.0, 180.0, -40.0])
def test_readings_that_leap_and_come_back_are_left_out(wild: float) -> None:
    broken = log(*((s, wild if 60 <= s <= 62 else f) for s, f in STEADY))
    kept, (problem,) = mend(broken)
    assert kept == log(*((s, f) for s, f in STEADY if not 60 <= s <= 62))
    assert problem.startswith("Counter log: 3 readings left out, the first at 60.0 s")


def test_a_counter_that_was_zeroed_is_not_mended() -> None:
    zeroed = log(*STEADY, *((121 + s, s / 2) for s, _ in STEADY))
    assert mend(zeroed) == (zeroed, ())


def test_a_reading_that_stuck_is_bridged_by_a_wider_interval() -> None:
    stuck = log(*((s, 20.0 if 40 <= s < 70 else f) for s, f in STEADY))
    kept, (problem,) = mend(stuck)
    assert problem.startswith("Counter log: the reading stuck from 40.0 to 69.0 s")
    track = track_of(
        [("start", 0.0)], counter=[(r.time_ms / 1000, r.distance_mm / MM_PER_FOOT) for r in kept]
    )
    inside, beside = at(track, 55), at(track, 100)
    assert (inside.basis, beside.basis) == ("interpolated", "counter")
    assert feet_at(track, 55) == pytest.approx(27.5, abs=1)
    assert inside.high_mm - inside.low_mm > 2 * (beside.high_mm - beside.low_mm)  # type: ignore[operator]


def test_a_counter_that_stood_and_moved_on_was_not_stuck() -> None:
    stood = log(
        *STEADY, *((s, 60.0) for s in range(121, 151)), *((s, 60 + (s - 150) / 2) for s in range(151, 180))
    )
    assert mend(stood) == (stood, ())


@pytest.mark.parametrize(("factor", "unit"), [(0.3048, "metres"), (3.28084, "feet")])
def test_a_log_in_another_unit_is_converted_and_told(factor: float, unit: str) -> None:
    places = [said(2.0 * feet, feet) for feet in (10, 20, 30, 40, 50)]
    other = log(*((s, f * factor) for s, f in STEADY))
    converted, problems = in_the_unit_said(other, places)
    assert problems == (f"Counter log: what was called out shows that it is in {unit}; it was converted.",)
    assert converted[100].distance_mm == pytest.approx(50 * MM_PER_FOOT, rel=0.001)


def test_a_few_wrong_footages_show_no_other_unit() -> None:
    places = [said(20, 10), said(40, 20), said(60, 98), said(80, 131), said(100, 50)]
    assert in_the_unit_said(log(*STEADY), places) == (log(*STEADY), ())


def test_where_a_further_clip_begins_a_leap_is_no_fault():
    stood = [CounterReading(second * 1000, 3048) for second in range(10, 20)]
    went_on = [CounterReading(second * 1000, 13_000 + 100 * second) for second in range(20, 25)]
    kept, told = mend([*stood, *went_on], [19_500])
    assert (kept, told) == ((*stood, *went_on), ())
    assert len(mend([*stood, *went_on])[0]) < 15
