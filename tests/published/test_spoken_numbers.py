"""Spoken numbers read beside num2words, and the ways in which a footage is called.

num2words 0.5.13 and later (LGPL, https://pypi.org/project/num2words/) writes out every integer; what it
writes must be read as that integer. The calls "one oh five" and "one fourteen", the halves and quarters
are common practice, no published source; the grammar below is their definition here.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from narrate2log.reading.numbers import find_numbers
from narrate2log.wording.folding import english, plain


def values(text: str) -> list[float]:
    """What is read from a phrase, cut into tokens as a transcript is."""
    tokens = [token.lower_ for token in english().tokenizer(plain(text))]
    return [number.value for number in find_numbers(tokens)]


@pytest.mark.parametrize(
    "written", ["as num2words has it", "without the and", "without hyphens", "in digits"]
)
def test_every_integer_to_999(written: str) -> None:
    def phrase(n: int) -> str:
        words = num2words(n)
        return {
            "as num2words has it": words,
            "without the and": words.replace(" and ", " "),
            "without hyphens": words.replace("-", " "),
            "in digits": str(n),
        }[written]

    misread = {phrase(n): values(phrase(n)) for n in range(1000) if values(phrase(n)) != [n]}
    assert misread == {}


WHOLE = st.integers(1, 199)
DIGITS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
DIGIT = st.sampled_from(DIGITS)
# A fraction as said after "and", and its value. All are exact in binary.
PARTS = {"a half": 0.5, "a quarter": 0.25, "three quarters": 0.75, "one half": 0.5, "three eighths": 0.375}


@given(WHOLE, st.sampled_from(sorted(PARTS)))
def test_whole_and_a_part(whole: int, part: str) -> None:
    assert values(f"{num2words(whole)} and {part}") == [whole + PARTS[part]]


@given(WHOLE, st.sampled_from(sorted(PARTS)))
def test_digits_and_a_part(whole: int, part: str) -> None:
    assert values(f"{whole} and {part}") == [whole + PARTS[part]]


@given(st.integers(0, 199), st.lists(DIGIT, min_size=1, max_size=3))
def test_decimals_digit_by_digit(whole: int, digits: list[str]) -> None:
    written = f"{whole}." + "".join(str(DIGITS.index(d)) for d in digits)
    said = f"{num2words(whole)} point {' '.join(digits)}"
    assert values(said) == pytest.approx([float(written)], abs=1e-9)
    assert values(written) == [float(written)]


@given(st.integers(0, 199), st.integers(10, 99))
def test_decimals_said_as_one_number(whole: int, hundredths: int) -> None:
    said = f"{num2words(whole)} point {num2words(hundredths)}"
    assert values(said) == pytest.approx([whole + hundredths / 100], abs=1e-9)


@given(st.lists(DIGIT.filter("zero".__ne__), min_size=1, max_size=2))
def test_point_alone(digits: list[str]) -> None:
    tail = "".join(str(DIGITS.index(d)) for d in digits)
    assert values(f"point {' '.join(digits)}") == pytest.approx([float(f"0.{tail}")], abs=1e-9)


@given(st.integers(1, 9), st.integers(1, 9), st.sampled_from(["oh", "o"]))
def test_hundreds_with_oh(hundreds: int, ones: int, oh: str) -> None:
    assert values(f"{num2words(hundreds)} {oh} {num2words(ones)}") == [100 * hundreds + ones]


@given(st.integers(1, 9), st.integers(10, 99))
def test_hundreds_left_out(hundreds: int, rest: int) -> None:
    assert values(f"{num2words(hundreds)} {num2words(rest)}") == [100 * hundreds + rest]


@given(st.integers(1, 99), st.sampled_from(["a hundred and", "hundred and", "a hundred", "hundred"]))
def test_a_hundred_and_some(rest: int, hundred: str) -> None:
    assert values(f"{hundred} {num2words(rest)}") == [100 + rest]


@given(st.integers(1, 9), st.integers(1, 9), st.sampled_from(sorted(PARTS)))
def test_oh_and_a_part(hundreds: int, ones: int, part: str) -> None:
    said = f"{num2words(hundreds)} oh {num2words(ones)} and {part}"
    assert values(said) == [100 * hundreds + ones + PARTS[part]]


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("one oh five", 105),
        ("twenty three and a half", 23.5),
        ("sixty one point five", 61.5),
        ("a hundred and twelve", 112),
        ("a hundred and a half", 100.5),
        ("19 and a half", 19.5),
        ("19 1/2", 19.5),
        ("zero point two five", 0.25),
        ("one hundred five point oh five", 105.05),
        ("three sixteenths", 3 / 16),
        ("half", 0.5),
    ],
)
def test_settled_calls(said: str, value: float) -> None:
    assert values(said) == [value]


@given(st.lists(st.integers(11, 99).filter(lambda n: n % 10), min_size=2, max_size=4))
def test_numbers_with_a_word_between_stay_apart(numbers: list[int]) -> None:
    assert values(" then ".join(num2words(n) for n in numbers)) == numbers
