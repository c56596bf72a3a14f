"""How words sound, and how far apart: what the trade is mis-heard as is near, what it is not is far."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from narrate2log.wording.sound import (
    CONSONANTS,
    VOWELS,
    classes,
    distances,
    look_up,
    phones_of,
    phones_of_row,
    sound_out,
)

PHONES = st.text(alphabet=sorted({*VOWELS, *CONSONANTS}), max_size=9)


def distance(heard: str, meant: str) -> float:
    return float(distances([heard], [meant])[0])


def apart(one: str, other: str) -> float:
    """The distance of two phrases, as a part of the longer one."""
    pairs = [(a, b) for a in phones_of_row(tuple(one.split())) for b in phones_of_row(tuple(other.split()))]
    return min(distance(a, b) / max(len(a), len(b)) for a, b in pairs)


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("wye", "wY"),
        ("why", "wY"),
        ("roots", "rUts"),
        ("Joint,", "jJnt"),
        ("pvc", "pIvIsI"),
        ("HDPE", "EcdIpII"),
        ("cleanout", "klInWt"),
        ("o'clock", "@klXk"),
        ("sidewall's", "sYdwQlz"),
    ],
)
def test_a_word_is_said(word: str, said: str) -> None:
    assert said in phones_of(word)


def test_both_ways_of_saying_a_word_are_known() -> None:
    assert set(phones_of("routes")) == {"rUts", "rWts"}


@pytest.mark.parametrize("word", ["aaaaaaa", "zzzz", "a", "", "zyzzyvas", "'", "~"])
def test_words_at_and_beyond_the_ends_of_the_dictionary(word: str) -> None:
    assert look_up(word) in ((), ("@", "E"))


@pytest.mark.parametrize(
    ("word", "said"), [("thrudge", "%rVj"), ("frelt", "frFlt"), ("snade", "snAd"), ("quish", "kwL$")]
)
def test_a_word_that_no_dictionary_holds_is_sounded_out(word: str, said: str) -> None:
    assert not look_up(word)
    assert sound_out(word) == said
    assert phones_of(word) == (said,)


@pytest.mark.parametrize(
    ("meant", "heard"),
    [
        ("roots", "routes"),
        ("wye saddle", "why settle"),
        ("hairline", "airline"),
        ("test tee", "test tea"),
        ("city tap", "city tab"),
        ("clay", "play"),
        ("pitch", "bitch"),
        ("offset", "off set"),
        ("cast iron", "cats iron"),
        ("crushed", "crust"),
        ("grease", "crease"),
        ("bituminous fiber", "bit too minus fiber"),
        ("degrees", "the grease"),
        ("terracotta", "terror cotta"),
    ],
)
def test_what_is_taken_for_a_term_sounds_like_it(meant: str, heard: str) -> None:
    assert apart(meant, heard) <= 0.22


@pytest.mark.parametrize(
    ("one", "other"), [("clay", "table"), ("roots", "window"), ("belly", "concrete"), ("wye", "mortar")]
)
def test_what_is_not_does_not(one: str, other: str) -> None:
    assert apart(one, other) > 0.5


@pytest.mark.parametrize(
    ("near", "far"),
    [
        (("p", "b"), ("p", "k")),  # voice is easier to miss than place
        (("L", "I"), ("X", "I")),  # two high front vowels, and a low back one
        (("F", "A"), ("s", "m")),  # any two vowels nearby, and consonants of different make
        (("t", ""), ("k", "")),  # a t comes and goes
    ],
)
def test_near_sounds_cost_less(near: tuple[str, str], far: tuple[str, str]) -> None:
    assert distance(*near) < distance(*far)


@given(PHONES, PHONES)
def test_distance_is_the_same_both_ways(one: str, other: str) -> None:
    assert distance(one, other) == pytest.approx(distance(other, one))


@given(PHONES)
def test_nothing_lies_between_a_sound_and_itself(one: str) -> None:
    assert distance(one, one) == 0


@given(PHONES, PHONES, PHONES)
def test_no_way_round_is_shorter(one: str, other: str, third: str) -> None:
    # Swaps alone may break the triangle, by less than one phone each.
    slack = 0.7 * max(len(one), len(third))
    assert distance(one, third) <= distance(one, other) + distance(other, third) + slack


THREE, TWO = st.text("rUtsk", min_size=3, max_size=3), st.text("fAJn", min_size=2, max_size=2)


@given(st.lists(st.tuples(THREE, TWO), min_size=1))
def test_many_at_once_are_the_same_as_one_by_one(pairs: list[tuple[str, str]]) -> None:
    together = distances([one for one, _ in pairs], [other for _, other in pairs])
    assert list(together) == [pytest.approx(distance(*pair)) for pair in pairs]


@given(PHONES)
def test_folding_to_classes_keeps_the_length(one: str) -> None:
    assert len(classes(one)) == len(one)
