"""Dead reckoning: how far the camera should have come, and how far it may have strayed, from talk or a log.

Both are running sums over time, so that any stretch of time is the difference of two values.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from narrate2log.footage.smoother import Floats
from narrate2log.records import Motion, Narration
from narrate2log.units import MM_PER_FOOT, Milliseconds

# While talking the camera mostly stands: pauses of 5 to 10 s at findings are common practice, no
# published source. Told to stand, it stands.
TALKING_SHARE = 0.25
STANDING_SHARE = 0.05
# So long the camera stands of which it is said that it stands, that it waits for a flush (60 ft at 2 to
# 3 ft/s are 20 to 30 s), that it has come to the main (where it is talked over, common practice, no
# published source), that the run ends, unless going on is told before.
STANDING_MS = {"still": 8_000, "waiting": 30_000, "main": 30_000, "end": 3_600_000}
# A footage called this much further out shows that the run went on.
BEYOND_MM = 3 * MM_PER_FOOT
FAR_ENDS = frozenset({"main", "end"})
MOVING = frozenset({"start", "zero", "pull-back", "back-up", "again", "home"})


@dataclass(frozen=True)
class Travel:
    """Time with what was spent standing taken out: `seconds` (n,) of travel until `times_ms` (n,)."""

    times_ms: Floats
    seconds: Floats

    def until(self, time_ms: float | Floats) -> Floats:
        """Seconds of travel until a moment (or moments), counted from the start of the run."""
        first, last = self.times_ms[0], self.times_ms[-1]
        inside = np.interp(time_ms, self.times_ms, self.seconds)
        # before and after all talk every second may be travelled
        outside = np.minimum(0.0, np.subtract(time_ms, first)) + np.maximum(0.0, np.subtract(time_ms, last))
        return np.asarray(inside + outside / 1000)


def travel_of(narration: Narration) -> Travel:
    """Silence counts whole, talk in part, and what is told of as standing hardly at all."""
    spans = [(start, end, TALKING_SHARE) for start, end in narration.sentences if end > start]
    spans += _standing(narration)
    edges = sorted({0, *(s for s, _, _ in spans), *(e for _, e, _ in spans)})
    times = np.array(edges, dtype=float)
    rate = np.ones(len(edges))
    for start, end, share in spans:
        a, b = np.searchsorted(times, (start, end))
        rate[a:b] = np.minimum(rate[a:b], share)
    return Travel(times, np.concatenate([[0.0], np.cumsum(np.diff(times) * rate[:-1])]) / 1000)


def _standing(narration: Narration) -> Iterator[tuple[Milliseconds, Milliseconds, float]]:
    """From when it is told that the camera stands, or has come to its end, until it is told to move."""
    for i, motion in enumerate(narration.motions):
        if motion.what in STANDING_MS and not (motion.what in FAR_ENDS and went_on(narration, motion)):
            longest = motion.time_ms + STANDING_MS[motion.what]
            moves = (m.time_ms for m in narration.motions[i + 1 :] if m.what in MOVING)
            until = min(next(moves, longest), longest)
            if until > motion.time_ms:
                yield motion.time_ms, until, STANDING_SHARE


def went_on(narration: Narration, end: Motion) -> bool:
    """Whether footages further out were called after an end was told, before it turned: it was none."""
    turns = ("pull-back", "zero")
    home = [m.time_ms for m in narration.motions if m.what in turns and m.time_ms > end.time_ms]
    here = [p for p in narration.places if p.relation == "here" and not p.bare]
    before = max((p.high_mm for p in here if p.time_ms <= end.time_ms), default=0)
    after = [p for p in here if p.time_ms > end.time_ms and (not home or p.time_ms <= home[0])]
    return sum(p.low_mm > before + BEYOND_MM for p in after) >= min(2, len(after)) > 0


def told_between(moments: Sequence[Milliseconds], times_ms: Sequence[Milliseconds]) -> list[bool]:
    """For each of `times_ms` (ascending) whether one of `moments` lies between it and the one before."""
    at = np.searchsorted(sorted(moments), times_ms, side="right")
    return [bool(now > before) for before, now in zip([0, *at[:-1]], at, strict=True)]


# How a run with a given number of seconds of travel varies: as so many independent lumps of this length.
# Chosen by tests/fitting/calibrate.py, as all that follow.
LUMPS_S = 6.0
# A told step back: so many feet in so long, and the variance of that, ft2. Common practice, no published
# source.
BACKING_FT = 3.5
BACKING_MS = 5_000
BACKING_VAR = 4.0
# Between two anchors that show the same distance the camera may have been about so far away, feet.
LEAST_WAY = 0.8
# What a counter strays for each foot of cable, ft2 per ft: 1 to 3 % typical (common practice, no
# published source), and for each second.
SLIP_VAR = 0.006
IDLE_VAR = 1e-4


@dataclass(frozen=True)
class Reckoning:
    """Where dead reckoning puts the camera: `moved` (n,) feet and `strayed` (n,) ft2 by `times_ms` (n,).

    `travel` is there where nothing but the pace is known, None where a counter was read; `backings_ms` (m,)
    is when backing up was told. `gaps` (n - 1,), ft2: how a counter may have moved where it was silent, 0
    elsewhere; its next reading is right again.
    """

    times_ms: Floats
    moved: Floats
    strayed: Floats
    travel: Travel | None = None
    backings_ms: Floats = field(default_factory=lambda: np.array([]))
    gaps: Floats = field(default_factory=lambda: np.array([]))

    def moved_by(self, time_ms: float | Floats) -> Floats:
        """Feet reckoned by a moment (or moments)."""
        return np.asarray(np.interp(time_ms, self.times_ms, self.moved))

    def strayed_by(self, time_ms: float | Floats) -> Floats:
        """Variance of what it may have strayed by then, ft2, a sum that only grows."""
        return np.asarray(np.interp(time_ms, self.times_ms, self.strayed))

    def gap_var(self, time_ms: float) -> float:
        """Variance of where the camera was inside a gap of the log, ft2: a bridge from reading to reading."""
        k = int(np.searchsorted(self.times_ms, time_ms, side="right")) - 1
        if not (0 <= k < len(self.gaps) and self.gaps[k]):
            return 0.0
        share = (time_ms - self.times_ms[k]) / (self.times_ms[k + 1] - self.times_ms[k])
        return float(self.gaps[k] * share * (1 - share))

    def bridge(self, times_ms: Floats, came: Floats) -> Floats:
        """Variance (n - 1,), ft2, of the steps between anchors at `times_ms` (n,) that are `came` feet apart.

        Where only the pace is known, a step varies with the distance that its ends show: a camera that
        came two feet in a minute was never ten feet away. A way made of N independent lumps strays from
        the even one like distance^2 / (N + 1) (the gamma bridge: M. Emery, M. Yor, "A parallel between
        Brownian bridges and gamma bridges", 2004).
        """
        if self.travel is None:
            return np.diff(self.strayed_by(times_ms))
        seconds = np.diff(self.travel.until(times_ms))
        backed = np.diff(np.searchsorted(self.backings_ms, times_ms))
        return (came**2 + LEAST_WAY**2) * LUMPS_S / (seconds + LUMPS_S) + BACKING_VAR * backed


def by_pace(
    travel: Travel, pace: float, backings_ms: Sequence[Milliseconds], begin: Milliseconds, end: Milliseconds
) -> Reckoning:
    """From `begin` to `end` at `pace` feet per second of travel, negative on the way home.

    On the way out, what is told of as backing up takes the camera back.
    """
    backings = np.array(sorted(t for t in backings_ms if begin < t < end and pace > 0), dtype=float)
    inside = travel.times_ms[(travel.times_ms > begin) & (travel.times_ms < end)]
    times = np.unique(np.concatenate([[begin, max(end, begin + 1)], inside, backings, backings + BACKING_MS]))
    seconds = travel.until(times)
    steps = np.clip((times[:, None] - backings) / BACKING_MS, 0.0, 1.0).sum(axis=1)
    strayed = pace**2 * LUMPS_S * (seconds - seconds[0])
    return Reckoning(times, pace * seconds - BACKING_FT * steps, strayed, travel, backings)


def by_counter(times_ms: Floats, feet: Floats, silent: NDArray[np.bool_], travel: Travel) -> Reckoning:
    """By a counter's readings, `feet` (n,) at `times_ms` (n,); `silent` (n - 1,) marks gaps of the log."""
    moved = np.abs(np.diff(feet))
    seconds = np.diff(travel.until(times_ms))
    grown = SLIP_VAR * moved + IDLE_VAR * np.diff(times_ms) / 1000
    gaps = np.where(silent, moved**2 * LUMPS_S / (seconds + LUMPS_S), 0.0)
    return Reckoning(times_ms, feet, np.concatenate([[0.0], np.cumsum(grown)]), gaps=gaps)
