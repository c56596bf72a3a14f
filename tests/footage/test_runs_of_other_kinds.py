"""Runs pushed upstream, runs of several clips, and ends and pull-backs that were none."""

from __future__ import annotations

from pathlib import Path

import pytest
from footage.runs import drafted, feet_at, said, track_of

from narrate2log.draft import draft
from narrate2log.records import Draft


def places_of(made: Draft) -> dict[str, float | None]:
    return {
        row.feature: None
        if row.placement.distance_mm is None
        else round(row.placement.distance_mm / 304.8, 1)
        for row in made.observations
    }


def test_pushed_upstream_distances_count_from_the_entry_and_the_clock_is_as_said(tmp_path: Path) -> None:
    made = drafted(
        tmp_path,
        "I'm at the city manhole, pushing upstream.",
        "Counter's zeroed. Here we go.",
        "Clay at six feet.",
        "A wye at three o'clock, fourteen feet.",
        "Roots.",
        "Hole at twenty four feet.",
        "Pulling back.",
        "There's the hole.",
    )
    (leg,) = made.legs
    assert leg.direction == "upstream"
    at = places_of(made)
    assert (at["material"], at["branch"], at["hole"]) == (6.0, 14.0, 24.0)
    assert at["roots"] is not None
    assert 14 < at["roots"] < 24
    (tap,) = [row for row in made.observations if row.feature == "branch"]
    assert tap.fields.clock_from == 3


def test_what_is_told_in_a_second_clip_is_placed_by_footages_of_both(tmp_path: Path) -> None:
    head = "WEBVTT\n\n"
    first, second = tmp_path / "1.vtt", tmp_path / "2.vtt"
    first.write_text(
        head + "00:00.000 --> 00:02.000\nCounter's zeroed. Here we go.\n\n"
        "00:30.000 --> 00:33.000\nRoots at twelve feet.\n",
        encoding="utf-8",
    )
    second.write_text(
        head + "00:20.000 --> 00:22.000\nThere's a hole here.\n\n"
        "00:45.000 --> 00:48.000\nCrack at thirty feet.\n",
        encoding="utf-8",
    )
    at = places_of(draft([first, second]))
    assert (at["roots"], at["crack"]) == (12.0, 30.0)
    assert at["hole"] is not None
    assert 12 < at["hole"] < 30


MOVES = [("start", 0.0)]
OUT = [said(20.0, 8), said(60.0, 24), said(100.0, 40)]


@pytest.mark.parametrize("what", ["end", "main"])
def test_an_end_that_the_run_goes_on_from_is_none(what: str) -> None:
    # beyond the last footage a run that has ended stands, one that has not goes on
    told = track_of([*MOVES, (what, 30.0)], OUT)
    quiet = track_of(MOVES, OUT)
    assert feet_at(told, 45) == feet_at(quiet, 45)
    ended = track_of([*MOVES, (what, 101.0)], OUT, last=140)
    assert feet_at(ended, 125) == pytest.approx(40, abs=1)
    on = feet_at(track_of(MOVES, OUT, last=140), 125)
    assert on is not None
    assert on > 44


def test_out_of_the_water_is_not_out_of_the_pipe(tmp_path: Path) -> None:
    made = drafted(
        tmp_path,
        "Counter's zeroed. Here we go.",
        "There's a belly starting at nine feet.",
        "And out we come at seventeen feet.",
        "Crack at twenty three feet.",
        "There's a hairline crack along the top.",
        "And it stops there.",
        "Hole at thirty one feet.",
    )
    features = [row.feature for row in made.observations]
    assert "pull-back" not in features
    assert "end-of-run" not in features
    assert {row.placement.going for row in made.observations} == {"out"}
    assert places_of(made)["hole"] == 31.0
