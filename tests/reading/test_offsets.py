"""Feet told from something else in the pipe: no footage of their own, but they say where the camera is."""

from __future__ import annotations

import pytest

from narrate2log.units import mm_to_feet
from reading.heard import footages, narration
from reading.marked import rows_of

# Forty words at three a second: the time it takes to push on (common practice, no published source).
ON = " ".join(["Pushing on now, nice and slow, and on we go, and on, and still on, and on some more."] * 2)


def offsets(text: str) -> list[tuple[str, float, float]]:
    return [(o.feature, mm_to_feet(o.low_mm), mm_to_feet(o.high_mm)) for o in narration(text).offsets]


@pytest.mark.parametrize(
    ("text", "offset"),
    [
        ("Crack two to three feet past the wye.", ("branch", 2, 3)),
        ("Two feet beyond that cleanout, roots.", ("cleanout", 2, 2)),
        ("About a foot before the cleanout there's an offset.", ("cleanout", -1, -1)),
        ("Roots a foot or so short of the second cleanout.", ("cleanout", -1, -1)),
        ("Crack, a foot and a half past the wye.", ("branch", 1.5, 1.5)),
        ("Crack half a metre past the wye.", ("branch", 1.64, 1.64)),
        ("Roots a couple of feet past the cleanout.", ("cleanout", 1.5, 3)),
        ("A few feet past that offset, a crack.", ("joint-offset", 2, 5)),
    ],
)
def test_feet_from_a_thing_are_an_offset_and_no_footage(text: str, offset: tuple[str, float, float]) -> None:
    assert offsets(text) == [offset]
    assert footages(text) == []


@pytest.mark.parametrize(
    "text",
    [
        "I'd dig two feet past the wye.",
        "The owner said there were roots two feet past the wye.",
        "Should see the main two feet past the wye.",
        "That crack was two feet past the wye.",
        "Forty feet past the wye.",
        "Two feet past the toolbox.",
    ],
)
def test_what_is_not_told_of_where_the_camera_is_now_ties_it_to_nothing(text: str) -> None:
    assert offsets(text) == []
    assert [place for place in footages(text) if place[2] == "here"] == []


@pytest.mark.parametrize(
    ("text", "feature", "feet"),
    [
        (f"Wye on the left at twenty feet. {ON} Crack, two to three feet past the wye.", "crack", 22.5),
        ("Wye on the left at twenty feet. Two to three feet past the wye, small crack.", "crack", 22.5),
        (f"Wye at twenty feet. {ON} Roots about a foot before the cleanout. Cleanout at 30.", "roots", 29),
        (f"Wye at twenty feet. {ON} Roots two feet past the cleanout. {ON} Cleanout at 40.", "roots", None),
    ],
    ids=["later", "at once", "of what comes next", "past what is still to come"],
)
def test_what_is_told_from_a_landmark_lies_so_far_from_it(
    text: str, feature: str, feet: float | None
) -> None:
    (row,) = [r for r in rows_of(f"Starting out. {ON} {text}") if r.feature == feature]
    at = row.placement
    assert at.distance_mm is not None
    assert at.low_mm is not None
    assert at.high_mm is not None
    if feet is None:
        assert at.basis == "interpolated"
    else:
        assert (at.basis, round(mm_to_feet(at.distance_mm), 1)) == ("spoken", feet)
        # wider than a footage said: the landmark's own error, the range and the eye
        assert 2 < mm_to_feet(at.high_mm - at.low_mm) < 5


def test_feet_from_a_landmark_that_cannot_be_are_a_reason_to_look() -> None:
    rows = rows_of(
        f"Starting out. {ON} Wye at twenty feet. {ON} At thirty feet. {ON} At forty feet."
        f" Crack two feet past the wye. At forty one feet. {ON} At fifty feet."
    )
    (crack,) = [row for row in rows if row.feature == "crack"]
    assert "the feet told from something else do not fit the footages" in crack.check
    assert crack.placement.distance_mm is not None
    assert mm_to_feet(crack.placement.distance_mm) > 39
