"""One pass of the camera: dead reckoning tied to anchors by the smoother."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from narrate2log.footage.anchors import Anchor
from narrate2log.footage.reckoning import Reckoning
from narrate2log.footage.smoother import Floats, Smoothed, between, smooth

# Beyond the last anchor a pace may be off by this share of itself (standard deviation).
PACE_SHARE = 0.5
# ... and is on the whole this share of what it was, for a run ends in standing and looking.
ONWARD = 0.8

Whereabouts = Literal["before", "on", "between", "beyond"]


@dataclass(frozen=True)
class Path:
    """Where the camera was in one pass, through `anchors` (n,) at `times_ms`.

    `strayed`: how far from the reckoning at each anchor, feet; `bridge` (n - 1,): how it may stray
    between two, ft2.
    """

    reckoning: Reckoning
    anchors: tuple[Anchor, ...]
    times_ms: tuple[int, ...]
    strayed: Smoothed
    bridge: Floats

    def at(self, time_ms: int) -> tuple[float, float, Whereabouts]:
        """Distance and its standard deviation, feet, at a moment, and how it lies to the anchors."""
        moved = float(self.reckoning.moved_by(time_ms))
        k = bisect_right(self.times_ms, time_ms) - 1
        if k < 0 or k == len(self.times_ms) - 1:
            end = max(k, 0)
            var = float(self.strayed.var[end])
            var += abs(
                float(self.reckoning.strayed_by(time_ms) - self.reckoning.strayed_by(self.times_ms[end]))
            )
            if self.reckoning.travel is not None:
                beyond = moved - float(self.reckoning.moved_by(self.times_ms[end]))
                moved -= (1 - ONWARD) * beyond
                var += (PACE_SHARE * beyond) ** 2
            on = time_ms == self.times_ms[end]
            where: Whereabouts = "on" if on else "before" if k < 0 else "beyond"
            return moved + float(self.strayed.mean[end]), math.sqrt(var), where
        strayed, var = between(self.strayed, k, self._share(k, time_ms), float(self.bridge[k]))
        return moved + strayed, math.sqrt(var), "on" if time_ms == self.times_ms[k] else "between"

    def _share(self, k: int, time_ms: int) -> float:
        begin, now, end = self.reckoning.strayed_by(
            np.array([self.times_ms[k], time_ms, self.times_ms[k + 1]])
        )
        return float((now - begin) / (end - begin)) if end > begin else 1.0


def fit(anchors: Sequence[Anchor], reckoning: Reckoning) -> Path:
    """The path through anchors in order of time, at least one, all of them believed."""
    times = np.array([a.time_ms for a in anchors], dtype=float)
    feet = np.array([a.feet for a in anchors])
    steps = np.diff(reckoning.strayed_by(times))
    off = feet - reckoning.moved_by(times)
    strayed = smooth(steps.tolist(), off.tolist(), [a.sd_ft**2 for a in anchors])
    came = np.diff(strayed.mean + reckoning.moved_by(times))
    bridge = reckoning.bridge(times, came)
    return Path(reckoning, tuple(anchors), tuple(a.time_ms for a in anchors), strayed, bridge)
