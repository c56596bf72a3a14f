"""What was pushed before a late zeroing lies before zero, and says how far."""

from __future__ import annotations

from pathlib import Path

from footage.runs import at, drafted, feet_at, said, track_of

LATE = [("start", 2.0), ("zero", 22.0)]
PLACES = [said(50.0, 8), said(70.0, 16), said(90.0, 24)]


def test_pushed_before_the_zeroing_is_short_of_zero() -> None:
    track = track_of(LATE, PLACES)
    before = feet_at(track, 10.0)
    assert before is not None
    assert -10 < before < -2
    place = at(track, 10.0)
    assert place.low_mm is not None
    assert place.high_mm is not None
    # a camera that crept or raced is held as well
    assert place.high_mm - place.low_mm > 5 * 304.8
    assert (feet_at(track, 22.0), feet_at(track, 1.0)) == (0.0, 0.0)


def test_its_row_says_how_far_before(tmp_path: Path) -> None:
    made = drafted(
        tmp_path,
        "Here we go.",
        "There's an offset here.",
        "Counter's zeroed.",
        "Roots at eight feet.",
        "Hole at thirteen feet.",
        "Crack at nineteen feet.",
    )
    (offset,) = [row for row in made.observations if row.feature == "joint-offset"]
    assert offset.placement.distance_mm is not None
    assert offset.placement.distance_mm < 0
    assert any(reason.startswith("told before the counter was zeroed, some") for reason in offset.check)
