"""The pattern language: what a pattern finds, where, and which patterns are refused."""

import re
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from narrate2log.wording.patterns import LONGEST_GAP, BadPattern, Found, PatternIndex, Slot, parse

SETS = {"side": ["left", "right", "left_side"], "fix": ["cut", "dig_up"]}


def slots_of(pattern: str) -> tuple[Slot, ...]:
    return parse(pattern, fold=str.split, sets=SETS)


def spans(pattern: str, sentence: str) -> list[tuple[int, int]]:
    return [(f.start, f.end) for f in PatternIndex([(slots_of(pattern), pattern)]).find(sentence.split())]


@pytest.mark.parametrize(
    ("pattern", "sentence", "found"),
    [
        ("root", "a root here a root there", [(1, 2), (4, 5)]),
        ("root ball", "a root ball", [(1, 3)]),
        ("root ball", "a root", []),
        ("root ball", "root a ball", []),
        ("crack|split", "crack split", [(0, 1), (1, 2)]),
        ("hairline crack?", "hairline crack and a hairline", [(0, 2), (4, 5)]),
        ("slight? offset", "slight offset then offset", [(0, 2), (1, 2), (3, 4)]),
        ("joint is? off", "joint is off joint off", [(0, 3), (3, 5)]),
        ("water .. moving", "water moving", [(0, 2)]),
        ("water .. moving", "water is still just moving", [(0, 5)]),
        ("water .. moving", "water is still just barely moving", []),
        ("water .. moving", "water moving and moving", [(0, 4)]),
        ("back_water|backwater valve", "backwater valve back water valve", [(0, 2), (2, 5)]),
        ("on the <side>", "on the left on the left side on the top", [(0, 3), (3, 7)]),
        ("<fix> it", "dig up it cut it dig it", [(0, 3), (3, 5)]),
        ("a b? c? d", "a d a b d a c d a c b d", [(0, 2), (2, 5), (5, 8)]),
        ("a|a_b c?", "a b c", [(0, 3)]),
        ("a .. b .. c", "a x b y y c", [(0, 6)]),
    ],
)
def test_what_is_found_and_where(pattern: str, sentence: str, found: list[tuple[int, int]]) -> None:
    assert spans(pattern, sentence) == found


@pytest.mark.parametrize(
    ("pattern", "why"),
    [
        ("", "needs a word at both ends"),
        ("   ", "needs a word at both ends"),
        ("..", "needs a word at both ends"),
        (".. root", "needs a word at both ends"),
        ("root ..", "needs a word at both ends"),
        ("root?", "needs a word at both ends"),
        ("root? ball?", "needs a word at both ends"),
        ("slight? .. offset", "needs a word at both ends"),
        ("offset .. slight?", "needs a word at both ends"),
        ("root||ball", "an empty choice"),
        ("root|", "an empty choice"),
        ("_", "an empty choice"),
        ("on the <nowhere>", "there is no set <nowhere>"),
    ],
)
def test_refused_patterns(pattern: str, why: str) -> None:
    with pytest.raises(BadPattern, match=re.escape(why)):
        slots_of(pattern)


def test_each_pattern_is_found_with_what_it_stands_for() -> None:
    index = PatternIndex([(slots_of("tap root"), "roots"), (slots_of("tap"), "city-connection")])
    assert index.find(["a", "tap", "root"]) == [Found(1, 2, "city-connection"), Found(1, 3, "roots")]


WORDS = st.sampled_from(["a", "b", "c"])
CHOICE = st.lists(WORDS, min_size=1, max_size=2).map("_".join)
PART = st.tuples(st.lists(CHOICE, min_size=1, max_size=3).map("|".join), st.sampled_from(["", "?"])).map(
    "".join
)
GAPS = st.lists(st.just(".."), max_size=1)


@st.composite
def patterns(draw: st.DrawFn) -> str:
    """A pattern that `parse` takes: a word that must be there at both ends of every gap's side."""
    must = st.lists(CHOICE, min_size=1, max_size=2).map("|".join)
    parts = [
        *draw(st.lists(PART, max_size=2)),
        draw(must),
        *draw(GAPS),
        draw(must),
        *draw(st.lists(PART, max_size=2)),
    ]
    return " ".join(parts)


def by_regular_expression(pattern: str, words: Sequence[str]) -> list[tuple[int, int]]:
    """The same language said with `re`, which tries every way: of each start the furthest end."""
    expression = ""
    for slot in slots_of(pattern):
        if slot.is_gap:
            expression += rf"(?:\w+ ){{0,{LONGEST_GAP}}}"
        else:
            one_of = "|".join("".join(f"{word} " for word in choice) for choice in slot.choices)
            expression += f"(?:{one_of})" + ("?" if slot.optional else "")
    whole = re.compile(expression)
    found = []
    for start in range(len(words)):
        ends = [
            end
            for end in range(start + 1, len(words) + 1)
            if whole.fullmatch("".join(f"{word} " for word in words[start:end]))
        ]
        if ends:
            found.append((start, max(ends)))
    return found


@given(patterns(), st.lists(WORDS, max_size=12))
def test_beside_regular_expressions(pattern: str, words: list[str]) -> None:
    assert spans(pattern, " ".join(words)) == by_regular_expression(pattern, words)


@given(st.lists(patterns(), min_size=1, max_size=4, unique=True), st.lists(WORDS, max_size=12))
def test_patterns_do_not_disturb_each_other(many: list[str], words: list[str]) -> None:
    together = PatternIndex([(slots_of(pattern), pattern) for pattern in many]).find(words)
    alone = [(start, end, pattern) for pattern in many for start, end in spans(pattern, " ".join(words))]
    assert sorted((f.start, f.end, f.what) for f in together) == sorted(alone)
    assert [f.start for f in together] == sorted(f.start for f in together)
