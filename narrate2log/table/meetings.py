"""Moments at things whose place is known: met again on the way home, or feet told from them."""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise

from narrate2log.footage.track import Meeting, Track
from narrate2log.records import Mention, Narration, Placement
from narrate2log.table.merge import ONCE_A_LEG, SEEN, STRETCHES, Gatherer, Row
from narrate2log.units import MM_PER_FOOT, Milliseconds

# A thing whose own place is less certain than this says nothing of the camera's, feet.
CERTAIN_FT = 4.0
# From seeing a thing again to naming it the camera goes on, feet (standard deviation); and an interval
# that holds nine in ten is so many standard deviations wide.
PASSING_FT = 1.0
WIDTH_SDS = 3.29
# How well the feet from one thing to the next are judged by eye (standard deviation).
BY_EYE_FT = 1.0
# Words that may stand for what runs over a length, or for no thing in the pipe.
NO_SPOT = (
    STRETCHES | ONCE_A_LEG | {"material", "pipe-size", "recommendation", "limitation", "flush", "locate"}
)


def meetings(narration: Narration, track: Track) -> tuple[Meeting, ...]:
    """All such moments of a run, by a first track that knows none of them."""
    gatherer = Gatherer(track, narration.mentions)
    rows = gatherer.gather()
    backings = [m.time_ms for m in narration.motions if m.what == "back-up"]
    return (
        *_met_again(rows, track, backings),
        *_met_in_order(gatherer, narration, track),
        *_told_from(rows, narration, track),
    )


def _met_again(rows: list[Row], track: Track, backings: list[Milliseconds]) -> list[Meeting]:
    """The moments at which something told on the way out is surely told again: backed up to, or going home.

    Surely: by words that mean the same thing ("there is that"), and the only one of its kind on the leg.
    """
    kinds = Counter((row.feature, row.leg) for row in rows if row.standing in SEEN)
    found = []
    for row in rows:
        alone = kinds[row.feature, row.leg] == 1
        if row.standing in SEEN and row.feature not in NO_SPOT and alone and row.placement.going == "out":
            for before, m in pairwise(row.mentions):
                backed = any(before.start_ms < at < m.start_ms for at in backings)
                meeting = _meeting(row, m, track, backed=backed)
                found += [meeting] if meeting is not None else []
    return found


def _met_in_order(gatherer: Gatherer, narration: Narration, track: Track) -> list[Meeting]:
    """The moments at which one of several alike is surely the one told again on the way home."""
    found = []
    for i, row in gatherer.meant.items():
        if row is not None and i not in gatherer.open_which and row.feature not in NO_SPOT:
            meeting = _meeting(row, narration.mentions[i], track, backed=False)
            found += [meeting] if meeting is not None else []
    return found


def _told_from(rows: list[Row], narration: Narration, track: Track) -> list[Meeting]:
    """The moments at which the camera was told to be so far past or before something."""
    found = []
    for offset in narration.offsets:
        here = track.at(offset.time_ms)
        # what the same sentence names first is placed by this very moment
        marks = [
            row
            for row in rows
            if row.feature == offset.feature
            and row.leg == here.leg
            and row.standing in SEEN
            and row.end_mm is None
            and not row.several
            and row.mentions[0].sentence != offset.sentence
            and (row.first_ms < offset.time_ms or offset.high_mm < 0)
        ]
        if not marks or here.going == "back":
            continue
        # the one last passed, or the one come to next
        mark = min(marks, key=lambda row: abs(row.first_ms - offset.time_ms))
        wide_ft = _certain_ft(mark.placement)
        if wide_ft is None or mark.placement.distance_mm is None:
            continue
        distance_mm = mark.placement.distance_mm + (offset.low_mm + offset.high_mm) // 2
        if distance_mm > 0:
            half_ft = (offset.high_mm - offset.low_mm) / 2 / MM_PER_FOOT
            sd_ft = math.hypot(BY_EYE_FT, half_ft, wide_ft / WIDTH_SDS)
            found.append(Meeting(offset.time_ms, distance_mm, sd_ft, "landmark"))
    return found


def _certain_ft(at: Placement) -> float | None:
    """How wide the interval of a place is, feet; None where it is too wide to tell the camera's place."""
    if at.low_mm is None or at.high_mm is None:
        return None
    wide_ft = (at.high_mm - at.low_mm) / MM_PER_FOOT
    return wide_ft if wide_ft <= CERTAIN_FT else None


def _meeting(row: Row, mention: Mention, track: Track, *, backed: bool) -> Meeting | None:
    at, here = row.placement, track.at(mention.start_ms)
    wide_ft = _certain_ft(at)
    if at.distance_mm is None or wide_ft is None or row.end_mm is not None or row.several:
        return None
    home_ms = track.legs[row.leg].home_ms
    again = here.going == "back" or backed
    met = again and here.leg == row.leg and (home_ms is None or mention.start_ms < home_ms)
    if not met or mention.relation != "same" or mention.place is not None:
        return None
    sd_ft = math.hypot(PASSING_FT, wide_ft / WIDTH_SDS)
    return Meeting(mention.start_ms, at.distance_mm, sd_ft)
