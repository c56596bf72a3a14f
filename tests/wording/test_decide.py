"""Mis-heard terms corrected, offered or left; ordinary English, names and numbers never changed."""

from itertools import pairwise
from pathlib import Path

import pytest

from narrate2log.records import Correction, Offer, Transcript, Word
from narrate2log.wording.decide import hear_terms, index_of, model
from narrate2log.wording.evidence import FEATURES
from narrate2log.wording.learned import Learned
from narrate2log.wording.lexicon import load_lexicon

LEXICON = load_lexicon()
LOOKALIKES = [
    line
    for line in (Path(__file__).parent / "lookalikes.txt").read_text(encoding="utf-8").splitlines()
    if line and not line.startswith("#")
]


def heard(text: str, probability: float | None = 0.5) -> Transcript:
    words = text.split()
    return Transcript(
        tuple(Word(one, at * 300, at * 300 + 200, probability) for at, one in enumerate(words)), ()
    )


def decide(
    text: str, probability: float | None = 0.5, learned: Learned | None = None
) -> tuple[str, tuple[Offer, ...]]:
    """The text as it is read, and what is offered."""
    changes, offers = hear_terms(heard(text, probability), LEXICON, learned)
    words = text.split()
    for change in reversed(changes):
        words[change.first : change.last + 1] = [change.read_as]
    return " ".join(words), offers


@pytest.mark.parametrize(
    ("text", "read"),
    [
        # Listed mis-hearings.
        ("there's a why settle on the main", "there's a wye saddle on the main"),
        ("fine routes at the joint", "fine roots at the joint"),
        # By sound alone.
        ("no cracks and no brakes in the clay pipe", "no cracks and no breaks in the clay pipe"),
        (
            "joints cracks roots and standing watcher in the pipe",
            "joints cracks roots and standing water in the pipe",
        ),
    ],
)
def test_a_mis_heard_term_is_put_right(text: str, read: str) -> None:
    assert decide(text)[0] == read


def test_a_correction_says_what_was_heard_and_why() -> None:
    ((change,), _) = hear_terms(heard("joints cracks roots and standing watcher in the pipe"), LEXICON)
    assert (change.first, change.last, change.heard, change.read_as) == (
        4,
        5,
        "standing watcher",
        "standing water",
    )
    assert change.reason.startswith("by sound, 0.")
    assert "phones apart" in change.reason


def test_what_is_less_sure_is_offered_with_its_reasons() -> None:
    lines = (
        "there's a wheat route in there",
        "the left, this is a Y, so that's",
        "clay, the berry ones at the joint",
    )
    offers = [offer for line in lines for offer in decide(line)[1]]
    assert offers
    for offer in offers:
        assert 1 <= len(offer.choices) <= 3
        scores = [choice.score for choice in offer.choices]
        assert scores == sorted(scores, reverse=True)
        assert all(choice.reason for choice in offer.choices)


@pytest.mark.parametrize(
    "text",
    [
        "and this is Mister Rutts from the office",
        "we are at the Clay Belle house on Settle Road",
        "counter says thirty feet, then forty",
        "at 13 feet, at 30 feet, at 8 o'clock",
    ],
)
def test_names_and_numbers_are_left(text: str) -> None:
    changes, _ = hear_terms(heard(text), LEXICON)
    assert changes == ()


def test_ordinary_english_is_left() -> None:
    changed = {line: decide(line, None)[0] for line in LOOKALIKES}
    wrong = {line: read for line, read in changed.items() if read != line}
    assert wrong == {}
    assert len(LOOKALIKES) >= 60


def test_ordinary_english_is_seldom_asked_about() -> None:
    offers = hear_terms(heard(" ".join(LOOKALIKES), None), LEXICON)[1]
    assert len(offers) <= 7


def test_what_was_taught_comes_first() -> None:
    learned = Learned().taught("fine routes", "fine scale").taught("why settle", None)
    assert decide("fine routes at the joint", learned=learned)[0] == "fine scale at the joint"
    read, offers = decide("there's a why settle on the main", learned=learned)
    assert read == "there's a why settle on the main"
    assert offers == ()


def test_nothing_overlaps_and_all_is_in_order() -> None:
    text = "fine routes at the joint and a why settle on the main no brakes and standing watcher in the clay"
    changes, offers = hear_terms(heard(text), LEXICON)
    spans: list[Correction | Offer] = sorted([*changes, *offers], key=lambda one: one.first)
    assert len(changes) >= 3
    assert all(one.last < other.first for one, other in pairwise(spans))


def test_no_words_give_nothing() -> None:
    assert hear_terms(Transcript((), ()), LEXICON) == ((), ())


def test_the_same_words_give_the_same_answer() -> None:
    text = "a bit of basket hanging at the joint, standing watcher, no brakes"
    assert hear_terms(heard(text), LEXICON) == hear_terms(heard(text), LEXICON)


def test_the_index_is_built_once() -> None:
    assert index_of(LEXICON) is index_of(load_lexicon())


def test_the_model_has_a_weight_for_every_feature() -> None:
    assert len(model().weights) == len(FEATURES)
    assert 0 < model().offer_beside_at <= model().offer_at < model().correct_at < 1
