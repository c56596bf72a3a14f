"""Several things in one breath are one row that runs until something else is told."""

from __future__ import annotations

from pathlib import Path

import pytest
from footage.runs import drafted, feet_at, track_of
from table.told import feet, gathered, home_track, mention, steady_track

from narrate2log.records import Observation
from narrate2log.table.merge import Row
from narrate2log.units import mm_to_feet


def ends(row: Row) -> float | None:
    return None if row.end_mm is None else mm_to_feet(row.end_mm)


def several_at(second: float, **more: object):
    return mention("joint-offset", second, several=True, **more)  # type: ignore[arg-type]


def test_to_where_the_next_thing_is_told() -> None:
    rows = gathered(several_at(41), mention("branch", 55))
    assert [row.feature for row in rows] == ["joint-offset", "branch"]
    assert feet(rows[0]) == pytest.approx(20.5, abs=0.3)
    assert ends(rows[0]) == feet(rows[1])
    assert rows[0].placement == steady_track().at(41_000)


def test_to_the_next_footage_called() -> None:
    # footages are called at every ten feet, a foot in two seconds
    (row, _) = gathered(several_at(41), mention("branch", 95))
    assert ends(row) == pytest.approx(30)


@pytest.mark.parametrize("what", ["reported", "recommendation"])
def test_what_is_no_place_of_the_camera_ends_nothing(what: str) -> None:
    told = mention("break", 45, standing="reported") if what == "reported" else mention("recommendation", 45)
    (row, *_) = gathered(several_at(41), told, mention("branch", 57))
    assert ends(row) == pytest.approx(28.5, abs=0.3)


def test_to_where_its_end_is_told() -> None:
    told = several_at(41), mention("joint-offset", 53, relation="echo", about=0, ends=True)
    (row, _) = gathered(*told, mention("branch", 57))
    assert ends(row) == pytest.approx(26.5, abs=0.3)


def test_a_length_and_a_far_end_told_stand() -> None:
    (by_length, _) = gathered(several_at(41, feet=20, length_mm=1524), mention("branch", 57))
    (by_end, _) = gathered(several_at(41, feet=20, up_to=23), mention("branch", 57))
    assert (ends(by_length), ends(by_end)) == (pytest.approx(25), pytest.approx(23))


def test_to_the_end_of_what_is_said_where_nothing_follows() -> None:
    told = several_at(205), mention("joint-offset", 213, relation="echo", about=0)
    (row,) = gathered(*told)
    assert ends(row) == feet_at(steady_track(), 214)


def test_no_further_than_to_the_turn() -> None:
    track = home_track()
    (row, _) = gathered(several_at(95), mention("branch", 120), track=track)
    assert ends(row) == pytest.approx(50)


def test_seen_on_the_way_home_it_runs_from_the_nearer_end() -> None:
    track = home_track()
    rows = gathered(several_at(110), mention("branch", 125), track=track)
    far, near = feet_at(track, 110), feet_at(track, 125)
    assert (feet(rows[0]), ends(rows[0])) == (near, far)


def test_without_a_footage_no_feet_are_made_up() -> None:
    rows = gathered(several_at(41), mention("branch", 55), track=track_of([("start", 0.0)]))
    assert (feet(rows[0]), ends(rows[0])) == (None, None)


def found(folder: Path, *lines: str) -> Observation:
    (row,) = [r for r in drafted(folder, *lines).observations if r.feature == "joint-offset"]
    return row


@pytest.mark.parametrize(
    ("lines", "at", "to"),
    [
        (["Ten feet.", "A couple of offsets along here.", "Twenty feet."], 15, 20),
        (
            ["Several offsets through this stretch at twelve feet.", "Eighteen.", "Branch at thirty feet."],
            12,
            18,
        ),
        (["Two offsets along in here at twelve feet.", "That's the last of them at nineteen feet."], 12, 19),
        (["A few offsets through here, twelve to twenty feet.", "Branch at thirty feet."], 12, 20),
    ],
)
def test_in_words(tmp_path: Path, lines: list[str], at: float, to: float) -> None:
    row = found(tmp_path, "Counter's zeroed.", "Here we go.", *lines)
    assert mm_to_feet(row.placement.distance_mm or 0) == pytest.approx(at, abs=0.5)
    assert mm_to_feet(row.end_distance_mm or 0) == pytest.approx(to, abs=0.1)
    assert {"several are told of along here, not where each is", "where it begins and ends"} <= set(row.check)


def test_told_again_on_the_way_home_it_is_the_same_row(tmp_path: Path) -> None:
    row = found(
        tmp_path,
        "Counter's zeroed.",
        "Here we go.",
        "Ten feet.",
        "A couple of offsets along here.",
        "Twenty feet.",
        "Branch at thirty feet.",
        "Pulling back.",
        "Those offsets again.",
        "Ten feet.",
        "Back at the cleanout.",
    )
    assert len(row.sightings_ms) == 2
