"""Where legs begin, by what was said and by the counter log."""

from __future__ import annotations

import itertools

import pytest

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
