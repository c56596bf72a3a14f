"""A counter log that another program appends to, followed while the run goes on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from narrate2log.errors import UnusableSource
from narrate2log.footage.counter_log import COLUMNS, read_counter_log
from narrate2log.records import CounterReading
from narrate2log.units import LengthUnit, Milliseconds, mm_to_length, ms_to_seconds


@dataclass(frozen=True, slots=True)
class Clip:
    """A stretch of listening: when it began by the clock and in the sound, from the first one's begin on.

    The two part where listening was broken off and taken up again.
    """

    clock_ms: Milliseconds
    sound_ms: Milliseconds


def sound_time(clock_ms: Milliseconds, clips: Sequence[Clip]) -> Milliseconds | None:
    """The moment in the sound at a time of the clock; None where nobody listened."""
    at = max((i for i, clip in enumerate(clips) if clip.clock_ms <= clock_ms), default=0)
    there = clips[at].sound_ms + clock_ms - clips[at].clock_ms
    return None if at + 1 < len(clips) and there > clips[at + 1].sound_ms else there


class FollowedCounter:
    """The log as far as it is written. Its `time_s` counts from when listening began."""

    def __init__(self, path: Path, units: LengthUnit) -> None:
        self._path = path
        self._units = units
        self._size = -1
        self._readings: tuple[CounterReading, ...] = ()
        self.problems: tuple[str, ...] = ()

    def readings(self, clips: Sequence[Clip]) -> tuple[CounterReading, ...]:
        """All readings so far, at their moments in the sound. A line that is still being written waits.

        A log that is not there yet, or cannot be used, gives none, and `problems` says so.
        """
        try:
            size = self._path.stat().st_size
        except OSError:
            size = 0
        if size != self._size:
            self._size = size
            self._read(size)
        moments = [(sound_time(r.time_ms, clips), r.distance_mm) for r in self._readings]
        return tuple(CounterReading(ms, mm) for ms, mm in moments if ms is not None)

    def _read(self, size: int) -> None:
        if not size:
            self.problems = (f"{self._path}: there is no counter log yet.",)
            return
        try:
            self._readings, self.problems = read_counter_log(self._path, self._units, growing=True)
        except UnusableSource as refusal:
            self.problems = (str(refusal),)


def readings_to_csv(readings: Sequence[CounterReading], units: LengthUnit) -> bytes:
    """The log as the tool reads it."""
    lines = [f"{ms_to_seconds(r.time_ms)},{mm_to_length(r.distance_mm, units)}\n" for r in readings]
    return (",".join(COLUMNS) + "\n" + "".join(lines)).encode()
