"""Tilt readings placed, and turned into the grade they stand for as said."""

from __future__ import annotations

from narrate2log.footage.legs import Stretch, leg_at
from narrate2log.footage.track import Track
from narrate2log.records import Narration, SaidSlope, SlopeReading, Transcript
from narrate2log.units import slope_to_percent

SIGN_OPEN = "which sign falls was not said and the readings do not tell"
SIGN_BY_RUN = "which sign falls was not said; taken from the readings, most of which have it"
# Fewer readings with a sign than this tell nothing of it.
FEWEST = 3


def falling_sign(said: list[SaidSlope], told: int | None, upstream: bool) -> tuple[int, str | None]:
    """Which sign of the degrees and percents of one leg falls with the flow, and the doubt about it.

    As told in the run; else negative where the nose points down, which falls when pushing downstream
    (common practice, no published source). A lateral falls for most of its length, so where the
    readings say that nearly all of it climbs, the narrator counts the other way, and that is asked.
    """
    if told is not None:
        return told, None
    sign = 1 if upstream else -1
    falling = sum(sign * s.value > 0 for s in said)
    rising = sum(sign * s.value < 0 for s in said)
    if rising >= FEWEST and rising >= 4 * falling:
        return -sign, SIGN_BY_RUN
    if falling >= FEWEST and falling >= 2 * rising:
        return sign, None
    return sign, SIGN_OPEN


def grade(narration: Narration, track: Track, transcript: Transcript) -> tuple[SlopeReading, ...]:
    """Every reading with its place and its grade in percent, positive falling with the flow.

    Inches per foot are said as a fall, whichever way the camera goes.
    """
    by_leg: dict[int, list[SaidSlope]] = {}
    stretches: dict[int, Stretch] = {}
    for said in narration.slopes:
        stretch = leg_at(track.stretches, said.time_ms)
        stretches[stretch.leg] = stretch
        by_leg.setdefault(stretch.leg, []).append(said)
    readings = []
    for leg, told in by_leg.items():
        of_pipe = [s for s in told if s.of == "pipe" and s.unit != "in/ft"]
        sign, doubt = falling_sign(of_pipe, narration.falling_sign, stretches[leg].direction == "upstream")
        for said in told:
            percent = (1 if said.unit == "in/ft" else sign) * slope_to_percent(said.value, said.unit)
            heard = transcript.heard(said.first_word, said.last_word)
            doubts = (doubt,) if doubt and said.unit != "in/ft" and said.value else ()
            readings.append(
                SlopeReading(
                    said.time_ms,
                    track.at(said.time_ms),
                    said.value,
                    said.unit,
                    round(percent, 3),
                    heard,
                    said.doubts + doubts,
                    said.of,
                )
            )
    return tuple(readings)
