"""The smoother beside statsmodels' state space smoother on the same input, and its limits."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.tsa.statespace.kalman_smoother import KalmanSmoother

from narrate2log.footage.smoother import between, smooth


def random_walk(seed: int, n: int = 40):
    rng = np.random.default_rng(seed)
    strayed_var = rng.uniform(0.01, 4, n - 1)
    seen_var = rng.uniform(0.05, 3, n)
    truth = np.cumsum([5.0, *rng.normal(0, np.sqrt(strayed_var))])
    seen = truth + rng.normal(0, np.sqrt(seen_var))
    seen[1:][rng.random(n - 1) < 0.3] = np.nan
    return strayed_var, seen, seen_var


def by_statsmodels(strayed_var, seen, seen_var):
    """The same walk: both covariances varying in time, nothing known of the start."""
    n = len(seen)
    model = KalmanSmoother(k_endog=1, k_states=1)
    model.bind(np.asarray(seen, dtype=float).copy())
    model["design", 0, 0] = 1.0
    model["transition", 0, 0] = 1.0
    model["selection", 0, 0] = 1.0
    model["state_cov"] = np.append(strayed_var, 1.0)[None, None, :]
    model["obs_cov"] = np.asarray(seen_var, dtype=float)[None, None, :]
    model.initialize_known(np.array([0.0]), np.array([[1e10]]))
    result = model.smooth()
    assert result.nobs == n
    return result.smoothed_state[0], result.smoothed_state_cov[0, 0], result.smoothed_state_autocov[0, 0]


@pytest.mark.parametrize("seed", range(5))
def test_as_statsmodels_smooths(seed: int) -> None:
    walk = random_walk(seed)
    mine = smooth(*walk)
    mean, var, autocov = by_statsmodels(*walk)
    assert mine.mean == pytest.approx(mean, abs=1e-4)
    assert mine.var == pytest.approx(var, rel=1e-4)
    assert mine.cov == pytest.approx(autocov[: len(mine.cov)], rel=1e-4)


@pytest.mark.parametrize("share", [0.0, 0.25, 0.7, 1.0])
def test_between_two_moments_as_if_there_had_been_one_more(share: float) -> None:
    strayed_var, seen, seen_var = random_walk(3)
    k = 7
    finer = smooth(
        [*strayed_var[:k], strayed_var[k] * share, strayed_var[k] * (1 - share), *strayed_var[k + 1 :]],
        [*seen[: k + 1], math.nan, *seen[k + 1 :]],
        [*seen_var[: k + 1], 1.0, *seen_var[k + 1 :]],
    )
    at = between(smooth(strayed_var, seen, seen_var), k, share, strayed_var[k])
    assert at == pytest.approx((finer.mean[k + 1], finer.var[k + 1]), rel=1e-6)


def test_a_walk_that_cannot_stray_is_the_line_of_least_squares() -> None:
    rng = np.random.default_rng(1)
    seen, seen_var = 3 + rng.normal(0, 1, 20), rng.uniform(0.5, 2, 20)
    weights = 1 / seen_var
    steady = smooth(np.zeros(19), seen, seen_var)
    assert steady.mean == pytest.approx(np.full(20, np.sum(weights * seen) / np.sum(weights)))
    assert steady.var == pytest.approx(np.full(20, 1 / np.sum(weights)))


@given(st.integers(0, 10_000))
def test_more_measurements_never_make_it_less_sure(seed: int) -> None:
    strayed_var, seen, seen_var = random_walk(seed, 15)
    fewer = seen.copy()
    fewer[8] = math.nan
    assert np.all(
        smooth(strayed_var, seen, seen_var).var <= smooth(strayed_var, fewer, seen_var).var * (1 + 1e-9)
    )
