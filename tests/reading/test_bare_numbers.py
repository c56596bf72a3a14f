"""Numbers that place the camera and numbers that count something else, from the ways the trade talks.

How crews call footages, amounts, hours, lengths and prices: common practice, no published source.
"""

from __future__ import annotations

import pytest

from reading.heard import footages, narration
from reading.marked import rows_of


@pytest.mark.parametrize(
    "text",
    [
        # an amount, and its echo, correction or growth
        "Roots, thirty percent. Thirty.",
        "Call it thirty percent. Yeah, thirty.",
        "Thirty percent. No, forty, I take that back.",
        "There's silt, twenty percent, no, make it thirty.",
        "Twenty. Twenty percent.",
        "Fifteen, fifteen percent of the pipe.",
        "It's half full. Fifty.",
        # hours
        "Tap at three o'clock, four o'clock.",
        "Crack from ten o'clock clear over to two.",
        "Roots from ten round to two.",
        "Two taps, one at four o'clock, one at eight.",
        "Tap at two o'clock, or maybe three.",
        # inches
        "Offset, half an inch. Half.",
        "It's down to two inches, two and a half.",
        "Lip of two inches. Two and a quarter.",
        # lengths and depths of things, and what was moved
        "That's nine foot of sag, nine and a bit.",
        "A six foot section of liner.",
        "They left a ten foot stick in there.",
        "A three foot long split.",
        "Only two foot of cover here.",
        "The trench is four foot deep.",
        "I missed about six feet there.",
        "I'm backing off three feet for a better look.",
        "Back four feet.",
        "A metre and a half.",
        # money
        "What does that cost? Eighty five.",
        "Four and a half thousand for that, four and a half.",
        "Anywhere from eight to twelve thousand.",
        # counts, years, house numbers, times
        "Two, three rags down there.",
        "Forty two Alder Lane.",
        "The neighbor at eighteen thirty six had one too.",
        "Ten past eight.",
        "I'm on this job till four.",
        "A house from nineteen sixty four.",
        "Three wyes so far.",
        "Forty two years old, this clay.",
        # a bend by its angle
        "There's a forty five on the line.",
        "Bend, a forty five. Forty five.",
    ],
)
def test_what_counts_something_else_places_no_camera(text: str) -> None:
    assert footages(text) == []


@pytest.mark.parametrize(
    ("text", "feet"),
    [
        ("Roots, thirty percent. At forty one.", 41),
        ("Roots, thirty percent, at thirty.", 30),
        ("Thirty percent roots. Forty one feet.", 41),
        ("Tap at three o'clock, forty one.", 41),
        ("Forty one, tap at three o'clock.", 41),
        ("Six inch clay from thirty two.", 32),
        ("Offset, half an inch, twenty six and a half.", 26.5),
        ("Clay begins at one five point five.", 15.5),
        ("Counter reads two three point one.", 23.1),
        ("The sag ends at nine foot six.", 9.5),
        ("At sixty foot, a belly.", 60),
        ("Nine feet, no, what am I saying, nineteen feet, roots.", 19),
        ("Two wyes, forty one.", 41),
        ("Back at forty one.", 41),
        ("Out of the dip at thirty three.", 33),
    ],
)
def test_what_places_it_beside_other_numbers(text: str, feet: float) -> None:
    assert footages(text) == [(feet, feet, "here")]


@pytest.mark.parametrize(
    ("text", "bare"),
    [
        ("Forty one feet.", False),
        ("Roots, forty one.", False),
        ("Counter says forty one.", False),
        ("Out at forty one.", False),
        ("Forty one.", True),
        ("Okay, forty one.", True),
        # perhaps the roots grew, perhaps the camera went on
        ("Roots, ten percent. Forty one.", True),
        ("He's here at two.", True),
    ],
)
def test_a_number_alone_is_marked_so(text: str, bare: bool) -> None:
    assert [place.bare for place in narration(text).places] == [bare]


def test_an_amount_said_again_stays_an_amount() -> None:
    (row,) = rows_of("Roots at the joint, thirty percent. No, forty.")
    assert row.fields.amount_pct == 40
