"""Words read again: what a row becomes when some of its words are others, and what a selection tells."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from narrate2log.reading import read
from narrate2log.records import Fields, Mention, Transcript, Word
from narrate2log.units import LengthUnit
from narrate2log.wording.lexicon import Lexicon

# Words of one telling follow one another; between two tellings lies a silence that ends a sentence.
WORD_MS = 400
SILENCE_MS = 5_000
TELLINGS = "/"


class Rereader:
    """Reads words alone, without the run around them, and remembers what it has read."""

    def __init__(self, lexicon: Lexicon, units: LengthUnit) -> None:
        self._lexicon = lexicon
        self._units = units
        self._known: dict[str, tuple[Mention, ...]] = {}

    def follow(self, row: dict[str, Any], read_as: str) -> dict[str, Any] | None:
        """What changes of a row when it is read with other words; None where these tell of nothing.

        Only what the two readings differ in is changed, so that what the run around the words told stays.
        """
        old, new = self._mentions(row["read_as"]), self._mentions(read_as)
        told = {mention.feature for mention in old}
        was = next((mention for mention in old if mention.feature == row["feature"]), None)
        now = next((mention for mention in new if mention.feature == row["feature"]), None)
        fresh = next((mention for mention in new if mention.feature not in told), None)
        after: dict[str, Any] = {"read_as": read_as}
        if now is None:
            if fresh is None:
                # Where the old words did not tell of the row either, it came from more than them.
                return after if was is None else None
            now = fresh
            after["feature"] = fresh.feature
        before = asdict(was.fields) if was else asdict(Fields())
        after |= {name: value for name, value in asdict(now.fields).items() if value != before[name]}
        if was is not None and now.standing != was.standing:
            after["standing"] = now.standing
        return after

    def tells(self, words: Sequence[Word]) -> Mention | None:
        """The first thing that a run of words tells of."""
        mentions = self._read(words)
        return mentions[0] if mentions else None

    def brought(self, words: Sequence[Word], others: Sequence[Word]) -> Mention | None:
        """The first thing that the other words tell of and these do not."""
        told = {mention.feature for mention in self._read(words)}
        return next((mention for mention in self._read(others) if mention.feature not in told), None)

    def _read(self, words: Sequence[Word]) -> tuple[Mention, ...]:
        return read(Transcript(tuple(words), ()), (), self._lexicon, self._units).mentions

    def _mentions(self, text: str) -> tuple[Mention, ...]:
        if text not in self._known:
            words: list[Word] = []
            at = 0
            for phrase, telling in enumerate(text.split(TELLINGS)):
                for word in telling.split():
                    words.append(Word(word, at, at + WORD_MS, None, phrase))
                    at += WORD_MS
                at += SILENCE_MS
            self._known[text] = self._read(words)
        return self._known[text]
