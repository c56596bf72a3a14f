"""Which mentions are one thing: re-tellings, denials of what was asked, edges of a stretch."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import takewhile

import numpy as np

from narrate2log.footage.track import Track
from narrate2log.records import TAKEN_BACK, Fields, Mention, Placement, Standing
from narrate2log.table.homeward import Naming, in_order
from narrate2log.units import MM_PER_FOOT, Millimetres, Milliseconds

# How long talk stays at one thing without naming a place, and how far apart two of a kind must be.
TALK_MS = 10_000
STAND_MS = 45_000
# A thing named anew after a longer silence than this is taken for the next of its kind.
BREATH_MS = 4_000
NEAR_MM = 2.5 * MM_PER_FOOT
# On the way home a re-telling may be this far off, whichever is larger: feet, or a share of the way.
HOME_MM = 12 * MM_PER_FOOT
HOME_SHARE = 0.25
# A denial points back at a claim made within this time.
DENIES_MS = 25_000
# One row a leg, however often it is said.
ONCE_A_LEG = frozenset({"start", "flow", "water-on", "water-off", "counter-reset", "end-of-run", "pull-back"})
# Said again within this time an event is the same event; later it is none of the run's.
EVENT_MS = 20_000
SEEN = frozenset({"seen", "possible"})
WORSE = {None: -1, "minor": 0, "moderate": 1, "severe": 2}


@dataclass
class Row:
    """A row being gathered: its mentions, where it is, and what is known of it so far."""

    feature: str
    standing: Standing
    placement: Placement
    mentions: list[Mention] = field(default_factory=list)
    fields: Fields = field(default_factory=Fields)
    end_mm: Millimetres | None = None
    general: bool = False
    placed: bool = True
    ended: bool = False
    sense: str | None = None
    until: str | None = None
    objects: tuple[str, ...] = ()
    reasons: list[str] = field(default_factory=list)

    @property
    def first_ms(self) -> Milliseconds:
        """When it was first told."""
        return self.mentions[0].start_ms

    @property
    def last_ms(self) -> Milliseconds:
        """When the last telling ended."""
        return self.mentions[-1].end_ms

    @property
    def leg(self) -> int:
        """The leg it is on."""
        return self.placement.leg

    @property
    def several(self) -> bool:
        """Whether it stands for more than one of the kind, over some feet."""
        return any(m.several for m in self.mentions)

    def covers(self, mm: Millimetres, slack: float) -> bool:
        """Whether a distance lies on the thing, give or take `slack` millimetres."""
        if self.placement.distance_mm is None:
            return False
        end = self.end_mm if self.end_mm is not None else self.placement.distance_mm
        return self.placement.distance_mm - slack <= mm <= end + slack


def _hours_apart(a: Fields, b: Fields) -> int | None:
    if a.clock_from is None or b.clock_from is None:
        return None
    apart = abs(a.clock_from - b.clock_from) % 12
    return min(apart, 12 - apart)


def merge_fields(old: Fields, new: Fields, corrects: bool) -> Fields:
    """Severity and amount are the worst said, a corrected value the last; the rest is the last said."""
    values: dict[str, object] = {}
    for name in Fields.__slots__:
        before, after = getattr(old, name), getattr(new, name)
        if after is None:
            values[name] = before
        elif before is None or corrects:
            values[name] = after
        elif name == "severity":
            values[name] = after if WORSE[after] > WORSE[before] else before
        elif name in ("amount_pct", "amount_in"):
            values[name] = max(before, after)
        else:
            values[name] = after
    if new.clock_from is not None:
        values["clock_to"] = new.clock_to
    return Fields(**values)  # type: ignore[arg-type]


# How much likelier it is that the words fit one of several alike if they say what was said of it (its
# logarithm), and how much less if they say otherwise; and the cost of its being none of them. Choices.
FITS, FITS_NOT = -1.0, 3.0
NONE_OF_THEM = {"same": 14.0, "new": 10.0, "another": 2.0}


def _naming(m: Mention, here_mm: Millimetres, rows: list[Row]) -> Naming:
    """A mention on the way home as one of several rows of its kind."""
    here = here_mm / MM_PER_FOOT
    feet = []
    for row in rows:
        begin = (row.placement.distance_mm or 0) / MM_PER_FOOT
        end = begin if row.end_mm is None else row.end_mm / MM_PER_FOOT
        feet.append(min(max(here, begin), end))
    costs = tuple(
        _unlike(row.fields, m.fields)
        + (0.0 if m.ordinal is None else FITS if m.ordinal == number else FITS_NOT)
        for number, row in enumerate(rows, 1)
    )
    return Naming(m.start_ms / 1000, here, m.feature, tuple(feet), costs, NONE_OF_THEM[m.relation])


def _unlike(row: Fields, said: Fields) -> float:
    """How badly what is said now fits what was said of a row: side, severity and amount."""
    cost = 0.0
    apart = _hours_apart(row, said)
    if apart is not None:
        cost += FITS if apart <= 1 else FITS_NOT
    if said.severity is not None and row.severity is not None:
        cost += FITS if said.severity == row.severity else FITS_NOT / 2
    for before, now, near in (
        (row.amount_pct, said.amount_pct, 10.0),
        (row.amount_in, said.amount_in, 0.5),
    ):
        if before is not None and now is not None:
            cost += FITS if abs(before - now) <= near else FITS_NOT / 2
    return cost


# A footage recalled after the run is as good as the memory of a whole number of feet.
RECALLED_MM = MM_PER_FOOT


class Gatherer:
    """Takes mentions in order of time and gathers them into rows."""

    def __init__(self, track: Track, mentions: tuple[Mention, ...]) -> None:
        self.track = track
        self.mentions = mentions
        self.rows: list[Row] = []
        self.row_of: dict[int, Row] = {}
        self.index = 0
        self.by_feature: dict[str, list[Row]] = {}
        # rows of several things whose end has not been told
        self.unended: list[Row] = []
        # which row a naming on the way home means where several are alike, None for none of them
        self.meant: dict[int, Row | None] = {}
        self.planned: set[int] = set()
        # of these it is open which of several alike they mean
        self.open_which: set[int] = set()
        # where the camera was on the way home, as told by what it met again
        self.met: dict[int, tuple[Milliseconds, Millimetres]] = {}

    def gather(self) -> list[Row]:
        """All rows, in order of first mention."""
        for i, mention in enumerate(self.mentions):
            if mention.rule == TAKEN_BACK:
                continue
            at = self._recalled(mention, self.track.placed(mention.start_ms, mention.place, mention.offset))
            if at.going == "back" and at.leg not in self.planned:
                self.planned.add(at.leg)
                self._plan_the_way_home(at.leg, i)
            self.index = i
            rows = self._rows_for(mention, at)
            if mention.standing != "reported" and mention.feature != "recommendation":
                self._end_several(mention.start_ms, rows)
            for row in rows:
                self._add(row, i, mention, at)
        self._end_several(None, [])
        return self.rows

    # --- several in one breath ----------------------------------------------------------------

    def _end_several(self, next_ms: Milliseconds | None, told: list[Row]) -> None:
        """End what is told of as several along here where the next thing or footage is told.

        `next_ms` is when a thing of the rows `told` is, None at the end of the talk.
        """
        for row in [r for r in self.unended if r not in told]:
            self.unended.remove(row)
            if row.standing in SEEN and row.end_mm is None:
                self._reach(row, self.track.at(self._left_ms(row, next_ms)))

    def _left_ms(self, row: Row, next_ms: Milliseconds | None) -> Milliseconds:
        """When the talk had gone on to something else; where it never does, when it ends."""
        leg = self.track.legs[row.leg]
        called = [a.time_ms for a in leg.anchors if a.source == "footage" and a.time_ms > row.last_ms]
        after = [*called[:1], *([] if next_ms is None else [next_ms])]
        turn_ms = leg.stretch.back_ms
        if turn_ms is not None and row.placement.going == "out":
            after.append(max(turn_ms, row.last_ms))
        return min([t for t in after if leg.stretch.from_ms <= t < leg.stretch.end_ms], default=row.last_ms)

    def _reach(self, row: Row, far: Placement) -> None:
        """Let a row run to another place of its leg and pass; seen on the way home that is nearer."""
        here, there = row.placement.distance_mm, far.distance_mm
        if here is None or there is None or (far.leg, far.going) != (row.leg, row.placement.going):
            return
        if there < here and far.going == "back":
            row.placement, row.end_mm = far, here
        elif there > here:
            row.end_mm = there

    # --- finding the row ----------------------------------------------------------------------

    def _rows_for(self, m: Mention, at: Placement) -> list[Row]:
        if m.about is not None:
            row = self.row_of.get(m.about)
            return [row] if row else []
        mine = self.by_feature.get(m.feature, [])
        if m.feature in ONCE_A_LEG:
            return self._once(m, at, mine)
        if m.relation == "echo":
            return self._echo(m, at, mine)
        if m.standing == "reported":
            told = [
                r
                for r in mine
                if r.standing == "reported" and m.start_ms - r.last_ms <= TALK_MS and r.leg == at.leg
            ]
            return told[-1:] or [self._new(m, at)]
        if m.standing == "not-seen":
            return [self._denied(m, at, mine)]
        if m.feature == "material":
            return [self._material(m, at, mine)]
        if m.feature in ("recommendation", "locate", "flush", "flush-arrival"):
            quick = m.feature in ("locate", "flush", "flush-arrival")
            again = [r for r in mine if quick and m.start_ms - r.last_ms <= 1.5 * TALK_MS]
            return again[-1:] or [self._new(m, at)]
        if m.feature == "limitation":
            again = [r for r in mine if r.sense == m.sense and r.leg == at.leg]
            return again[-1:] or [self._new(m, at)]
        row = self._again(m, at, [r for r in mine if r.leg == at.leg])
        if row is None and self._is_home(m, at):
            return [self._new(m, at)] if m.place is not None and m.feature != "surface-mark" else []
        return [row or self._new(m, at)]

    def _recalled(self, m: Mention, at: Placement) -> Placement:
        """Once the camera is out a footage says where the thing was, not where the camera is."""
        if m.place is None or m.place.relation == "behind" or not self._is_home(m, at):
            return at
        return replace(
            at,
            distance_mm=(m.place.low_mm + m.place.high_mm) // 2,
            low_mm=round(max(0, m.place.low_mm - RECALLED_MM)),
            high_mm=round(m.place.high_mm + RECALLED_MM),
            basis="spoken",
        )

    def _is_home(self, m: Mention, at: Placement) -> bool:
        """Whether the camera was back out by then, so that nothing new can be seen."""
        leg = self.track.legs[at.leg]
        return at.going == "back" and leg.home_ms is not None and m.start_ms > leg.home_ms

    def _once(self, m: Mention, at: Placement, mine: list[Row]) -> list[Row]:
        same = [r for r in mine if r.leg == at.leg]
        if not same:
            # back out of the pipe, "that's it" ends the talk and no run
            return [] if m.feature == "end-of-run" and self._is_home(m, at) else [self._new(m, at)]
        if m.feature in ("flow", "water-on") or m.start_ms - same[-1].last_ms <= EVENT_MS:
            return same[-1:]
        return []

    def _echo(self, m: Mention, at: Placement, mine: list[Row]) -> list[Row]:
        if m.feature == "material":
            return self._material_again(m, at, mine)
        seen = [r for r in mine if r.standing in SEEN and r.leg == at.leg] or [
            r for r in mine if r.standing in SEEN
        ]
        if m.ordinal is not None:
            return seen[m.ordinal - 1 : m.ordinal]
        if m.place is not None and m.place.relation != "behind":
            middle = (m.place.low_mm + m.place.high_mm) // 2
            return [r for r in seen if r.covers(middle, 4 * MM_PER_FOOT)][:2]
        if m.all_of_kind:
            fitting = [
                r for r in seen if m.fields.severity is not None and r.fields.severity == m.fields.severity
            ]
            chosen = fitting or seen
            return chosen if len(chosen) <= 3 else chosen[-1:]
        return seen[-1:]

    def _denied(self, m: Mention, at: Placement, mine: list[Row]) -> Row:
        if m.general:
            general = [r for r in mine if r.standing == "not-seen" and r.general and r.leg == at.leg]
            return general[-1] if general else self._new(m, at)
        if m.relation == "same":
            claims = [
                r
                for r in mine
                if r.standing in SEEN and m.start_ms - r.last_ms <= DENIES_MS and len(r.mentions) <= 3
            ]
            if claims:
                return claims[-1]
        denied = [
            r
            for r in mine
            if r.standing == "not-seen"
            and not r.general
            and m.start_ms - r.last_ms <= TALK_MS
            and self._near(r, at, NEAR_MM)
        ]
        return denied[-1] if denied else self._new(m, at)

    def _material(self, m: Mention, at: Placement, mine: list[Row]) -> Row:
        here = [r for r in mine if r.leg == at.leg]
        if m.corrects and here and m.start_ms - here[-1].last_ms <= 2 * TALK_MS:
            return here[-1]
        same = [
            r for r in here if r.fields.material == m.fields.material and m.start_ms - r.last_ms <= TALK_MS
        ]
        return same[-1] if same else self._new(m, at)

    def _material_again(self, m: Mention, at: Placement, mine: list[Row]) -> list[Row]:
        here = [r for r in mine if r.leg == at.leg] or mine
        index = next(
            (i for i in range(len(here) - 1, -1, -1) if here[i].fields.material == m.fields.material), None
        )
        if index is None:
            return []
        if at.going == "back" and index + 1 < len(here):
            # back in the plastic: the plastic again, and the boundary just passed
            return [here[index], here[index + 1]]
        return [here[index]]

    def _near(self, row: Row, at: Placement, slack: float) -> bool:
        if at.distance_mm is None or row.placement.distance_mm is None:
            return True
        return row.covers(at.distance_mm, slack)

    def _again(self, m: Mention, at: Placement, mine: list[Row]) -> Row | None:
        """The row that a sighting tells again, or None for a new thing."""
        rows = [r for r in mine if r.standing in SEEN]
        if m.feature == "pipe-size":
            same = [
                r
                for r in rows
                if r.fields.size_in == m.fields.size_in or m.start_ms - r.last_ms <= 0.8 * TALK_MS
            ]
            return same[-1] if same else None
        if m.relation == "same" and not rows:
            denied = [
                r
                for r in mine
                if r.standing == "not-seen" and not r.general and m.start_ms - r.last_ms <= TALK_MS
            ]
            return denied[-1] if denied and m.sure else None
        if not rows:
            return None
        if at.going == "back":
            return self._on_the_way_home(m, at, rows)
        if m.relation == "another":
            return None
        return self._on_the_way_out(m, at, rows)

    def _on_the_way_out(self, m: Mention, at: Placement, rows: list[Row]) -> Row | None:
        last = max(rows, key=lambda r: r.last_ms)
        since = m.start_ms - last.last_ms
        apart = _hours_apart(last.fields, m.fields)
        differs = apart is not None and apart > 1 and not m.corrects
        if (
            m.place is not None
            and m.place.relation in ("here", "ahead", "elsewhere")
            and at.basis == "spoken"
            and at.distance_mm is not None
        ):
            on = [r for r in rows if r.covers(at.distance_mm, NEAR_MM)]
            if on and not (differs and on[-1] is last):
                return on[-1]
            if m.ends and not last.ended:
                return last
            open_ones = [
                r
                for r in rows
                if _is_open(r)
                and r.placement.distance_mm is not None
                and r.placement.distance_mm <= at.distance_mm
            ]
            if open_ones:
                return open_ones[-1]
            return (
                last if since <= TALK_MS // 2 and (m.corrects or last.placement.basis != "spoken") else None
            )
        if (
            last.feature in STRETCHES
            and not last.ended
            and (_is_open(last) or m.ends or m.relation == "same" or since <= 2 * TALK_MS)
        ):
            return last
        if differs:
            return None
        if since <= (TALK_MS if m.relation == "same" or last.feature in STRETCHES else BREATH_MS):
            return last
        standing_still = (
            since <= STAND_MS
            and self._near(last, at, 0.6 * MM_PER_FOOT)
            and at.basis in ("counter", "spoken")
        )
        if standing_still or (
            m.relation == "same" and since <= 2 * STAND_MS and self._near(last, at, 3 * NEAR_MM)
        ):
            return last
        return None

    def _plan_the_way_home(self, leg: int, first: int) -> None:
        """Find which of several alike each naming on the way home means, from mention `first` on."""
        back = self.track.legs[leg].back
        if back is None or self.track.counter:
            return
        home_ms = self.track.legs[leg].home_ms
        told: list[tuple[Naming, int, list[Row]]] = [
            (Naming(a.time_ms / 1000, a.feet, "", (a.feet,), (0.0,)), -1, []) for a in back.anchors
        ]
        seen: dict[str, list[Row]] = {}
        # Legs follow one another, and so do their rows.
        for row in takewhile(lambda row: row.leg >= leg, reversed(self.rows)):
            if row.leg == leg and row.standing in SEEN and row.placement.distance_mm is not None:
                seen.setdefault(row.feature, []).insert(0, row)
        end_ms = self.track.legs[leg].stretch.end_ms
        for i in range(first, len(self.mentions)):
            m = self.mentions[i]
            if m.start_ms >= end_ms:
                break
            rows = seen.get(m.feature, [])
            alike = len(rows) > 1 and m.feature not in STRETCHES | ONCE_A_LEG | {"material", "pipe-size"}
            named = m.standing in SEEN and m.relation != "echo" and m.about is None and m.place is None
            if not (alike and named) or m.rule == TAKEN_BACK:
                continue
            at = self.track.placed(m.start_ms, m.place, m.offset)
            on_the_way = at.leg == leg and at.going == "back" and (home_ms is None or m.start_ms < home_ms)
            if on_the_way and at.distance_mm is not None and at.basis != "spoken":
                told.append((_naming(m, at.distance_mm, rows), i, rows))
        told.sort(key=lambda one: one[0].second)
        for (_, i, rows), meant in zip(told, in_order([one[0] for one in told]), strict=True):
            if i >= 0:
                self.meant[i] = None if meant.which is None else rows[meant.which]
                self.open_which |= {i} if meant.open else set()

    def _on_the_way_home(self, m: Mention, at: Placement, rows: list[Row]) -> Row | None:
        if self.index in self.meant:
            meant = self.meant[self.index]
            rows = [r for r in rows if r.placement.going == "back"]
            if meant is not None or not rows:
                return meant
        here = self._home_distance(m, at)
        told = m.place is not None and at.basis == "spoken"
        if here is None:
            return rows[-1]

        def score(r: Row) -> float:
            if r.placement.distance_mm is None:
                return 30 * MM_PER_FOOT
            end = r.end_mm if r.end_mm is not None else r.placement.distance_mm
            off = max(0.0, r.placement.distance_mm - here, here - end)
            apart = _hours_apart(r.fields, m.fields)
            off += 6 * MM_PER_FOOT * (apart is not None and apart > 1)
            off += (
                6
                * MM_PER_FOOT
                * (m.fields.severity is not None and r.fields.severity not in (None, m.fields.severity))
            )
            off -= (
                4 * MM_PER_FOOT * (m.fields.severity is not None and r.fields.severity == m.fields.severity)
            )
            off -= 3 * MM_PER_FOOT * (apart is not None and apart <= 1)
            return off

        best = min(rows, key=score)
        reach = (
            (4 * MM_PER_FOOT + 0.05 * here) if told or self.track.counter else max(HOME_MM, HOME_SHARE * here)
        )
        if m.relation == "another":
            reach = min(reach, NEAR_MM)
        if len(rows) == 1 and m.relation == "same":
            reach *= 4
        return best if score(best) <= reach else None

    def _home_distance(self, m: Mention, at: Placement) -> Millimetres | None:
        """The camera's place on the way home, no further out than the last thing met again."""
        met = self.met.get(at.leg)
        if at.distance_mm is None or self.track.counter or at.basis == "spoken" or met is None:
            return at.distance_mm
        leg = self.track.legs[at.leg]
        if leg.home_ms is None or leg.home_ms <= met[0]:
            return min(at.distance_mm, met[1])
        met_s, now_s, home_s = self.track.travel.until(
            np.array([met[0], m.start_ms, leg.home_ms], dtype=float)
        )
        share = (now_s - met_s) / (home_s - met_s) if home_s > met_s else 1.0
        return round(met[1] * (1 - min(1.0, max(0.0, float(share)))))

    # --- gathering ----------------------------------------------------------------------------

    def _new(self, m: Mention, at: Placement) -> Row:
        row = Row(m.feature, m.standing, at, general=m.general, placed=m.placed, sense=m.sense)
        self.rows.append(row)
        self.by_feature.setdefault(m.feature, []).append(row)
        return row

    def _add(self, row: Row, index: int, m: Mention, at: Placement) -> None:
        first = not row.mentions
        if index in self.open_which:
            # it may be another's, so that nothing of it is taken but that it was told
            m = replace(m, fields=Fields(), standing=row.standing, sense=None, until=None, ends=False)
            row.reasons.append("told again on the way home, or another of its kind was")
        self.row_of[index] = row
        row.mentions.append(m)
        if first and m.several:
            self.unended.append(row)
        fields = m.fields
        if row.feature in ("recommendation", "limitation", "material") and not first:
            fields = replace(Fields(), material=fields.material if m.corrects else None)
        if (
            not first
            and not m.corrects
            and row.fields.clock_from is not None
            and m.start_ms - row.first_ms > TALK_MS
        ):
            # told again later, a coarser position does not unsay the first
            fields = replace(fields, clock_from=None, clock_to=None)
        row.fields = merge_fields(row.fields, fields, m.corrects)
        row.sense = row.sense or m.sense
        row.until = row.until or m.until
        if not first:
            self._settle_standing(row, m)
            better = (
                at.basis == "spoken"
                and row.placement.basis != "spoken"
                and m.place is not None
                and not m.ends
            )
            soon = m.start_ms - row.first_ms <= TALK_MS
            if better and m.place is not None and m.place.relation == "here" and soon and not _is_long(row):
                row.placement = replace(at, leg=row.leg, going=row.placement.going)
            if (
                m.corrects
                and m.place is not None
                and at.distance_mm is not None
                and at.basis == "spoken"
                and soon
            ):
                row.placement = replace(at, leg=row.leg, going=row.placement.going)
        self._stretch(row, m, at, first)
        row.reasons += [d for d in m.doubts if d not in row.reasons]
        if m.place is not None and not self._is_home(m, at) and self.track.contradicted(m.start_ms, m.place):
            row.reasons.append("the footage said with it does not fit the others")
        told = self.track.told_from(m.offset) if m.offset is not None else None
        if told is not None and told.aside is not None:
            row.reasons.append("the feet told from something else do not fit the footages")
        if self.track.met_elsewhere(m.start_ms):
            row.reasons.append("told again on the way home, but not where it was")
        if (
            at.going == "back"
            and not first
            and row.placement.distance_mm is not None
            and row.standing in SEEN
            and row.feature not in ONCE_A_LEG
        ):
            self.met[at.leg] = (m.start_ms, row.placement.distance_mm)

    def _settle_standing(self, row: Row, m: Mention) -> None:
        """The last word counts, as far as it is one."""
        if row.standing == m.standing or "reported" in (row.standing, m.standing):
            return
        if m.standing == "not-seen":
            row.standing, row.fields = (
                "not-seen",
                Fields(clock_from=row.fields.clock_from, clock_to=row.fields.clock_to),
            )
            row.reasons = [r for r in row.reasons if not r.startswith("asked")]
        elif m.standing == "possible" and row.standing == "seen":
            if m.start_ms - row.first_ms <= TALK_MS:
                row.standing = "possible"
        elif (
            m.standing == "seen"
            and m.relation != "echo"
            # "a possible cross bore, a yellow line through the pipe" goes on to tell what is seen of it
            and (m.sure or m.sentence != row.mentions[-2].sentence)
            and (
                m.sure or m.start_ms - row.last_ms <= TALK_MS or (row.standing == "possible" and row.reasons)
            )
        ):
            row.standing = "seen"
            row.reasons = [r for r in row.reasons if not r.startswith("asked")]

    def _stretch(self, row: Row, m: Mention, at: Placement, first: bool) -> None:
        if row.standing not in SEEN or (row.ended and not m.end_place):
            return
        start = row.placement.distance_mm
        if m.end_place is not None:
            row.end_mm, row.ended = m.end_place.high_mm, True
            if m.place is not None and m.place.relation == "elsewhere" and first:
                row.placement = replace(row.placement, distance_mm=m.place.low_mm)
        elif m.length_mm is not None and start is not None and not m.ends and row.end_mm is None:
            row.end_mm = start + m.length_mm
        elif (
            m.ends
            and at.going == "out"
            and not first
            and at.distance_mm is not None
            and start is not None
            and at.distance_mm > start
        ):
            row.end_mm, row.ended = at.distance_mm, True
        elif m.ends:
            row.ended = True


# Things that go on until their end is told.
STRETCHES = frozenset({"belly", "grease", "scale", "deposit", "corrosion", "lining", "low-slope", "backfall"})


def _is_long(row: Row) -> bool:
    return row.feature in STRETCHES


def _is_open(row: Row) -> bool:
    """Whether a stretch has begun and its end has not been told."""
    return (
        row.feature in STRETCHES
        and not row.ended
        and row.end_mm is None
        and (row.feature == "belly" or any(m.begins for m in row.mentions))
    )
