"""Which anchors one camera can have passed: the likeliest chain through them, the rest put aside."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from narrate2log.footage.anchors import Anchor
from narrate2log.footage.reckoning import LUMPS_S, Reckoning
from narrate2log.footage.smoother import Floats

# Fastest a rod is pushed or pulled, ft/s; above it two footages cannot both hold (30 ft/min is the
# published limit of pushing, Sunny Isles Beach section 02762; pulling and skipping are far faster).
FASTEST_OUT = 3.0
FASTEST_BACK = 7.0
# Each anchor looks this many anchors back for one it can follow, so the cost is linear in their number.
LOOK_BACK = 40
# How often the camera has gone the other way between two footages, and how far then (mean), feet;
# where the words tell of backing up, how often and how far. Common practice, no published source.
BACKED, BACKED_FT = 0.02, 2.5
TOLD_BACKED, TOLD_BACKED_FT = 0.5, 5.0
# Share of the steps that follow no usual pace, standing long or racing on, and how much further these
# may go than the usual pace would.
ANY_PACE, RACING = 0.1, 3.0
# The longer there was time to travel, seconds, the less likely the camera stood all the while.
STOOD_S = 30.0
# The pace of one step differs from the run's by this share (standard deviation).
UNEVEN = 0.25
# A usual pace, ft per second of travel, and how little and much of it a run may have.
USUAL_PACE = 0.4
PACES = (0.1, 2.0)
# How often a counter and what is called out part for good, by a slip or a reading that stuck, and how
# far then (mean), feet; and how well they agree at first.
PARTED, PARTED_FT = 0.005, 5.0
# A chain that is less likely than the best by no more than this factor is a rival of it (its logarithm).
# tests/fitting/count_wrong.py: a larger one puts places in doubt that are no more often off than all others.
RIVAL = math.log(5)
# Told and log agree to this, beside rounding: narrators call ahead and after, feet.
READ_FT = 0.5

# The log densities (per foot) of anchor j following each anchor of `i`.
Steps = Callable[[NDArray[np.intp], int], Floats]


def usual_pace(travel_s: Floats, feet: Floats) -> float:
    """The median speed between anchors, ft per second of travel: few wrong ones do not move it.

    `feet` (n,) grow in the direction of the pass.

    The estimator of slopes by P. K. Sen, "Estimates of the regression coefficient based on Kendall's
    tau" (1968), and one usual pace beside it, so that two anchors alone do not decide.
    """
    i, j = np.triu_indices(len(feet), 1)
    near = (j - i <= LOOK_BACK) & (travel_s[j] - travel_s[i] > 5)
    slopes = (feet[j] - feet[i])[near] / (travel_s[j] - travel_s[i])[near]
    return float(np.clip(np.median([*slopes, USUAL_PACE]), *PACES))


@dataclass(frozen=True, slots=True)
class Chain:
    """The indices of the anchors to keep, and of those left out that would be nearly as likely."""

    kept: list[int]
    rivals: list[int]


def likeliest_chain(anchors: Sequence[Anchor], first: Floats, steps: Steps) -> Chain:
    """The most probable chain.

    `first` (n,): log density, per foot, of each being the first that is right; `steps`: that of being
    the next after another.

    Every anchor is either right, and then it follows from the right one before it by a likely step; or
    wrong, and then it is any number up to the largest. The most probable chain of all is found by
    dynamic programming (R. Bellman, 1957), as in a hidden Markov model; that of all which hold a given
    anchor is found from both ends.
    """
    n = len(anchors)
    wrong = np.array([a.wrong for a in anchors])
    anywhere = max(30.0, max(a.feet for a in anchors))
    right = -np.log1p(-wrong)
    skipped = np.concatenate([[0.0], np.cumsum(-np.log(wrong / anywhere))])
    cost = skipped[:-1] + right - first
    parent = np.full(n, -1)
    stepped: list[tuple[NDArray[np.intp], Floats]] = []
    for j in range(1, n):
        i = np.arange(max(0, j - LOOK_BACK), j)
        onward = skipped[j] - skipped[i + 1] - steps(i, j) + right[j]
        stepped.append((i, onward))
        ways = cost[i] + onward
        best = int(np.argmin(ways))
        if ways[best] < cost[j]:
            cost[j], parent[j] = ways[best], i[best]
    rest = skipped[-1] - skipped[1:]
    for j in range(n - 1, 0, -1):
        i, onward = stepped[j - 1]
        rest[i] = np.minimum(rest[i], onward + rest[j])
    at = int(np.argmin(cost + skipped[-1] - skipped[1:]))
    chain = []
    while at >= 0:
        chain.append(at)
        at = int(parent[at])
    through = cost + rest
    near = np.flatnonzero(through < through.min() + RIVAL)
    return Chain(chain[::-1], [int(j) for j in near if j not in chain])


def keep_by_pace(anchors: Sequence[Anchor], travel_s: Floats, sign: int, backed: Sequence[bool]) -> Chain:
    """The anchors to keep where only the pace is known.

    `travel_s` (n,): the time of each with what was spent standing taken out, seconds. `sign`: +1 on the
    way out, -1 on the way home. `backed` (n,): whether backing up was told since the anchor before.
    """
    feet = np.array([a.feet for a in anchors])
    variance = np.array([a.sd_ft**2 for a in anchors]) + 0.1
    times = np.array([a.time_ms / 1000 for a in anchors])
    told = np.cumsum(backed)
    fastest = FASTEST_OUT if sign > 0 else FASTEST_BACK
    pace = usual_pace(travel_s, sign * feet)

    def steps(i: NDArray[np.intp], j: int) -> Floats:
        moved = sign * (feet[j] - feet[i])
        usual = pace * (travel_s[j] - travel_s[i])
        noise = variance[j] + variance[i]
        reach = fastest * (times[j] - times[i]) + 2.0
        racing = RACING * usual + 1.0
        onward = _normal(moved - usual, noise + pace * usual * LUMPS_S + (UNEVEN * usual) ** 2)
        onto, off = np.maximum(moved, 0.0), np.minimum(moved, 0.0)
        any_pace = np.where((moved >= 0) & (moved <= reach), np.exp(-onto / racing) / racing, 0.0)
        share = np.where(told[j] > told[i], TOLD_BACKED, BACKED)
        far = np.where(told[j] > told[i], TOLD_BACKED_FT, BACKED_FT)
        back = np.where(moved < 0, np.exp(off / far) / far, 0.0)
        stood = np.exp(-(travel_s[j] - travel_s[i]) / STOOD_S)
        # rounding and rocking look like a small step back
        forth = (1 - ANY_PACE) * onward + ANY_PACE / 2 * (any_pace + stood * _normal(moved, noise))
        density = np.where(moved > reach + 3 * np.sqrt(noise), 0.0, (1 - share) * forth + share * back)
        return _log(density)

    return likeliest_chain(anchors, np.full(len(anchors), -np.log(max(30.0, feet.max()))), steps)


def keep_by_log(anchors: Sequence[Anchor], reckoning: Reckoning) -> Chain:
    """The anchors to keep beside a counter log: those that agree with it, or part from it together."""
    times = np.array([a.time_ms for a in anchors], dtype=float)
    off = np.array([a.feet for a in anchors]) - reckoning.moved_by(times)
    variance = np.array([a.sd_ft**2 for a in anchors]) + READ_FT**2
    strayed = reckoning.strayed_by(times)

    def apart(parted: Floats, noise: Floats) -> Floats:
        wide = np.exp(-np.abs(parted) / PARTED_FT) / (2 * PARTED_FT)
        return _log((1 - PARTED) * _normal(parted, noise) + PARTED * wide)

    def steps(i: NDArray[np.intp], j: int) -> Floats:
        return apart(off[j] - off[i], variance[j] + variance[i] + strayed[j] - strayed[i])

    return likeliest_chain(anchors, apart(off, variance + strayed - strayed[0]), steps)


def _normal(value: Floats, variance: Floats) -> Floats:
    return np.asarray(np.exp(-(value**2) / (2 * variance)) / np.sqrt(2 * np.pi * variance))


def _log(density: Floats) -> Floats:
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(density))
