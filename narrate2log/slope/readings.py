"""Tilt readings placed, and turned into the grade they stand for as said."""

from __future__ import annotations

from narrate2log.footage.legs import leg_at
from narrate2log.footage.track import Track
from narrate2log.records import Narration, SaidSlope, SlopeReading, Transcript
from narrate2log.units import slope_to_percent


def falling_sign(said: SaidSlope, narration: Narration, upstream: bool) -> int:
    """Which sign of a reading falls with the flow.

    As told in the run; else inches per foot are said as a fall, and an angle or percent is
    negative where the nose points down, which falls when pushing downstream (common practice, no
    published source).
    """
    if narration.falling_sign is not None:
        return narration.falling_sign
    if said.unit == "in/ft":
        return 1
    return 1 if upstream else -1


def grade(narration: Narration, track: Track, transcript: Transcript) -> tuple[SlopeReading, ...]:
    """Every reading with its place and its grade in percent, positive falling with the flow."""
    readings = []
    for said in narration.slopes:
        stretch = leg_at(track.stretches, said.time_ms)
        sign = falling_sign(said, narration, stretch.direction == "upstream")
        percent = sign * slope_to_percent(said.value, said.unit)
        heard = " ".join(w.text for w in transcript.words[said.first_word : said.last_word + 1])
        readings.append(
            SlopeReading(
                said.time_ms,
                track.at(said.time_ms),
                said.value,
                said.unit,
                round(percent, 3),
                heard,
                said.doubts,
            )
        )
    return tuple(readings)
