"""Numbers that sound like other words or numbers, and figures that may be read in more than one way.

"Thirty" is heard for "thirteen", "for feet" for "four feet", and "eight two five" may be 825 or 82.5. Only
what the words may be is told here, never which of it was meant.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from narrate2log.reading.numbers import SOUNDS, TEENS, TENS, UNITS, ZEROES, Number, find_numbers
from narrate2log.records import Word

# Words that are heard for a number of one digit, beside the rest of SOUNDS only after a sign.
DIGITS = {word: digit for word, digit in SOUNDS.items() if digit != "zero"}
# What a number counts.
COUNTED = frozenset({"foot", "feet", "inch", "inches", "percent", "%", "degrees", "o'clock", "oclock"})
OCLOCK = frozenset({"o'clock", "oclock"})
# Words before which "for feet" can only be "four feet", and where "to" is not the beginning of a verb either.
LEADS = frozenset("at around past another only roughly nearly almost maybe reads hit".split())
LEADS_BUT_TO = LEADS | frozenset("a the it's is in about say".split())
# "To feet in" and "for feet past" tell of a distance, unless the talk is of units or of a length.
BEYOND = frozenset("in past back ahead beyond off before upstream downstream".split())
GOING_ON = frozenset(
    (
        "set switch switched switches change changed changes convert converts converted go goes going "
        "went on over from it that back metres meters inches feet runs run continues lasts reset close next "
        "up down"
    ).split()
)
# What may follow a footage that is told without its unit; the empty piece is a pause.
CLOSING = frozenset({"", "there", "here", "now", "and", "we", "there's", "i"})
# So many figures in a row may hide a point.
FEWEST_FIGURES, MOST_FIGURES = 2, 4
_FIGURES = re.compile(r"\d+")
_PAUSE = re.compile(r"[.,?!;:…]+$")

Why = Literal["sounds like it", "the same figures"]


@dataclass(frozen=True, slots=True)
class OtherNumber:
    """A number that words may be: its value, how it is written, and why."""

    value: float
    text: str
    why: Why


@dataclass(frozen=True, slots=True)
class Doubtful:
    """Words `first` to `last` (inclusive) of a transcript may be another number than they are read as.

    `heard` is the number that they are read as, None where they are read as none. `sure`: the words around
    leave no other sense, so that no footage need be asked.
    """

    first: int
    last: int
    heard: float | None
    others: tuple[OtherNumber, ...]
    sure: bool = False


def twin(value: float) -> float | None:
    """The number that is easily heard for this one, since only its last syllable differs; or None.

    >>> twin(13), twin(30), twin(119.5), twin(21)
    (30.0, 13.0, 190.5, None)
    """
    hundreds, rest = divmod(round(value, 2), 100)
    whole, part = divmod(rest, 1)
    if 13 <= whole <= 19:
        other = 10 * (whole - 10)
    elif 30 <= whole <= 90 and whole % 10 == 0:
        other = 10 + whole / 10
    else:
        return None
    return float(round(100 * hundreds + other + part, 2))


def points_in(figures: str) -> tuple[float, ...]:
    """What a row of figures may be read as: whole, or with a point that was not heard.

    >>> points_in("825"), points_in("62")
    ((825.0, 82.5, 8.25), (62.0, 6.2))
    """
    places = (len(figures), len(figures) - 1, 1) if figures else ()
    return tuple(dict.fromkeys(float(f"{figures[:at]}.{figures[at:] or 0}") for at in places))


def doubtful_numbers(words: Sequence[Word]) -> list[Doubtful]:
    """Every row of words that may be another number, in order, none overlapping."""
    pieces, owner = _pieces(words)
    numbers = find_numbers(pieces)
    found: list[Doubtful] = []
    for one in sorted(
        (*_homophones(pieces, owner, numbers), *_other_numbers(pieces, owner, numbers)),
        key=lambda one: (one.first, -one.last),
    ):
        if not found or one.first > found[-1].last:
            found.append(one)
    return found


def _pieces(words: Sequence[Word]) -> tuple[list[str], list[int]]:
    """Words in lower case, opened at hyphens, with an empty piece for a pause; and the word each is of."""
    pieces: list[str] = []
    owner: list[int] = []
    for at, word in enumerate(words):
        text = word.text.lower().replace("’", "'")
        said = _PAUSE.sub("", text)
        paused = said != text or at + 1 == len(words) or words[at + 1].phrase != word.phrase
        parts = [*said.strip("\"'(").replace("-", " ").split(), *([""] if paused else [])]
        pieces += parts
        owner += [at] * len(parts)
    # So that what follows can be asked for.
    return [*pieces, "", ""], [*owner, len(words) - 1, len(words) - 1]


def _homophones(pieces: list[str], owner: list[int], numbers: list[Number]) -> Iterator[Doubtful]:
    """Words that may be a digit: "at for feet", "ate o'clock", "twenty to feet", "at to." """
    ended = {number.end: number for number in numbers}
    for at, piece in enumerate(pieces):
        digit = DIGITS.get(piece)
        if digit is None:
            continue
        before, after, beyond = pieces[at - 1] if at else "", pieces[at + 1], pieces[at + 2]
        counts = after in COUNTED
        tens = ended.get(at)
        if tens is None:
            leads = before in (LEADS if piece == "to" else LEADS_BUT_TO)
            sure = (
                after in OCLOCK
                or (counts and leads and beyond != "and")
                or (after == "feet" and beyond in BEYOND and before not in GOING_ON)
            )
            if sure or (before == "at" and not after):
                other = OtherNumber(UNITS[digit], digit, "sounds like it")
                yield Doubtful(owner[at], owner[at], None, (other,), sure)
        elif tens.form == "integer" and 20 <= tens.value < 100 and tens.value % 10 == 0 and not tens.signed:
            value = tens.value + UNITS[digit]
            text = f"{value:g}" if _FIGURES.fullmatch(before) else f"{before} {digit}"
            if counts or after in CLOSING:
                other = OtherNumber(value, text, "sounds like it")
                yield Doubtful(owner[tens.start], owner[at], tens.value, (other,), counts)


def _other_numbers(pieces: list[str], owner: list[int], numbers: list[Number]) -> Iterator[Doubtful]:
    """Numbers that may be another one: a twin that sounds alike, or the same figures with a point."""
    for at, number in enumerate(numbers):
        if number.signed or number.form not in ("integer", "one", "mixed", "decimal"):
            continue
        figures, end = _row_of_figures(pieces, numbers, at)
        others: list[OtherNumber] = []
        other = twin(number.value)
        if other is not None:
            others.append(
                OtherNumber(other, _written(pieces[number.start : number.end], other), "sounds like it")
            )
        others += [
            OtherNumber(value, f"{value:g}", "the same figures")
            for value in points_in(figures)
            if value != number.value
        ]
        if others:
            yield Doubtful(owner[number.start], owner[end - 1], number.value, tuple(others))


def _row_of_figures(pieces: list[str], numbers: list[Number], at: int) -> tuple[str, int]:
    """The figures that a number and those right after it are read off as, "" if they are none; their end.

    "eight two five", "8 2 5" and "825" are 825; so is "eight twenty five".
    """
    row, end = "", numbers[at].start
    for number in numbers[at:]:
        digit = _digit(pieces[number.start])
        if number.start != end or number.end != end + 1 or not digit:
            break
        row, end = row + digit, number.end
    if len(row) < FEWEST_FIGURES:
        number = numbers[at]
        said = pieces[number.start : number.end]
        whole = number.form == "integer" and number.value >= 100 and not {"hundred", "thousand"} & set(said)
        row, end = f"{number.value:.0f}" if whole else "", number.end
    return (row, end) if len(row) <= MOST_FIGURES else ("", numbers[at].end)


def _digit(piece: str) -> str:
    if piece in UNITS:
        return str(UNITS[piece])
    return "0" if piece in ZEROES else piece if re.fullmatch(r"\d", piece) else ""


def _written(pieces: list[str], other: float) -> str:
    """The twin of a number, in words where it was heard in words."""
    swap = {
        word: _WORDS[int(twin(value) or 0)] for word, value in (*TEENS.items(), *TENS.items()) if twin(value)
    }
    words = [swap.get(piece, piece) for piece in pieces]
    return " ".join(words) if words != pieces else f"{other:g}"


_WORDS = {value: word for word, value in (*TENS.items(), *TEENS.items()) if word != "fourty"}
