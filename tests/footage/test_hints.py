"""What else tells where the camera was: talk, ranges, a far end told later, home, entries, a silent log."""

from __future__ import annotations

import pytest
from footage.runs import at, feet_at, log, said, telling, track_of

from narrate2log.footage.legs import counter_resets, find_legs
from narrate2log.units import MM_PER_FOOT

START = [("start", 0.0)]
OUT_AND_HOME = [("start", 0.0), ("pull-back", 100.0)]
SIXTY_OUT = tuple((float(s), float(s)) for s in range(61))


def test_while_the_narrator_talks_the_camera_mostly_stands() -> None:
    places = [said(0.5, 0), said(40, 20)]
    silent, talking = (
        feet_at(track_of(START, places), 20),
        feet_at(track_of(START, places, sentences=[(1, 20)]), 20),
    )
    assert silent is not None
    assert talking is not None
    assert talking < silent - 4


def test_a_range_said_is_held_by_the_interval() -> None:
    placed = at(track_of(START, [said(40, 30, up_to=34), said(80, 50)]), 40)
    assert placed.distance_mm == pytest.approx(32 * MM_PER_FOOT, abs=1)
    assert placed.low_mm is not None
    assert placed.high_mm is not None
    assert placed.low_mm <= 30 * MM_PER_FOOT
    assert placed.high_mm >= 34 * MM_PER_FOOT


def test_a_far_end_told_later_holds_for_when_it_was_passed() -> None:
    assert feet_at(track_of(OUT_AND_HOME, [said(50, 30)], far=[(95, 62)]), 95) == 62
    assert feet_at(track_of(OUT_AND_HOME, [said(50, 30)]), 95) != 62


def test_the_way_home_runs_from_the_turn_to_the_entry() -> None:
    track = track_of(OUT_AND_HOME, [said(50, 30), said(95, 60)], homes=[160])
    assert [at(track, s).going for s in (50, 95, 120, 160)] == ["out", "out", "back", "back"]
    assert [feet_at(track, s) for s in (130, 160)] == pytest.approx([30, 0], abs=1)


def test_a_second_zeroing_begins_at_zero_feet() -> None:
    moves = [*OUT_AND_HOME, ("zero", 200.0), ("start", 203.0)]
    track = track_of(moves, [said(50, 30), said(95, 60), said(240, 25), said(280, 45)], homes=[160])
    assert (at(track, 95).leg, at(track, 240).leg) == (1, 2)
    assert [feet_at(track, s) for s in (203, 240)] == pytest.approx([0, 25])


@pytest.mark.parametrize(("entry", "begins"), [(120, 120), (60, 130)], ids=["just before", "long before"])
def test_a_leg_begins_where_its_entry_was_named_just_before_the_zeroing(entry: int, begins: int) -> None:
    moves = [*OUT_AND_HOME, ("zero", 130.0)]
    assert [s.from_ms for s in find_legs(telling(moves), [entry * 1000], 600_000)] == [0, begins * 1000]


def test_where_the_counter_ran_on_a_zeroing_told_begins_no_leg() -> None:
    run = telling([("start", 0.0), ("zero", 50.0)])
    assert len(find_legs(run, [], 120_000)) == 2
    assert len(find_legs(run, [], 120_000, log(*SIXTY_OUT))) == 1


def test_a_log_that_was_silent_for_a_while_proves_no_zeroing() -> None:
    assert counter_resets(log(*SIXTY_OUT, (61, 0))) == [61_000]
    assert counter_resets(log(*SIXTY_OUT, (90, 0))) == []
