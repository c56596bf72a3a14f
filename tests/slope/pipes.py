"""Simulated pipes with a known grade, head, display and pond, of two makings; no real pipe is meant.

`fitted` is what the constants were fitted on, `other` differs in every part: how the grade runs, how
the rod rocks, how a joint throws the head. Degrees and feet.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from narrate2log.records import Fields, Leg, Observation, Placement, SlopeProfile, SlopeReading
from narrate2log.slope.estimate import Tilt
from narrate2log.slope.profile import build_profiles

CELL_FT = 0.25


@dataclass(frozen=True)
class Pipe:
    """The truth, and what was read off the display on the way out and home (downstream push)."""

    grade_deg: np.ndarray
    tilts: list[Tilt]
    pushed_up_deg: float
    always_up_deg: float
    pond_ft: tuple[float, float] | None = None

    def mean_deg(self, begin_ft: float, end_ft: float) -> float:
        """The true mean grade of a stretch."""
        a, b = round(begin_ft / CELL_FT), max(round(end_ft / CELL_FT), round(begin_ft / CELL_FT) + 1)
        return float(self.grade_deg[a:b].mean())


def _joints(random: np.random.Generator, cells: int, usual: float) -> np.ndarray:
    grade = np.empty(cells)
    at = 0
    while at < cells:
        length = int(random.choice([2, 3, 5, 10, 20]) * random.integers(1, 4) / CELL_FT)
        grade[at : at + length] = usual + random.normal(0, 0.4)
        at += length
    return grade


def _settled(random: np.random.Generator, cells: int, usual: float) -> np.ndarray:
    x = np.arange(cells) * CELL_FT
    wave = random.uniform(15, 60)
    grade = usual + random.uniform(0, 0.6) * np.sin(2 * np.pi * (x / wave + random.random()))
    breaks = random.random()
    return np.where(x > breaks * x[-1], grade + random.normal(0, 0.5), grade)


def _sag(random: np.random.Generator, grade: np.ndarray, depth_deg: float) -> tuple[float, float]:
    """Put a sag in: it dips below the line of its edges, and holds water between two points of one height."""
    cells = len(grade)
    a = int(random.uniform(0.25, 0.5) * cells)
    half = int(random.uniform(4, 7) / CELL_FT)
    grade[a : a + half] = depth_deg
    grade[a + half : a + 2 * half] = -depth_deg
    return a * CELL_FT, (a + 2 * half) * CELL_FT


def _read(
    random: np.random.Generator,
    grade: np.ndarray,
    lift: float,
    step: float,
    pushed: bool,
    every_ft: float,
    rocking: Callable[[], float],
    spike: Callable[[], float],
    pond: tuple[float, float] | None,
) -> list[Tilt]:
    """Readings in bursts of one to three; in and about a sag a narrator reads twice as often."""
    tilts = []
    at = random.uniform(1, 3)
    while at < len(grade) * CELL_FT - 0.5:
        for _ in range(int(random.integers(1, 4))):
            shown = grade[int(at / CELL_FT)] - lift + rocking() + spike()
            # said at the footage that the counter shows, half a foot off as it may be
            told = float(np.clip(at + random.normal(0, 0.3), 0.0, len(grade) * CELL_FT - 0.5))
            tilts.append(Tilt(told, round(shown / step) * step, step, pushed))
        sagging = pond is not None and pond[0] - every_ft <= at <= pond[1]
        at += random.uniform(0.4, 1.6) * every_ft * (0.5 if sagging else 1.0)
    return tilts


def fitted(
    seed: int,
    *,
    pond: bool = False,
    usual: tuple[float, float] = (0.2, 2.8),
    least: float = -5.0,
    back: bool = True,
) -> Pipe:
    """Jointed pipe, the grade changing at joints, the rod rocking evenly, spikes both ways."""
    random = np.random.default_rng(seed)
    cells = int(random.uniform(40, 110) / CELL_FT)
    grade = np.maximum(_joints(random, cells, random.uniform(*usual)), least)
    rocking = lambda: float(random.normal(0, 0.3))  # noqa: E731
    spike = lambda: float(random.choice([-1, 1]) * random.uniform(2, 6) * (random.random() < 0.05))  # noqa: E731
    return _pipe(random, grade, rocking, spike, pond, back, float(random.normal(0.5, 1.0)))


def other(
    seed: int,
    *,
    pond: bool = False,
    usual: tuple[float, float] = (0.2, 2.8),
    least: float = -5.0,
    back: bool = True,
) -> Pipe:
    """Pipe settled in waves with one break of grade, the rod jerking, spikes upward only."""
    random = np.random.default_rng(1_000_000 + seed)
    cells = int(random.uniform(30, 130) / CELL_FT)
    grade = np.maximum(_settled(random, cells, random.uniform(*usual)), least)
    rocking = lambda: float(random.laplace(0, 0.25))  # noqa: E731
    spike = lambda: float(-random.exponential(3.0) * (random.random() < 0.08))  # noqa: E731
    return _pipe(random, grade, rocking, spike, pond, back, float(random.normal(0.5, 1.0)))


def _pipe(
    random: np.random.Generator,
    grade: np.ndarray,
    rocking: Callable[[], float],
    spike: Callable[[], float],
    pond: bool,
    back: bool,
    always: float,
) -> Pipe:
    edges = _sag(random, grade, random.uniform(0.8, 2.0)) if pond else None
    pushed_up = float(random.uniform(0.1, 1.6))
    step = float(random.choice([0.1, 0.5, 1.0]))
    every = random.uniform(2, 5)
    tilts = _read(random, grade, always + pushed_up, step, True, every, rocking, spike, edges)
    if back:
        tilts += _read(random, grade, always, step, False, every, rocking, spike, edges)
    return Pipe(grade, tilts, pushed_up, always, edges)


def _called(at_ft: float) -> tuple[int, int, int]:
    """A footage called, within half a foot nine times in ten, as it was read to be."""
    return round(at_ft * 304.8), round((at_ft - 0.5) * 304.8), round((at_ft + 0.5) * 304.8)


def readings_of(pipe: Pipe) -> tuple[SlopeReading, ...]:
    """What a draft would hold of the pipe: degrees, negative falling, at the footage called."""
    return tuple(
        SlopeReading(
            time_ms=1000 * i,
            placement=Placement(1, "out" if t.pushed else "back", *_called(t.at_ft), "spoken"),
            reading=-t.fall_deg,
            unit="deg",
            grade_pct=100 * math.tan(math.radians(t.fall_deg)),
            heard="",
            check=(),
        )
        for i, t in enumerate(pipe.tilts)
    )


def row(feature: str, begin_ft: float | None, end_ft: float | None = None, **fields: object) -> Observation:
    """A row of the table, seen, at a distance."""
    begin, end = (None if f is None else round(f * 304.8) for f in (begin_ft, end_ft))
    return Observation(
        id=feature,
        row=1,
        kind="defect",
        feature=feature,
        standing="seen",
        placement=Placement(1, "out", begin, begin, begin, "none" if begin is None else "spoken"),
        end_distance_mm=end,
        fields=Fields(**fields),  # type: ignore[arg-type]
        time_ms=0,
        time_end_ms=0,
        sightings_ms=(0,),
        heard="",
        read_as="",
        remark="",
        confidence=1,
        check=(),
        rules=(),
    )


def profile_of(pipe: Pipe, *, size_in: float = 4) -> SlopeProfile:
    """The profile that the tool draws of the pipe, with its size said and its pond seen, if it has one."""
    rows = [row("pipe-size", 0, size_in=size_in)]
    if pipe.pond_ft:
        rows.append(row("belly", *pipe.pond_ft))
    (profile,) = build_profiles(readings_of(pipe), [Leg(1, "downstream", None)], rows, head_up=False)
    return profile
