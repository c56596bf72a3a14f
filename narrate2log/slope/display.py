"""What a tilt display shows apart: the step between two numbers it can show, taken from those read off it."""

from __future__ import annotations

from collections.abc import Iterable

from narrate2log.units import SlopeUnit, percent_to_slope, slope_to_percent

# From coarse to fine; the first that all the numbers are whole multiples of is taken.
STEPS: dict[SlopeUnit, tuple[float, ...]] = {
    "deg": (1, 0.5, 0.1, 0.01),
    "pct": (1, 0.5, 0.1, 0.01),
    "in/ft": (1 / 4, 1 / 8, 1 / 16, 0.05, 1 / 32, 0.01),
}


def display_step(values: Iterable[float], unit: SlopeUnit) -> float:
    """The step of a display from the numbers read off it, in `unit`: whole degrees give 1.

    Few numbers may all be round ones of a finer display; then the step is too coarse, which only
    makes an interval wider.
    """
    told = list(values)
    for step in STEPS[unit]:
        if all(abs(value / step - round(value / step)) < 1e-6 for value in told):
            return step
    return STEPS[unit][-1]


def step_in_degrees(value: float, step: float, unit: SlopeUnit) -> float:
    """The step at a reading as an angle."""
    low, high = (
        percent_to_slope(slope_to_percent(v, unit), "deg") for v in (value - step / 2, value + step / 2)
    )
    return high - low
