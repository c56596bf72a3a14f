"""The apparent grade along one leg from quantised tilt readings: a chain of hidden grades, solved on a grid.

A reading holds that the display showed a whole step: the tilt lay within half a step of it. So ten
equal readings of a coarse display are worth little more than one, which a mean with its standard
error would not say. Beside that the rod rocks, and at joints and lips the head is thrown (a spike).
The grade keeps its value along a pipe and now and then jumps at a joint. Degrees and feet throughout.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# Fitted by tests/fitting/fit_slope_priors.py on simulated pipes, tested on pipes of another making.
ROCKING_DEG = 0.28  # standard deviation of a reading beside the display's rounding
SPIKE_SHARE = 0.06  # readings thrown by a joint or a lip
JUMPS_PER_FT = 0.06  # how often the grade changes
WOBBLE_DEG = 0.12  # drift of the grade over one foot, standard deviation
# The others are judged, not fitted: common practice, no published source.
SPIKE_DEG = 4.0
JUMP_AT_WATERS_EDGE = 0.7  # standing water ends at a crest, where the pipe turns from rising to falling
USUAL_DEG, USUAL_SD_DEG = 1.2, 1.8  # grades of laterals, before any reading
# The pushed head rides up, the pulled head sits level.
PUSHED_UP_DEG, PUSHED_UP_SD_DEG = 0.8, 0.8

STEP_DEG = 0.25
GRID: Floats = np.arange(-9, 11 + STEP_DEG / 2, STEP_DEG)
LIFT_STEP_DEG = 0.2
PUSHED_UP_GRID: Floats = np.arange(-0.8, 3.7, LIFT_STEP_DEG)
MOST_CELLS = 80
DRAWS = 400
SEED = 20_260


@dataclass(frozen=True, slots=True)
class Tilt:
    """One reading: feet from zero, degrees of fall as shown, the display's step there, pushed or pulled.

    `astray_ft`: so far to either side it may have been taken.
    """

    at_ft: float
    fall_deg: float
    step_deg: float
    pushed: bool
    astray_ft: float = 0.0


@dataclass(frozen=True, slots=True)
class Draws:
    """Equally likely runs of the apparent grade: `grade_deg` (draws, cells) on cells between `edges_ft`.

    Apparent: as a pulled head would read it. `pushed_up_deg` (draws) is how far the pushed head rides up.
    """

    edges_ft: Floats
    grade_deg: Floats
    pushed_up_deg: Floats

    def picked(self, draws: NDArray[np.int_]) -> Draws:
        """The draws of these numbers; one may be there more than once."""
        return Draws(self.edges_ft, self.grade_deg[draws], self.pushed_up_deg[draws])


def _normal(x: Floats, mean: float, sd: float) -> Floats:
    density = np.exp(-0.5 * ((x - mean) / sd) ** 2)
    return np.asarray(density / density.sum(), dtype=float)


def _cumulative(z: Floats) -> Floats:
    """The normal distribution function by the logistic form of Page (1977), within 0.0002 (from memory)."""
    return np.asarray(1 / (1 + np.exp(-np.clip(1.5976 * z + 0.07056 * z**3, -60, 60))), dtype=float)


def _likelihood(tilt: Tilt, grade: Floats) -> Floats:
    """How likely the reading is at each grade (any shape).

    It may be a spike that a joint made, or of another piece of pipe than the footage says.
    """
    half = tilt.step_deg / 2
    off = tilt.fall_deg - grade
    shown = _cumulative((off + half) / ROCKING_DEG) - _cumulative((off - half) / ROCKING_DEG)
    spike = np.exp(-0.5 * (off / SPIKE_DEG) ** 2) / (SPIKE_DEG * np.sqrt(2 * np.pi)) * tilt.step_deg
    other = 1 - (1 - SPIKE_SHARE) * np.exp(-JUMPS_PER_FT * tilt.astray_ft)
    return np.asarray((1 - other) * np.clip(shown, 0, 1) + other * spike + 1e-12, dtype=float)


@dataclass(frozen=True, slots=True)
class _Step:
    """From one cell to the next: mostly the grade stays, drifting a little; at a joint it is a new one.

    `taps` are the chances to drift by so many steps of the grid, `drift` (from, to) the same as a table;
    `jumps` (cells - 1) the chance of a new grade from each cell to the next.
    """

    taps: Floats
    drift: Floats
    jumps: Floats
    usual: Floats

    @classmethod
    def over(cls, edges: Floats, usual: Floats, breaks_ft: Sequence[float]) -> _Step:
        cell_ft = float(edges[1] - edges[0])
        sd = WOBBLE_DEG * np.sqrt(cell_ft) / STEP_DEG
        reach = int(np.ceil(4 * sd))
        taps = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sd) ** 2)
        taps /= taps.sum()
        table = _drifted(np.eye(len(GRID)), taps)
        jumps = np.full(max(0, len(edges) - 2), 1 - np.exp(-JUMPS_PER_FT * cell_ft))
        for at in breaks_ft:
            if len(jumps) and edges[0] < at < edges[-1]:
                jumps[np.abs(edges[1:-1] - at).argmin()] = JUMP_AT_WATERS_EDGE
        return cls(taps, table, jumps, usual)

    def onward(self, cell: int, state: Floats) -> Floats:
        """Chances (rows, grades) of the cell after `cell`, from those of that one."""
        jump = self.jumps[cell]
        return np.asarray((1 - jump) * _drifted(state, self.taps) + jump * self.usual)

    def back_from(self, cell: int, following: NDArray[np.int_]) -> Floats:
        """How likely each grade of `cell` is to be followed by the given ones: (rows, grades)."""
        jump = self.jumps[cell]
        return np.asarray((1 - jump) * self.drift[following] + jump * self.usual[following][:, None])


def _drifted(state: Floats, taps: Floats) -> Floats:
    """Each row run through a filter. Not as a product of matrices: the few taps are quicker."""
    reach = len(taps) // 2
    padded = np.pad(state, ((0, 0), (reach, reach)))
    return np.asarray(sum(tap * padded[:, i : i + len(GRID)] for i, tap in enumerate(taps)))


def estimate(
    tilts: Sequence[Tilt], *, downstream: bool, always_up_sd_deg: float, breaks_ft: Sequence[float] = ()
) -> Draws:
    """Draws of the grade along the leg, given its readings (at least one).

    `downstream` is the way of the push: a nose that rides up shows too little fall going down and too
    much going up. `always_up_sd_deg` widens the usual grades by a bias that all readings share. At
    `breaks_ft` the grade is likely to change.
    """
    first = min(t.at_ft for t in tilts)
    last = max(t.at_ft for t in tilts)
    cells = int(np.clip(np.ceil(last - first), 1, MOST_CELLS))
    edges = np.linspace(first, max(last, first + 0.5), cells + 1)
    usual = _normal(GRID, USUAL_DEG, float(np.hypot(USUAL_SD_DEG, always_up_sd_deg)))
    step = _Step.over(edges, usual, breaks_ft)
    away = 1.0 if downstream else -1.0

    log_told = np.zeros((cells, len(PUSHED_UP_GRID), len(GRID)))
    for t in tilts:
        cell = min(cells - 1, int((t.at_ft - first) / (edges[1] - edges[0])))
        lift = PUSHED_UP_GRID if t.pushed else np.zeros(1)
        log_told[cell] += np.log(_likelihood(t, GRID[None, :] - away * lift[:, None]))
    forward = np.empty_like(log_told)
    evidence = np.log(_normal(PUSHED_UP_GRID, PUSHED_UP_DEG, PUSHED_UP_SD_DEG))
    state = np.broadcast_to(usual, log_told.shape[1:])
    for cell in range(cells):
        peak = log_told[cell].max(axis=1, keepdims=True)
        weight = (step.onward(cell - 1, state) if cell else state) * np.exp(log_told[cell] - peak)
        total = weight.sum(axis=1, keepdims=True)
        evidence += (np.log(total) + peak)[:, 0]
        state = forward[cell] = weight / total
    return _draw(edges, forward, step, evidence)


def _draw(edges: Floats, forward: Floats, step: _Step, evidence: Floats) -> Draws:
    """Runs of the grade from the last cell back to the first, the same ones for the same readings."""
    random = np.random.default_rng(SEED)
    chances = np.exp(evidence - evidence.max())
    lifts = random.choice(len(chances), size=DRAWS, p=chances / chances.sum())
    path = np.empty((DRAWS, len(forward)), dtype=int)
    weight = forward[-1][lifts]
    for cell in range(len(forward) - 1, -1, -1):
        if cell < len(forward) - 1:
            weight = forward[cell][lifts] * step.back_from(cell, path[:, cell + 1])
        total = np.cumsum(weight, axis=1)
        pick = random.random((DRAWS, 1)) * total[:, -1:]
        path[:, cell] = np.minimum((total < pick).sum(axis=1), len(GRID) - 1)
    # within its grid step a grade is as likely here as there
    fine = random.uniform(-STEP_DEG / 2, STEP_DEG / 2, size=(DRAWS, 1))
    return Draws(
        edges, GRID[path] + fine, PUSHED_UP_GRID[lifts] + random.uniform(-0.5, 0.5, DRAWS) * LIFT_STEP_DEG
    )
