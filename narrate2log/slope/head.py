"""How far the head always rides up: what is known of it before the run, and what was said or seen in it.

Degrees, positive where the nose is up. The readings of the pipe alone cannot tell it: a head that
always rides up by a degree in a pipe and a level head in a pipe flatter by a degree read the same.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from narrate2log.slope.estimate import SEED, Draws, Floats

# Before the run, as mean and standard deviation: common practice, no published source. A skid or lip
# that lifts one end of a head of 6 in by 1/4 in tilts it by atan(0.25 / 6) = 2.39 degrees.
UNTOLD = (0.5, 1.0)
SAID_TO_RIDE_UP = (1.2, 0.9)
# How sure a lift told in degrees is, and a reading on a level beside its rounding.
TOLD_SD_DEG = 0.5
LEVEL_SD_DEG = 0.2
# With fewer readings between its edges a pond tells nothing of the head.
FEWEST_IN_POND = 3
# How far the two edges of a pond may differ in height through the width of the water's edge, feet.
EDGE_FT = 0.03

Source = Literal["still water", "level check", "words", "prior"]


@dataclass(frozen=True, slots=True)
class Seen:
    """One thing that tells how far the head always rides up: mean and standard deviation in degrees."""

    source: Source
    mean_deg: float
    sd_deg: float


def prior(head_up: bool) -> Seen:
    """What is assumed where nothing tells; wider knowledge is not claimed."""
    return Seen("words", *SAID_TO_RIDE_UP) if head_up else Seen("prior", *UNTOLD)


def always_up(
    draws: Draws,
    before: Seen,
    told: Sequence[Seen],
    ponds_ft: Sequence[tuple[float, float]],
    *,
    downstream: bool,
) -> tuple[Draws, Floats, Source]:
    """The draws as likely as all this leaves them, the lift in each, and what tells most of it.

    Still water stands level, so the pipe is as high at one edge of a pond as at the other: its mean
    grade between them is zero, and what the readings show there instead is the head.
    """
    random = np.random.default_rng(SEED)
    away = 1.0 if downstream else -1.0
    precision = np.full(len(draws.grade_deg), 1 / before.sd_deg**2)
    pull = before.mean_deg * precision
    weights: dict[Source, float] = {before.source: float(precision[0])}
    middles = (draws.edges_ft[1:] + draws.edges_ft[:-1]) / 2
    seen = [(s.source, np.full_like(pull, s.mean_deg), s.sd_deg) for s in told]
    chances = np.ones(len(draws.grade_deg))
    for begin, end in ponds_ft:
        inside = (middles >= begin) & (middles <= end)
        if not inside.any():
            continue
        level = -away * draws.grade_deg[:, inside].mean(axis=1)
        sd = math.degrees(math.atan(EDGE_FT / (end - begin)))
        seen.append(("still water", level, sd))
        # a run in which the pond would need a head out of all likelihood is no likely run
        off = (level - before.mean_deg) / math.hypot(before.sd_deg, sd)
        chances *= np.exp(-0.5 * off**2) + 1e-12
    for source, mean, sd in seen:
        precision = precision + 1 / sd**2
        pull = pull + mean / sd**2
        weights[source] = weights.get(source, 0.0) + 1 / sd**2
    lift = pull / precision + random.normal(size=len(pull)) / np.sqrt(precision)
    picks = random.choice(len(lift), size=len(lift), p=chances / chances.sum())
    return draws.picked(picks), lift[picks], max(weights, key=lambda source: weights[source])
