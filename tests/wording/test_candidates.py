"""Terms found by sound, one to four words against one to four, also those with no known mis-hearing."""

import pytest

from narrate2log.records import Word
from narrate2log.wording.candidates import SoundIndex
from narrate2log.wording.evidence import Setting
from narrate2log.wording.lexicon import load_lexicon
from narrate2log.wording.talk import bare, is_number, pack, talk, unpack
from narrate2log.wording.terms import LINKS, LONGEST, terms
from narrate2log.wording.windows import windows

LEXICON = load_lexicon()
TERMS = terms(LEXICON, talk())
INDEX = SoundIndex(TERMS)


def found(heard: str) -> set[str]:
    """The terms that the whole of some words may stand for."""
    words = heard.split()
    return {one.term.text for one in INDEX.candidates(words, [(0, len(words) - 1)])}


@pytest.mark.parametrize(
    ("heard", "meant"),
    [
        ("why", "wye"),
        ("routes", "roots"),
        ("settle", "saddle"),
        ("kid", "skid"),
        ("cats iron", "cast iron"),
        ("verified clay", "vitrified clay"),
        ("bit too minus", "bituminous"),
        ("the grease", "degrees"),
        # The lexicon lists no mis-hearing for these.
        ("cuddle", "puddle"),
    ],
)
def test_a_term_is_found_by_its_sound(heard: str, meant: str) -> None:
    assert meant in found(heard)


@pytest.mark.parametrize("said", ["roots", "root", "egg-shaped", "ground water", "the roots", "root's"])
def test_a_term_that_is_said_is_no_candidate(said: str) -> None:
    assert not found(said) & {"root", "roots", "egg shaped", "groundwater"}


@pytest.mark.parametrize("heard", ["Wednesday", "umbrella", "zoology"])
def test_what_sounds_like_nothing_gives_nothing(heard: str) -> None:
    assert found(heard) == set()


def test_the_nearest_comes_first() -> None:
    distances = [one.distance / one.length for one in INDEX.candidates(["routes"], [(0, 0)])]
    assert len(distances) > 1
    assert distances == sorted(distances)


def test_terms_are_of_one_to_four_words_without_numbers() -> None:
    assert {len(term.words) for term in TERMS} == set(range(1, LONGEST + 1))
    assert not [term.text for term in TERMS if any(map(is_number, term.words)) or term.words[0] in LINKS]


@pytest.mark.parametrize("text", ["roots", "wye", "cast iron", "clay", "belly", "o'clock", "minus", "pitch"])
def test_the_words_that_matter_are_terms(text: str) -> None:
    assert text in {term.text for term in TERMS}


def windows_of(text: str, probability: float | None = 0.5) -> set[str]:
    words = tuple(Word(one, 0, 1, probability) for one in text.split())
    setting = Setting.of(words, talk())
    return {" ".join(one.text for one in words[a : b + 1]) for a, b in windows(setting)}


def test_names_and_numbers_are_not_looked_at() -> None:
    looked = " ".join(windows_of("we met Billy Tapp by 62 quondam hedgerows at Settle", 0.2)).split()
    assert "hedgerows" in looked
    assert not {"Billy", "Tapp", "62", "Settle"} & set(looked)


def test_no_window_reaches_over_the_end_of_a_sentence() -> None:
    assert "bell. is" not in windows_of("a quondam bell. is", 0.2)


def test_what_was_heard_surely_is_not_looked_at() -> None:
    assert windows_of("quondam hedgerows", 0.99) == set()


@pytest.mark.parametrize(
    ("text", "counted"),
    [("Roots,", "roots"), ("62.5", "#"), ("Forty", "#"), ("4-inch", "#"), ("There’s", "there's")],
)
def test_words_are_counted_bare(text: str, counted: str) -> None:
    assert bare(text) == counted


def test_counts_are_packed_and_unpacked() -> None:
    again = unpack(pack(talk()))
    assert again.trade == talk().trade
    assert again.english == talk().english
