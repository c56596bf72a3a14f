"""Terms that heard words may stand for, by their sound: one to four words against one to four words.

Phones are first folded to classes, in which rapidfuzz measures every window of heard words against every
term of about its length at once; what is near there is measured in whole phones.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
import numpy.typing as npt
from rapidfuzz.distance import Levenshtein
from rapidfuzz.process import cdist

from narrate2log.wording.folding import fold
from narrate2log.wording.sound import classes, distances, phones_of_row
from narrate2log.wording.terms import Term

# The farthest a term may be, in phones: a part of the longer row's length, and what is always allowed.
FARTHEST_PART = 0.36
FARTHEST = 2.6
# In classes, where swaps cost 1 whatever they are, a little more; rounded down to whole phones.
CLASS_PART = 0.45
CLASS_MOST = 4
MOST_A_WINDOW = 8
# Rows of phones searched in one go, for the sake of memory.
ROWS_AT_ONCE = 1000
PAIRS_AT_ONCE = 1500


@dataclass(frozen=True, slots=True)
class Candidate:
    """Heard words `first` to `last` (inclusive) sound like `term`.

    `distance` is in whole phones, `length` the phones of the longer of the two.
    """

    first: int
    last: int
    term: Term
    distance: float
    length: int


class SoundIndex:
    """The terms by how they sound, ready to be searched."""

    def __init__(self, terms: Iterable[Term]) -> None:
        ways = [(phones, term) for term in terms for phones in dict.fromkeys(term.phones)]
        self._terms = [term for _, term in ways]
        self._phones = np.array([phones for phones, _ in ways], dtype=np.bytes_)
        self._classes = [classes(phones) for phones, _ in ways]
        self._lengths = np.array([len(phones) for phones, _ in ways], dtype=np.int16)
        self._known: dict[str, tuple[tuple[Term, float, int], ...]] = {}
        self._of_length: dict[int, tuple[npt.NDArray[np.intp], list[str], npt.NDArray[np.uint8]]] = {}

    def near(self, rows: Sequence[str]) -> dict[str, tuple[tuple[Term, float, int], ...]]:
        """For each row of phones the terms that sound like it, nearest first: term, distance, length."""
        rows = list(dict.fromkeys(rows))
        new = sorted((row for row in rows if row not in self._known), key=len)
        for at in range(0, len(new), ROWS_AT_ONCE):
            self._search(new[at : at + ROWS_AT_ONCE])
        return {row: self._known[row] for row in rows}

    def _search(self, rows: list[str]) -> None:
        """Find what is near rows in order of their length, each measured against terms of about its own."""
        pairs = []
        for length, same in groupby(range(len(rows)), key=lambda at: len(rows[at])):
            among, folded, farthest = self._about(length)
            numbers = list(same)
            apart = cdist(
                [classes(rows[at]) for at in numbers],
                folded,
                scorer=Levenshtein.distance,
                score_cutoff=CLASS_MOST,
                dtype=np.uint8,
            )
            which, what = np.nonzero(apart <= farthest)
            pairs.append((which + numbers[0], among[what]))
        row, term = (np.concatenate(part) for part in zip(*pairs, strict=True))
        packed = np.array(rows, dtype=np.bytes_)
        # In parts, since those of one part are about as long.
        parts = [slice(at, at + PAIRS_AT_ONCE) for at in range(0, len(row), PAIRS_AT_ONCE)] or [slice(0)]
        costs = np.concatenate([distances(packed[row[part]], self._phones[term[part]]) for part in parts])
        longer = np.maximum(np.char.str_len(packed)[row], self._lengths[term])
        near = np.flatnonzero(costs <= np.minimum(FARTHEST, FARTHEST_PART * longer))
        found: list[list[tuple[Term, float, int]]] = [[] for _ in rows]
        for at, to, cost, length in zip(
            row[near].tolist(), term[near].tolist(), costs[near].tolist(), longer[near].tolist(), strict=True
        ):
            found[at].append((self._terms[to], round(cost, 3), length))
        for said, hits in zip(rows, found, strict=True):
            hits.sort(key=lambda entry: entry[1] / entry[2])
            self._known[said] = tuple(hits[: 2 * MOST_A_WINDOW])

    def _about(self, length: int) -> tuple[npt.NDArray[np.intp], list[str], npt.NDArray[np.uint8]]:
        """The terms about as long as this: which, their classes, and how many of these may be others."""
        if length not in self._of_length:
            farthest = np.minimum(CLASS_MOST, CLASS_PART * np.maximum(length, self._lengths))
            among = np.flatnonzero(np.abs(self._lengths - length) <= farthest)
            folded = [self._classes[at] for at in among]
            self._of_length[length] = among, folded, farthest[among].astype(np.uint8)
        return self._of_length[length]

    def candidates(self, words: Sequence[str], windows: Iterable[tuple[int, int]]) -> list[Candidate]:
        """What each window (first, last) of these words may stand for, nearest first within a window.

        The term itself, said as it is written, is no candidate.
        """
        spans = [(first, last, phones_of_row(tuple(words[first : last + 1]))) for first, last in windows]
        near = self.near([row for _, _, rows in spans for row in rows if row])
        result: list[Candidate] = []
        for first, last, rows in spans:
            best: dict[str, tuple[Term, float, int]] = {}
            for row in rows:
                for entry in near.get(row, ()):
                    known = best.get(entry[0].text)
                    if known is None or entry[1] < known[1]:
                        best[entry[0].text] = entry
            if best:
                heard = _folded(words[first : last + 1])
                kept = [entry for entry in best.values() if not _says(heard, entry[0])]
                kept.sort(key=lambda entry: entry[1] / entry[2])
                result += [Candidate(first, last, *entry) for entry in kept[:MOST_A_WINDOW]]
        return result


def _folded(words: Iterable[str]) -> list[str]:
    """Words folded, hyphens opened, possessives left off."""
    parts = [part for word in words for part in word.lower().replace("-", " ").split()]
    return [fold(part.removesuffix("'s")) for part in parts]


def _says(heard: list[str], term: Term) -> bool:
    """Is the term said already, but for number, spacing and words beside it?"""
    return term.folded.issubset(heard) or term.run_together == "".join(heard)
