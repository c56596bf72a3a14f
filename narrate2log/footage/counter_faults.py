"""What counters get wrong: readings that drop out for a moment, that stick, or that count in another unit."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median

import numpy as np

from narrate2log.footage.consistent import FASTEST_BACK
from narrate2log.records import CounterReading, SpokenPlace
from narrate2log.units import MM_PER_FOOT, Millimetres, Milliseconds, ms_to_seconds

# Readings may differ by this beside what the cable can move, feet.
JITTER_FT = 2.0
# A counter that shows the same for so long and then leaps was stuck.
STUCK_MS: Milliseconds = 6_000
# A drop-out lasts no longer than this.
DROPOUT_MS: Milliseconds = 5_000
# Less than this is no distance to compare units by, feet.
COMPARED_FT = 3.0
# So many footages, most of them off by the same ratio, show another unit.
COMPARED = 4
METRES_IN_FEET = 1000 / MM_PER_FOOT


def mend(
    readings: Sequence[CounterReading], clips_ms: Sequence[Milliseconds] = ()
) -> tuple[tuple[CounterReading, ...], tuple[str, ...]]:
    """The readings that can be believed, and what was wrong with the others, a sentence each.

    `clips_ms` are the moments at which a further clip of the run begins: before it the camera may have gone
    on unheard, so that the log leaps there and nothing is wrong with it.
    """
    kept: list[CounterReading] = []
    dropped: list[CounterReading] = []
    stuck: list[tuple[CounterReading, CounterReading]] = []
    i = 0
    while i < len(readings):
        now = readings[i]
        parted = kept and any(kept[-1].time_ms <= begin <= now.time_ms for begin in clips_ms)
        if kept and not parted and _leaps(kept[-1], now):
            back = next(
                (
                    j
                    for j in range(i + 1, len(readings))
                    if readings[j].time_ms - now.time_ms <= DROPOUT_MS
                    and _leaps(readings[j - 1], readings[j])
                    and not _leaps(kept[-1], readings[j])
                ),
                None,
            )
            if back is not None:
                dropped += readings[i:back]
                i = back
                continue
            since = _stood_since(kept)
            if kept[-1].time_ms - kept[since].time_ms >= STUCK_MS and now.distance_mm > kept[-1].distance_mm:
                stuck.append((kept[since], kept[-1]))
                del kept[since + 1 :]
        kept.append(now)
        i += 1
    return tuple(kept), (*_dropouts(dropped), *(_sticking(a, b) for a, b in stuck))


def _leaps(a: CounterReading, b: CounterReading) -> bool:
    """Whether no cable moves so far in so short a time; falling to zero is a zeroing, and is one too."""
    reach = JITTER_FT + FASTEST_BACK * (b.time_ms - a.time_ms) / 1000
    return abs(b.distance_mm - a.distance_mm) > reach * MM_PER_FOOT


def _stood_since(kept: list[CounterReading]) -> int:
    at = len(kept) - 1
    while at and kept[at - 1].distance_mm == kept[-1].distance_mm:
        at -= 1
    return at


def _dropouts(dropped: list[CounterReading]) -> list[str]:
    if not dropped:
        return []
    return [
        f"Counter log: {len(dropped)} reading{'s' * (len(dropped) > 1)} left out, the first at"
        f" {ms_to_seconds(dropped[0].time_ms)} s, because no cable leaps so far and back."
    ]


def _sticking(a: CounterReading, b: CounterReading) -> str:
    return (
        f"Counter log: the reading stuck from {ms_to_seconds(a.time_ms)} to {ms_to_seconds(b.time_ms)} s and"
        " then leapt; distances there are worked out between its ends."
    )


def in_the_unit_said(
    readings: tuple[CounterReading, ...], places: Sequence[SpokenPlace]
) -> tuple[tuple[CounterReading, ...], tuple[str, ...]]:
    """The readings, converted where the footages called out show that the log counts feet for metres."""
    times = [r.time_ms for r in readings]
    ratios = []
    for place in places if readings else ():
        read = float(np.interp(place.time_ms, times, [r.distance_mm for r in readings]))
        if place.relation == "here" and read > COMPARED_FT * MM_PER_FOOT:
            ratios.append((place.low_mm + place.high_mm) / 2 / read)
    if len(ratios) < COMPARED:
        return readings, ()
    for factor, unit in ((METRES_IN_FEET, "metres"), (1 / METRES_IN_FEET, "feet")):
        agree = [r for r in ratios if abs(r / factor - 1) < 0.1]
        if len(agree) > 0.6 * len(ratios) and abs(median(agree) / factor - 1) < 0.05:
            return (
                tuple(CounterReading(r.time_ms, _scaled(r.distance_mm, factor)) for r in readings),
                (f"Counter log: what was called out shows that it is in {unit}; it was converted.",),
            )
    return readings, ()


def _scaled(mm: Millimetres, factor: float) -> Millimetres:
    return round(mm * factor)
