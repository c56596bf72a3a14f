"""Which of several alike is met again on the way home: by order, by the pace, and by what is said of it.

Nothing here knows rows or words. What is named is one of some candidates, each a distance with a cost of its
own; what is certain (the turn, a footage called, the way out of the pipe) has one candidate.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

# Costs are minus the logarithm of how likely it is. The same thing named twice, with more than a breath
# between; and of its kind one passed without a word. Choices; no published source.
REPEATED, PASSED_BY = 4.0, 0.5
# So likely another choice may be than the best before it is open which is meant (its logarithm).
OPEN = math.log(4)
# The camera is where a thing was, give or take this, feet, and a share of the way that the pace tells; one
# step in ten follows no pace.
NEAR_FT, UNEVEN, ANY_PACE = 2.0, 0.5, 0.1
# Each naming looks this many back for the one passed before it, so the cost is linear in their number.
LOOK_BACK = 6
BREATH_S = 4.0


@dataclass(frozen=True, slots=True)
class Naming:
    """Something named on the way home `second`s into the run, where the pace puts the camera at `here` feet.

    `feet` (k,) are the distances of what it may be, `costs` (k,) how badly the words fit each; `kind` is what
    it is, "" for what is certain. `other` is the cost of its being none of these.
    """

    second: float
    here: float
    kind: str
    feet: tuple[float, ...]
    costs: tuple[float, ...]
    other: float = math.inf


@dataclass(frozen=True, slots=True)
class Meant:
    """Which candidate a naming means, None for none of them, and whether another is nearly as likely."""

    which: int | None
    open: bool = False


def in_order(namings: Sequence[Naming]) -> list[Meant]:
    """What each of the namings (n,) means, in order of time. The first must be certain.

    The likeliest sequence of all by dynamic programming (R. Bellman, 1957), and for each candidate the
    likeliest that holds it, from both ends.
    """
    n = len(namings)
    cost = [list(naming.costs) for naming in namings]
    before: dict[tuple[int, int], tuple[int, int]] = {}
    steps: list[tuple[int, int, int, int, float]] = []
    for i in range(1, n):
        for a in range(len(cost[i])):
            ways = []
            for j in range(max(0, i - LOOK_BACK), i):
                left_out = math.fsum(naming.other for naming in namings[j + 1 : i])
                # what is certain is never left out
                for b in range(len(cost[j])) if left_out < math.inf else ():
                    step = left_out + _step(namings[j], b, namings[i], a)
                    steps.append((j, b, i, a, step))
                    ways.append((cost[j][b] + step, (j, b)))
            least, before[i, a] = min(ways)
            cost[i][a] += least
    rest = [[math.fsum(x.other for x in namings[i + 1 :])] * len(namings[i].costs) for i in range(n)]
    last = min((cost[i][a] + rest[i][a], i, a) for i in range(n) for a in range(len(cost[i])))
    for j, b, i, a, step in reversed(steps):
        rest[j][b] = min(rest[j][b], step + namings[i].costs[a] + rest[i][a])
    chosen: dict[int, int] = {}
    at: tuple[int, int] | None = last[1:]
    while at is not None:
        chosen[at[0]] = at[1]
        at = before.get(at)

    def is_open(i: int) -> bool:
        others = [cost[i][a] + rest[i][a] for a in range(len(cost[i])) if a != chosen[i]]
        return any(other < last[0] + OPEN for other in others)

    return [Meant(chosen[i], is_open(i)) if i in chosen else Meant(None) for i in range(n)]


def _step(before: Naming, b: int, after: Naming, a: int) -> float:
    """The cost of passing candidate `a` of one naming next after `b` of another."""
    moved = before.feet[b] - after.feet[a]
    told = max(0.0, before.here - after.here)
    sd = math.hypot(NEAR_FT, UNEVEN * told)
    usual = math.exp(-((moved - told) ** 2) / (2 * sd**2)) / (sd * math.sqrt(2 * math.pi))
    racing = 3 * told + NEAR_FT
    # a thing is named a little before or after it is passed
    any_pace = math.exp(-abs(moved) / racing) / racing if moved >= -NEAR_FT else 0.0
    cost = -math.log((1 - ANY_PACE) * usual + ANY_PACE * any_pace + 1e-12)
    if before.kind == after.kind != "" and before.feet[b] == after.feet[a]:
        return cost + REPEATED * (after.second - before.second > BREATH_S)
    if after.kind:
        cost += PASSED_BY * sum(after.feet[a] < feet < before.feet[b] for feet in after.feet)
    return cost
