"""The camera's track: for each leg the way out and the way home, and the place of any moment on them."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np

from narrate2log.footage.anchors import WRONG, WRONG_BARE, Anchor, does_not_fit, from_footage, said_sd_ft
from narrate2log.footage.calibration import half_width_ft
from narrate2log.footage.consistent import Chain, keep_by_log, keep_by_pace, usual_pace
from narrate2log.footage.legs import Stretch, leg_at, logs_by_leg, pass_at
from narrate2log.footage.path import Path, fit
from narrate2log.footage.reckoning import Reckoning, Travel, by_counter, by_pace, told_between, travel_of
from narrate2log.footage.smoother import Floats
from narrate2log.records import Basis, CounterReading, Narration, Pass, Placement, SpokenOffset, SpokenPlace
from narrate2log.units import MM_PER_FOOT, Millimetres, Milliseconds

ZERO_SD_FT = 0.25
# The chance that nothing counts from where the narration begins, if no start and no zeroing was told.
UNSURE_ZERO = 0.4
HOME_SD_FT = 0.5
FAR_SD_FT = 1.0
# A length that is known may be measured along the surface or to another end, feet (standard deviation).
LENGTH_SD_FT = 1.0
# How well it is judged how far behind something lies, feet (standard deviation).
BEHIND_FT = 1.0
# In a note dictated after the job a footage holds for what is said next for this long.
RECALL_MS = 8_000
# Fewer footages than this never show that a narration runs out of order.
FEW = 4
# So many footages that agree make one that does not a reason to look.
ENOUGH = 2
# A log is silent where it says nothing for so long.
SILENT_MS = 10_000
# What is said may lag what was seen by about this long, seconds (standard deviation): 1 to 3 s, common
# practice, no published source.
LAG_S = 1.0
# A counter's own error, a share of the distance (standard deviation): 1 to 3 % typical, common practice,
# no published source. What is called out is read off the same counter, so it does not tell of this.
SLIP = 0.007
# On the way home a footage may be this much above the furthest one, feet.
OVER_FT = 1.0
# A footage said with a thing is not the thing's where all others put it this much elsewhere, feet; nor
# where a counter log does, feet and a share of the way.
NOT_MEANT_FT = 15.0
NOT_READ_FT = 3.0
NOT_READ_SHARE = 0.04
# So many footages put aside, and so large a share of them, leave it open which are right; and so does one
# so far from the way, feet, that may as well be right. tests/fitting/count_wrong.py: of these shares the one
# whose doubts are most often right; from 3 to 8 ft there is no difference.
MANY, MANY_SHARE = 2, 0.4
DISPUTED_FT = 5.0


@dataclass(frozen=True, slots=True)
class Meeting:
    """A moment at something whose distance is known from when it was passed before, or so far from it.

    `source` is "met again" on the way home, and "landmark" where feet were told from it.
    """

    time_ms: Milliseconds
    distance_mm: Millimetres
    sd_ft: float
    source: Literal["met again", "landmark"] = "met again"


@dataclass(frozen=True, slots=True)
class Estimate:
    """Where the camera was, feet, with a standard deviation; None where nothing tells.

    `rests_on` names the factor of `calibration.toml` that makes an interval of it.
    """

    leg: int
    going: Pass
    feet: float | None
    sd_ft: float
    rests_on: str
    basis: Basis


@dataclass(frozen=True)
class LegTrack:
    """One leg: its two passes, every anchor, and whether the footages run in order at all.

    `out` and `back` are None where nothing tells of a distance on that pass. `disputed`: from when to
    when the footages contradict each other so that another choice of them is nearly as likely.
    """

    stretch: Stretch
    out: Path | None
    back: Path | None
    anchors: tuple[Anchor, ...]
    ordered: bool
    home_ms: Milliseconds | None = None
    disputed: tuple[tuple[Milliseconds, Milliseconds], ...] = ()

    @property
    def aside(self) -> list[Anchor]:
        """The anchors that are not used, each with its reason."""
        return [a for a in self.anchors if a.aside is not None]

    def contradicts(self, said: SpokenPlace) -> bool:
        """Whether the anchor of a footage said was put aside."""
        middle = (said.low_mm + said.high_mm) // 2
        return any(a.time_ms == said.time_ms and a.distance_mm == middle for a in self.aside)


@dataclass(frozen=True)
class Track:
    """Where the camera was, for any moment of the run."""

    stretches: list[Stretch]
    legs: dict[int, LegTrack]
    counter: tuple[CounterReading, ...]
    travel: Travel

    def at(self, time_ms: Milliseconds) -> Placement:
        """The camera's place at a moment."""
        return self.placed(time_ms, None)

    def placed(
        self, time_ms: Milliseconds, said: SpokenPlace | None, offset: SpokenOffset | None = None
    ) -> Placement:
        """The place of something told at a moment, with the footage or the offset said with it, if one was.

        The footage is the thing's, unless a counter log or all other footages put the camera far from it;
        so are the feet from something else, where no log knows better.
        """
        estimate = self.estimate(time_ms, said)
        told = self.told_from(offset) if said is None and offset is not None and not self.counter else None
        if told is not None and told.aside is None:
            estimate = Estimate(estimate.leg, estimate.going, told.feet, told.sd_ft, "spoken", "spoken")
        if estimate.feet is None:
            return Placement(estimate.leg, estimate.going, None, None, None, "none")
        half = half_width_ft(estimate.rests_on, estimate.sd_ft)
        if said is not None and estimate.basis == "spoken":
            half = max(half, (said.high_mm - said.low_mm) / 2 / MM_PER_FOOT)
        low = estimate.feet - half
        return Placement(
            estimate.leg,
            estimate.going,
            round(estimate.feet * MM_PER_FOOT),
            round((max(0.0, low) if estimate.feet >= 0 else low) * MM_PER_FOOT),
            round((estimate.feet + half) * MM_PER_FOOT),
            estimate.basis,
        )

    def told_from(self, offset: SpokenOffset) -> Anchor | None:
        """The anchor of the feet told from something, None where that has no certain place itself."""
        leg = self.legs[leg_at(self.stretches, offset.time_ms).leg]
        return next((a for a in leg.anchors if a.source == "landmark" and a.time_ms == offset.time_ms), None)

    def contradicted(self, time_ms: Milliseconds, said: SpokenPlace) -> bool:
        """Whether a footage said of where the camera is was put aside or not taken: a person should look."""
        if said.relation in ("here", "ahead") and self.estimate(time_ms, said).basis != "spoken":
            return True
        leg = self.legs[leg_at(self.stretches, time_ms).leg]
        used = sum(a.source == "footage" and a.aside is None for a in leg.anchors)
        sure = bool(self.counter) or (leg.ordered and used >= ENOUGH)
        return sure and leg.contradicts(said)

    def disputed(self, time_ms: Milliseconds) -> bool:
        """Whether the camera's place then hangs on which of several contradicting footages is right."""
        leg = self.legs[leg_at(self.stretches, time_ms).leg]
        return any(a < time_ms < b for a, b in leg.disputed)

    def met_elsewhere(self, time_ms: Milliseconds) -> bool:
        """Whether what was told again at this moment, on the way home, does not fit where it was before."""
        leg = self.legs[leg_at(self.stretches, time_ms).leg]
        return any(a.source == "met again" and a.time_ms == time_ms for a in leg.aside)

    def estimate(self, time_ms: Milliseconds, said: SpokenPlace | None = None) -> Estimate:
        """As `placed`, before it is turned into an interval."""
        stretch = leg_at(self.stretches, time_ms)
        leg, going = self.legs[stretch.leg], pass_at(stretch, time_ms)
        at = self._on_the_way(leg, going, time_ms)
        if said is None:
            return at
        middle = (said.low_mm + said.high_mm) // 2
        if said.relation == "behind":
            if at.feet is None:
                return at
            # "three feet back": towards where the camera came from
            back = middle / MM_PER_FOOT * (1 if going == "back" else -1)
            return replace(at, feet=max(0.0, at.feet + back), sd_ft=math.hypot(at.sd_ft, BEHIND_FT))
        if at.feet is not None and said.relation != "elsewhere":
            off = abs(middle / MM_PER_FOOT - at.feet)
            if self.counter and off > NOT_READ_FT + NOT_READ_SHARE * middle / MM_PER_FOOT:
                return at
            if leg.ordered and off > NOT_MEANT_FT and leg.contradicts(said):
                return at
        sd = said_sd_ft(said)
        if self.counter:
            sd = math.hypot(sd, SLIP * middle / MM_PER_FOOT)
        return Estimate(leg.stretch.leg, going, middle / MM_PER_FOOT, sd, "spoken", "spoken")

    def _on_the_way(self, leg: LegTrack, going: Pass, time_ms: Milliseconds) -> Estimate:
        number = leg.stretch.leg
        path = leg.back if going == "back" else leg.out
        if not leg.ordered and not self.counter:
            told = [a for a in leg.anchors if a.source == "footage" and 0 <= time_ms - a.time_ms <= RECALL_MS]
            if told:
                return Estimate(number, going, told[-1].feet, told[-1].sd_ft, "spoken", "spoken")
        if path is None or not (leg.ordered or self.counter):
            return Estimate(number, going, None, 0.0, "none", "none")
        feet, sd, where = path.at(time_ms)
        if self.counter:
            # a counter that never showed less than zero leaves no camera there
            feet = max(feet, min(0.0, self._least_ft))
            gap_ft = math.sqrt(path.reckoning.gap_var(time_ms))
            sd = math.hypot(sd, _lag_ft(path.reckoning, time_ms), SLIP * feet, gap_ft)
            silent = self._silent(time_ms)
            return Estimate(number, going, feet, sd, "silent" if silent else "counter", silent or "counter")
        start_ms = leg.stretch.start_ms
        if where == "before" and path.anchors[0].source == "zero":
            if start_ms is not None and start_ms < time_ms:
                # pushed already, zeroed later: short of the zero by what was pushed since
                return Estimate(number, going, min(0.0, feet), sd, "beyond", "extrapolated")
            return Estimate(number, going, 0.0, path.anchors[0].sd_ft, "zero", "extrapolated")
        if where == "on":
            anchor = next(a for a in path.anchors if a.time_ms == time_ms)
            return Estimate(number, going, anchor.feet, anchor.sd_ft, "spoken", "spoken")
        feet = max(0.0, feet)
        if going == "back":
            rests_on = "home"
        elif where == "between":
            rests_on = "backing" if len(path.reckoning.backings_ms) else "between"
        else:
            rests_on = "beyond"
        return Estimate(
            number, going, feet, sd, rests_on, "interpolated" if where == "between" else "extrapolated"
        )

    def _silent(self, time_ms: Milliseconds) -> Literal["interpolated", "extrapolated"] | None:
        """What the log is at a moment that it says nothing of."""
        after = int(np.searchsorted(self._log_times, time_ms, side="right"))
        if after in (0, len(self.counter)):
            near = self.counter[min(after, len(self.counter) - 1)]
            return "extrapolated" if abs(near.time_ms - time_ms) > SILENT_MS / 2 else None
        a, b = self.counter[after - 1], self.counter[after]
        silent = b.time_ms - a.time_ms > SILENT_MS and a.distance_mm != b.distance_mm
        return "interpolated" if silent else None

    @cached_property
    def _least_ft(self) -> float:
        return min(reading.distance_mm for reading in self.counter) / MM_PER_FOOT

    @cached_property
    def _log_times(self) -> Floats:
        return np.array([reading.time_ms for reading in self.counter], dtype=float)


def _lag_ft(logged: Reckoning, time_ms: Milliseconds) -> float:
    """How far the camera moves by the log, feet, while what is seen waits to be said."""
    around = logged.moved_by(np.array([time_ms - 1000.0, time_ms + 1000.0]))
    return LAG_S * abs(float(around[1] - around[0])) / 2


def _lagging(anchor: Anchor, logged: Reckoning) -> Anchor:
    """A footage said beside a log: the log knows how fast the camera moved while it was said."""
    return replace(anchor, sd_ft=math.hypot(anchor.sd_ft, _lag_ft(logged, anchor.time_ms)))


def build_track(
    narration: Narration,
    stretches: list[Stretch],
    counter: tuple[CounterReading, ...],
    homes: Sequence[Milliseconds],
    far_ends: Sequence[tuple[Milliseconds, Millimetres]],
    length_mm: Millimetres | None = None,
    met: Sequence[Meeting] = (),
) -> Track:
    """The track of a run.

    `homes` are the times at which the camera was said to be back at its entry; `far_ends` are
    distances told later for a moment passed before ("sixty two feet to the main"); `length_mm` is how
    far the last leg went in all; `met` are moments at something, or so far from something,
    whose distance is known.
    """
    travel = travel_of(narration)
    said: dict[int, list[Anchor]] = {}
    for place in narration.places:
        if place.relation in ("here", "ahead"):
            said.setdefault(leg_at(stretches, place.time_ms).leg, []).append(from_footage(place))
    for meeting in met:
        source = meeting.source
        anchor = Anchor(meeting.time_ms, meeting.distance_mm, meeting.sd_ft, source, WRONG[source])
        said.setdefault(leg_at(stretches, meeting.time_ms).leg, []).append(anchor)
    backings = [m.time_ms for m in narration.motions if m.what == "back-up"]
    legs = {}
    logs = logs_by_leg(counter, stretches)
    for stretch in stretches:
        home = next(
            (t for t in homes if stretch.back_ms is not None and stretch.back_ms < t <= stretch.end_ms), None
        )
        extra = [
            Anchor(t, d, FAR_SD_FT, "far end", WRONG["far end"])
            for t, d in far_ends
            if stretch.from_ms <= t <= stretch.end_ms
        ][:1]
        if length_mm is not None and stretch is stretches[-1]:
            ends = [m.time_ms for m in narration.motions if m.what == "end" and m.time_ms >= stretch.from_ms]
            turned = stretch.back_ms if stretch.back_ms is not None else stretch.end_ms
            end_ms = min([*ends, turned])
            extra.append(Anchor(end_ms, length_mm, LENGTH_SD_FT, "total length", WRONG["total length"]))
        maker = _LegMaker(stretch, travel, backings, logs[stretch.leg] or counter)
        told = sorted(said.get(stretch.leg, []), key=lambda a: a.time_ms)
        legs[stretch.leg] = maker.make(told, extra, home)
    return Track(stretches, legs, counter, travel)


class _LegMaker:
    """Fits the passes of one leg."""

    def __init__(
        self,
        stretch: Stretch,
        travel: Travel,
        backings: Sequence[Milliseconds],
        counter: tuple[CounterReading, ...],
    ) -> None:
        self.stretch, self.travel, self.backings = stretch, travel, backings
        self.counter = counter
        self.logged = bool(counter)
        self.disputed: list[tuple[Milliseconds, Milliseconds]] = []

    def make(self, said: list[Anchor], extra: list[Anchor], home_ms: Milliseconds | None) -> LegTrack:
        stretch = self.stretch
        zero_ms = stretch.push_ms
        # where neither a start nor a zeroing was said, zero is only likely
        sure = stretch.start_ms is not None or stretch.zeroed
        zero = Anchor(zero_ms, 0, ZERO_SD_FT, "zero", WRONG["zero"] if sure else UNSURE_ZERO)
        if self.logged:
            first = self.counter[0]
            begin = Anchor(first.time_ms, first.distance_mm, ZERO_SD_FT, "log", WRONG["log"])
        else:
            begin = zero
        turn_ms = stretch.back_ms
        early = [a.put_aside("said before the camera set off") for a in said if a.time_ms <= zero.time_ms]
        outward = [
            a for a in said if zero.time_ms < a.time_ms <= (turn_ms if turn_ms is not None else a.time_ms)
        ]
        homeward = [a for a in said if turn_ms is not None and a.time_ms > max(turn_ms, zero.time_ms)]
        told = sorted([begin, *outward, *extra], key=lambda a: a.time_ms)
        out, aside = self._pass(told, 1)
        lost = sum(a.source == "footage" and a.wrong < WRONG_BARE for a in aside)
        allowed = 0.4 if stretch.start_ms is not None else 0.15
        ordered = lost < FEW or lost <= allowed * len(outward)
        back = None
        anchors = [*out.anchors, *aside, *early]
        if turn_ms is not None:
            back, lost_home = self._home(out, turn_ms, homeward, home_ms)
            anchors += [a for a in (*back.anchors, *lost_home) if a.source != "turn"]
        known = self.logged or any(a.source not in ("zero", "log") for a in out.anchors)
        return LegTrack(
            stretch,
            out if known else None,
            back if known else None,
            tuple(sorted(anchors, key=lambda a: a.time_ms)),
            ordered,
            home_ms,
            tuple(self.disputed),
        )

    def _home(
        self, out: Path, turn_ms: Milliseconds, said: list[Anchor], home_ms: Milliseconds | None
    ) -> tuple[Path, list[Anchor]]:
        furthest, sd, _ = out.at(turn_ms)
        turn = Anchor(turn_ms, round(furthest * MM_PER_FOOT), max(sd, 0.5), "turn", WRONG["turn"])
        last_ms = home_ms if home_ms is not None else self.stretch.end_ms
        told = [a for a in said if a.time_ms < last_ms]
        late = [a.put_aside("said after the camera was home") for a in said if a.time_ms >= last_ms]
        if home_ms is not None:
            told.append(Anchor(home_ms, 0, HOME_SD_FT, "home", WRONG["home"]))
        back, aside = self._pass([turn, *told], -1)
        return back, [*aside, *late]

    def _pass(self, told: list[Anchor], sign: int) -> tuple[Path, list[Anchor]]:
        """The path of one pass, and the anchors put aside, each with its reason."""
        if self.logged:
            logged = self._reckoning(told, sign)
            told = [_lagging(a, logged) for a in told]
            chain = keep_by_log(told, logged)
        else:
            travel_s = self.travel.until(np.array([a.time_ms for a in told], dtype=float))
            backed = told_between(self.backings, [a.time_ms for a in told])
            chain = keep_by_pace(told, travel_s, sign, backed)
        kept = [told[i] for i in chain.kept]
        path = fit(kept, self._reckoning(kept, sign))
        self.disputed += self._disputes(told, chain, path)
        left = [a for i, a in enumerate(told) if i not in chain.kept]
        return path, [a.put_aside(does_not_fit(a, path.at(a.time_ms)[0])) for a in left]

    def _disputes(
        self, told: list[Anchor], chain: Chain, path: Path
    ) -> list[tuple[Milliseconds, Milliseconds]]:
        """The times between footages kept at which others tell of another place, and may as well be right."""
        if self.logged or sum(a.source == "footage" for a in told) < ENOUGH:
            return []
        aside = [a for i, a in enumerate(told) if i not in chain.kept and a.wrong < WRONG_BARE]
        if len(aside) >= MANY and len(aside) >= MANY_SHARE * sum(a.source == "footage" for a in told):
            return [(path.times_ms[0], self.stretch.end_ms)]
        found = []
        for a in (told[i] for i in chain.rivals):
            if abs(a.feet - path.at(a.time_ms)[0]) > DISPUTED_FT:
                k = bisect_right(path.times_ms, a.time_ms)
                found.append(
                    (
                        path.times_ms[max(0, k - 1)],
                        path.times_ms[k] if k < len(path.times_ms) else self.stretch.end_ms,
                    )
                )
        return found

    def _reckoning(self, kept: list[Anchor], sign: int) -> Reckoning:
        if self.logged:
            times = np.array([r.time_ms for r in self.counter], dtype=float)
            feet = np.array([r.distance_mm / MM_PER_FOOT for r in self.counter])
            return by_counter(times, feet, np.diff(times) > SILENT_MS, self.travel)
        travel_s = self.travel.until(np.array([a.time_ms for a in kept], dtype=float))
        feet = np.array([a.feet for a in kept])
        pace = usual_pace(travel_s, sign * feet)
        begin = min(self.stretch.from_ms, kept[0].time_ms)
        end = max(self.stretch.end_ms, kept[-1].time_ms)
        return by_pace(self.travel, sign * pace, self.backings, begin, end)
