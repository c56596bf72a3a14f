"""A transcript as sentences of tokens that know the words, and so the times, they came from."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from narrate2log.reading.numbers import Number, by_sound, find_numbers
from narrate2log.records import Correction, Transcript
from narrate2log.units import Milliseconds
from narrate2log.wording.folding import english, fold, plain
from narrate2log.wording.lexicon import Hit

# Sounds that carry nothing; dropped, with the comma after them, before patterns are looked for.
FILLERS = frozenset({"um", "uh", "er", "erm", "ah", "hmm", "mm", "uhm", "umm", "uhh"})
ENDS = re.compile(r"[.?!…]+$")
TITLES = frozenset("dr. st. ft. mr approx. mrs. dr st in. ms. vs. mrs ms mr. no.".split())
# A silence that ends a sentence the recogniser left open; a comma holds it open longer.
PAUSE_MS = 1800
PAUSE_AFTER_COMMA_MS = 6000
# A recogniser runs phrases together with commas: there a shorter silence parts them.
HEARD_PAUSE_MS = 600
UNIT_SIGNS = frozenset({"%", "$", '"', "'", "°"})


@dataclass(frozen=True, slots=True)
class Token:
    """A piece of a word: as said in lower case, folded, its word's index, whether a capital begins it."""

    lower: str
    fold: str
    word: int
    capital: bool = False

    @property
    def is_punct(self) -> bool:
        """Whether it is punctuation; signs that stand for a unit are not."""
        # Nearly every word begins with a letter, and this is asked of each of them many times.
        if self.lower[:1].isalnum():
            return False
        return self.lower not in UNIT_SIGNS and not any(character.isalnum() for character in self.lower)


@dataclass(frozen=True)
class Sentence:
    """Tokens `0..n`, when they were said, whether they ask, and what the lexicon finds in them.

    `last_word` is the index in the transcript of the last word, those that a correction took included.
    """

    index: int
    tokens: tuple[Token, ...]
    start_ms: Milliseconds
    end_ms: Milliseconds
    asks: bool
    times: tuple[tuple[Milliseconds, Milliseconds], ...]
    last_word: int
    hits: tuple[Hit, ...] = field(default=())

    @cached_property
    def lowers(self) -> tuple[str, ...]:
        """The tokens in lower case."""
        return tuple(token.lower for token in self.tokens)

    @cached_property
    def folds(self) -> tuple[str, ...]:
        """The tokens folded, as the lexicon's patterns are."""
        return tuple(token.fold for token in self.tokens)

    @cached_property
    def numbers(self) -> tuple[Number, ...]:
        """The numbers said."""
        return tuple(find_numbers(by_sound(self.lowers)))

    @property
    def first_word(self) -> int:
        """Index in the transcript of the first word."""
        return self.tokens[0].word

    @cached_property
    def _by_file(self) -> dict[str, list[Hit]]:
        files: dict[str, list[Hit]] = {}
        for hit in self.hits:
            files.setdefault(hit.entry.file, []).append(hit)
        return files

    def cues(self, file: str, *names: str) -> list[Hit]:
        """The hits of one lexicon file, of the given kinds or effects where any are given."""
        return [
            hit
            for hit in self._by_file.get(file, ())
            if not names or hit.entry["kind"] in names or hit.entry["effect"] in names
        ]

    @cached_property
    def clauses(self) -> tuple[int, ...]:
        """For each token the number of its clause.

        A clause begins after ";" ":" or "-", at "but" and its like, and after a comma or "and"
        where a new subject follows. The commas of a list do not begin one.
        """
        numbers, clause, linking = [], 0, False
        for i, token in enumerate(self.tokens):
            begins = i > 0 and (
                token.lower in BREAKERS
                or (token.lower in (",", "and", "so", "or", "then") and _subject_follows(self.lowers, i + 1))
                or self.lowers[i - 1] in (";", ":", "--", "-", "—", "–")
            )
            # what links one clause to the next (", and then") begins it once
            if begins and not linking:
                clause += 1
            linking = (begins or linking) and token.lower in BEFORE_SUBJECT
            numbers.append(clause)
        return tuple(numbers)


BREAKERS = frozenset("however ; except although because but where which though otherwise whereas".split())
SUBJECTS = frozenset(
    (
        "i we he she they it that this there these those you here what who somebody someone nobody "
        "everybody just only now then so my your the a an one some"
    ).split()
)
BEFORE_SUBJECT = frozenset({",", ";", "and", "so", "or", "then"})
LINKS = frozenset({"and", "so", "then", "yeah", "well", "okay", "but", "um"})


def _subject_follows(lowers: Sequence[str], i: int) -> bool:
    while i < len(lowers) and lowers[i] in LINKS:
        i += 1
    return i < len(lowers) and lowers[i] in SUBJECTS


def read_as(transcript: Transcript, corrections: Sequence[Correction]) -> list[str]:
    """Each word's text after correction; the words a correction swallowed are empty."""
    texts = [word.text for word in transcript.words]
    for change in corrections:
        tail = re.search(r"[.,?!…]*$", texts[change.last])
        # no pause parts the point of a decimal from its digits ("one boy, five")
        kept = tail[0] if tail and change.read_as != "point" else ""
        texts[change.first] = change.read_as + kept
        for i in range(change.first + 1, change.last + 1):
            texts[i] = ""
    return texts


def _tokens(texts: Sequence[str]) -> list[Token]:
    starts, pieces, at = [], [], 0
    for text in texts:
        starts.append(at)
        pieces.append(plain(text))
        at += len(text) + 1
    tokens = []
    for token in english().tokenizer(" ".join(pieces)):
        if not token.is_space:
            word = bisect_right(starts, token.idx) - 1
            name_like = token.text[:1].isupper() and not token.text.isupper()
            tokens.append(Token(token.lower_, fold(token.text), word, name_like))
    return tokens


def _without_fillers(tokens: Sequence[Token]) -> tuple[Token, ...]:
    kept: list[Token] = []
    drop_comma = False
    for i, token in enumerate(tokens):
        between = 0 < i < len(tokens) - 1 and tokens[i - 1].lower == "," and tokens[i + 1].lower == ","
        if token.lower in FILLERS or (token.lower == "like" and between):
            drop_comma = True
            if kept and kept[-1].lower == "," and i + 1 < len(tokens) and tokens[i + 1].lower == ",":
                kept.pop()
            continue
        if drop_comma and token.lower == ",":
            drop_comma = False
            continue
        drop_comma = False
        kept.append(token)
    return tuple(kept)


def _shortened(tokens: Sequence[Token], i: int) -> bool:
    """Whether the full stop at `i` ends a shortened word before a number: "approx. 40", "lot no. 12"."""
    if tokens[i].lower != "." or not find_numbers([tokens[i + 1].lower]):
        return False
    # "No." at the head of what is said is an answer
    number = i > 1 and tokens[i - 1].lower == "no" and not tokens[i - 2].is_punct
    return tokens[i - 1].lower == "approx" or (number and tokens[i + 1].lower.isdigit())


def split(
    transcript: Transcript, corrections: Sequence[Correction], apart: Collection[int] = ()
) -> list[Sentence]:
    """The transcript's sentences, without hits, in order. Sentences of fillers alone are left out.

    `apart` are words that are not of the narration: no sentence holds or spans them.
    """
    words = transcript.words
    tokens = [t for t in _tokens(read_as(transcript, corrections)) if t.word not in apart]
    pause = HEARD_PAUSE_MS if any(w.probability is not None for w in words) else None
    # a corrected word lasts until the last of the words it stands for
    lasts = {change.first: change.last for change in corrections}
    sentences: list[Sentence] = []
    run: list[Token] = []

    def close() -> None:
        kept = _without_fillers(run)
        if any(not token.is_punct for token in kept):
            times = tuple((words[t.word].start_ms, words[t.word].end_ms) for t in kept)
            asks = run[-1].lower.endswith("?")
            last = lasts.get(run[-1].word, run[-1].word)
            sentences.append(
                Sentence(
                    len(sentences), kept, words[run[0].word].start_ms, words[last].end_ms, asks, times, last
                )
            )
        run.clear()

    for i, token in enumerate(tokens):
        run.append(token)
        if i + 1 == len(tokens):
            break
        after = tokens[i + 1]
        if after.is_punct and after.word == token.word:
            continue
        if apart and any(word in apart for word in range(token.word + 1, after.word)):
            close()
            continue
        silence = words[after.word].start_ms - words[lasts.get(token.word, token.word)].end_ms
        new_phrase = words[after.word].phrase != words[token.word].phrase
        titled = token.lower in TITLES or (
            token.is_punct
            and i > 0
            and ((tokens[i - 1].lower in TITLES and after.capital) or _shortened(tokens, i))
        )
        if titled and silence < PAUSE_MS:
            continue
        if (
            (
                ENDS.search(token.lower)
                and (len(token.lower) > 2 or token.is_punct or after.capital or new_phrase)
            )
            or silence > (pause if pause else PAUSE_AFTER_COMMA_MS if token.lower == "," else PAUSE_MS)
            or (new_phrase and token.lower != "," and silence > 250 and after.capital)
        ):
            close()
    if run:
        close()
    return sentences
