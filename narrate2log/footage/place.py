"""From what was said and the counter log to the camera's track."""

from __future__ import annotations

from narrate2log.footage.legs import find_legs
from narrate2log.footage.track import Track, build_track
from narrate2log.records import CounterReading, Narration
from narrate2log.units import Millimetres, Milliseconds


def place(
    narration: Narration,
    counter: tuple[CounterReading, ...],
    *,
    entries_ms: list[Milliseconds],
    homes_ms: list[Milliseconds],
    far_ends: list[tuple[Milliseconds, Millimetres]],
    last_ms: Milliseconds,
) -> Track:
    """Build the track. The times are of mentions that the caller knows to be entries, homes and far ends."""
    stretches = find_legs(narration, entries_ms, last_ms, counter)
    return build_track(narration, stretches, counter, homes_ms, far_ends)
