"""Which numbers are footages, and what each binds: here, ahead, behind, or elsewhere."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from num2words import num2words

from narrate2log.units import LengthUnit, length_to_mm
from reading.heard import footages, narration


@pytest.mark.parametrize(
    ("text", "feet"),
    [
        ("At thirty feet.", 30),
        ("Thirty feet.", 30),
        ("Roots at thirty feet.", 30),
        ("Roots at thirty.", 30),
        ("Thirty, roots.", 30),
        ("Roots, thirty.", 30),
        ("Past fifty feet.", 50),
        ("Counter says sixty one point five.", 61.5),
        ("At 61.5, crack.", 61.5),
        ("At one oh five.", 105),
        ("One hundred and twelve feet.", 112),
        ("Thirty three foot and an inch.", 33.08),
        ("At thirty three and a half feet.", 33.5),
    ],
)
def test_a_footage_said_is_where_the_camera_is(text: str, feet: float) -> None:
    assert footages(text) == [(feet, feet, "here")]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("About forty to forty one feet.", (40, 41, "here")),
        ("At thirty, thirty one feet.", (30, 31, "here")),
        ("Coming up on forty feet.", (40, 40, "ahead")),
        ("That was ten feet back.", (10, 10, "behind")),
        ("Ten feet behind us there was a crack.", (10, 10, "behind")),
        ("The owner said there were roots at fifty feet.", (50, 50, "elsewhere")),
    ],
)
def test_what_a_footage_binds(text: str, found: tuple[float, float, str]) -> None:
    assert footages(text) == [found]


@pytest.mark.parametrize(
    ("text", "begins", "ends"),
    [
        ("Belly from thirty to forty feet.", 30, 40),
        ("Belly from thirty to forty.", 30, 40),
        ("Grease thirty feet to fifty five feet.", 30, 55),
        ("Roots thirty through forty feet.", 30, 40),
    ],
)
def test_from_to_is_a_stretch_and_no_place_of_the_camera(text: str, begins: float, ends: float) -> None:
    said = narration(text)
    assert footages(text) == [(begins, begins, "elsewhere")]
    (mention,) = [m for m in said.mentions if m.end_place is not None]
    assert mention.end_place is not None
    assert round(mention.end_place.high_mm / 304.8, 2) == ends


@pytest.mark.parametrize(
    ("text", "feet"), [("The belly is ten feet long.", 10), ("A belly runs for about ten feet.", 10)]
)
def test_a_length_is_no_place(text: str, feet: float) -> None:
    said = narration(text)
    assert said.places == ()
    assert [m.length_mm for m in said.mentions] == [round(304.8 * feet)]


@pytest.mark.parametrize(
    ("text", "feet"),
    [
        ("At thirty, no, thirty two feet.", 32),
        ("At thirty feet, correction, thirty five feet.", 35),
        ("At thirty, sorry, thirty two.", 32),
        ("At thirty feet, scratch that, forty feet.", 40),
        ("At thirty feet, I mean twenty feet.", 20),
    ],
)
def test_of_a_corrected_footage_the_last_word_counts(text: str, feet: float) -> None:
    assert footages(text) == [(feet, feet, "here")]


def test_several_footages_of_one_sentence_are_several_places() -> None:
    assert footages("At thirty feet we have an offset, and at forty feet a crack.") == [
        (30, 30, "here"),
        (40, 40, "here"),
    ]


@pytest.mark.parametrize(
    "text",
    [
        "Roots every five feet.",
        "Another ten feet of clay.",
        "It's five feet deep.",
        "Fifteen feet off the house.",
        "Twenty feet from the house.",
        "Two feet from the wall.",
        "A thousand feet.",
        "Built in nineteen fifty.",
        "The house is from 1962.",
        "He paid fifty dollars.",
        "Forty years old.",
        "I've got five kids.",
        "Two joints.",
        "Six inch pipe.",
        "Fifty percent roots.",
        "At nine o'clock.",
        "A forty five degree bend.",
        "Here is a forty five.",
        "The second one.",
        "Minus three.",
        "Minus three degrees.",
        "A quarter inch per foot.",
    ],
)
def test_numbers_that_are_no_footage(text: str) -> None:
    assert footages(text) == []


@pytest.mark.parametrize(
    ("text", "unit", "mm"),
    [
        ("Roots at ten.", "ft", 3048),
        ("Roots at ten.", "m", 10_000),
        # the unit said wins over that of the run
        ("Roots at ten feet.", "m", 3048),
        ("Roots at ten metres.", "ft", 10_000),
    ],
)
def test_a_bare_footage_is_in_the_unit_of_the_run(text: str, unit: LengthUnit, mm: int) -> None:
    assert [p.low_mm for p in narration(text, unit).places] == [mm]


def test_a_footage_has_the_time_at_which_it_was_said() -> None:
    (place,) = narration("Starting now. Roots at thirty feet.").places
    assert (place.time_ms, place.sentence) == (10_000 + 4 * 300, 1)


@settings(deadline=None)
@given(st.integers(2, 500), st.sampled_from(("ft", "m")))
def test_a_footage_keeps_its_value_in_words_and_in_digits(feet: int, unit: LengthUnit) -> None:
    for said in (str(feet), num2words(feet).replace("-", " ")):
        (place,) = narration(f"Roots at {said} feet.", unit).places
        assert place.low_mm == place.high_mm == length_to_mm(feet, "ft")
        assert place.relation == "here"


@settings(deadline=None)
@given(st.integers(501, 9999))
def test_more_than_a_cable_is_long_is_no_footage(feet: int) -> None:
    assert footages(f"Roots at {feet} feet.") == []
