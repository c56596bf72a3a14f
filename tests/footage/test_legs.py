"""Where legs begin, by what was said and by the counter log."""

from __future__ import annotations

import itertools

import pytest
from footage.runs import at, feet_at, said, telling, track_of

from narrate2log.footage.legs import counter_resets, counter_turn, find_legs
from narrate2log.records import CounterReading, Motion, Narration
from narrate2log.units import MM_PER_FOOT


def legs(motions: list[tuple[int, str]], counter: tuple[CounterReading, ...] = ()):
    moved = tuple(Motion(what, s * 1000, -1) for s, what in motions)
    return find_legs(Narration((), (), moved, (), ()), [], 900_000, counter)


def log(*readings: tuple[float, float]) -> tuple[CounterReading, ...]:
    return tuple(CounterReading(round(s * 1000), round(f * MM_PER_FOOT)) for s, f in readings)


@pytest.mark.parametrize(
    ("motions", "count"),
    [
        ([(5, "zero"), (8, "start")], 1),
        ([(5, "zero"), (8, "zero"), (9, "start")], 1),
        ([(5, "zero"), (8, "start"), (12, "zero")], 1),
        ([(5, "zero"), (8, "start"), (120, "zero"), (124, "start")], 2),
        ([(5, "zero"), (8, "start"), (100, "pull-back"), (130, "zero"), (134, "start")], 2),
        ([(8, "start"), (120, "zero")], 2),
        # the way home of the leg before says nothing of the next
        ([(8, "start"), (100, "pull-back"), (130, "zero"), (200, "zero")], 2),
        ([], 1),
    ],
)
def test_a_zeroing_after_the_push_begins_a_leg(motions: list[tuple[int, str]], count: int) -> None:
    found = legs(motions)
    assert [leg.leg for leg in found] == list(range(1, count + 1))
    assert all(a.end_ms == b.from_ms for a, b in itertools.pairwise(found))


def test_the_turn_is_told_or_follows_the_end() -> None:
    assert legs([(5, "zero"), (8, "start"), (100, "pull-back")])[0].back_ms == 100_000
    assert legs([(5, "zero"), (8, "start"), (100, "end")])[0].back_ms == 103_000
    assert legs([(5, "zero"), (8, "start")])[0].back_ms is None


def test_a_log_that_falls_at_once_was_zeroed_and_one_that_is_pulled_was_not() -> None:
    zeroed = log(*((s, s / 2) for s in range(88)), (88, 0.0), (89, 0.2))
    assert counter_resets(zeroed) == [88_000]
    pulled = log(*((s, s / 2) for s in range(88)), *((88 + s, 44 - 4 * s) for s in range(12)))
    assert counter_resets(pulled) == []
    assert counter_turn(pulled, 0, 900_000) == pytest.approx(87_500, abs=1_000)
    assert counter_turn(zeroed, 0, 88_000) is None


def test_the_log_tells_of_a_zeroing_that_nobody_told() -> None:
    reading = log(*((s, s / 2) for s in range(8, 96)), *((s, (s - 96) / 2) for s in range(96, 150)))
    assert [leg.leg for leg in legs([(5, "zero"), (8, "start")], reading)] == [1, 2]


OUT = [("zero", 2.0), ("start", 5.0)]


def turn_of(moves: list[tuple[str, float]], feet: list[tuple[float, float]], counter=()) -> float | None:
    (leg,) = find_legs(telling([*OUT, *moves], [said(s, at) for s, at in feet]), [], 900_000, counter)
    return None if leg.back_ms is None else leg.back_ms / 1000


GROWING = [(40.0, 16.0), (60.0, 24.0), (80.0, 32.0), (100.0, 40.0)]


@pytest.mark.parametrize(
    ("moves", "feet", "turn"),
    [
        # "let me pull back for a look", and on it goes
        ([("pull-back", 65.0)], GROWING, None),
        ([("pull-back", 65.0), ("pull-back", 120.0)], [*GROWING, (130.0, 30.0)], 120),
        ([("pull-back", 30.0), ("pull-back", 65.0), ("pull-back", 120.0)], GROWING, 120),
        # one footage is no proof, nor are two that fall, or that few of those called say so
        ([("pull-back", 65.0)], GROWING[:3], 65),
        ([("pull-back", 65.0)], [*GROWING[:2], (80.0, 40.0), (100.0, 30.0)], 65),
        ([("pull-back", 65.0)], [*GROWING[:2], (70.0, 20.0), (74.0, 61.0), (80.0, 16.0), (90.0, 61.0)], 65),
        # nor that it stood a little further out than was called
        ([("pull-back", 65.0)], [*GROWING[:2], (66.0, 26.0), (68.0, 27.0)], 65),
        ([("pull-back", 105.0)], [*GROWING, (120.0, 30.0), (140.0, 12.0)], 105),
    ],
)
def test_a_pull_home_after_which_footages_grow_was_none(
    moves: list[tuple[str, float]], feet: list[tuple[float, float]], turn: float | None
) -> None:
    assert turn_of(moves, feet) == turn


def test_a_pull_home_after_which_the_log_grows_was_none() -> None:
    on = log(*((s, s / 2) for s in range(5, 200)))
    assert turn_of([("pull-back", 60.0)], [], on) is None
    home = log(*((s, s / 2) for s in range(5, 120)), *((120 + s, 60 - s) for s in range(50)))
    assert turn_of([("pull-back", 60.0)], [], home) == pytest.approx(119, abs=2)
    assert turn_of([("pull-back", 60.0), ("pull-back", 121.0)], [], home) == pytest.approx(121, abs=2)


def test_the_way_out_goes_on_past_a_false_pull_home() -> None:
    track = track_of([*OUT, ("pull-back", 65.0)], [said(s, at) for s, at in GROWING])
    assert [at(track, s).going for s in (70, 90, 110)] == ["out"] * 3
    assert [feet_at(track, s) for s in (60, 80, 100)] == pytest.approx([24, 32, 40], abs=0.3)
    assert not track.legs[1].aside
