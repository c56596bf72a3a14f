"""Numbers that sound alike or read two ways are offered where something speaks for the other; never changed.

That thirteen and thirty are taken for one another, and so on to nineteen and ninety, is a commonplace of
teaching English: only the stress and the last sound differ (from memory). The homophones are those of the CMU
Pronouncing Dictionary, which gives "for" and "four" the same phones.
"""

import pytest
from fitting import texts

from narrate2log.draft import locate
from narrate2log.footage.track import Track
from narrate2log.reading import read
from narrate2log.reading.alike_numbers import DIGITS, doubtful_numbers, points_in, twin
from narrate2log.records import Narration, Offer, Transcript, Word
from narrate2log.table.number_offers import with_numbers
from narrate2log.wording.lexicon import load_lexicon
from narrate2log.wording.sound import look_up

LEXICON = load_lexicon()
# A push at two seconds a foot; what is asked about comes between the two lines.
BEFORE = [(0, "Starting at the cleanout."), (20, "Ten feet."), (100, "Fifty feet."), (120, "Sixty feet.")]
AFTER = [(150, "Seventy five feet."), (170, "Eighty five feet.")]


def transcript(told: list[tuple[int, str]]) -> Transcript:
    return Transcript(
        tuple(
            Word(text, 1000 * second + 300 * at, 1000 * second + 300 * at + 250, phrase=phrase)
            for phrase, (second, line) in enumerate(told)
            for at, text in enumerate(line.split())
        ),
        (),
    )


def offers_of(told: list[tuple[int, str]], settled: frozenset[int] = frozenset()) -> tuple[Offer, ...]:
    said = transcript(told)
    narration = read(said, (), LEXICON, "ft")
    track = locate(narration, (), said.words[-1].end_ms)
    return with_numbers((), said, narration, track, "ft", settled)


def told_at(line: str, second: int = 130) -> dict[str, list[str]]:
    """What is offered for a line that is told where the camera is about 65 ft in."""
    return {
        offer.heard: [choice.read_as for choice in offer.choices]
        for offer in offers_of([*BEFORE, (second, line), *AFTER])
    }


@pytest.mark.parametrize(
    ("line", "heard", "read_as"),
    [
        # By the words around, wherever the camera is.
        ("Roots at for feet.", "for", "four"),
        ("There is a crack at to feet.", "to", "two"),
        ("A crack about for feet past the wye.", "for", "four"),
        ("To feet in there is an offset.", "To", "two"),
        ("Roots, to feet back from the wye.", "to", "two"),
        ("The pipe is for inch clay.", "for", "four"),
        ("The crack is at ate o'clock.", "ate", "eight"),
        ("The crack is at won o'clock.", "won", "one"),
        ("Roots from two to for o'clock.", "for", "four"),
        ("Maybe too inches of water.", "too", "two"),
        ("An offset at sixty to feet.", "sixty to", "sixty two"),
        ("An offset at 60 for feet.", "60 for", "64"),
        # By the footages around: near 65 ft.
        ("Roots at sixteen feet.", "sixteen", "sixty"),
        ("Roots at 16 feet.", "16", "60"),
        ("Roots at sixteen and a half feet.", "sixteen and a half", "sixty and a half"),
        ("Crack at six five.", "six five", "65"),
        ("Crack at six four five.", "six four five", "64.5"),
        ("Crack at 645 feet.", "645", "64.5"),
        ("Crack at six forty five.", "six forty five", "64.5"),
    ],
)
def test_another_number_is_offered(line: str, heard: str, read_as: str) -> None:
    offered = told_at(line)
    assert list(offered) == [heard]
    assert offered[heard][0] == read_as


@pytest.mark.parametrize(
    "line",
    [
        "Roots from three to five o'clock.",
        "Crack from sixty to seventy feet.",
        "It goes on for feet past the joint.",
        "We switch from metres to feet.",
        "We will look for inches of water next.",
        "I ate lunch, and we won the job.",
        "Roots at the joint too.",
        "At sixty five there are roots, for sure.",
        "Cut it to inch and a half.",
        "We are about to foot the bill.",
        "A reducer for inch and a half pipe.",
        # What fits where the camera is stays, whatever it sounds like.
        "Roots at sixty feet.",
        "Crack at sixty four feet.",
        "Crack at 64.5 feet.",
        # What fits neither way has no better reading.
        "Roots at eighteen feet.",
        # No footages.
        "Sixteen years old, this pipe.",
        "That was sixteen percent.",
        "Built in nineteen sixty.",
    ],
)
def test_a_number_that_may_stand_is_not_asked_about(line: str) -> None:
    assert told_at(line) == {}


@pytest.mark.parametrize("teen", range(13, 20))
def test_every_teen_is_offered_for_its_ten_and_the_other_way(teen: int) -> None:
    ten = 10 * (teen - 10)
    for true, heard in ((teen, ten), (ten, teen)):
        push = [(second, f"At {second / 2:g} feet.") for second in range(6, 220, 12)]
        push = [one for one in push if abs(one[0] - 2 * true) > 4]
        told = sorted([(0, "Starting."), *push, (2 * true, f"{heard} feet, roots.")])
        assert [(offer.heard, offer.choices[0].read_as) for offer in offers_of(told)] == [
            (str(heard), str(true))
        ]


def test_a_digit_that_is_told_alone_is_offered_only_where_the_camera_is() -> None:
    start = [(0, "Starting."), (4, "Three feet."), (6, "Crack at for."), (10, "Six feet."), (20, "Ten feet.")]
    assert [offer.choices[0].read_as for offer in offers_of(start)] == ["four"]
    assert told_at("Crack at for.") == {}


def test_the_reason_and_the_score_are_told() -> None:
    (offer,) = offers_of([*BEFORE, (130, "Roots at sixteen feet."), *AFTER])
    (choice,) = offer.choices
    assert choice.reason.startswith("sounds like it; the others put the camera near 6")
    assert 0.5 <= choice.score <= 1


def test_what_was_settled_is_not_asked_again() -> None:
    said = [*BEFORE, (130, "Roots at for feet."), *AFTER]
    at = [word.text for word in transcript(said).words].index("for")
    assert offers_of(said, frozenset({at})) == ()


def test_with_no_footages_only_the_words_speak() -> None:
    assert offers_of([(0, "Roots at sixteen feet, at 825, at six five.")]) == ()
    assert len(offers_of([(0, "Roots at for feet.")])) == 1
    assert with_numbers((), Transcript((), ()), *_nowhere(), "ft", ()) == ()


def _nowhere() -> tuple[Narration, Track]:
    narration = read(Transcript((), ()), (), LEXICON, "ft")
    return narration, locate(narration, (), 0)


def test_ordinary_english_holds_no_such_number() -> None:
    """On public-domain prose of 40,000 words that is not looked at when words are added to the tables."""
    found = [one for one in doubtful_numbers(texts.prose(to_fit=False)[:40_000]) if one.sure]
    assert found == []


def test_the_homophones_sound_alike_by_the_dictionary() -> None:
    for word, digit in DIGITS.items():
        ways = set(look_up(word)) & set(look_up(digit))
        assert ways or word in ("tree", "free"), word


def test_twins_come_in_pairs() -> None:
    pairs = {value for value in range(1000) if twin(value) is not None}
    assert len(pairs) == 10 * 14
    assert all(twin(twin(value)) == value for value in pairs)


def test_figures_with_a_point_are_the_same_figures() -> None:
    for figures in ("62", "825", "1045"):
        assert all(f"{value:g}".replace(".", "") == figures for value in points_in(figures))
