"""Spoken and written numbers in a sequence of lower-case tokens.

Covers integers to the thousands, the ways a footage is called ("one oh five", "one fourteen",
"hundred twelve"), mixed numbers ("twenty three and a half"), decimals ("one point two", "point
nine"), fractions ("three sixteenths"), digits ("61.5", "1/4"), years and ordinals. What a number
counts is decided in `quantities`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Form = Literal["integer", "mixed", "decimal", "fraction", "year", "ordinal", "one"]

UNITS = {
    w: n
    for n, w in enumerate(["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"])
}
TEENS = {
    w: n
    for n, w in enumerate(
        [
            "ten",
            "eleven",
            "twelve",
            "thirteen",
            "fourteen",
            "fifteen",
            "sixteen",
            "seventeen",
            "eighteen",
            "nineteen",
        ],
        10,
    )
}
TENS = {
    w: n * 10
    for n, w in enumerate(["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], 2)
}
TENS["fourty"] = 40
ORDINALS = {
    w: n
    for n, w in enumerate(
        [
            "first",
            "second",
            "third",
            "fourth",
            "fifth",
            "sixth",
            "seventh",
            "eighth",
            "ninth",
            "tenth",
            "eleventh",
            "twelfth",
        ],
        1,
    )
}
# Denominators said in a fraction.
PARTS = {
    "half": 2, "halves": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4, "fifth": 5, "fifths": 5,
    "eighth": 8, "eighths": 8, "tenth": 10, "tenths": 10, "sixteenth": 16, "sixteenths": 16,
}  # fmt: skip
ZEROES = {"oh", "o", "zero", "nought", "naught"}
# Denominators that a recogniser writes in figures ("3 16ths"), and what makes a lone one no ordinal.
_FIGURE_PART = re.compile(r"(8|10|16|32)th(s?)$")
_OF_AN_INCH = (("of", "an", "inch"), ("inch",), ("of", "inch"), ("to", "the", "foot"), ("per", "foot"))
# What a recogniser writes for a number said beside others.
SOUNDS = {
    "free": "three", "tree": "three", "won": "one", "to": "two", "too": "two", "for": "four",
    "ate": "eight", "hero": "zero",
}  # fmt: skip
_DIGITS = re.compile(r"[+-]?(\d{1,3}(,\d{3})+|\d+)(\.\d+)?$|^[+-]?\.\d+$")
_SLASH = re.compile(r"(\d+)/(\d+)$")


@dataclass(frozen=True, slots=True)
class Number:
    """A number on tokens `start` to `end` (half open). `signed` is +1 or -1 if a sign was said."""

    start: int
    end: int
    value: float
    form: Form
    signed: int | None = None


def _below_hundred(t: Sequence[str], i: int) -> tuple[int, int] | None:
    """Value and end of a number word below a hundred at `i`."""
    if i >= len(t):
        return None
    word = t[i]
    if word in TENS:
        if i + 1 < len(t) and t[i + 1] in UNITS and t[i + 1] != "zero":
            return TENS[word] + UNITS[t[i + 1]], i + 2
        return TENS[word], i + 1
    for table in (TEENS, UNITS):
        if word in table:
            return table[word], i + 1
    return None


def _digits(t: Sequence[str], i: int) -> float | None:
    if i < len(t) and _DIGITS.match(t[i]):
        return float(t[i].replace(",", ""))
    return None


def _integer(t: Sequence[str], i: int) -> tuple[int, int, Form] | None:
    """Value, end and form of an integer said in words at `i`."""
    n = len(t)
    if t[i] == "a" and i + 1 < n and t[i + 1] in ("hundred", "thousand"):
        first, end = 1, i + 1
    elif t[i] in ("hundred", "thousand"):
        first, end = 1, i
    else:
        small = _below_hundred(t, i)
        if small is None:
            return None
        first, end = small
    if end < n and t[end] == "thousand":
        rest, stop = _tail(t, end + 1)
        value = first * 1000 + rest
        return value, stop, "year" if 1900 <= value < 2100 else "integer"
    if end < n and t[end] == "hundred" and first < 100:
        rest, stop = _tail(t, end + 1)
        value = first * 100 + rest
        return value, stop, "integer"
    if end == i:
        return None
    if end < n and 10 < first < 21 and end == i + 1:
        # "nineteen fifty eight", "twenty sixteen", "nineteen oh five", "nineteen and seventy one"
        step = end + 1 if t[end] == "and" and first == 19 else end
        if t[end] in ("oh", "o") and end + 1 < n and t[end + 1] in UNITS and first != 20:
            return first * 100 + UNITS[t[end + 1]], end + 2, "year"
        low = _below_hundred(t, step)
        if low is not None and low[0] >= 10 and (first >= 18):
            return first * 100 + low[0], low[1], "year"
    if end < n and 1 <= first <= 9 and end == i + 1:
        if t[end] in ("oh", "o") and end + 1 < n and t[end + 1] in UNITS and t[end + 1] != "zero":
            return first * 100 + UNITS[t[end + 1]], end + 2, "integer"
        low = _below_hundred(t, end)
        if low is not None and low[0] >= 10:
            return first * 100 + low[0], low[1], "integer"
    return first, end, "one" if t[i] == "one" and end == i + 1 else "integer"


def _tail(t: Sequence[str], i: int) -> tuple[int, int]:
    """What follows "hundred" or "thousand": value and end."""
    step = i + 1 if i < len(t) and t[i] == "and" else i
    if step < len(t):
        small = _below_hundred(t, step)
        # "a hundred and a half", "a hundred and one half": a mixed number, not a hundred and one
        part = small is not None and small[1] < len(t) and t[small[1]] in PARTS
        if small is not None and small[0] > 0 and not part:
            value, end = small
            if end < len(t) and t[end] == "hundred":
                rest, stop = _tail(t, end + 1)
                return value * 100 + rest, stop
            return value, end
    return 0, i


def _followed(t: Sequence[str], i: int, endings: Sequence[tuple[str, ...]]) -> bool:
    return any(tuple(t[i : i + len(words)]) == words for words in endings)


def _part(t: Sequence[str], i: int) -> int | None:
    """The denominator said or written at `i`: "sixteenths", "16ths", "8th of an inch"."""
    if i >= len(t):
        return None
    figure = _FIGURE_PART.match(t[i])
    if figure and (figure[2] or _followed(t, i + 1, _OF_AN_INCH)):
        return int(figure[1])
    return PARTS.get(t[i])


def _fraction(t: Sequence[str], i: int) -> tuple[float, int] | None:
    """A fraction without a whole part at `i`: "a half", "three sixteenths", "quarter"."""
    n = len(t)
    if i >= n:
        return None
    slash = _SLASH.match(t[i])
    if slash and float(slash[2]):
        return float(slash[1]) / float(slash[2]), i + 1
    part = _part(t, i + 1)
    if part and t[i] in ("a", "an", "one"):
        return 1 / part, i + 2
    if part and t[i] in UNITS and UNITS[t[i]] > 1:
        return UNITS[t[i]] / part, i + 2
    if re.fullmatch(r"[1-9]", t[i]):
        if part and (t[i] == "1" or t[i + 1].endswith("s")):
            return int(t[i]) / part, i + 2
        # "3 16 to the foot": three sixteenths, its ending not heard
        unended = i + 1 < n and t[i + 1] == "16" and _followed(t, i + 2, _OF_AN_INCH)
        return (int(t[i]) / 16, i + 2) if unended else None
    alone = _part(t, i)
    if alone and t[i] not in ("third", "fifth", "tenth", "thirds"):
        return 1 / alone, i + 1
    return None


def _decimals(t: Sequence[str], i: int) -> tuple[float, int] | None:
    """The digits after "point" at `i`."""
    digits, end = "", i
    while end < len(t) and (t[end] in UNITS or t[end] in ZEROES or re.fullmatch(r"\d", t[end])):
        digits += str(0 if t[end] in ZEROES else UNITS.get(t[end], t[end]))
        end += 1
    if not digits and end < len(t):
        small = _below_hundred(t, end)
        if small is not None and small[0] >= 10:
            digits, end = str(small[0]), small[1]
        elif re.fullmatch(r"\d+", t[end]):
            digits, end = t[end], end + 1
    return (float("0." + digits), end) if digits else None


def _spelled(t: Sequence[str], i: int) -> tuple[int, int] | None:
    """Digits called one by one before "point": "one five point five" is fifteen and a half."""
    end = i
    while end < len(t) and t[end] in UNITS:
        end += 1
    if end - i not in (2, 3) or end == len(t) or t[end] != "point":
        return None
    return int("".join(str(UNITS[word]) for word in t[i:end])), end


def _number_at(t: Sequence[str], i: int) -> tuple[float, int, Form] | None:
    n = len(t)
    value: float
    form: Form
    written = _digits(t, i)
    fraction = _fraction(t, i)
    if written is not None and fraction is None:
        value, end, form = written, i + 1, "decimal" if "." in t[i] else "integer"
        if form == "integer" and len(t[i]) == 4 and 1800 <= value < 2100:
            return value, end, "year"
        slash = _SLASH.match(t[end]) if end < n else None
        if slash and form == "integer" and float(slash[2]) and float(slash[1]) < float(slash[2]):
            return value + float(slash[1]) / float(slash[2]), end + 1, "mixed"
    elif t[i] in ZEROES and i + 1 < n and t[i + 1] == "point":
        value, end, form = 0.0, i + 1, "integer"
    elif t[i] == "point":
        after = _decimals(t, i + 1)
        return (after[0], after[1], "decimal") if after else None
    else:
        if fraction is not None:
            return *fraction, "fraction"
        whole = _integer(t, i)
        if whole is None:
            if t[i] in ORDINALS or re.fullmatch(r"\d+(st|nd|rd|th)", t[i]):
                value = ORDINALS.get(t[i]) or int(re.sub(r"\D", "", t[i]))
                return value, i + 1, "ordinal"
            return None
        value, end, form = whole
    if form in ("integer", "one"):
        spelled = _spelled(t, i)
        value, end = spelled if spelled else (value, end)
    if form != "year" and end < n:
        if t[end] == "point":
            after = _decimals(t, end + 1)
            if after:
                return value + after[0], after[1], "decimal"
        if t[end] == "and":
            part = _fraction(t, end + 1)
            if part and part[0] < 1:
                value, end, form = value + part[0], part[1], "mixed"
                if t[end : end + 1] in (["thousand"], ("thousand",)):
                    return 1000 * value, end + 1, "integer"
    return value, end, form


SIGNS = {"minus": -1, "negative": -1, "plus": 1, "positive": 1}


def by_sound(tokens: Sequence[str]) -> list[str]:
    """Lower-case tokens with what only sounds like a number put right, where the words about are certain.

    Certain is what follows a sign, or is told alone between the commas of a row of numbers that has
    a sign in it; the sense of no other word is settled by its sound.

    >>> by_sound("minus free , minus one , one , free .".split())[-2]
    'three'
    """
    if not any(token in SIGNS for token in tokens):
        return list(tokens)
    fixed = list(tokens)
    for i, token in enumerate(tokens):
        if token not in SOUNDS or not i:
            continue
        ends = i + 1 == len(tokens) or tokens[i + 1] in (",", ".", "degree", "degrees", "percent", "point")
        row = i > 3 and tokens[i - 1] == "," and _number_at(fixed, i - 2) and tokens[i - 3] in (",", *SIGNS)
        if ends and (tokens[i - 1] in SIGNS or row):
            fixed[i] = SOUNDS[token]
    return fixed


def find_numbers(tokens: Sequence[str]) -> list[Number]:
    """Every number in lower-case tokens, left to right, none overlapping.

    A written sign ("-0.5") or a said one ("minus", "plus") is kept in `signed`, with the value
    signed by it and the sign's token inside the span.

    >>> [n.value for n in find_numbers("twenty three and a half then one oh five".split())]
    [23.5, 105]
    """
    numbers: list[Number] = []
    i = 0
    while i < len(tokens):
        hit = _number_at(tokens, i)
        if hit is None or (hit[1] == i + 1 and tokens[i] in ("o", "oh")):
            i += 1
            continue
        value, end, form = hit
        start, signed = i, None
        if tokens[i][0] in "+-":
            signed = -1 if tokens[i][0] == "-" else 1
        elif (
            i
            and (tokens[i - 1] in SIGNS or tokens[i - 1] in ("-", "+"))
            and not (numbers and numbers[-1].end == i - 1 and tokens[i - 1] == "-")
        ):
            signed = SIGNS.get(tokens[i - 1], -1 if tokens[i - 1] == "-" else 1)
            value, start = signed * value, i - 1
        numbers.append(Number(start, end, value, form, signed))
        i = end
    return numbers
