"""The small language in which the lexicon says what people say.

A pattern is words in order. `a|b` is one or the other, `word?` may be missing, `..` stands for up
to three words, `a_b` joins words inside a choice, `<name>` is a named set of words. Words are
folded, so "roots" finds "root" and "that's" finds "that is".

    >>> parse("slight|small offset?", fold=str.split, sets={})
    (Slot(choices=(('slight',), ('small',)), optional=False), Slot(choices=(('offset',),), optional=True))

Patterns are looked up by their first two words, so that a sentence meets only the few that can begin in it.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

T = TypeVar("T")

LONGEST_GAP = 3


@dataclass(frozen=True, slots=True)
class Slot:
    """One place in a pattern: any of some word sequences, or a gap where there are no choices."""

    choices: tuple[tuple[str, ...], ...]
    optional: bool = False

    @property
    def is_gap(self) -> bool:
        """Whether any few words may stand here."""
        return not self.choices


@dataclass(frozen=True, slots=True)
class Found(Generic[T]):
    """A pattern found on tokens `start` to `end` (half open)."""

    start: int
    end: int
    what: T


class BadPattern(ValueError):
    """A pattern that cannot be read; the message says why."""


class PatternReader:
    """Reads patterns with one way of folding and one choice of sets.

    A lexicon says some words thousands of times, so each part and each pattern is read only once.
    """

    def __init__(self, *, fold: Callable[[str], Sequence[str]], sets: Mapping[str, Sequence[str]]) -> None:
        self._fold = fold
        self._sets = sets
        self._parts: dict[str, Slot] = {"..": Slot(())}
        self._patterns: dict[str, tuple[Slot, ...]] = {}

    def read(self, text: str) -> tuple[Slot, ...]:
        """One pattern as slots. Raises `BadPattern`."""
        known = self._patterns.get(text)
        if known is None:
            known = self._patterns[text] = self._pattern(text)
        return known

    def _pattern(self, text: str) -> tuple[Slot, ...]:
        slots = tuple(self._part(part, text) for part in text.split())
        # What must be said decides: an optional word at an end would leave a gap there when missing.
        must = [slot for slot in slots if not slot.optional]
        if not must or must[0].is_gap or must[-1].is_gap:
            raise BadPattern(f"{text!r} needs a word at both ends")
        return slots

    def _part(self, part: str, text: str) -> Slot:
        known = self._parts.get(part)
        if known is None:
            optional = part.endswith("?") and len(part) > 1
            choices = dict.fromkeys(self._choices(part[:-1] if optional else part, text))
            known = self._parts[part] = Slot(tuple(choices), optional)
        return known

    def _choices(self, part: str, text: str) -> Iterator[tuple[str, ...]]:
        for choice in part.split("|"):
            for words in self._set(choice[1:-1]) if re.fullmatch("<.+>", choice) else [choice]:
                folded = tuple(self._fold(words.replace("_", " ")))
                if not folded:
                    raise BadPattern(f"an empty choice in {text!r}")
                yield folded

    def _set(self, name: str) -> Sequence[str]:
        if name not in self._sets:
            raise BadPattern(f"there is no set <{name}>; allowed are {', '.join(self._sets) or 'none'}")
        return self._sets[name]


def parse(
    text: str, *, fold: Callable[[str], Sequence[str]], sets: Mapping[str, Sequence[str]]
) -> tuple[Slot, ...]:
    """Read one pattern. `fold` turns a phrase into its folded words. Raises `BadPattern`."""
    return PatternReader(fold=fold, sets=sets).read(text)


def spread(slots: tuple[Slot, ...]) -> list[tuple[str, ...]]:
    """Every row of words that a pattern stands for, its gaps left empty.

    >>> spread(parse("a|b c?", fold=str.split, sets={}))
    [('a', 'c'), ('a',), ('b', 'c'), ('b',)]
    """
    if not slots:
        return [()]
    rows = spread(slots[1:])
    if slots[0].is_gap:
        return rows
    choices = (*slots[0].choices, *([()] if slots[0].optional else []))
    return [(*choice, *row) for choice in choices for row in rows]


def _beginnings(slots: tuple[Slot, ...]) -> set[tuple[str, str | None]]:
    """The first two words a pattern can begin with; None where the second may be any word or none."""
    keys: set[tuple[str, str | None]] = set()
    for choice in slots[0].choices:
        if len(choice) > 1:
            keys.add((choice[0], choice[1]))
        elif len(slots) == 1 or slots[1].is_gap or all(slot.optional for slot in slots[1:]):
            keys.add((choice[0], None))
        else:
            for slot in slots[1:]:
                if slot.is_gap:
                    keys.add((choice[0], None))
                    break
                keys |= {(choice[0], second[0]) for second in slot.choices}
                if not slot.optional:
                    break
    if slots[0].optional:
        keys |= _beginnings(slots[1:])
    return keys


def _keys(slots: tuple[Slot, ...]) -> set[tuple[str, str | None]]:
    """Where a pattern is kept: one that stands for any second word needs no key with a certain one.

    Under both it would be found twice.
    """
    keys = _beginnings(slots)
    any_second = {first for first, second in keys if second is None}
    return {(first, second) for first, second in keys if second is None or first not in any_second}


def _longest(slots: tuple[Slot, ...], at: int, words: Sequence[str], pos: int) -> int:
    """The furthest end of slots[at:] matched from `pos`, or -1."""
    if at == len(slots):
        return pos
    slot = slots[at]
    if slot.is_gap:
        return max(_longest(slots, at + 1, words, pos + skip) for skip in range(LONGEST_GAP + 1))
    best = -1
    here = words[pos] if pos < len(words) else None
    for choice in slot.choices:
        if choice[0] == here and (len(choice) == 1 or tuple(words[pos : pos + len(choice)]) == choice):
            best = max(best, _longest(slots, at + 1, words, pos + len(choice)))
    if slot.optional:
        best = max(best, _longest(slots, at + 1, words, pos))
    return best


class PatternIndex(Generic[T]):
    """Patterns with what each stands for, found in a sequence of folded words."""

    def __init__(self, patterns: Iterable[tuple[tuple[Slot, ...], T]]) -> None:
        self._by_beginning: dict[tuple[str, str | None], list[tuple[tuple[Slot, ...], T]]] = defaultdict(list)
        for slots, what in patterns:
            for key in _keys(slots):
                self._by_beginning[key].append((slots, what))

    def find(self, words: Sequence[str]) -> list[Found[T]]:
        """Every match, in order of start; of one pattern at one place the longest."""
        found: list[Found[T]] = []
        for pos, word in enumerate(words):
            second = words[pos + 1] if pos + 1 < len(words) else None
            candidates = self._by_beginning.get((word, None), [])
            if second is not None:
                candidates = candidates + self._by_beginning.get((word, second), [])
            for slots, what in candidates:
                end = _longest(slots, 0, words, pos)
                if end > pos:
                    found.append(Found(pos, end, what))
        return found
