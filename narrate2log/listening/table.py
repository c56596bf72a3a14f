"""The table of the run so far, by the same stages as the draft of a finished recording."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from narrate2log.draft import tabulate
from narrate2log.listening.counter import FollowedCounter
from narrate2log.listening.live_journal import Told
from narrate2log.records import Draft, Source, Transcript, Word
from narrate2log.units import LengthUnit, Milliseconds
from narrate2log.wording.learned import Learned
from narrate2log.wording.lexicon import Lexicon


class Table:
    """Makes the draft of all words so far. `counter`: the log that grows meanwhile, if there is one."""

    def __init__(self, run: Told, lexicon: Lexicon, learned: Learned, counter: Path | None) -> None:
        self._clips = [clip for _, clip in run.clips]
        self._names = [name for name, _ in run.clips]
        self._units: LengthUnit = run.units
        self._lexicon = lexicon
        self._learned = learned
        self.counter = None if counter is None else FollowedCounter(counter, run.units)

    def __call__(self, words: Sequence[Word], until_ms: Milliseconds) -> Draft:
        """The draft of the words, heard up to a moment of the run."""
        ends = [*(clip.sound_ms for clip in self._clips[1:]), until_ms]
        sources = tuple(
            Source(name, "", max(0, end - clip.sound_ms), clip.sound_ms)
            for name, clip, end in zip(self._names, self._clips, ends, strict=True)
        )
        transcript = Transcript(tuple(words), sources)
        readings = self.counter.readings(self._clips) if self.counter is not None else ()
        return tabulate(transcript, readings, self._lexicon, self._learned, units=self._units)
