"""The step of a display, from the numbers read off it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from narrate2log.slope.display import STEPS, display_step, step_in_degrees
from narrate2log.units import SlopeUnit


@pytest.mark.parametrize(
    ("values", "unit", "step"),
    [
        ([-2, -1, 0, 3], "deg", 1),
        ([-2, -1.5, 0], "deg", 0.5),
        ([-1.2, 0.4], "deg", 0.1),
        ([1.1, 1.2, 0.85], "pct", 0.01),
        ([0.25], "in/ft", 1 / 4),
        ([0.25, 0.125], "in/ft", 1 / 8),
        ([0.25, 3 / 16], "in/ft", 1 / 16),
        ([0.2, 0.25], "in/ft", 0.05),
    ],
)
def test_the_coarsest_step_that_shows_them_all(values: list[float], unit: SlopeUnit, step: float) -> None:
    assert display_step(values, unit) == step


@given(st.sampled_from(list(STEPS)), st.data())
def test_a_step_never_is_coarser_than_the_display(unit: SlopeUnit, data: st.DataObject) -> None:
    step = data.draw(st.sampled_from(STEPS[unit]))
    counts = data.draw(st.lists(st.integers(-20, 20), min_size=1))
    found = display_step([n * step for n in counts], unit)
    assert all(abs(n * step / found - round(n * step / found)) < 1e-6 for n in counts)


def test_a_whole_degree_is_0_21_in_per_ft() -> None:
    """Zero on it may be anything within 0.105 in/ft: 12 tan(0.5 degrees), trigonometry."""
    assert step_in_degrees(0, 1, "deg") == pytest.approx(1)
    assert step_in_degrees(0, 0.2094, "in/ft") == pytest.approx(1, abs=0.001)
