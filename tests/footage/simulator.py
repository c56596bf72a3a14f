"""Runs made up from laws of their own, whose truth is known at every moment.

Nothing here is taken from the estimator. Two families differ in how the rod is pushed: `steady` at a speed
that wanders, `strokes` by arm's lengths with rests, slower with depth, hung up at times. Pushing at 15 to 30
ft/min, pauses of 5 to 10 s at findings, footages that lag by 1 to 3 s: common practice, no published source.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from narrate2log.footage.counter_faults import mend
from narrate2log.footage.place import place
from narrate2log.footage.track import Track
from narrate2log.records import CounterReading, Motion, Narration, SpokenPlace
from narrate2log.units import MM_PER_FOOT

WRONG_SHARE = 0.06


@dataclass
class Run:
    """What the narrator and the counter told, and where the camera really was (seconds, feet)."""

    family: str
    seconds: np.ndarray
    feet: np.ndarray
    places: list[SpokenPlace] = field(default_factory=list)
    wrong: list[bool] = field(default_factory=list)
    motions: list[Motion] = field(default_factory=list)
    sentences: list[tuple[int, int]] = field(default_factory=list)
    mentions: list[float] = field(default_factory=list)
    counter: tuple[CounterReading, ...] = ()
    backed: bool = False
    homes: list[float] = field(default_factory=list)

    def truth(self, seconds: float) -> float:
        return float(np.interp(seconds, self.seconds, self.feet))

    def narration(self, *, knowing: bool = False) -> Narration:
        """What was told; `knowing` leaves out the wrong footages, as an oracle would."""
        places = [p for p, bad in zip(self.places, self.wrong, strict=True) if not (knowing and bad)]
        return Narration(
            (), tuple(places), tuple(sorted(self.motions, key=lambda m: m.time_ms)), (),
            tuple(sorted(self.sentences)),
        )  # fmt: skip


class Pusher:
    """Moves the camera and keeps its track."""

    def __init__(self, rng: np.random.Generator, family: str) -> None:
        self.rng, self.family = rng, family
        self.t, self.x = 0.0, 0.0
        self.track: list[tuple[float, float]] = [(0.0, 0.0)]
        self.pace = float(rng.uniform(0.25, 0.55))
        self.wander = 0.0
        self.length = float(rng.uniform(35, 120))

    def _to(self, dt: float, dx: float) -> None:
        self.t += dt
        self.x = max(0.0, self.x + dx)
        self.track.append((self.t, self.x))

    def stand(self, seconds: float) -> None:
        self._to(seconds, 0.0)

    def push(self, feet: float) -> None:
        done = 0.0
        while done < feet:
            if self.family == "steady":
                self.wander = 0.8 * self.wander + 0.25 * self.rng.normal()
                part = min(0.5, feet - done)
                self._to(part / (self.pace * np.exp(self.wander)), part)
            else:
                part = min(float(self.rng.uniform(1.0, 3.0)), feet - done)
                slow = 1 - 0.5 * self.x / self.length
                self._to(part / (2.5 * self.pace * slow), part)
                self.stand(float(self.rng.exponential(2.0)))
                if self.rng.random() < 0.02:
                    self.stand(float(self.rng.uniform(8, 30)))
            done += part

    def pull(self, feet: float, speed: float) -> None:
        self._to(feet / speed, -min(feet, self.x))


def rounded(feet: float, rng: np.random.Generator, fine: float) -> float:
    step = fine if rng.random() < 0.9 else 0.5
    return max(0.0, round(feet / step) * step)


def misheard(feet: float, rng: np.random.Generator, length: float) -> float:
    """Thirteen for thirty and the other way round, a digit lost, or some number of something else."""
    whole = round(feet)
    way = rng.random()
    if way < 0.4 and 13 <= whole <= 19:
        return float((whole - 10) * 10)
    if way < 0.4 and whole % 10 == 0 and 30 <= whole <= 90:
        return float(whole // 10 + 10)
    if way < 0.6 and whole >= 10:
        return float(max(1, whole // 10))
    return float(rng.integers(1, round(1.3 * length)))


def track_of(run: Run, *, knowing: bool = False) -> Track:
    """The track of a simulated run; of the oracle, which knows the wrong footages."""
    return place(
        run.narration(knowing=knowing),
        mend(run.counter)[0],
        entries_ms=[],
        homes_ms=[round(second * 1000) for second in run.homes],
        far_ends=[],
        last_ms=round(run.seconds[-1] * 1000),
    )


def simulate(seed: int, family: str, *, counter: bool = False) -> Run:
    """One outward push with its narration."""
    rng = np.random.default_rng([seed, len(family)])
    p = Pusher(rng, family)
    reverses = bool(rng.random() < 0.5)
    share = float(rng.choice([0.25, 0.5, 0.8]))
    fine = 1.0
    gap_from = float(rng.uniform(0.2, 0.7)) * p.length
    gap = (gap_from, gap_from + float(rng.uniform(0.1, 0.4)) * p.length) if rng.random() < 0.6 else (0.0, 0.0)
    run = Run(family, np.array([]), np.array([]), backed=False)
    run.motions.append(Motion("zero", 2000, 0))
    p.stand(4.0)
    run.motions.append(Motion("start", 4000, 0))
    at_x = 0.0

    def say(seconds: float) -> tuple[float, float]:
        start = p.t
        p.stand(seconds)
        run.sentences.append((round(start * 1000), round(p.t * 1000)))
        return start, p.t

    while p.x < p.length:
        at_x = p.x + float(rng.exponential(4.0)) + 0.5
        if rng.random() < 0.3:
            # a word while pushing on
            start = p.t
            p.push(min(at_x, p.length) - p.x)
            run.sentences.append((round(start * 1000), round(min(p.t, start + 2.0) * 1000)))
            run.mentions.append(start)
        else:
            p.push(min(at_x, p.length) - p.x)
        p.stand(float(rng.uniform(0.3, 2.0)))
        start, end = say(float(rng.uniform(1.5, 4.0)))
        run.mentions.append(start)
        if rng.random() < share and not gap[0] <= p.x < gap[1]:
            bad = bool(rng.random() < WRONG_SHARE)
            feet = misheard(p.x, rng, p.length) if bad else rounded(p.x, rng, fine)
            mm = round(feet * MM_PER_FOOT)
            run.places.append(SpokenPlace(mm, mm, "here", round(float(rng.uniform(start, end)) * 1000), 0))
            run.wrong.append(bad and abs(feet - p.x) > 2)
        if rng.random() < 0.6:
            say(float(rng.uniform(1.5, 6.0)))
        p.stand(float(rng.uniform(0.5, 5.0)))
        if reverses and p.x > 8 and rng.random() < 0.12:
            run.backed = True
            back = float(rng.uniform(2, 7))
            if rng.random() < 0.7:
                run.motions.append(Motion("back-up", round(p.t * 1000), 0))
                say(1.5)
            p.pull(back, 0.6)
            p.stand(float(rng.uniform(2, 6)))
            start, _ = say(2.0)
            run.mentions.append(start)
            if rng.random() < 0.5:
                run.motions.append(Motion("again", round(p.t * 1000), 0))
                say(1.0)
    p.stand(5.0)
    if rng.random() < 0.4:
        _come_home(run, p, rng)
    times = np.array(p.track)
    run.seconds, run.feet = times[:, 0], times[:, 1]
    if counter:
        _log(run, rng)
    return run


def _come_home(run: Run, p: Pusher, rng: np.random.Generator) -> None:
    """Pulls home, faster than it was pushed, with a look at some of the things again."""
    run.motions.append(Motion("pull-back", round(p.t * 1000), 0))
    speed = float(rng.uniform(0.6, 2.5))
    while p.x > 0:
        p.pull(min(p.x, float(rng.exponential(12.0)) + 2), speed * float(rng.uniform(0.6, 1.4)))
        start = p.t
        p.stand(float(rng.uniform(1.5, 8.0)))
        run.sentences.append((round(start * 1000), round(min(p.t, start + 3) * 1000)))
        if p.x > 1:
            run.mentions.append(start)
            if rng.random() < 0.25:
                mm = round(round(p.x) * MM_PER_FOOT)
                run.places.append(SpokenPlace(mm, mm, "here", round((start + 1) * 1000), 0))
                run.wrong.append(False)
    run.homes.append(p.t)


def _log(run: Run, rng: np.random.Generator) -> None:
    """A line a second: slips up to 2 %, sometimes sticks for a while, sometimes is silent.

    What was called out had been read off it, so it slipped as well.
    """
    slip = float(np.clip(rng.normal(0, 0.008), -0.02, 0.02))
    run.places = [
        replace(p, low_mm=mm, high_mm=mm)
        for p in run.places
        for mm in [round(round(p.low_mm / MM_PER_FOOT * (1 + slip)) * MM_PER_FOOT)]
    ]
    seconds = np.arange(0, run.seconds[-1], 1.0)
    read = np.interp(seconds, run.seconds, run.feet) * (1 + slip)
    kept = np.ones(len(seconds), dtype=bool)
    if rng.random() < 0.3:
        a = int(rng.integers(10, max(11, len(seconds) - 40)))
        kept[a : a + int(rng.integers(10, 40))] = False
    if rng.random() < 0.2:
        a = int(rng.integers(10, max(11, len(seconds) - 40)))
        b = min(len(seconds) - 1, a + int(rng.integers(10, 30)))
        read[a:b] = read[a]
    run.counter = tuple(
        CounterReading(round(s * 1000), round(round(r * 10) / 10 * MM_PER_FOOT))
        for s, r in zip(seconds[kept], read[kept], strict=True)
    )
