"""The camera's way in time: anchors kept or put aside, and lines between those kept."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from narrate2log.footage.legs import Stretch, leg_at, pass_at
from narrate2log.records import Basis, CounterReading, Narration, Placement, SpokenPlace
from narrate2log.units import MM_PER_FOOT, Millimetres, Milliseconds

# Fastest a rod is pushed or pulled, ft/s; above it two footages cannot both hold (30 ft/min is the
# published limit of pushing, Sunny Isles Beach section 02762; pulling and skipping are far faster).
FASTEST_OUT = 3.0
FASTEST_BACK = 7.0
# A step back this large is the rod rocking or a footage rounded, not a contradiction, ft.
ROCKING = 1.5
# Each anchor looks this many anchors back for one it can follow.
LOOK_BACK = 40
# While talking the camera mostly stands: pauses of 5 to 10 s at findings are common practice, no
# published source.
TALKING_SHARE = 0.25
# Half widths: of a footage called to the foot or half foot, of a counter (a tick and 1.3 % slip), and
# the widening between and beyond anchors, chosen so that nine true places in ten of the narrations
# under tests/narrations lie inside (their `cover`, which `pytest -s tests/narrations` prints).
SPOKEN_FT = 1.1
COUNTER_FT = 0.6
COUNTER_SLIP = 0.013
BRIDGE = 1.0
BEYOND = 0.7
LEAST_FT = 1.2
USUAL_FT_PER_S = 0.6
# In a note dictated after the job a footage holds for what is said next for this long.
RECALL_MS = 8_000


@dataclass(frozen=True, slots=True)
class Anchor:
    """The camera was at `distance_mm` at `time_ms`, give or take `spread_mm`; `why` tells the source."""

    time_ms: Milliseconds
    distance_mm: Millimetres
    spread_mm: Millimetres
    why: str
    weight: float = 1.0


@dataclass(frozen=True)
class LegTrack:
    """One leg's anchors, kept and put aside, and whether the footages run in order at all."""

    stretch: Stretch
    out: tuple[Anchor, ...]
    back: tuple[Anchor, ...]
    aside: tuple[Anchor, ...]
    ordered: bool
    pace_ft_s: float
    home_ms: Milliseconds | None = None
    told: tuple[Anchor, ...] = ()


@dataclass(frozen=True)
class Track:
    """Where the camera was, for any moment of the run."""

    stretches: list[Stretch]
    legs: dict[int, LegTrack]
    counter: tuple[CounterReading, ...]
    talk_starts: np.ndarray
    talk_before: np.ndarray
    talk_ends: np.ndarray

    @cached_property
    def counter_times(self) -> np.ndarray:
        """When the counter was read, ms."""
        return np.array([reading.time_ms for reading in self.counter], dtype=float)

    @cached_property
    def counter_distances(self) -> np.ndarray:
        """What it read, mm."""
        return np.array([reading.distance_mm for reading in self.counter], dtype=float)

    def travel(self, time_ms: Milliseconds) -> float:
        """Milliseconds available for travelling until a moment: silence whole, talk in part."""
        i = int(np.searchsorted(self.talk_starts, time_ms, side="right")) - 1
        talked = 0.0
        if i >= 0:
            talked = (
                float(self.talk_before[i])
                + min(time_ms, float(self.talk_ends[i]))
                - float(self.talk_starts[i])
            )
        return time_ms - (1 - TALKING_SHARE) * talked

    def at(self, time_ms: Milliseconds) -> Placement:
        """The camera's place at a moment: from the counter log, else between the footages said."""
        stretch = leg_at(self.stretches, time_ms)
        going = pass_at(stretch, time_ms)
        if self.counter:
            return self._by_counter(stretch, time_ms)
        leg = self.legs[stretch.leg]
        anchors = leg.back if going == "back" else leg.out
        if not leg.ordered:
            told = [p for p in leg.told if time_ms - RECALL_MS <= p.time_ms <= time_ms]
            if told:
                return _placement(stretch.leg, going, told[-1].distance_mm, told[-1].spread_mm, "spoken")
        if (
            not leg.ordered
            or len(anchors) == 0
            or (len(leg.out) < 2 and leg.out[0].distance_mm == 0 and time_ms > stretch.zero_ms)
        ):
            return Placement(stretch.leg, going, None, None, None, "none")
        if going == "out" and time_ms < anchors[0].time_ms:
            first = anchors[0]
            if first.distance_mm == 0:
                return _placement(stretch.leg, going, 0, 0.4 * MM_PER_FOOT, "extrapolated", 0)
            return _placement(stretch.leg, going, first.distance_mm, 2 * MM_PER_FOOT, "extrapolated")
        i = bisect_right([a.time_ms for a in anchors], time_ms) - 1
        before = anchors[i]
        if i + 1 == len(anchors):
            return self._beyond(leg, before, going, time_ms)
        after = anchors[i + 1]
        whole = self.travel(after.time_ms) - self.travel(before.time_ms)
        share = (self.travel(time_ms) - self.travel(before.time_ms)) / whole if whole > 0 else 1.0
        distance = before.distance_mm + share * (after.distance_mm - before.distance_mm)
        bridge = (
            BRIDGE
            * abs(after.distance_mm - before.distance_mm)
            * float(np.sqrt(max(0.0, share * (1 - share))))
        )
        spread = (
            max(bridge, LEAST_FT * MM_PER_FOOT * (0 < share < 1))
            + before.spread_mm * (1 - share)
            + after.spread_mm * share
        )
        basis: Basis = "spoken" if time_ms == before.time_ms else "interpolated"
        return _placement(stretch.leg, going, distance, spread, basis)

    def _beyond(self, leg: LegTrack, last: Anchor, going: str, time_ms: Milliseconds) -> Placement:
        seconds = (self.travel(time_ms) - self.travel(last.time_ms)) / 1000
        ahead = seconds * leg.pace_ft_s * MM_PER_FOOT * (0.5 if going == "out" else -1.0)
        distance = max(0.0, last.distance_mm + ahead)
        return _placement(
            leg.stretch.leg,
            "back" if going == "back" else "out",
            distance,
            last.spread_mm + BEYOND * abs(ahead),
            "extrapolated",
        )

    def _by_counter(self, stretch: Stretch, time_ms: Milliseconds) -> Placement:
        times = self.counter_times
        distance = float(np.interp(time_ms, times, self.counter_distances))
        spread = COUNTER_FT * MM_PER_FOOT + COUNTER_SLIP * distance
        if time_ms < times[0] - 2000 or time_ms > times[-1] + 5000:
            return _placement(
                stretch.leg, pass_at(stretch, time_ms), distance, spread + MM_PER_FOOT, "extrapolated"
            )
        return _placement(stretch.leg, pass_at(stretch, time_ms), distance, spread, "counter")


def _placement(
    leg: int, going: str, distance: float, spread: float, basis: Basis, floor: float = 0.0
) -> Placement:
    return Placement(
        leg,
        "back" if going == "back" else "out",
        round(distance),
        round(max(floor, distance - spread)),
        round(distance + spread),
        basis,
    )


def _can_follow(a: Anchor, b: Anchor, fastest: float, sign: int) -> bool:
    moved = sign * (b.distance_mm - a.distance_mm) / MM_PER_FOOT
    seconds = (b.time_ms - a.time_ms) / 1000
    return -ROCKING <= moved <= fastest * seconds + 2.0


def keep_consistent(
    anchors: Sequence[Anchor], fastest: float, sign: int
) -> tuple[list[Anchor], list[Anchor]]:
    """The heaviest chain of anchors that one camera can pass in order, and those put aside.

    `sign` is +1 on the way out, -1 on the way home; `fastest` in ft/s. Quadratic only within
    `LOOK_BACK` anchors, so linear in their number.
    """
    if not anchors:
        return [], []
    best = [a.weight for a in anchors]
    parent = [-1] * len(anchors)
    for j, b in enumerate(anchors):
        for i in range(max(0, j - LOOK_BACK), j):
            if best[i] + b.weight > best[j] and _can_follow(anchors[i], b, fastest, sign):
                best[j], parent[j] = best[i] + b.weight, i
    at = max(range(len(anchors)), key=lambda k: best[k])
    chain: list[int] = []
    while at >= 0:
        chain.append(at)
        at = parent[at]
    kept = set(chain)
    return [anchors[i] for i in sorted(kept)], [a for i, a in enumerate(anchors) if i not in kept]


def _leg_track(
    stretch: Stretch, anchors: list[Anchor], home_ms: Milliseconds | None, far: Anchor | None
) -> LegTrack:
    # where neither a start nor a zeroing was said, zero is only likely
    sure = 3.0 if stretch.start_ms is not None or stretch.zeroed else 0.5
    zero = Anchor(
        stretch.start_ms if stretch.start_ms is not None else stretch.zero_ms,
        0,
        round(0.4 * MM_PER_FOOT),
        "zero",
        sure,
    )
    out = [a for a in anchors if a.time_ms <= (stretch.back_ms or a.time_ms) and a.time_ms > zero.time_ms]
    if far is not None:
        out = sorted([*out, far], key=lambda a: a.time_ms)
    back = [a for a in anchors if stretch.back_ms is not None and a.time_ms > stretch.back_ms]
    kept, aside = keep_consistent([zero, *out], FASTEST_OUT, 1)
    # told out of order without a start: dictated after the job, so time says nothing of place
    allowed = 0.4 if stretch.start_ms is not None else 0.15
    ordered = len(aside) <= allowed * len(out) or len(out) < 5
    turn = stretch.back_ms
    home: list[Anchor] = []
    if turn is not None:
        home = [Anchor(turn, kept[-1].distance_mm, round(1.5 * MM_PER_FOOT), "the turn", 3.0)]
        home += [a for a in back if a.distance_mm <= kept[-1].distance_mm + MM_PER_FOOT]
        if home_ms is not None and home_ms > turn:
            home = [a for a in home if a.time_ms < home_ms]
            home.append(Anchor(home_ms, 0, round(0.5 * MM_PER_FOOT), "home", 3.0))
        home, put = keep_consistent(home, FASTEST_BACK, -1)
        aside += put
    seconds = max(1.0, (kept[-1].time_ms - kept[0].time_ms) / 1000)
    pace = kept[-1].distance_mm / MM_PER_FOOT / seconds if len(kept) > 1 else USUAL_FT_PER_S
    return LegTrack(
        stretch, tuple(kept), tuple(home), tuple(aside), ordered, max(0.1, pace), home_ms, tuple(anchors)
    )


def build_track(
    narration: Narration,
    stretches: list[Stretch],
    counter: tuple[CounterReading, ...],
    homes: Sequence[Milliseconds],
    far_ends: Sequence[tuple[Milliseconds, Millimetres]],
) -> Track:
    """The track of a run.

    `homes` are the times at which the camera was said to be back at its entry; `far_ends` are
    distances told later for a moment passed before ("sixty two feet to the main").
    """
    legs = {}
    said: dict[int, list[SpokenPlace]] = {}
    for p in narration.places:
        if p.relation in ("here", "ahead"):
            said.setdefault(leg_at(stretches, p.time_ms).leg, []).append(p)
    for stretch in stretches:
        anchors = [
            Anchor(
                p.time_ms,
                (p.low_mm + p.high_mm) // 2,
                round(SPOKEN_FT * MM_PER_FOOT) + (p.high_mm - p.low_mm) // 2,
                "footage said",
            )
            for p in said.get(stretch.leg, ())
        ]
        home = next(
            (t for t in homes if stretch.back_ms is not None and stretch.back_ms < t <= stretch.end_ms), None
        )
        far = next(
            (
                Anchor(t, d, round(2 * MM_PER_FOOT), "told later", 2.0)
                for t, d in far_ends
                if stretch.from_ms <= t <= stretch.end_ms
            ),
            None,
        )
        legs[stretch.leg] = _leg_track(stretch, anchors, home, far)
    starts = np.array([s for s, _ in narration.sentences], dtype=float)
    ends = np.array([e for _, e in narration.sentences], dtype=float)
    before = np.concatenate([[0.0], np.cumsum(ends - starts)[:-1]]) if len(starts) else np.array([])
    return Track(stretches, legs, counter, starts, before, ends)
