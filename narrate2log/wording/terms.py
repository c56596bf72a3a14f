"""The terms that a mis-hearing may stand for: one to four words out of the lexicon's phrases.

A phrase of ordinary English ("it is open") is no term: at least one of its words must belong to inspections
more than to English, and no word of a term may be a number.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import islice, pairwise, product

from narrate2log.wording.folding import fold
from narrate2log.wording.lexicon import Lexicon
from narrate2log.wording.sound import phones_of_row
from narrate2log.wording.talk import Talk, bare, is_number, word_list

LONGEST = 4
# Sections whose phrases name something; the cues of standing and of talk are ordinary English.
NAMING = ("feature", "material", "unit", "clock", "amount")
TALKING_FILES = ("talk.toml", "standing.toml", "relation.toml", "marks.toml")
# A word belongs to inspections if it is this much likelier there (natural logarithm).
LEAST_ODDS = 1.2
# Words that hold phrases together; alone they are no term, and a term does not begin or end with one.
LINKS = word_list("links")
# What the lexicon names outright needs to belong less.
NAMED_ODDS = 0.3
# A word out of a longer phrase must belong more to be a term by itself.
ALONE_ODDS = 1.8
# How often a word out of a longer phrase must be met to be a term by itself.
LEAST_MET = 2
# What a word that was never met counts as, a part of all words.
LEAST_MET_SHARE = 1e-5
MOST_FROM_ONE = 40
# Links that may end what the lexicon names outright ("caved in").
ENDINGS = frozenset(("in", "out", "up"))
_LETTERS = re.compile(r"[a-z][a-z' ]+[a-z]")


@dataclass(frozen=True)
class Term:
    """A term as it is written and how it may sound.

    `bare` and `folds` are its words as they are counted and as patterns fold them; `met`: how often its
    rarest word is met in inspection talk, natural logarithm.
    """

    text: str
    words: tuple[str, ...]
    bare: tuple[str, ...]
    folds: tuple[str, ...]
    phones: tuple[str, ...]
    met: float

    @classmethod
    def of(cls, text: str, phones: tuple[str, ...], met: float) -> Term:
        """The term that is written so."""
        words = tuple(text.split())
        folds = tuple(fold(word.removesuffix("'s")) for word in words)
        return cls(text, words, tuple(map(bare, words)), folds, phones, met)

    @cached_property
    def folded(self) -> frozenset[str]:
        """Its words folded, each once."""
        return frozenset(self.folds)

    @cached_property
    def run_together(self) -> str:
        """Its words folded, in one."""
        return "".join(self.folds)


def phrases(lexicon: Lexicon) -> Iterator[str]:
    """What the lexicon's patterns without gaps stand for: phrases that name something, then single words."""
    singles: dict[str, None] = {}
    for entry in lexicon.entries:
        if entry.section == "mishearing":
            yield str(entry["read_as"]).lower()
            continue
        for pattern in (*entry.say, *(entry["weak"] or ()), *(entry["before"] or ())):
            if entry.section in NAMING:
                yield from _spread(pattern, lexicon)
            if entry.section in NAMING or entry.file not in TALKING_FILES:
                singles.update(dict.fromkeys(re.findall(r"[a-z']{2,}", pattern.lower())))
    yield from singles


def _spread(pattern: str, lexicon: Lexicon) -> Iterator[str]:
    if ".." in pattern:
        return
    slots: list[list[str]] = []
    for part in pattern.split():
        optional = part.endswith("?")
        choices: list[str] = []
        for choice in part.rstrip("?").split("|"):
            named = lexicon.sets.get(choice.strip("<>")) if choice.startswith("<") else None
            choices += named or [choice]
        slots.append([*choices, *([""] if optional else [])])
    for row in islice(product(*slots), MOST_FROM_ONE):
        yield " ".join(" ".join(row).replace("_", " ").replace("-", " ").split()).lower()


def terms(lexicon: Lexicon, talk: Talk) -> tuple[Term, ...]:
    """The terms of a lexicon, and those of their plurals that were met."""
    named = {
        text for entry in lexicon.entries if entry.section in ("feature", "material") for text in entry.say
    }
    found: dict[str, Term] = {}
    for phrase in phrases(lexicon):
        for text in (phrase, phrase + "s"):
            words = tuple(text.split())
            if text in found or not 1 <= len(words) <= LONGEST:
                continue
            if not _is_term(words, talk, named=phrase in named, plural=text != phrase):
                continue
            sounds = phones_of_row(words)
            if any(len(phones) >= 2 for phones in sounds):
                least = min(talk.trade.share(bare(word)) for word in words)
                found[text] = Term.of(text, sounds, math.log(least + LEAST_MET_SHARE))
    return tuple(found.values())


def _is_term(words: tuple[str, ...], talk: Talk, *, named: bool, plural: bool) -> bool:
    met = [talk.trade.words.get(bare(word), 0) for word in words]
    if any(map(is_number, words)) or not _LETTERS.fullmatch(" ".join(words)):
        return False
    if words[0] in LINKS or words[-1] in (LINKS - ENDINGS if named else LINKS):
        return False
    odds = max(talk.trade_odds(bare(word)) for word in words)
    # A word that was never met anywhere is a user's own.
    unmet = not any(talk.english.words.get(bare(word)) or talk.trade.words.get(bare(word)) for word in words)
    if odds < (NAMED_ODDS if named else LEAST_ODDS) and not (named and unmet):
        return False
    if len(words) == 1 and not named and not plural and talk.trade_odds(bare(words[0])) < ALONE_ODDS:
        return False
    if plural:
        return len(words) < 3 and met[-1] > 0
    if len(words) == 1:
        return named or met[0] >= LEAST_MET
    return (named and not LINKS & set(words)) or all(
        talk.trade.pairs.get((bare(one), bare(other))) for one, other in pairwise(words)
    )
