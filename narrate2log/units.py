"""The units inside the tool, and every conversion at its edge.

Inside: time in whole milliseconds, distance along the pipe in whole millimetres, slope as a
signed number in the unit it was said in. Whole numbers keep equality and order exact.
"""

from __future__ import annotations

import math
from typing import Literal

Milliseconds = int
Millimetres = int
LengthUnit = Literal["ft", "m"]
SlopeUnit = Literal["deg", "pct", "in/ft"]

# The international foot and inch are defined exactly: 0.3048 m and 25.4 mm.
MM_PER_UNIT: dict[LengthUnit, float] = {"ft": 304.8, "m": 1000.0}
MM_PER_INCH = 25.4
MM_PER_FOOT = 304.8
S_PER_MINUTE = 60


def seconds_to_ms(seconds: float) -> Milliseconds:
    """Seconds to whole milliseconds."""
    return round(seconds * 1000)


def ms_to_seconds(ms: Milliseconds) -> float:
    """Whole milliseconds to seconds, exact to the millisecond."""
    return round(ms / 1000, 3)


def length_to_mm(value: float, unit: LengthUnit) -> Millimetres:
    """A length in feet or metres to whole millimetres."""
    return round(value * MM_PER_UNIT[unit])


def mm_to_length(mm: Millimetres, unit: LengthUnit) -> float:
    """Whole millimetres to feet or metres, rounded to a hundredth, which a counter cannot beat."""
    return round(mm / MM_PER_UNIT[unit], 2)


def decimals_told(low: float, high: float, unit: LengthUnit) -> int:
    """How many decimals a length is told with that is uncertain from `low` to `high`, in `unit`.

    The last digit told is the first that its uncertainty (half the interval) touches: JCGM 100:2008
    (GUM), 7.2.6. Never more than tenths of a foot or hundredths of a metre, which no counter beats.

        >>> decimals_told(41.5, 44.5, "ft"), decimals_told(40.6, 41.4, "ft")
        (0, 1)
    """
    most = 1 if unit == "ft" else 2
    half = abs(high - low) / 2
    # what rounds to one of the next place is of that place: 0.96 is 1
    return most if half <= 0 else min(most, max(0, -math.floor(math.log10(half / 0.95))))


def mm_to_feet(mm: Millimetres) -> float:
    """Whole millimetres to feet, rounded to a hundredth."""
    return round(mm / MM_PER_FOOT, 2)


def mm_to_inches(mm: float) -> float:
    """Millimetres to inches, rounded to a tenth, the precision of a nominal bore."""
    return round(mm / MM_PER_INCH, 1)


def slope_to_percent(value: float, unit: SlopeUnit) -> float:
    """A slope in degrees, percent or inches per foot to percent: 100 tan(angle), 100 in/12 in."""
    if unit == "deg":
        return 100 * math.tan(math.radians(value))
    if unit == "in/ft":
        return 100 * value / 12
    return value


def percent_to_slope(percent: float, unit: SlopeUnit) -> float:
    """The inverse of `slope_to_percent`."""
    if unit == "deg":
        return math.degrees(math.atan(percent / 100))
    if unit == "in/ft":
        return 12 * percent / 100
    return percent
