"""Fits the constants of `slope/estimate.py` on simulated pipes, and shows what its intervals hold.

    PYTHONPATH=tests python tests/fitting/fit_slope_priors.py [--try]

Without `--try` it prints, for the pipes it was fitted on and for those of another making, what share of
true grades lies in the intervals, and how far the head's lift is off. With it, every constant is varied
by itself, which takes some minutes; the one with the best log score on the fitted family (the mean
interval score of Gneiting and Raftery, 2007, from memory) and a cover near 0.90 is to be taken.
"""

from __future__ import annotations

import itertools
import sys
from collections.abc import Callable

import numpy as np
from slope import pipes

from narrate2log.slope import estimate, profile

PIPES = 80
TRIALS = {
    "ROCKING_DEG": (0.2, 0.28, 0.35),
    "SPIKE_SHARE": (0.03, 0.06, 0.1),
    "JUMPS_PER_FT": (0.03, 0.06, 0.12),
    "WOBBLE_DEG": (0.06, 0.12, 0.18),
}


def measure(making: Callable[..., pipes.Pipe], begin: int, *, pond: bool) -> dict[str, float]:
    """Cover and mean width of grade intervals (percent), their score, and errors of the lifts (degrees)."""
    inside, width, score, pushed, always = [], [], [], [], []
    for seed in range(begin, begin + PIPES):
        pipe = making(seed, pond=pond)
        told = pipes.profile_of(pipe)
        assert told.head is not None
        pushed.append(abs(told.head.pushed_up_deg.value - pipe.pushed_up_deg))
        always.append(abs(told.head.always_up_deg.value - pipe.always_up_deg))
        for stretch in told.stretches:
            true = 100 * np.tan(np.radians(pipe.mean_deg(stretch.from_mm / 304.8, stretch.to_mm / 304.8)))
            low, high = stretch.grade_pct.low, stretch.grade_pct.high
            inside.append(low <= true <= high)
            width.append(high - low)
            score.append(high - low + 20 * (max(0, low - true) + max(0, true - high)))
    return {
        "cover": float(np.mean(inside)),
        "width": float(np.mean(width)),
        "score": float(np.mean(score)),
        "pushed within 0.3": float(np.mean(np.array(pushed) <= 0.3)),
        "always within 0.5": float(np.mean(np.array(always) <= 0.5)),
    }


def show(name: str, figures: dict[str, float]) -> None:
    print(f"{name:<34}", "  ".join(f"{key} {value:.3f}" for key, value in figures.items()), flush=True)


def main() -> None:
    if "--try" in sys.argv:
        for name, values in TRIALS.items():
            usual = getattr(estimate, name)
            for value in values:
                setattr(estimate, name, value)
                show(f"{name} {value}", measure(pipes.fitted, 0, pond=True))
            setattr(estimate, name, usual)
        return
    print(f"nine in ten as {profile.NINE_IN_TEN}, {PIPES} pipes a line")
    for making, pond in itertools.product((pipes.fitted, pipes.other), (False, True)):
        show(f"{making.__name__}, {'a pond' if pond else 'no pond'}", measure(making, 500, pond=pond))


if __name__ == "__main__":
    main()
