"""Tilt numbers out of talk, and the grade they stand for: 100 tan(angle), 100 in/12 in, exact trigonometry.
The sign of a fall is common practice, no published source."""

from __future__ import annotations

import math

import pytest
from reading.marked import lexicon, transcript_of

from narrate2log.footage.place import place
from narrate2log.reading import read
from narrate2log.records import SlopeReading
from narrate2log.slope.readings import SIGN_BY_RUN, SIGN_OPEN, grade


def readings(text: str) -> tuple[SlopeReading, ...]:
    transcript = transcript_of(text)
    run = read(transcript, (), lexicon(), "ft")
    track = place(run, (), entries_ms=[], homes_ms=[], far_ends=[], last_ms=10**6)
    return grade(run, track, transcript)


@pytest.mark.parametrize(
    ("said", "numbers"),
    [
        ("Tilt is minus two degrees.", [(-2, "deg")]),
        ("Minus two, minus one, zero.", [(-2, "deg"), (-1, "deg"), (0, "deg")]),
        ("Pitch is minus one point five percent. Then minus two.", [(-1.5, "pct"), (-2, "pct")]),
        ("The slope reads a quarter inch per foot.", [(0.25, "in/ft")]),
        ("The level says three sixteenths to the foot.", [(0.1875, "in/ft")]),
        ("Tilt says minus one, no, minus three degrees.", [(-3, "deg")]),
        ("There's a forty five degree bend to the left.", []),
        ("It's ninety degrees outside today.", []),
        ("Roots here, five percent.", []),
        ("A quarter inch per foot is what you want to see.", []),
        ("Counter's at zero.", []),
    ],
)
def test_what_is_a_reading(said: str, numbers: list[tuple[float, str]]) -> None:
    assert [(r.reading, r.unit) for r in readings(said)] == numbers


@pytest.mark.parametrize(
    ("said", "percent"),
    [
        ("Tilt is minus two degrees.", 100 * math.tan(math.radians(2))),
        ("Tilt is plus one degree.", -100 * math.tan(math.radians(1))),
        ("The slope reads a quarter inch per foot.", 100 / 48),
        ("Plus is fall on this one. Tilt is plus one degree.", 100 * math.tan(math.radians(1))),
        ("We're pushing upstream. Tilt is plus one degree.", 100 * math.tan(math.radians(1))),
    ],
)
def test_grade_falls_with_the_flow(said: str, percent: float) -> None:
    assert readings(said)[-1].grade_pct == pytest.approx(percent, abs=0.001)


@pytest.mark.parametrize(
    ("said", "signs", "doubt"),
    [
        # told, or as is usual and most readings bear it out
        ("Minus means it's falling. Tilt is plus one degree.", [-1], None),
        ("Tilt is minus two degrees, minus one, minus one, plus one.", [1, 1, 1, -1], None),
        # nearly all of it would climb
        ("Tilt is two degrees, one, one, two.", [1, 1, 1, 1], SIGN_BY_RUN),
        ("We're pushing upstream. Tilt is minus two degrees, minus one, minus one.", [1, 1, 1], SIGN_BY_RUN),
        # too few, or of both kinds
        ("Tilt is plus two degrees.", [-1], SIGN_OPEN),
        ("Tilt is minus two degrees, plus one, plus one, minus two.", [1, -1, -1, 1], SIGN_OPEN),
        # inches per foot are a fall
        ("The slope reads a quarter inch per foot.", [1], None),
    ],
)
def test_which_sign_falls(said: str, signs: list[int], doubt: str | None) -> None:
    found = readings(said)
    assert [round(math.copysign(1, r.grade_pct)) for r in found] == signs
    assert all((doubt in r.check if doubt else not set(r.check) & {SIGN_OPEN, SIGN_BY_RUN}) for r in found)


def test_a_zero_is_zero_whichever_sign_falls() -> None:
    assert readings("Tilt is zero degrees.")[0].check == ()
