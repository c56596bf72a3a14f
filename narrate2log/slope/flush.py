"""A flush as a test: how long its water took to the camera, against what the grade lets expect."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from narrate2log.records import Band, Direction, FlushTest, Leg, Observation, SaidTime
from narrate2log.slope.flow import manning
from narrate2log.units import MM_PER_FOOT, Milliseconds, ms_to_seconds

# From the call to water in the pipe: the word passed on, the valve opened, the stack travelled. Common
# practice, no published source.
ON_ITS_WAY_S = (3.0, 12.0)
# Where the time is told in words it may have been counted from the flush itself, not from the call.
COUNTED_FROM_S = 1.0
# Seconds told by feel may be off by this share either way: common practice, no published source.
TOLD_BY_FEEL = 0.2
# Less time in the pipe than this cannot be told from the way to it.
LEAST_IN_PIPE_S = 3.0
# The run of pipe between the stack and the cleanout that the camera went in by, which nobody tells, feet.
BEFORE_THE_CLEANOUT_FT = (0.0, 15.0)
# A later arrival is that of another flush.
LONGEST_MS: Milliseconds = 180_000
# How full a flush fills a lateral, as shares of the diameter: common practice, no published source.
FILLS = (0.1, 0.4)


@dataclass(frozen=True, slots=True)
class _Took:
    """How long a flush took, seconds, with its ends, and the least and most of it before the pipe."""

    seconds: float
    least: float
    most: float
    before_pipe: tuple[float, float]
    as_said: bool


def flush_tests(
    observations: Sequence[Observation], legs: Sequence[Leg], said: Sequence[SaidTime] = ()
) -> tuple[FlushTest, ...]:
    """Every flush whose way to the camera was timed, with the velocity it makes likely.

    The recording times it where the call and the water were told as they happened. Where they were not,
    by what was said of the seconds, or nobody told the call, the seconds that were said stand.
    """
    direction = {leg.leg: leg.direction for leg in legs}
    calls = sorted(
        t for o in observations if o.feature == "flush" and o.standing == "seen" for t in o.sightings_ms
    )
    tests = []
    for row in observations:
        if row.feature == "flush-arrival" and row.standing == "seen":
            took = _took(row, calls, [s for s in said if s.time_ms in row.sightings_ms])
            if took is not None:
                tests.append(_test(row, took, direction.get(row.placement.leg, "downstream")))
    return tuple(tests)


def _took(row: Observation, calls: Sequence[Milliseconds], said: Sequence[SaidTime]) -> _Took | None:
    before = [t for t in calls if 0 <= row.time_ms - t <= LONGEST_MS]
    timed = ms_to_seconds(row.time_ms - before[-1]) if before else 0.0
    if said:
        low, high = said[-1].low_s, said[-1].high_s
        least, most = low * (1 - TOLD_BY_FEEL), high * (1 + TOLD_BY_FEEL)
        if not least <= timed <= most + ON_ITS_WAY_S[1]:
            return _Took((low + high) / 2, least, most, (COUNTED_FROM_S, ON_ITS_WAY_S[1]), True)
    return _Took(timed, timed, timed, ON_ITS_WAY_S, False) if timed else None


def _test(row: Observation, took: _Took, direction: Direction) -> FlushTest:
    at = row.placement
    lacks = []
    if at.distance_mm is None or at.low_mm is None or at.high_mm is None:
        lacks.append("where the water was seen is not known")
    if direction == "upstream":
        lacks.append("the camera came from below, so how far the water ran is not known")
    if took.least <= took.before_pipe[1] + LEAST_IN_PIPE_S:
        lacks.append("the water came too soon to tell its way in the pipe from the way to it")
    velocity = None
    if not lacks and at.low_mm is not None and at.high_mm is not None and at.distance_mm is not None:
        low, high = (
            feet + mm / MM_PER_FOOT
            for feet, mm in zip(BEFORE_THE_CLEANOUT_FT, (at.low_mm, at.high_mm), strict=True)
        )
        soonest, latest = took.before_pipe
        least, most = low / (took.most - soonest), high / (took.least - latest)
        middle = (low + high) / 2 / (took.seconds - (soonest + latest) / 2)
        velocity = Band(round(middle, 2), round(least, 2), round(most, 2))
    return FlushTest(at.leg, took.seconds, at.distance_mm, velocity, tuple(lacks), took.as_said)


def expected_ft_s(size_in: float, grade_pct: Band, roughness: float) -> Band:
    """The velocity of a flush by Manning's formula, from the grade's interval and how full it may run."""
    low = manning(size_in, grade_pct.low, roughness, FILLS[0]).velocity_ft_s
    high = manning(size_in, grade_pct.high, roughness, FILLS[1]).velocity_ft_s
    middle = manning(size_in, grade_pct.value, roughness, sum(FILLS) / 2).velocity_ft_s
    return Band(round(middle, 2), round(low, 2), round(high, 2))
