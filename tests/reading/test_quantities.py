"""What a number is taken to count, by the words around it."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from num2words import num2words

from reading.heard import quantities


def kinds(text: str) -> list[tuple[str, float]]:
    return [(q.kind, round(q.value, 4)) for q in quantities(text)]


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("twenty three feet", "foot", 23),
        ("23 feet", "foot", 23),
        ("61.5 ft here", "foot", 61.5),
        ("sixty one point five feet", "foot", 61.5),
        ("one oh five feet", "foot", 105),
        ("a hundred and twelve feet", "foot", 112),
        ("two and a half feet", "foot", 2.5),
        ("two feet and a half", "foot", 2.5),
        ("eleven foot and nine inches", "foot", 11.75),
        ("thirty feet six inches", "foot", 30.5),
        ("five foot two", "foot", 5.1667),
        ("thirty three foot and an inch", "foot", 33.0833),
        ("5' to go", "foot", 5),
        ("ten yards", "foot", 30),
        ("three metres", "metre", 3),
        ("twelve meters", "metre", 12),
        ("six inch clay", "inch", 6),
        ('8" pipe', "inch", 8),
        ("half an inch", "inch", 0.5),
        ("an inch", "inch", 1),
        ("an inch and a half", "inch", 1.5),
        ("a hundred mil pipe", "size", 3.9),
        ("fifty percent", "percent", 50),
        ("50% roots", "percent", 50),
        ("two degrees", "degree", 2),
        ("a quarter inch per foot", "in/ft", 0.25),
        ("1/4 inch per foot", "in/ft", 0.25),
        ("an eighth of an inch per foot", "in/ft", 0.125),
        ("three sixteenths per foot", "in/ft", 0.1875),
        ("at nine o'clock", "clock", 9),
        ("a forty five", "fitting", 45),
        ("twenty two and a half degree bend", "fitting", 22.5),
        ("built in nineteen fifty eight", "year", 1958),
        ("it is from 1962", "year", 1962),
        ("the second joint", "ordinal", 2),
        ("fifty dollars", "other", 50),
        ("forty years old", "other", 40),
        ("five minutes", "second", 300),
        ("twenty seconds", "second", 20),
        ("a minute and a half", "second", 90),
        ("crack at forty", "bare", 40),
        ("three quarters full", "bare", 0.75),
    ],
)
def test_what_a_number_counts(text: str, kind: str, value: float) -> None:
    assert kinds(text) == [(kind, value)]


@pytest.mark.parametrize(
    ("text", "value", "sign"),
    [
        ("minus one point two", -1.2, -1),
        ("negative two degrees", -2, -1),
        ("-0.5 degrees", -0.5, -1),
        ("plus 0.8 percent", 0.8, 1),
        ("positive one", 1, 1),
        ("one point two", 1.2, None),
    ],
)
def test_a_sign_is_kept_only_where_it_was_said(text: str, value: float, sign: int | None) -> None:
    (found,) = quantities(text)
    assert (found.value, found.signed) == (value, sign)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("thirty, thirty one feet", 30, 31),
        ("about thirty to thirty two feet", 30, 32),
        ("forty or forty one feet", 40, 41),
        ("thirty or maybe thirty one feet", 30, 31),
        ("three to four inches", 3, 4),
    ],
)
def test_two_near_numbers_of_a_kind_are_one_range(text: str, low: float, high: float) -> None:
    (found,) = quantities(text)
    assert (found.low, found.value, found.high) == (low, (low + high) / 2, high)


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("from ten to eleven feet", [10, 11]),
        ("thirty to sixty feet", [30, 60]),
        ("forty one to forty feet", [41, 40]),
        ("thirty and thirty one", [30, 31]),
        ("one, two, three", [1, 2, 3]),
        ("minus one, two degrees", [-1, 2]),
        ("at twenty feet, twenty percent", [20, 20]),
        ("roots at twenty, twenty one percent", [20, 21]),
        ("one in fifty", [1, 50]),
    ],
)
def test_what_is_no_range_stays_apart(text: str, values: list[float]) -> None:
    found = quantities(text)
    assert [q.value for q in found] == values
    assert all(q.low == q.value == q.high for q in found)


@pytest.mark.parametrize("text", ["roots at the joint", "a crack", "oh no"])
def test_no_number_no_quantity(text: str) -> None:
    assert quantities(text) == []


@pytest.mark.parametrize(
    ("text", "singular"), [("six inch clay", True), ("six inches of clay", False), ("ten foot in", True)]
)
def test_the_singular_of_a_unit_is_noticed(text: str, singular: bool) -> None:
    (found,) = quantities(text)
    assert found.singular is singular


UNITS = {"feet": "foot", "inches": "inch", "percent": "percent", "degrees": "degree", "metres": "metre"}


@settings(deadline=None)
@given(st.integers(1, 399), st.sampled_from(sorted(UNITS)))
def test_a_whole_number_keeps_its_value_in_words_and_in_digits(value: int, unit: str) -> None:
    want = [(UNITS[unit], value)]
    assert kinds(f"roots {value} {unit} in") == want
    assert kinds(f"roots {num2words(value).replace('-', ' ')} {unit} in") == want


@settings(deadline=None)
@given(st.integers(0, 399), st.integers(1, 9), st.sampled_from(("feet", "percent", "degrees")))
def test_a_decimal_keeps_its_value_in_words_and_in_digits(whole: int, tenth: int, unit: str) -> None:
    want = [(UNITS[unit], float(f"{whole}.{tenth}"))]
    assert kinds(f"now {whole}.{tenth} {unit} in") == want
    assert kinds(f"now {num2words(whole).replace('-', ' ')} point {num2words(tenth)} {unit} in") == want


@settings(deadline=None)
@given(
    st.lists(
        st.sampled_from("ten 3.5 feet inches , to percent minus and a half per foot o'clock the".split())
    )
)
def test_quantities_never_overlap_and_stay_inside_their_range(words: list[str]) -> None:
    found = quantities(" ".join(["roots", *words]))
    assert all(before.end <= after.start for before, after in pairwise(found))
    assert all(q.low <= q.value <= q.high and q.start < q.end for q in found)
