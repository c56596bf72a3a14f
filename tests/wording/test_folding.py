"""Words folded: what the lexicon writes once is found however it is said."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from narrate2log.wording.folding import fold, fold_phrase, plain


@pytest.mark.parametrize(
    ("word", "folded"),
    [
        ("Roots", "root"),
        ("ROOTS", "root"),
        ("bellies", "belly"),
        ("branches", "branch"),
        ("boxes", "box"),
        ("passes", "pass"),
        ("offsets", "offset"),
        ("glass", "glass"),
        ("gas", "gas"),
        ("abs", "abs"),
        ("this", "this"),
        ("us", "us"),
        ("A.B.S.", "abs"),
        ("P.V.C", "pvc"),
        ("yeah", "yes"),
        ("n't", "not"),
        ("n’t", "not"),
        ("'ll", "will"),
        ("gon", "going"),
        ("61.5", "61.5"),
        ("45s", "45s"),
    ],
)
def test_one_word(word: str, folded: str) -> None:
    assert fold(word) == folded


@pytest.mark.parametrize(
    ("phrase", "folded"),
    [
        ("that's a build-up", ("that", "is", "a", "build", "up")),
        ("that’s a build up", ("that", "is", "a", "build", "up")),
        ("isn't any", ("is", "not", "any")),
        ("can't", ("can", "not")),
        ("cannot", ("can", "not")),
        ("won't", ("will", "not")),
        ("we're gonna", ("we", "are", "going", "to")),
        ("4-inch", ("4", "inch")),
        ("", ()),
    ],
)
def test_phrases(phrase: str, folded: tuple[str, ...]) -> None:
    assert fold_phrase(phrase) == folded


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("there's roots", "There is root"),
        ("low-spot", "low spots"),
        ("I don't see any cracks", "i do not see any crack"),
        ("Two-way cleanouts", "two way cleanout"),
    ],
)
def test_ways_of_saying_the_same(one: str, other: str) -> None:
    assert fold_phrase(one) == fold_phrase(other)


@given(st.text(alphabet="abcdefghijklmnopqrstuvwxyz", min_size=1))
def test_case_makes_no_difference(word: str) -> None:
    assert fold(word.upper()) == fold(word) == fold(word.capitalize())


@given(
    st.sampled_from(["root", "offset", "gap", "pipe", "joint", "saddle", "crack", "wipe", "clog", "liner"])
)
def test_plural_is_found_by_the_singular(word: str) -> None:
    assert fold(word + "s") == fold(word) == word


@given(st.text())
def test_opening_hyphens_moves_nothing(text: str) -> None:
    assert len(plain(text)) == len(text)


@given(st.text("ab-s4' ", max_size=12), st.text("ab-s4' ", max_size=12))
def test_phrases_fold_word_by_word(one: str, other: str) -> None:
    assert fold_phrase(f"{one} {other}") == fold_phrase(one) + fold_phrase(other)
