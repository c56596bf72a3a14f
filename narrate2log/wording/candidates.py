"""Terms that heard words may stand for, by their sound: one to four words against one to four words.

Phones are first folded to classes, in which rapidfuzz measures every window of heard words against every
term of about its length at once; what is near there is measured in whole phones.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from rapidfuzz.distance import Levenshtein
from rapidfuzz.process import cdist

from narrate2log.wording.folding import fold
from narrate2log.wording.sound import classes, distances, phones_of_row
from narrate2log.wording.terms import Term

LONGEST = 4
# The farthest a term may be, in phones: a part of the longer row's length, and what is always allowed.
FARTHEST_PART = 0.36
FARTHEST = 2.6
# In classes, where swaps cost 1 whatever they are, a little more; rounded down to whole phones.
CLASS_PART = 0.45
CLASS_MOST = 4
MOST_A_WINDOW = 8


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
        by_length: dict[int, list[tuple[str, str, Term]]] = defaultdict(list)
        for term in terms:
            for phones in dict.fromkeys(term.phones):
                by_length[len(phones)].append((classes(phones), phones, term))
        self._by_length = dict(by_length)
        self._known: dict[str, tuple[tuple[Term, float, int], ...]] = {}

    def near(self, rows: Sequence[str]) -> dict[str, tuple[tuple[Term, float, int], ...]]:
        """For each row of phones the terms that sound like it, nearest first: term, distance, length."""
        new = [row for row in dict.fromkeys(rows) if row not in self._known]
        by_length: dict[int, list[str]] = defaultdict(list)
        for row in new:
            by_length[len(row)].append(row)
        for length, group in by_length.items():
            found: dict[str, list[tuple[Term, float, int]]] = {row: [] for row in group}
            for other, entries in self._by_length.items():
                longer = max(length, other)
                most = min(CLASS_MOST, int(CLASS_PART * longer))
                if abs(length - other) > most:
                    continue
                apart = cdist(
                    [classes(row) for row in group],
                    [entry[0] for entry in entries],
                    scorer=Levenshtein.distance,
                    score_cutoff=most,
                    dtype=np.uint8,
                )
                hits = np.argwhere(apart <= most)
                if not len(hits):
                    continue
                costs = distances([group[at] for at, _ in hits], [entries[which][1] for _, which in hits])
                for hit in np.flatnonzero(costs <= min(FARTHEST, FARTHEST_PART * longer)):
                    at, which = hits[hit]
                    found[group[at]].append((entries[which][2], round(float(costs[hit]), 3), longer))
            for row, terms in found.items():
                terms.sort(key=lambda entry: entry[1] / entry[2])
                self._known[row] = tuple(terms[: 2 * MOST_A_WINDOW])
        return {row: self._known[row] for row in dict.fromkeys(rows)}

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
    meant = _folded(term.words)
    return "".join(meant) == "".join(heard) or set(meant) <= set(heard)
