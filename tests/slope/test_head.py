"""What tells how far the head always rides up: a level, a lift that was told, words, and still water.

A lift of 1/4 in over 6 in is atan(0.25 / 6) = 2.39 degrees, twice the angle of 1/4 in/ft: geometry.
"""

from __future__ import annotations

import math

import pytest
from slope.pipes import row
from slope.test_profile import EVEN, SIZE, both_ways, profile, reading

from narrate2log.records import Direction, HeadTilt, SlopeOf
from narrate2log.slope.head import SAID_TO_RIDE_UP, UNTOLD


def head(
    of: SlopeOf | None, value: float = 0.0, *, head_up: bool = False, direction: Direction = "downstream"
) -> HeadTilt:
    told = [reading(None, value, of=of)] if of else []
    made = profile([*both_ways(EVEN, 0.5), *told], SIZE, head_up=head_up, direction=direction).head
    assert made is not None
    return made


def test_what_is_assumed_reaches_as_far_as_a_skid_lifts() -> None:
    lifted = math.degrees(math.atan(0.25 / 6))
    assert lifted == pytest.approx(2.39, abs=0.005)
    assert UNTOLD[0] + 2 * UNTOLD[1] >= lifted


@pytest.mark.parametrize(("direction", "shown"), [("downstream", -1.0), ("upstream", 1.0)])
def test_a_level_shows_the_head_alone(direction: Direction, shown: float) -> None:
    """Nose up by one degree on a level: a rise to one who pushes down, a fall to one who pushes up."""
    found = head("level", shown, direction=direction)
    assert found.always_from == "level check"
    assert found.always_up_deg.value == pytest.approx(1.0, abs=0.25)
    assert found.always_up_deg.high - found.always_up_deg.low < 1.5


def test_a_lift_told_in_degrees() -> None:
    found = head("lift", 2.0)
    assert found.always_from == "words"
    assert found.always_up_deg.value == pytest.approx(2.0, abs=0.5)


def test_words_alone_move_what_is_assumed() -> None:
    silent, told = head(None), head(None, head_up=True)
    assert (silent.always_from, told.always_from) == ("prior", "words")
    assert silent.always_up_deg.value == pytest.approx(UNTOLD[0], abs=0.2)
    assert told.always_up_deg.value == pytest.approx(SAID_TO_RIDE_UP[0], abs=0.2)


def test_still_water_is_level() -> None:
    """Through a pond the mean of the readings is the head's own lift, here a rise of 0.5."""
    values = {float(at): (1.5 if at < 26 else -2.5) if 20 <= at <= 32 else 1.0 for at in range(2, 50, 1)}
    made = profile(both_ways(values, 0.0), SIZE, row("belly", 20, 32)).head
    assert made is not None
    assert made.always_from == "still water"
    assert made.always_up_deg.value == pytest.approx(0.5, abs=0.3)


def test_a_pond_without_readings_in_it_tells_nothing() -> None:
    values = {float(at): 1.0 for at in [*range(2, 18, 2), *range(34, 50, 2)]}
    made = profile(both_ways(values, 0.0), SIZE, row("belly", 20, 32)).head
    assert made is not None
    assert made.always_from == "prior"
