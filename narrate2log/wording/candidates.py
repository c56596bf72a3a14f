"""Terms that heard words may stand for, by their sound: one to four words against one to four words.

Phones are first folded to classes, in which rapidfuzz measures every window of heard words against every
term of about its length at once; what is near there is measured in whole phones.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
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
        self._phones = [phones for phones, _ in ways]
        self._terms = [term for _, term in ways]
        self._classes = [classes(phones) for phones in self._phones]
        self._lengths = np.array([len(phones) for phones in self._phones], dtype=np.int16)
        self._known: dict[str, tuple[tuple[Term, float, int], ...]] = {}

    def near(self, rows: Sequence[str]) -> dict[str, tuple[tuple[Term, float, int], ...]]:
        """For each row of phones the terms that sound like it, nearest first: term, distance, length."""
        rows = list(dict.fromkeys(rows))
        new = [row for row in rows if row not in self._known]
        for at in range(0, len(new), ROWS_AT_ONCE):
            self._search(new[at : at + ROWS_AT_ONCE])
        return {row: self._known[row] for row in rows}

    def _search(self, rows: list[str]) -> None:
        apart = cdist(
            [classes(row) for row in rows],
            self._classes,
            scorer=Levenshtein.distance,
            score_cutoff=CLASS_MOST,
            dtype=np.uint8,
        )
        lengths = np.array([len(row) for row in rows], dtype=np.int16)
        longer = np.maximum.outer(lengths, self._lengths)
        which, what = np.nonzero(apart <= np.minimum(CLASS_MOST, CLASS_PART * longer))
        costs = distances([rows[at] for at in which], [self._phones[at] for at in what])
        farthest = np.minimum(FARTHEST, FARTHEST_PART * longer[which, what])
        found: dict[str, list[tuple[Term, float, int]]] = {row: [] for row in rows}
        for hit in np.flatnonzero(costs <= farthest):
            row, term = which[hit], what[hit]
            found[rows[row]].append((self._terms[term], round(float(costs[hit]), 3), int(longer[row, term])))
        for said, near in found.items():
            near.sort(key=lambda entry: entry[1] / entry[2])
            self._known[said] = tuple(near[: 2 * MOST_A_WINDOW])

    def candidates(self, words: Sequence[str], windows: Iterable[tuple[int, int]]) -> list[Candidate]:
        """What each window (first, last) of these words may stand for, nearest first within a window.

        The term itself, said as it is written, is no candidate.
        """
        spans = [(first, last, phones_of_row(tuple(words[first : last + 1]))) for first, last in windows]
        near = self.near([row for _, _, rows in spans for row in rows if row])
        result: list[Candidate] = []
        for first, last, rows in spans:
            heard = _folded(words[first : last + 1])
            best: dict[str, Candidate] = {}
            for row in rows:
                for term, cost, length in near.get(row, ()):
                    known = best.get(term.text)
                    if not _says(heard, term) and (known is None or cost < known.distance):
                        best[term.text] = Candidate(first, last, term, cost, length)
            result += sorted(best.values(), key=lambda c: c.distance / c.length)[:MOST_A_WINDOW]
        return result


def _folded(words: Iterable[str]) -> list[str]:
    """Words folded, hyphens opened, possessives left off."""
    parts = [part for word in words for part in word.lower().replace("-", " ").split()]
    return [fold(part.removesuffix("'s")) for part in parts]


def _says(heard: list[str], term: Term) -> bool:
    """Is the term said already, but for number, spacing and words beside it?"""
    return term.folded.issubset(heard) or "".join(term.folds) == "".join(heard)
