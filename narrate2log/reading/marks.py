"""Spoken marks: the few phrases that are said to the tool and not of the pipe.

A mark is a phrase of its own. Its words are taken as the lexicon has them, and also where what was written
sounds like them as a whole: a small model writes "double check this labor" for "double check this later".
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import TypeVar

import numpy as np
from rapidfuzz import process
from rapidfuzz.distance import Levenshtein

from narrate2log.hearing.phrasing import SENTENCE_END
from narrate2log.records import Correction, Mark, Offer, Transcript, Word
from narrate2log.units import Milliseconds
from narrate2log.wording.folding import fold_phrase
from narrate2log.wording.lexicon import Lexicon
from narrate2log.wording.sound import classes, distances, phones_of_row

# What sounds like a mark may differ from it by so many phones for each that it has beyond COMMON_PHONES: the
# longer it is, the less it is like anything else. Chosen so that in narrations, as said and as heard, nothing
# that is no mark comes as near (tests/benchmarks/spoken_marks.py).
FARTHEST = 0.35
COMMON_PHONES = 6.5
# A phrase of fewer phones is like too many others: it is taken only as written, and by itself.
LEAST_PHONES = 10
# How many words more or fewer than the mark has may be written for it.
MORE_WORDS = 2
# Words a breath apart belong to two phrases.
BREATH_MS: Milliseconds = 300
# A note ends with its phrase, or earlier at a pause this long; so long its first word is waited for.
NOTE_PAUSE_MS: Milliseconds = 1500
LONGEST_NOTE_MS: Milliseconds = 30_000

Reading = TypeVar("Reading", Correction, Offer)

# What a finding may end with.
ENDING = ("feature", "material", "unit", "clock", "amount")
_MARK_ENDS = (*SENTENCE_END, ",", ";", ":", "…", "-", "—", "–")


@dataclass(frozen=True, slots=True)
class _Call:
    """Words `first` to `last` that may give a mark, how far they are from it (0 to 1; -1: written so).

    Where they are not a phrase of their own they are talk, and so is whatever else might be heard in them.
    """

    kind: str
    first: int
    last: int
    apart: float
    of_its_own: bool


class _Heard:
    """The words of a transcript with what stands between them."""

    def __init__(self, words: tuple[Word, ...], lexicon: Lexicon) -> None:
        self.words = words
        self.bare = tuple(word.text.strip(".,?!;:…—–-\"'()") for word in words)
        self.folds = tuple(tuple(f for f in fold_phrase(text) if f[0].isalnum()) for text in self.bare)
        self._lexicon = lexicon
        self._opening = frozenset(lexicon.sets["opening"])
        self._governing = frozenset(lexicon.sets["governing"])

    def parted(self, at: int) -> bool:
        """Whether something parts word `at` from the one before it: a mark, a breath, an end."""
        if not 0 < at < len(self.words):
            return True
        before, after = self.words[at - 1], self.words[at]
        return (
            before.text.endswith(_MARK_ENDS)
            or before.phrase != after.phrase
            or after.start_ms - before.end_ms >= BREATH_MS
        )

    def opens(self, at: int) -> bool:
        """Whether a phrase of its own begins at a word, perhaps after an "and"."""
        return self.parted(at) or not self._opening.isdisjoint(self.folds[at - 1][-1:])

    def free(self, at: int) -> bool:
        """Whether the word before leaves what follows free to be an order."""
        return self.opens(at) or self._governing.isdisjoint(self.folds[at - 1][-1:])

    def follows_thing(self, at: int) -> bool:
        """Whether the words before name a thing or a measure: a finding ends there, though nobody paused."""
        before = [fold for folds in self.folds[max(0, at - 2) : at] for fold in folds]
        if before and before[-1].isdigit():
            return True
        hits = self._lexicon.find(before)
        return any(hit.end == len(before) and hit.entry.section in ENDING for hit in hits)

    def corrects(self, first: int, last: int) -> bool:
        """Whether the words put right what was said before ("strike that"), which is read elsewhere."""
        folds = [fold for folds in self.folds[first : last + 1] for fold in folds]
        return any(hit.entry["kind"] == "corrects" for hit in self._lexicon.find(folds))

    def closes(self, at: int) -> bool:
        """Whether a phrase ends with a word."""
        return self.parted(at + 1)


@dataclass(frozen=True, slots=True)
class _Wording:
    """One way to give a mark: its folded words and the ways of saying them."""

    kind: str
    words: tuple[str, ...]
    phones: tuple[str, ...]

    @property
    def distinct(self) -> bool:
        """Whether it is long enough to be known by its sound, and inside a breath."""
        return len(self.phones[0]) >= LEAST_PHONES


@cache
def _wordings(spoken: tuple[tuple[str, tuple[str, ...]], ...]) -> tuple[_Wording, ...]:
    return tuple(_Wording(kind, words, phones_of_row(words)) for kind, words in spoken)


def find_marks(transcript: Transcript, lexicon: Lexicon) -> tuple[Mark, ...]:
    """The marks given in a transcript, in order; no two share a word."""
    if not transcript.words:
        return ()
    heard = _Heard(transcript.words, lexicon)
    wordings = _wordings(lexicon.spoken_marks)
    calls = [*_as_written(heard, wordings), *_by_sound(heard, wordings)]
    likeliest: list[_Call] = []
    for call in sorted(calls, key=lambda c: (c.apart, c.first - c.last, c.first)):
        if all(call.last < other.first or other.last < call.first for other in likeliest):
            likeliest.append(call)
    taken = sorted((call for call in likeliest if call.of_its_own), key=lambda call: call.first)
    ends = [*(call.first for call in taken), len(heard.words)][1:]
    return tuple(_mark(heard, call, end) for call, end in zip(taken, ends, strict=True))


def marked_words(marks: Iterable[Mark]) -> frozenset[int]:
    """The words of the transcript that marks take."""
    return frozenset(word for mark in marks for word in mark.words)


def outside(marks: Iterable[Mark], readings: Iterable[Reading]) -> tuple[Reading, ...]:
    """The corrections or offers that touch no word of a mark."""
    taken = marked_words(marks)
    return tuple(one for one in readings if taken.isdisjoint(range(one.first, one.last + 1)))


def _as_written(heard: _Heard, wordings: tuple[_Wording, ...]) -> Iterator[_Call]:
    by_first: dict[str, list[_Wording]] = {}
    for wording in wordings:
        by_first.setdefault(wording.words[0], []).append(wording)
    for first, folds in enumerate(heard.folds):
        for wording in by_first.get(folds[0], ()) if folds else ():
            last = _same_words(heard.folds, first, wording.words)
            if last is not None:
                yield _Call(wording.kind, first, last, -1.0, _of_its_own(heard, wording, first, last))


def _of_its_own(heard: _Heard, wording: _Wording, first: int, last: int) -> bool:
    """Whether words that are written as a mark are a phrase of their own."""
    if wording.kind != "note" and not heard.closes(last):
        return False
    if heard.opens(first):
        return True
    if not wording.distinct or not heard.free(first):
        return False
    # A look or a strike ends its phrase too; a note goes on, so more must speak for it.
    return wording.kind != "note" or heard.follows_thing(first)


def _same_words(folds: tuple[tuple[str, ...], ...], first: int, words: tuple[str, ...]) -> int | None:
    """The last of the heard words from `first` that say `words`, or None."""
    said: tuple[str, ...] = ()
    for at in range(first, len(folds)):
        said += folds[at]
        if said == words:
            return at
        if said != words[: len(said)]:
            break
    return None


def farthest(phones: str) -> float:
    """How far from a mark's phones the heard ones may be, in phones."""
    return FARTHEST * (len(phones) - COMMON_PHONES)


def _by_sound(heard: _Heard, wordings: tuple[_Wording, ...]) -> Iterator[_Call]:
    """The words that sound like a mark, of a note only at the head of a phrase."""
    meant = [(w, phones) for w in wordings if w.distinct for phones in w.phones]
    longest = max((len(w.words) for w, _ in meant), default=0) + MORE_WORDS
    said = [
        (first, last, phones)
        for first, last in _spans(heard, longest)
        for phones in phones_of_row(heard.bare[first : last + 1])
    ]
    if not said or not meant:
        return
    limits = np.array([farthest(phones) for _, phones in meant])
    # What is left out, put in or of another class of sounds costs about half a phone at least.
    steps = process.cdist(
        [classes(phones) for _, _, phones in said],
        [classes(phones) for _, phones in meant],
        scorer=Levenshtein.distance,
        dtype=np.uint8,
    )
    near = [
        (one, other)
        for one, other in np.argwhere(steps <= 2 * limits)
        if _may_stand(heard, meant[other][0], said[one][0], said[one][1])
    ]
    if not near:
        return
    costs = distances([said[one][2] for one, _ in near], [meant[other][1] for _, other in near])
    for (one, other), cost in zip(near, costs, strict=True):
        if cost <= limits[other]:
            first, last, _ = said[one]
            of_its_own = heard.free(first) and not heard.corrects(first, last)
            yield _Call(meant[other][0].kind, first, last, float(cost / limits[other]), of_its_own)


def _may_stand(heard: _Heard, wording: _Wording, first: int, last: int) -> bool:
    """Whether a phrase begins with a note, or ends with another mark, and the words are about as many."""
    placed = heard.opens(first) if wording.kind == "note" else heard.closes(last)
    return placed and abs(last - first + 1 - len(wording.words)) <= MORE_WORDS


def _spans(heard: _Heard, longest: int) -> Iterator[tuple[int, int]]:
    """Words inside a phrase that begin or end it. None begins with a number, which is no part of a mark."""
    for first, bare in enumerate(heard.bare):
        if not any(map(str.isalpha, bare)):
            continue
        opens = heard.opens(first)
        for last in range(first, min(first + longest, len(heard.words))):
            closes = heard.closes(last)
            if opens or closes:
                yield first, last
            if closes:
                break


def _mark(heard: _Heard, call: _Call, end: int) -> Mark:
    words = heard.words
    last = _end_of_note(words, call.last, end) if call.kind == "note" else call.last
    text = " ".join(word.text for word in words[call.last + 1 : last + 1])
    kind = call.kind
    return Mark(
        kind,  # type: ignore[arg-type]
        words[call.first].start_ms,
        words[last].end_ms,
        call.first,
        last,
        re.sub(r"[,;:]$", "", text),
    )


def _end_of_note(words: tuple[Word, ...], called: int, end: int) -> int:
    """The last word of the note after its call, before word `end`."""
    last = called
    while last + 1 < end:
        before, after = words[last], words[last + 1]
        if after.start_ms - before.end_ms >= NOTE_PAUSE_MS:
            break
        if after.phrase != before.phrase and last > called:
            break
        if after.end_ms - words[called].end_ms > LONGEST_NOTE_MS:
            break
        last += 1
    return last
