"""Where the track is isotonic regression, it is scipy's.

The path of a pass is not projected on what only rises: it falls between two footages at hardly one step in a
hundred, and then the camera mostly did back up without a word (the last test here counts). Two special cases
are isotonic regression all the same, and scipy.optimize.isotonic_regression is asked on the same input.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pytest
from footage.simulator import simulate, track_of
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import isotonic_regression

from narrate2log.footage.anchors import Anchor
from narrate2log.footage.path import fit
from narrate2log.footage.reckoning import Reckoning
from narrate2log.footage.smoother import smooth
from narrate2log.units import MM_PER_FOOT


@dataclass(frozen=True)
class Told:
    """Distances (n,) in mm, not in order and with ties, and how well each is known, feet."""

    mm: list[int]
    sd_ft: list[float]


# Few values, so that many are tied, and weights from the same to very unlike.
distances = st.integers(0, 12).map(lambda half_feet: half_feet * 152)
footages = st.lists(
    st.tuples(distances, st.sampled_from([0.1, 0.5, 0.5, 1.0, 4.0])), min_size=1, max_size=14
).map(lambda pairs: Told(*(list(column) for column in zip(*pairs, strict=True))))
# Much more than any footage can be off, ft2.
ANYWHERE = 1e9


def by_scipy(told: Told):
    return isotonic_regression(
        [mm / MM_PER_FOOT for mm in told.mm], weights=[1 / sd**2 for sd in told.sd_ft], increasing=True
    )


@given(footages)
def test_least_of_the_most_of_what_a_camera_standing_still_would_give(told: Told) -> None:
    # the min-max formula: T. Robertson, F. T. Wright, R. L. Dykstra, "Order Restricted Statistical
    # Inference" (1988), section 1.4; its averages are the smoother's where nothing strays
    n = len(told.mm)
    feet, var = [mm / MM_PER_FOOT for mm in told.mm], [sd**2 for sd in told.sd_ft]

    def still(i: int, j: int) -> float:
        return float(smooth([0.0] * (j - i), feet[i : j + 1], var[i : j + 1]).mean[0])

    mine = [max(min(still(i, j) for j in range(k, n)) for i in range(k + 1)) for k in range(n)]
    assert mine == pytest.approx(by_scipy(told).x, abs=1e-9)


@given(footages)
def test_a_camera_that_stands_in_each_block_and_may_go_anywhere_between(told: Told) -> None:
    reference = by_scipy(told)
    times = np.arange(len(told.mm)) * 10_000
    edges = reference.blocks[1:-1]
    steps = np.zeros(len(told.mm))
    steps[edges] = ANYWHERE
    reckoning = Reckoning(times.astype(float), np.zeros(len(times)), np.cumsum(steps))
    anchors = [
        Anchor(int(t), mm, sd, "footage", 0.06) for t, mm, sd in zip(times, told.mm, told.sd_ft, strict=True)
    ]
    path = fit(anchors, reckoning)
    feet, sd, where = zip(*(path.at(int(t)) for t in times), strict=True)
    assert set(where) == {"on"}
    assert feet == pytest.approx(reference.x, abs=1e-5)
    sizes = np.diff(reference.blocks)
    assert np.square(sd) == pytest.approx(np.repeat(1 / reference.weights, sizes), rel=1e-5)


def test_where_the_path_falls_the_camera_mostly_did() -> None:
    falls, steps = [], 0
    for seed in range(20_000, 20_300):
        run = simulate(seed, "strokes")
        path = track_of(run).legs[1].out
        if path is None:
            continue
        told = [m.time_ms for m in run.motions if m.what == "back-up"]
        for before, after in pairwise(path.times_ms):
            if not any(before <= at < after for at in told):
                steps += 1
                if path.at(after)[0] < path.at(before)[0] - 0.03:
                    within = (run.seconds >= before / 1000) & (run.seconds <= after / 1000)
                    falls.append(bool(np.any(np.diff(run.feet[within]) < 0)))
    print(f"\nof {steps} steps without a told backing {len(falls)} fall; {sum(falls)} truly backed up")
    assert len(falls) <= 0.02 * steps
    assert sum(falls) >= 0.7 * len(falls)
