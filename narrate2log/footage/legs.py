"""Legs and passes: when the counter was zeroed again, and when the camera was on its way home."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise

from narrate2log.footage.reckoning import went_on
from narrate2log.records import CounterReading, Direction, Motion, Narration, Pass
from narrate2log.units import MM_PER_FOOT, Milliseconds

# A zeroing this long after a start, or after a footage was said, begins a new leg.
SAME_ZERO_MS = 25_000
LONG_MS = 60_000


@dataclass(frozen=True, slots=True)
class Stretch:
    """One leg: from when it is talked of, when it was zeroed, when the pull home began (or None)."""

    leg: int
    from_ms: Milliseconds
    zero_ms: Milliseconds
    start_ms: Milliseconds | None
    back_ms: Milliseconds | None
    end_ms: Milliseconds
    direction: Direction
    zeroed: bool = False

    @property
    def push_ms(self) -> Milliseconds:
        """When the push began: as told, or at a zeroing soon after ("we're rolling" means the recorder)."""
        push_ms = _push_ms(self.start_ms, self.zero_ms if self.zeroed else None)
        return self.zero_ms if push_ms is None else push_ms


def _push_ms(start_ms: Milliseconds | None, zero_ms: Milliseconds | None) -> Milliseconds | None:
    if start_ms is None or (zero_ms is not None and 0 < zero_ms - start_ms < 2 * SAME_ZERO_MS):
        return zero_ms
    return start_ms


# A counter that falls this far in so short a time was zeroed: no rod is pulled at 8 ft/s.
RESET_MM = 20 * MM_PER_FOOT
RESET_MS = 2500
# The counter shows the way home once it has come back this far from its furthest.
COMING_HOME_MM = 4 * MM_PER_FOOT
# So many footages called, or readings of a log, agree that the camera went on after a pull home was told.
ENOUGH = 2


def counter_resets(counter: tuple[CounterReading, ...]) -> list[Milliseconds]:
    """When the log falls to zero faster than a rod is pulled."""
    found = []
    for i, now in enumerate(counter):
        if now.distance_mm >= MM_PER_FOOT or (i and counter[i - 1].distance_mm < MM_PER_FOOT):
            continue
        before = [r for r in counter[max(0, i - 3) : i] if now.time_ms - r.time_ms <= RESET_MS]
        fall = max((r.distance_mm - now.distance_mm for r in before), default=0)
        if fall > RESET_MM:
            found.append(now.time_ms)
    return found


def logs_by_leg(
    counter: tuple[CounterReading, ...], stretches: list[Stretch]
) -> dict[int, tuple[CounterReading, ...]]:
    """The readings of each leg: a leg is talked of from a moment, but its log begins where it was zeroed."""
    resets = counter_resets(counter)
    begins = []
    for stretch in stretches[1:]:
        near = [at for at in resets if abs(at - stretch.zero_ms) < 2 * SAME_ZERO_MS]
        begins.append(min(near, key=lambda at: abs(at - stretch.zero_ms)) if near else stretch.from_ms)
    edges = [-math.inf, *begins, math.inf]
    return {
        stretch.leg: tuple(r for r in counter if edges[i] <= r.time_ms < edges[i + 1])
        for i, stretch in enumerate(stretches)
    }


def counter_turn(
    counter: tuple[CounterReading, ...], begin: Milliseconds, end: Milliseconds
) -> Milliseconds | None:
    """When the log of one leg left its furthest reading for good, or None if it never came back."""
    inside = [r for r in counter if begin <= r.time_ms < end]
    if not inside:
        return None
    furthest = max(r.distance_mm for r in inside)
    if furthest < 2 * COMING_HOME_MM or inside[-1].distance_mm > furthest - COMING_HOME_MM:
        return None
    return max(r.time_ms for r in inside if r.distance_mm >= furthest - MM_PER_FOOT / 2)


def find_legs(
    narration: Narration,
    entries_ms: list[Milliseconds],
    last_ms: Milliseconds,
    counter: tuple[CounterReading, ...] = (),
) -> list[Stretch]:
    """The legs in order. `entries_ms` are the times at which an entry point was named.

    A counter log tells of a zeroing and of the turn for home even where nobody said so.
    """
    zeros: list[Milliseconds] = []
    started: Milliseconds | None = None
    pulled = False
    boundaries: list[Milliseconds] = [0]
    resets = counter_resets(counter)
    motions = list(narration.motions)
    for at in resets:
        if not any(m.what == "zero" and abs(m.time_ms - at) < SAME_ZERO_MS for m in motions):
            motions.append(Motion("zero", at, -1))
    motions.sort(key=lambda m: m.time_ms)
    for motion in motions:
        if motion.what == "start" and started is None:
            started = motion.time_ms
        elif motion.what == "pull-back" and _pushed_since(started, zeros, motion.time_ms):
            pulled = True
        elif motion.what == "zero":
            again = bool(zeros) and motion.time_ms - zeros[-1] < SAME_ZERO_MS
            logged = not again and any(abs(motion.time_ms - at) < SAME_ZERO_MS for at in resets)
            later = started is not None and motion.time_ms - started > SAME_ZERO_MS
            if (
                (zeros or later)
                and (pulled or later or logged)
                and not (counter and not logged and not pulled)
            ):
                entry = (
                    [t for t in entries_ms if motion.time_ms - 60_000 <= t < motion.time_ms] if pulled else []
                )
                boundaries.append(entry[-1] if entry else motion.time_ms)
                zeros.append(motion.time_ms)
                started, pulled = None, False
            elif not zeros:
                zeros.append(motion.time_ms)
    stretches = []
    for i, begin in enumerate(boundaries):
        end = boundaries[i + 1] if i + 1 < len(boundaries) else last_ms
        inside = [
            m
            for m in narration.motions
            if begin <= m.time_ms < end or (i + 1 == len(boundaries) and m.time_ms >= begin)
        ]
        start = _first(inside, "start")
        zero = _first(inside, "zero")
        if zero is not None and start is not None and _called(narration, zero, start):
            # the counter ran since it was zeroed, so this is no setting off
            start = None
        known = _push_ms(start, zero)
        after = known + 3000 if known is not None else begin
        log = [r for r in counter if begin <= r.time_ms < end]
        pulls = [m.time_ms for m in inside if m.what == "pull-back" and m.time_ms > after]
        back = next(
            (at for at, until in pairwise([*pulls, end]) if not _went_beyond(narration, log, at, until)),
            None,
        )
        if back is None:
            # the end was told and more followed: the way home began there
            ends = [
                m.time_ms
                for m in inside
                if m.what == "end" and m.time_ms > after and not went_on(narration, m)
            ]
            back = ends[-1] + 3000 if ends and ends[-1] < last_ms - 15_000 else None
        turned = counter_turn(counter, known if known is not None else begin, end)
        if turned is not None and (back is None or back > turned + SAME_ZERO_MS):
            back = turned
        at = zero if zero is not None else start if start is not None else begin
        stretches.append(
            Stretch(
                i + 1,
                begin,
                at,
                start,
                back,
                end,
                _direction(narration, begin, (known if known is not None else end) + 30_000),
                zero is not None,
            )
        )
    return stretches


def _went_beyond(
    narration: Narration, log: list[CounterReading], at_ms: Milliseconds, until_ms: Milliseconds
) -> bool:
    """Whether the camera went well further out after a pull home was told, so that it was none.

    By the log where there is one; else by two footages and more that grow, and most of those called until
    the next pull home was told.
    """
    if log:
        before = max((r.distance_mm for r in log if r.time_ms <= at_ms), default=None)
        after = [r.distance_mm for r in log if at_ms < r.time_ms < until_ms]
        return before is not None and sum(mm > before + COMING_HOME_MM for mm in after) >= ENOUGH
    here = [p for p in narration.places if p.relation == "here" and not p.bare]
    furthest = max((p.high_mm for p in here if p.time_ms <= at_ms), default=0)
    called = [p.low_mm for p in here if at_ms < p.time_ms < until_ms]
    beyond = [mm for mm in called if mm > furthest + COMING_HOME_MM]
    grow = all(b >= a - MM_PER_FOOT for a, b in pairwise(beyond))
    return len(beyond) >= ENOUGH and 2 * len(beyond) > len(called) and grow


def _called(narration: Narration, after_ms: Milliseconds, until_ms: Milliseconds) -> bool:
    """Whether a footage well past zero was called between two moments."""
    # a number alone counts only where the camera had long been on its way
    long = until_ms - after_ms > LONG_MS
    return any(
        after_ms < p.time_ms < until_ms and p.relation == "here" and p.low_mm > COMING_HOME_MM
        for p in narration.places
        if long or not p.bare
    )


def _pushed_since(started: Milliseconds | None, zeros: list[Milliseconds], time_ms: Milliseconds) -> bool:
    """Whether the camera was in the pipe long enough for a pull home to be one."""
    since = started if started is not None else zeros[-1] if zeros else None
    return since is not None and time_ms - since > SAME_ZERO_MS


def _first(motions: list[Motion], what: str) -> Milliseconds | None:
    return next((m.time_ms for m in motions if m.what == what), None)


def _direction(narration: Narration, begin: Milliseconds, until: Milliseconds) -> Direction:
    said = [d for t, d in narration.direction if begin <= t <= until]
    return "upstream" if said.count("upstream") > said.count("downstream") else "downstream"


def leg_at(stretches: list[Stretch], time_ms: Milliseconds) -> Stretch:
    """The leg that a moment belongs to."""
    return stretches[max(0, bisect_right(stretches, time_ms, key=lambda s: s.from_ms) - 1)]


def pass_at(stretch: Stretch, time_ms: Milliseconds) -> Pass:
    """Out until the pull home was announced, then back."""
    return "back" if stretch.back_ms is not None and time_ms > stretch.back_ms + 500 else "out"
