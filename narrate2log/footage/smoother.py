"""A random walk seen through noise, smoothed: the numeric core of the track. Pure, all in one unit.

The state is one number x[k] at n moments in order of time: in the track, how many feet the camera is from
where it was reckoned to be. Between moments it strays, and at some moments it is measured:

    x[k+1] = x[k] + w[k],   w[k] ~ N(0, strayed_var[k])
    y[k]   = x[k] + v[k],   v[k] ~ N(0, seen_var[k])

Forward: R. E. Kalman, "A new approach to linear filtering and prediction problems" (1960). Backward:
H. E. Rauch, F. Tung, C. T. Striebel, "Maximum likelihood estimates of linear dynamic systems" (1965).
Covariance of neighbours: R. H. Shumway, D. S. Stoffer, "An approach to time series smoothing and
forecasting using the EM algorithm" (1982).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Smoothed:
    """What all measurements together say: `mean` (n,), `var` (n,), and `cov` (n - 1,) of x[k] with x[k+1]."""

    mean: Floats
    var: Floats
    cov: Floats


def smooth(strayed_var: Sequence[float], seen: Sequence[float], seen_var: Sequence[float]) -> Smoothed:
    """Smooth a random walk.

    `strayed_var`: (n - 1,) variance of each step, >= 0. `seen`, `seen_var`: (n,) measurement, NaN where
    there is none, and its variance, > 0. Nothing else is known of x[0], so at least the first moment must
    have a measurement.
    """
    n = len(seen)
    mean, var = [seen[0]] * n, [seen_var[0]] * n
    predicted, predicted_var = [seen[0]] * n, [math.inf] * n
    for k in range(1, n):
        predicted[k] = mean[k - 1]
        predicted_var[k] = var[k - 1] + strayed_var[k - 1]
        if math.isnan(seen[k]):
            mean[k], var[k] = predicted[k], predicted_var[k]
        else:
            gain = predicted_var[k] / (predicted_var[k] + seen_var[k])
            mean[k] = predicted[k] + gain * (seen[k] - predicted[k])
            var[k] = (1 - gain) * predicted_var[k]
    cov = [0.0] * (n - 1)
    for k in range(n - 2, -1, -1):
        gain = var[k] / predicted_var[k + 1]
        mean[k] += gain * (mean[k + 1] - predicted[k + 1])
        var[k] += gain**2 * (var[k + 1] - predicted_var[k + 1])
        cov[k] = gain * var[k + 1]
    return Smoothed(np.array(mean), np.array(var), np.array(cov))


def between(smoothed: Smoothed, k: int, share: float, strayed_var: float) -> tuple[float, float]:
    """Mean and variance of the walk at `share` (0 to 1) of the way from moment k to moment k + 1.

    `strayed_var` is that of the whole step, taken to grow evenly along it: a Brownian bridge between two
    ends that are themselves only known so well.
    """
    rest = 1 - share
    mean = smoothed.mean[k] * rest + smoothed.mean[k + 1] * share
    var = (
        rest**2 * smoothed.var[k]
        + share**2 * smoothed.var[k + 1]
        + 2 * share * rest * smoothed.cov[k]
        + share * rest * strayed_var
    )
    return float(mean), float(var)
