"""How wide an interval must be to hold the truth nine times in ten: factors found by trial, kept as data."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path


@cache
def factors() -> dict[str, float]:
    """Half widths in standard deviations, by what a place rests on (see `calibration.toml`)."""
    return tomllib.loads(Path(__file__).with_suffix(".toml").read_text("utf-8"))


def half_width_ft(stratum: str, sd_ft: float) -> float:
    """Half the width of the 90 % interval, feet, of an estimate with standard deviation `sd_ft`."""
    return factors()[stratum] * sd_ft
