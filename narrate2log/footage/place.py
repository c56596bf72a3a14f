"""From what was said and the counter log to the camera's track."""

from __future__ import annotations

from collections.abc import Sequence

from narrate2log.footage.legs import find_legs
from narrate2log.footage.track import Meeting, Track, build_track
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
    length_mm: Millimetres | None = None,
    met: Sequence[Meeting] = (),
) -> Track:
    """Build the track. The times are of mentions that the caller knows to be entries, homes and far ends.

    `length_mm` is how far the camera went from the last zero, where that is known; `met` what was passed
    again on the way home and what feet were told from.
    """
    stretches = find_legs(narration, entries_ms, last_ms, counter)
    return build_track(narration, stretches, counter, homes_ms, far_ends, length_mm, met)
