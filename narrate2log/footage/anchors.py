"""What ties a moment to a distance: each anchor with its source, its own error, and whether it was used."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from narrate2log.reading.alike_numbers import twin
from narrate2log.records import SpokenPlace
from narrate2log.units import MM_PER_FOOT, Millimetres, Milliseconds, mm_to_feet

Source = Literal["zero", "log", "footage", "far end", "total length", "turn", "met again", "landmark", "home"]

# A footage is rounded to some step: the coarsest of these (mm) that it is a multiple of. Feet, metres,
# halves, tenths.
STEPS_MM = (MM_PER_FOOT, 1000.0, 500.0, MM_PER_FOOT / 2, 100.0, MM_PER_FOOT / 10)
# A number rounded to a step lies anywhere in it: its standard deviation is step / sqrt(12).
ROUNDED = 12**-0.5
# The reel's own error and the moment between seeing and saying, feet (standard deviation); common
# practice, no published source.
SAYING_FT = 0.15
# What is only come up on, or told from memory, feet (standard deviation).
AHEAD_FT = 1.0
# Chances that an anchor is wrong, before the others are asked. tests/fitting/count_wrong.py, in
# tests/narrations/others: 15 of 201 footages said, 0 of 30 things met again; of feet told from a landmark
# there is none to count. The others are choices.
WRONG = {
    "zero": 0.002,
    "log": 0.002,
    "footage": 0.06,
    "far end": 0.02,
    "total length": 0.02,
    "turn": 0.002,
    "met again": 0.1,
    "landmark": 0.1,
    "home": 0.002,
}
# A number said alone, with no unit and no thing. A choice: in the same narrations 7 of 104 are wrong, but the
# rules that tell amounts, hours and prices apart were made on these, and before them it was one in three.
WRONG_BARE = 0.4


@dataclass(frozen=True, slots=True)
class Anchor:
    """The camera was at `distance_mm` at `time_ms`, with a standard deviation of `sd_ft` feet.

    `wrong` is the chance, before any other anchor is asked, that it is not so at all. `aside` is the
    reason why it is not used, None if it is.
    """

    time_ms: Milliseconds
    distance_mm: Millimetres
    sd_ft: float
    source: Source
    wrong: float
    aside: str | None = None

    @property
    def feet(self) -> float:
        """The distance in feet."""
        return self.distance_mm / MM_PER_FOOT

    def put_aside(self, reason: str) -> Anchor:
        """The same anchor, not used."""
        return replace(self, aside=reason)


def rounding_ft(mm: Millimetres) -> float:
    """The step that a said distance was rounded to, feet.

    >>> [round(rounding_ft(round(feet * 304.8)), 2) for feet in (41, 41.5, 41.3)]
    [1.0, 0.5, 0.1]
    """
    for step in STEPS_MM:
        if abs(mm - step * round(mm / step)) <= 0.51:
            return step / MM_PER_FOOT
    return STEPS_MM[-1] / MM_PER_FOOT


def said_sd_ft(place: SpokenPlace) -> float:
    """The standard deviation of a footage said, feet: its rounding or its range, and the saying."""
    half_range = (place.high_mm - place.low_mm) / 2 / MM_PER_FOOT
    rounded = half_range or ROUNDED * rounding_ft(place.low_mm)
    ahead = AHEAD_FT if place.relation == "ahead" else 0.0
    return math.sqrt(rounded**2 + SAYING_FT**2 + ahead**2)


def from_footage(place: SpokenPlace) -> Anchor:
    """The anchor of a footage said of where the camera is, or is coming up on."""
    middle = (place.low_mm + place.high_mm) // 2
    wrong = WRONG_BARE if place.bare else WRONG["footage"]
    return Anchor(place.time_ms, middle, said_sd_ft(place), "footage", wrong)


def does_not_fit(anchor: Anchor, at_ft: float) -> str:
    """Why an anchor is put aside whose neighbours put the camera at `at_ft` feet."""
    reason = f"the others put the camera near {at_ft:.0f} ft then"
    other = twin(anchor.feet)
    if other is not None and abs(other - at_ft) <= 4:
        reason += f"; {mm_to_feet(anchor.distance_mm):g} is easily heard for {other:g}"
    return reason
