"""From sound to rows while it is spoken: the stages of a draft, gone through anew after each phrase."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import fmean

from narrate2log.hearing.growing import GrowingHearing, Phrase
from narrate2log.hearing.phrasing import number_phrases
from narrate2log.listening.live_journal import LiveJournal, Told
from narrate2log.listening.rows import RowChange, ShownRows
from narrate2log.reading.mentions import EARLY_SHARE
from narrate2log.records import Caution, Draft, Mark, Observation, Placement, Word
from narrate2log.table.marked import is_same
from narrate2log.units import Milliseconds

# A phrase has ended when nobody has spoken for this long. It is heard before that is sure, and heard anew
# where it was not so.
PHRASE_ENDS_MS: Milliseconds = 300
# Below this mean certainty of its words a phrase is told as not understood, if it has so many words.
UNDERSTOOD = 0.5
FEW_WORDS = 3
# What is named before the start is talk of the job, and gives no row once a start is told. Until then, and
# for so long, it waits.
SETTING_OFF = frozenset({"start", "counter-reset"})
TALK_MS: Milliseconds = 120_000

Tabulate = Callable[[tuple[Word, ...], Milliseconds], Draft]


@dataclass(frozen=True, slots=True)
class Heard:
    """What a phrase brought. `kept`: it is on the disk."""

    text: str
    start_ms: Milliseconds
    end_ms: Milliseconds
    changes: tuple[RowChange, ...]
    marks: tuple[Mark, ...]
    cautions: tuple[Caution, ...]
    understood: bool
    kept: bool
    trouble: str | None = None


class Listener:
    """The run so far. `table` makes the draft of all words, and of the moment up to which they were heard."""

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

    def work(self, *, ended: bool = False) -> Heard | None:
        """Hear a phrase if one has ended; what it brought. `ended`: no sound follows."""
        if self._hearing.untaken == 0:
            return None
        phrase = self._early or self._hearing.hear()
        silence_ms = self._hearing.silence_after(phrase.stretches)
        if silence_ms < PHRASE_ENDS_MS and self._hearing.ended > phrase.stretches:
            # That was a breath, and now there may be the whole phrase.
            phrase = self._hearing.hear()
            silence_ms = self._hearing.silence_after(phrase.stretches)
        if silence_ms < PHRASE_ENDS_MS and not ended:
            self._early = phrase
            return None
        self._early = None
        self._hearing.take(phrase)
        return self._read(phrase)

    def _read(self, phrase: Phrase) -> Heard:
        self._words.extend(phrase.words)
        try:
            draft = self._table(number_phrases(self._words), self._hearing.fed_ms)
        except Exception as error:
            # A mistake of ours in one stage must not end a run that nobody can repeat.
            return self._unread(phrase, error)
        changes = self.rows.update(_due(draft.observations, self._hearing.fed_ms))
        fresh = tuple(mark for mark in draft.marks if not any(is_same(mark, other) for other in self.marks))
        self.marks.extend(fresh)
        # A danger cannot wait for the draft.
        dangers = tuple(c for c in draft.cautions if c.first and c.key not in self.cautions)
        self.cautions |= {caution.key: caution for caution in dangers}
        if draft.course:
            self.place = draft.course[-1].placement
        kept = self._journal.phrase(phrase.words, phrase.end_ms, changes)
        for mark in fresh:
            kept = self._journal.mark(mark)
        for caution in dangers:
            kept = self._journal.append("caution", key=caution.key, text=caution.text)
        return Heard(
            text=" ".join(word.text for word in phrase.words),
            start_ms=phrase.start_ms,
            end_ms=phrase.end_ms,
            changes=changes,
            marks=fresh,
            cautions=dangers,
            understood=_understood(phrase),
            kept=kept,
        )

    def _unread(self, phrase: Phrase, error: Exception) -> Heard:
        return Heard(
            text=" ".join(word.text for word in phrase.words),
            start_ms=phrase.start_ms,
            end_ms=phrase.end_ms,
            changes=(),
            marks=(),
            cautions=(),
            understood=_understood(phrase),
            kept=self._journal.phrase(phrase.words, phrase.end_ms, ()),
            trouble=f"No rows can be made of this ({error}); the words and the sound are kept.",
        )


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
