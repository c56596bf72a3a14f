"""A flush as a test: how long its water took to the camera, against what the grade lets expect."""

from __future__ import annotations

from collections.abc import Sequence

from narrate2log.records import Band, Direction, FlushTest, Leg, Observation
from narrate2log.slope.flow import manning
from narrate2log.units import MM_PER_FOOT, Milliseconds, ms_to_seconds

# From the call to water in the pipe: the word passed on, the valve opened, the stack travelled. Common
# practice, no published source.
ON_ITS_WAY_S = (3.0, 12.0)
# The run of pipe between the stack and the cleanout that the camera went in by, which nobody tells, feet.
BEFORE_THE_CLEANOUT_FT = (0.0, 15.0)
# A later arrival is that of another flush.
LONGEST_MS: Milliseconds = 180_000
# How full a flush fills a lateral, as shares of the diameter: common practice, no published source.
FILLS = (0.1, 0.4)


def flush_tests(observations: Sequence[Observation], legs: Sequence[Leg]) -> tuple[FlushTest, ...]:
    """Every call for a flush that water at the camera followed, with the velocity it makes likely."""
    direction = {leg.leg: leg.direction for leg in legs}
    calls = sorted(
        t for o in observations if o.feature == "flush" and o.standing == "seen" for t in o.sightings_ms
    )
    tests = []
    for row in observations:
        if row.feature != "flush-arrival" or row.standing != "seen":
            continue
        before = [t for t in calls if 0 < row.time_ms - t <= LONGEST_MS]
        if before:
            seconds = ms_to_seconds(row.time_ms - before[-1])
            tests.append(_test(row, seconds, direction.get(row.placement.leg, "downstream")))
    return tuple(tests)


def _test(row: Observation, seconds: float, direction: Direction) -> FlushTest:
    at = row.placement
    lacks = []
    if at.distance_mm is None or at.low_mm is None or at.high_mm is None:
        lacks.append("where the water was seen is not known")
    if direction == "upstream":
        lacks.append("the camera came from below, so how far the water ran is not known")
    if seconds <= ON_ITS_WAY_S[1] + 3:
        lacks.append("the water came too soon to tell its way in the pipe from the way to it")
    velocity = None
    if not lacks and at.low_mm is not None and at.high_mm is not None and at.distance_mm is not None:
        low, high = (
            feet + mm / MM_PER_FOOT
            for feet, mm in zip(BEFORE_THE_CLEANOUT_FT, (at.low_mm, at.high_mm), strict=True)
        )
        least, most = low / (seconds - ON_ITS_WAY_S[0]), high / (seconds - ON_ITS_WAY_S[1])
        middle = (low + high) / 2 / (seconds - sum(ON_ITS_WAY_S) / 2)
        velocity = Band(round(middle, 2), round(least, 2), round(most, 2))
    return FlushTest(at.leg, seconds, at.distance_mm, velocity, tuple(lacks))


def expected_ft_s(size_in: float, grade_pct: Band, roughness: float) -> Band:
    """The velocity of a flush by Manning's formula, from the grade's interval and how full it may run."""
    low = manning(size_in, grade_pct.low, roughness, FILLS[0]).velocity_ft_s
    high = manning(size_in, grade_pct.high, roughness, FILLS[1]).velocity_ft_s
    middle = manning(size_in, grade_pct.value, roughness, sum(FILLS) / 2).velocity_ft_s
    return Band(round(middle, 2), round(low, 2), round(high, 2))
