"""What was said beside what was heard: where they differ, and whether a change mends it."""

from __future__ import annotations

from dataclasses import dataclass

import jiwer
from rapidfuzz.distance import Levenshtein

from narrate2log.records import Word
from narrate2log.wording.folding import fold
from narrate2log.wording.talk import NUMBER, bare


def tokens(texts: list[str]) -> tuple[list[str], list[int]]:
    """Words folded as they are read, numbers in a row as one, with the word each came from."""
    out: list[str] = []
    owner: list[int] = []
    for at, text in enumerate(texts):
        for part in text.replace("-", " ").split():
            token = bare(part)
            if token == NUMBER and out and out[-1] == NUMBER:
                continue
            if token:
                out.append(fold(token))
                owner.append(at)
    return out, owner


@dataclass(frozen=True)
class Region:
    """Tokens said[a:b] for which heard[c:d] was heard."""

    said: tuple[int, int]
    heard: tuple[int, int]


@dataclass(frozen=True)
class Aligned:
    """A narration as said and as heard, in tokens, and the regions where they differ."""

    said: list[str]
    heard: list[str]
    owner: list[int]
    regions: list[Region]

    def region_tokens(self, first: int, last: int) -> list[Region]:
        """The regions that words first..last of the heard transcript touch."""
        return [
            region
            for region in self.regions
            if any(first <= self.owner[t] <= last for t in range(*region.heard))
        ]

    def mends(self, first: int, last: int, term: str) -> int:
        """How many tokens nearer to what was said words first..last are when read as the term."""
        inside = [t for t, word in enumerate(self.owner) if first <= word <= last]
        if not inside:
            return 0
        low, high = inside[0], inside[-1] + 1
        # What was said there, with the tokens on either side.
        around = [r for r in self.regions if r.heard[0] <= high and low <= r.heard[1]]
        if not around:
            return -1
        begin, end = min(low, around[0].heard[0]), max(high, around[-1].heard[1])
        said = self.said[self._said_at(begin, around) : self._said_at(end, around, after=True)]
        heard = self.heard[begin:end]
        changed = self.heard[begin:low] + [fold(bare(w)) for w in term.split()] + self.heard[high:end]
        return Levenshtein.distance(said, heard) - Levenshtein.distance(said, changed)

    def _said_at(self, at: int, around: list[Region], *, after: bool = False) -> int:
        if after:
            region = around[-1]
            return region.said[1] + (at - region.heard[1])
        region = around[0]
        return region.said[0] - (region.heard[0] - at)


def align(said_phrases: list[str], heard: tuple[Word, ...]) -> Aligned:
    said, _ = tokens(said_phrases)
    got, owner = tokens([word.text for word in heard])
    output = jiwer.process_words(" ".join(said), " ".join(got))
    regions: list[Region] = []
    for chunk in output.alignments[0]:
        if chunk.type == "equal":
            continue
        span, other = (chunk.ref_start_idx, chunk.ref_end_idx), (chunk.hyp_start_idx, chunk.hyp_end_idx)
        if regions and regions[-1].said[1] == span[0] and regions[-1].heard[1] == other[0]:
            before = regions.pop()
            span, other = (before.said[0], span[1]), (before.heard[0], other[1])
        regions.append(Region(span, other))
    return Aligned(said, got, owner, regions)
