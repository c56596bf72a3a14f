"""The table of the run so far, by the same stages as the draft of a finished recording."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from narrate2log.draft import tabulate
from narrate2log.listening.counter import Clip, FollowedCounter
from narrate2log.listening.live_journal import Told
from narrate2log.records import CounterReading, Draft, Source, Transcript, Word
from narrate2log.units import LengthUnit, Milliseconds
from narrate2log.wording.learned import Learned
from narrate2log.wording.lexicon import Lexicon


class Table:
    """Makes the draft of all words so far. `counter`: the log that grows meanwhile, if there is one."""

    def __init__(self, run: Told, lexicon: Lexicon, learned: Learned, counter: Path | None) -> None:
        self._clips = run.clips
        self._times = list(run.times)
        self._units: LengthUnit = run.units
        self._lexicon = lexicon
        self._learned = learned
        self.counter = None if counter is None else FollowedCounter(counter, run.units)

    @property
    def problems(self) -> tuple[str, ...]:
        """What is odd about the counter log so far."""
        return () if self.counter is None else self.counter.problems

    def readings(self) -> tuple[CounterReading, ...]:
        """The counter log so far, at the moments of the sound."""
        return () if self.counter is None else self.counter.readings(self._times)

    @property
    def times(self) -> tuple[Clip, ...]:
        """Where the clock and the sound part."""
        return tuple(self._times)

    def slept(self, sound_ms: Milliseconds, asleep_ms: Milliseconds) -> Clip:
        """At a moment of the sound the clock ran on without it; from where on they part by more."""
        before = self._times[-1]
        time = Clip(before.clock_ms + sound_ms - before.sound_ms + asleep_ms, sound_ms)
        self._times.append(time)
        return time

    def __call__(self, words: Sequence[Word], until_ms: Milliseconds) -> Draft:
        """The draft of the words, heard up to a moment of the run."""
        begins = [clip.sound_ms for _, clip in self._clips]
        ends = [*begins[1:], until_ms]
        sources = tuple(
            Source(name, "", max(0, end - begin), begin)
            for (name, _), begin, end in zip(self._clips, begins, ends, strict=True)
        )
        transcript = Transcript(tuple(words), sources)
        readings = self.readings()
        return tabulate(transcript, readings, self._lexicon, self._learned, units=self._units)
