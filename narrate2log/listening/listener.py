"""From sound to rows while it is spoken: the stages of a draft, gone through anew after each phrase."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import fmean
from typing import Protocol

from narrate2log.hearing.growing import GrowingHearing, Phrase
from narrate2log.hearing.phrasing import number_phrases
from narrate2log.listening.counter import Clip
from narrate2log.listening.live_journal import LiveJournal, Told
from narrate2log.listening.rows import RowChange, ShownRows
from narrate2log.reading.mentions import EARLY_SHARE
from narrate2log.records import Caution, Draft, Mark, Observation, Placement, Word
from narrate2log.table.marked import is_same, taken_in
from narrate2log.units import Milliseconds

# A phrase has ended when nobody has spoken for this long. It is heard before that is sure, and heard anew
# where it was not so.
PHRASE_ENDS_MS: Milliseconds = 300
# Who speaks on is not waited for: after this the next breath ends a phrase.
LONGEST_MS: Milliseconds = 12_000
# Below this mean certainty of its words a phrase is told as not understood, if it has so many words.
UNDERSTOOD = 0.5
FEW_WORDS = 3
# What is named before the start is talk of the job, and gives no row once a start is told. Until then, and
# for so long, it waits.
SETTING_OFF = frozenset({"start", "counter-reset"})
TALK_MS: Milliseconds = 120_000


class Tabulate(Protocol):
    """Makes the draft of all words, and of the moment up to which they were heard."""

    @property
    def problems(self) -> tuple[str, ...]:
        """What is odd about the counter log so far."""
        ...

    def __call__(self, words: Sequence[Word], until_ms: Milliseconds) -> Draft:
        """The draft."""
        ...

    def slept(self, sound_ms: Milliseconds, asleep_ms: Milliseconds) -> Clip:
        """The clock ran on for so long without the sound."""
        ...


@dataclass(frozen=True, slots=True)
class Heard:
    """What a phrase brought. `kept`: it is on the disk. `troubles`: what went wrong, a sentence each."""

    text: str
    start_ms: Milliseconds
    end_ms: Milliseconds
    changes: tuple[RowChange, ...] = ()
    marks: tuple[Mark, ...] = ()
    cautions: tuple[Caution, ...] = ()
    understood: bool = True
    kept: bool = True
    troubles: tuple[str, ...] = ()


class Listener:
    """The run so far."""

    def __init__(
        self, hearing: GrowingHearing, table: Tabulate, journal: LiveJournal, before: Told | None = None
    ) -> None:
        before = before or Told()
        self._hearing = hearing
        self._table = table
        self._journal = journal
        self._words = list(before.words)
        self.rows = ShownRows(before.rows)
        self.marks = list(before.marks)
        self.cautions: dict[str, Caution] = {}
        self.place: Placement | None = None
        self._early: Phrase | None = None
        self._problems: set[str] = set()
        if self._words:
            # What a run that is taken up had to say stands on the screen from the first moment on.
            self._note(self._table(number_phrases(self._words), hearing.fed_ms))

    def work(self, *, ended: bool = False) -> Heard | None:
        """Hear a phrase if one has ended; what it brought. `ended`: no sound follows."""
        if self._hearing.untaken == 0:
            return None
        try:
            phrase = self._phrase(ended=ended)
        except Exception as error:
            # A mistake of ours must not end a run that nobody can repeat.
            self._early = None
            self._hearing.skip()
            now_ms = self._hearing.fed_ms
            return Heard(
                "", now_ms, now_ms, troubles=(f"A phrase cannot be heard ({error}); its sound is kept.",)
            )
        if phrase is None:
            return None
        self._hearing.take(phrase)
        self._words.extend(phrase.words)
        text = " ".join(word.text for word in phrase.words)
        heard = Heard(text, phrase.start_ms, phrase.end_ms, understood=_understood(phrase))
        try:
            return self._read(phrase, heard)
        except Exception as error:
            kept = self._journal.phrase(phrase.words, phrase.end_ms, ())
            trouble = f"No rows can be made of this ({error}); the words and the sound are kept."
            return replace(heard, kept=kept, troubles=(trouble,))

    def slept(self, sound_ms: Milliseconds, asleep_ms: Milliseconds) -> None:
        """At a moment of the run the machine slept for so long; a counter log goes by the clock."""
        time = self._table.slept(sound_ms, asleep_ms)
        self._journal.append("slept", clock_ms=time.clock_ms, sound_ms=time.sound_ms)

    def _phrase(self, *, ended: bool) -> Phrase | None:
        """The phrase that has ended, if one has: at a pause, or where it is too long to be waited for."""
        phrase = self._early or self._hearing.hear()
        if not self._is_over(phrase) and self._hearing.ended > phrase.stretches:
            # That was a breath, and now there may be the whole phrase.
            phrase = self._hearing.hear()
        over = ended or self._is_over(phrase)
        self._early = None if over else phrase
        return phrase if over else None

    def _is_over(self, phrase: Phrase) -> bool:
        long_ms = phrase.end_ms - phrase.start_ms
        return self._hearing.silence_after(phrase.stretches) >= PHRASE_ENDS_MS or long_ms >= LONGEST_MS

    def _read(self, phrase: Phrase, heard: Heard) -> Heard:
        draft = self._table(number_phrases(self._words), self._hearing.fed_ms)
        changes = self.rows.update(_due(draft.observations, self._hearing.fed_ms))
        marks, cautions = self._note(draft)
        kept = self._journal.phrase(phrase.words, phrase.end_ms, changes)
        for mark in marks:
            kept = self._journal.mark(mark)
        for caution in cautions:
            kept = self._journal.append("caution", key=caution.key, text=caution.text)
        troubles = tuple(problem for problem in self._table.problems if problem not in self._problems)
        self._problems.update(troubles)
        return replace(heard, changes=changes, marks=marks, cautions=cautions, kept=kept, troubles=troubles)

    def _note(self, draft: Draft) -> tuple[tuple[Mark, ...], tuple[Caution, ...]]:
        """Take in what a draft tells beside its rows: marks that are new or longer, new dangers."""
        marks = []
        for mark in draft.marks:
            known = next((other for other in self.marks if is_same(mark, other)), None)
            if known is None or len(mark.text) > len(known.text):
                self.marks = taken_in(self.marks, mark)
                marks.append(mark)
        # A danger cannot wait for the draft.
        cautions = tuple(c for c in draft.cautions if c.first and c.key not in self.cautions)
        self.cautions |= {caution.key: caution for caution in cautions}
        if draft.course:
            self.place = draft.course[-1].placement
        return tuple(marks), cautions


def _due(rows: Sequence[Observation], now_ms: Milliseconds) -> list[Observation]:
    """The rows that may be shown: not yet what may still turn out to be talk before the start."""
    start_ms = min((row.time_ms for row in rows if row.feature in SETTING_OFF), default=now_ms)
    if now_ms >= TALK_MS or start_ms < EARLY_SHARE * now_ms:
        return list(rows)
    return [
        row
        for row in rows
        if row.time_ms >= start_ms or row.kind != "defect" or row.standing not in ("seen", "possible")
    ]


def _understood(phrase: Phrase) -> bool:
    """Whether the recogniser is fairly sure of what it heard; noise is nothing to understand."""
    certain = [word.probability for word in phrase.words if word.probability is not None]
    return len(certain) < FEW_WORDS or fmean(certain) >= UNDERSTOOD
