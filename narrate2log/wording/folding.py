"""Words folded so that one spelling in the lexicon finds what is said: case, contractions, plurals."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from spacy.language import Language

# Pieces that the tokenizer splits off a contraction, and what they stand for. "'s" may also be
# "has" or a possessive: one reading serves, since both sides are folded alike.
CONTRACTIONS = {
    "'s": "is", "’s": "is", "'d": "would", "'ll": "will", "'re": "are", "'ve": "have", "'m": "am",
    "n't": "not", "ca": "can", "wo": "will", "sha": "shall", "gon": "going", "wan": "want", "got": "got",
    "na": "to", "ta": "to", "cannot": "can", "yep": "yes", "yeah": "yes", "yup": "yes", "em": "them",
    "ain't": "ain't", "lem": "let", "dunno": "dunno", "s": "is", "kinda": "kinda",
}  # fmt: skip
NOT_PLURAL = frozenset(
    (
        "sometimes upstairs always besides afterwards backwards perhaps downstairs oftentimes flats "
        "tops towards"
    ).split()
)
_NO_PLURAL = re.compile(r"(ss|us|is|as|os)$")


@cache
def fold(word: str) -> str:
    """One token folded.

    >>> [fold(w) for w in ("Roots", "n't", "branches", "A.B.S.", "glass", "bellies")]
    ['root', 'not', 'branch', 'abs', 'glass', 'belly']
    """
    word = word.lower().replace("’", "'")
    if word in CONTRACTIONS:
        return CONTRACTIONS[word]
    if re.fullmatch(r"(?:\w\.)+\w?", word):
        return word.replace(".", "")
    if word.endswith("'ll"):
        word = word[:-3]
    if (
        word in NOT_PLURAL
        or len(word) < 4
        or not word.isalpha()
        or _NO_PLURAL.search(word)
        or not word.endswith("s")
    ):
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if re.search(r"(ch|sh|x|ss|zz)es$", word):
        return word[:-2]
    return word[:-1]


@cache
def english() -> Language:
    """spaCy's blank English pipeline: its tokenizer and its contraction table, no model."""
    import spacy

    return spacy.blank("en")


# A hyphen between letters, or a digit and a letter, joins words that people also say apart.
_HYPHEN = re.compile(r"(?<=[A-Za-z])-(?=[A-Za-z0-9])|(?<=[0-9])-(?=[A-Za-z])")


# "holdin'", "goin'": the g that was not said, in as many characters.
_DROPPED_G = re.compile(r"(?<=[a-z])in'(?![a-z])")


def plain(text: str) -> str:
    """Text of the same length with joining hyphens opened, quotes made straight, dropped g's put back."""
    return _DROPPED_G.sub("ing", _HYPHEN.sub(" ", text).replace("’", "'").replace("‘", "'"))


@cache
def _fold_chunk(chunk: str) -> tuple[str, ...]:
    return tuple(fold(token.text) for token in english().tokenizer(chunk))


@cache
def fold_phrase(text: str) -> tuple[str, ...]:
    """The folded words of a phrase.

    >>> fold_phrase("that's a build-up")
    ('that', 'is', 'a', 'build', 'up')
    """
    return tuple(word for chunk in plain(text).split() for word in _fold_chunk(chunk))
