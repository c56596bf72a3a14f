"""Scales, ticks, label places. The steps 1, 2, 5 are those of Heckbert, Graphics Gems (1990), from memory."""

from __future__ import annotations

import itertools
import math
from xml.etree import ElementTree

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from narrate2log.drawing.axes import (
    Scale,
    bottom_axis,
    clock_text,
    clock_ticks,
    left_axis,
    round_ticks,
    spread_apart,
)

finite = st.floats(-1e6, 1e6)


@pytest.mark.parametrize(
    ("low", "high", "at_most", "ticks"),
    [
        (0, 62, 7, [0, 10, 20, 30, 40, 50, 60]),
        (0, 62, 6, [0, 20, 40, 60]),
        (-4.2, 4.9, 5, [-4, -2, 0, 2, 4]),
        (0, 1, 11, [0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1]),
        (7, 7, 5, [7]),
    ],
)
def test_round_ticks(low: float, high: float, at_most: int, ticks: list[float]) -> None:
    assert round_ticks(low, high, at_most) == ticks


@given(finite, st.floats(0.01, 1e6), st.integers(2, 20))
def test_ticks_are_few_inside_and_a_round_step_apart(low: float, extent: float, at_most: int) -> None:
    ticks = round_ticks(low, low + extent, at_most)
    assert 1 <= len(ticks) <= at_most
    assert all(low - extent * 1e-6 <= t <= low + extent * (1 + 1e-6) for t in ticks)
    if len(ticks) > 1:
        step = ticks[1] - ticks[0]
        digit = step / 10 ** math.floor(math.log10(step) + 1e-6)
        assert min(abs(digit - d) for d in (1, 2, 5)) < 1e-3


def test_clock_ticks_are_those_of_a_clock() -> None:
    assert clock_ticks(0, 95, 5) == [0, 30, 60, 90]
    assert clock_ticks(0, 3000, 6) == [0, 600, 1200, 1800, 2400, 3000]
    assert [clock_text(s) for s in (0, 9.6, 75, 3600)] == ["0:00", "0:10", "1:15", "1:00:00"]


@given(finite, st.floats(0.1, 1e6), st.floats(0, 1))
def test_a_scale_keeps_shares(low: float, extent: float, share: float) -> None:
    assert Scale(low, low + extent, 100, 20)(low + share * extent) == pytest.approx(
        100 - 80 * share, abs=1e-3
    )


def test_axes_carry_their_titles_and_their_numbers() -> None:
    across = bottom_axis(Scale(0, 10, 50, 150), 200, [(0, "0:00"), (10, "0:10")], "Time", 18)
    up = left_axis(Scale(0, 60, 200, 20), 50, 150, [(0, "0"), (60, "60")], "Feet", 18)
    assert [t.text for t in across.iter("text")] == ["0:00", "0:10", "Time"]
    assert [float(t.get("x", "")) for t in across.iter("text")] == [50, 150, 100]
    assert [t.text for t in up.iter("text")] == ["0", "60", "Feet"]
    assert len([g for g in up.iter("line") if g.get("class") == "grid"]) == 2
    assert ElementTree.tostring(across)


@given(st.lists(st.floats(0, 500), max_size=30).map(sorted), st.floats(1, 15))
def test_labels_stay_in_order_apart_and_inside(wanted: list[float], gap: float) -> None:
    assume(len(wanted) * gap < 500)
    placed = spread_apart(wanted, gap, 0, 500)
    assert len(placed) == len(wanted)
    assert all(b - a >= gap - 1e-6 for a, b in itertools.pairwise(placed))
    assert all(-1e-6 <= p <= 500 + 1e-6 for p in placed)
    if all(b - a >= gap for a, b in itertools.pairwise(wanted)):
        assert placed == pytest.approx(wanted)
