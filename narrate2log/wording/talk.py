"""How likely words are where they stand: in the talk of an inspection, and in English at large.

The counts lie in `data/talk.z`, made by `tests/fitting/build_talk.py`, which names their sources.
"""

from __future__ import annotations

import math
import re
import tomllib
import zlib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cache, cached_property, lru_cache

from narrate2log.wording.sound import DATA

NUMBER = "#"
EDGE = "."
_BARE = re.compile(r"[^a-z0-9' ]+")

# How much each source of a word's likelihood counts: pairs of inspection talk, its single words, pairs of
# English at large, its single words.
SHARES = (0.5, 0.25, 0.15, 0.1)
# A word never met: one in so many.
RAREST = 2e-7
PAIRS_REMEMBERED = 100_000


@cache
def word_list(name: str) -> frozenset[str]:
    """One of the lists of `data/words.toml`."""
    return frozenset(tomllib.loads((DATA / "words.toml").read_text(encoding="utf-8"))[name])


@cache
def bare(text: str) -> str:
    """A word as it is counted: lower case, no punctuation; any number is #.

    >>> [bare(word) for word in ("Roots,", "62.", "There’s", "forty")]
    ['roots', '#', "there's", '#']
    """
    word = _BARE.sub("", text.lower().replace("’", "'")).strip("'")
    return NUMBER if word in word_list("numbers") or word[:1].isdigit() else word


@cache
def is_number(text: str) -> bool:
    """Is this word, or a part of it, a number?"""
    return bare(text) == NUMBER or any(c.isdigit() for c in text)


@dataclass
class Counts:
    """Words and pairs of words counted."""

    words: dict[str, int] = field(default_factory=dict)
    pairs: dict[tuple[str, str], int] = field(default_factory=dict)
    total: int = 0

    def add(self, words: Sequence[str]) -> None:
        """Count one sentence of bare words."""
        before = EDGE
        for word in (*words, EDGE):
            self.pairs[before, word] = self.pairs.get((before, word), 0) + 1
            self.words[word] = self.words.get(word, 0) + 1
            self.total += 1
            before = word

    def share(self, word: str) -> float:
        """What part of all words this one is."""
        return self.words.get(word, 0) / max(1, self.total)

    def follows(self, before: str, word: str) -> float:
        """How often this word comes after that one, thinly seen pairs discounted."""
        pair = self.pairs.get((before, word))
        return pair / (self.words.get(before, 0) + 2) if pair else 0.0


@dataclass(frozen=True)
class Talk:
    """The two sets of counts."""

    trade: Counts
    english: Counts

    @cached_property
    def likelihood(self) -> Callable[[str, str], float]:
        """How likely a word is after another, both bare: natural logarithm. The same pairs are asked again
        and again, so the latest are remembered.
        """
        return lru_cache(maxsize=PAIRS_REMEMBERED)(self._likelihood)

    def _likelihood(self, before: str, word: str) -> float:
        pairs, singles, other_pairs, other_singles = SHARES
        part = (
            pairs * self.trade.follows(before, word)
            + singles * self.trade.share(word)
            + other_pairs * self.english.follows(before, word)
            + other_singles * self.english.share(word)
        )
        return math.log(part + RAREST)

    def of_row(self, before: str, words: Iterable[str], after: str) -> float:
        """How likely the words are between the two beside them: natural logarithm."""
        likelihood, total = self.likelihood, 0.0
        for word in words:
            total += likelihood(before, word)
            before = word
        return total + likelihood(before, after)

    @cached_property
    def trade_odds(self) -> Callable[[str], float]:
        """How much more a word belongs to inspections than to English: natural logarithm of the ratio."""
        return cache(self._trade_odds)

    def _trade_odds(self, word: str) -> float:
        return math.log((self.trade.share(word) + 2e-5) / (self.english.share(word) + 2e-5))


def pack(talk: Talk) -> bytes:
    """The counts as compressed lines: one or two words, the count of either kind."""
    lines = []
    for word in sorted({*talk.trade.words, *talk.english.words}):
        lines.append(f"{word} {talk.trade.words.get(word, 0)} {talk.english.words.get(word, 0)}")
    for pair in sorted({*talk.trade.pairs, *talk.english.pairs}):
        lines.append(f"{pair[0]} {pair[1]} {talk.trade.pairs.get(pair, 0)} {talk.english.pairs.get(pair, 0)}")
    totals = f"{talk.trade.total} {talk.english.total}"
    return zlib.compress("\n".join([totals, *lines]).encode(), 9)


def unpack(data: bytes) -> Talk:
    """The inverse of `pack`."""
    trade, english = Counts(), Counts()
    first, *lines = zlib.decompress(data).decode().split("\n")
    trade.total, english.total = map(int, first.split())
    for line in lines:
        *words, one, other = line.split(" ")
        for counts, count in ((trade, int(one)), (english, int(other))):
            if count and len(words) == 1:
                counts.words[words[0]] = count
            elif count:
                counts.pairs[words[0], words[1]] = count
    return Talk(trade, english)


@cache
def talk() -> Talk:
    """The counts that ship with the tool."""
    return unpack((DATA / "talk.z").read_bytes())
