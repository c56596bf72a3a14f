"""Terms of a lexicon that a listener may take for one another, or for everyday words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from narrate2log.wording.candidates import SoundIndex
from narrate2log.wording.folding import fold, fold_phrase
from narrate2log.wording.lexicon import Lexicon
from narrate2log.wording.sound import phones_of
from narrate2log.wording.talk import Talk
from narrate2log.wording.terms import LINKS, Term, terms

# Nearer than this, in phones as a part of the longer one's, two terms are taken for one another; about one
# easy swap ("tab" and "tap") in four phones.
ALIKE_PART = 0.1
# An everyday word is met this often in English at large: 1 in so many words.
EVERYDAY = 1 / 20_000


@dataclass(frozen=True, slots=True)
class Alike:
    """Two that sound alike: a term, what it names, the other, what that names (None: an everyday word)."""

    term: str
    key: str
    other: str
    other_key: str | None
    distance: float


def key_of(term: Term, lexicon: Lexicon) -> str | None:
    """What a term names as a whole: the key of a feature or material."""
    words = fold_phrase(term.text)
    for hit in lexicon.find(words):
        if (hit.start, hit.end) == (0, len(words)) and hit.entry.section in ("feature", "material"):
            return str(hit.entry["key"])
    return None


def alike(lexicon: Lexicon, talk: Talk) -> Iterator[Alike]:
    """Terms that sound like one that names something else, then terms that sound like an everyday word."""
    keys = {term: key for term in terms(lexicon, talk) if (key := key_of(term, lexicon))}
    index = SoundIndex(keys)
    seen: set[frozenset[str]] = set()
    for term, key in keys.items():
        for phones, found in index.near(term.phones).items():
            for other, cost, length in found:
                pair = frozenset((term.text, other.text))
                if phones and keys[other] != key and cost <= ALIKE_PART * length and pair not in seen:
                    seen.add(pair)
                    yield Alike(term.text, key, other.text, keys[other], cost)
    trade = {fold(word) for term in keys for word in term.words}
    for word, count in sorted(talk.english.words.items()):
        if count < EVERYDAY * talk.english.total or fold(word) in trade | LINKS or not word.isalpha():
            continue
        for found in index.near(phones_of(word)).values():
            for term, cost, length in found:
                if cost <= ALIKE_PART * length and frozenset((term.text, word)) not in seen:
                    seen.add(frozenset((term.text, word)))
                    yield Alike(term.text, keys[term], word, None, cost)
