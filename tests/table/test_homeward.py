"""Which of several alike is met again on the way home."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from footage.runs import drafted, said, telling
from hypothesis import given, settings
from hypothesis import strategies as st
from table.told import mention

from narrate2log.draft import locate
from narrate2log.footage.place import place
from narrate2log.footage.track import Meeting
from narrate2log.records import Mention
from narrate2log.table.homeward import Naming, _step, in_order
from narrate2log.table.meetings import meetings
from narrate2log.table.merge import Gatherer, Row
from narrate2log.units import mm_to_feet

STEPS = (12.0, 30.0, 54.0)
REASON = "told again on the way home, or another of its kind was"


def named(second: float, here: float, *costs: float, kind: str = "step", other: float = 10.0) -> Naming:
    return Naming(second, here, kind, STEPS, costs or (0.0, 0.0, 0.0), other)


def certain(second: float, feet: float) -> Naming:
    return Naming(second, feet, "", (feet,), (0.0,))


TURN, HOME = certain(170, 60), certain(246, 0)


@pytest.mark.parametrize(
    "track",
    [
        # where the pace puts the camera at the three namings: right, too far out, too near home
        (54.0, 30.0, 12.0),
        (57.8, 49.2, 41.3),
        (36.0, 20.0, 5.0),
    ],
)
def test_three_alike_named_three_times_are_met_in_reverse(track: tuple[float, ...]) -> None:
    namings = [TURN, *(named(180 + 20 * i, here) for i, here in enumerate(track)), HOME]
    assert [meant.which for meant in in_order(namings)] == [0, 2, 1, 0, 0]


def test_one_passed_without_a_word() -> None:
    namings = [TURN, named(178, 54), named(230, 13), HOME]
    assert [meant.which for meant in in_order(namings)[1:-1]] == [2, 0]


def test_a_footage_between_tells_where_the_camera_was() -> None:
    namings = [TURN, named(180, 50), certain(190, 40), named(195, 36), HOME]
    assert [meant.which for meant in in_order(namings)[1:4]] == [2, 0, 1]


def test_named_twice_in_a_breath_it_is_one() -> None:
    namings = [TURN, named(205, 30), named(207, 29), HOME]
    assert [meant.which for meant in in_order(namings)[1:-1]] == [1, 1]


def test_the_words_decide_between_two_that_fit_alike() -> None:
    halfway = in_order([TURN, named(195, 42), HOME])[1]
    assert halfway.open
    assert not in_order([TURN, named(195, 42, 0.0, -1.0, 3.0), HOME])[1].open
    assert in_order([TURN, named(195, 42, 0.0, 3.0, -1.0), HOME])[1].which == 2


def test_a_new_thing_far_from_all_is_none_of_them() -> None:
    assert (
        in_order([TURN, certain(200, 42), named(201, 41.5, other=1.0), certain(202, 41), HOME])[2].which
        is None
    )


@settings(max_examples=60)
@given(
    st.lists(st.tuples(st.floats(0, 70), st.floats(0, 60)), max_size=8),
    st.lists(st.floats(-2, 4), min_size=3, max_size=3),
)
def test_as_the_best_of_all_ways_tried_one_by_one(
    told: list[tuple[float, float]], costs: list[float]
) -> None:
    namings = [TURN, *(named(171 + s, here, *costs) for s, here in sorted(told)[:4]), HOME]
    mine = in_order(namings)
    whole = _cost(namings, [meant.which for meant in mine])
    every = [_cost(namings, ways) for ways in _ways(namings)]
    assert whole == pytest.approx(min(every))


def _ways(namings: list[Naming]) -> list[list[int | None]]:
    ways: list[list[int | None]] = [[]]
    for naming in namings:
        choices = [*range(len(naming.feet)), *([] if math.isinf(naming.other) else [None])]
        ways = [[*way, choice] for way in ways for choice in choices]
    return ways


def _cost(namings: list[Naming], way: list[int | None]) -> float:
    own = sum(n.other if a is None else n.costs[a] for n, a in zip(namings, way, strict=True))
    met = [(n, a) for n, a in zip(namings, way, strict=True) if a is not None]
    return own + sum(_step(m, b, n, a) for (m, b), (n, a) in pairwise(met))


def gathered_home(*home: Mention) -> tuple[list[Row], tuple[Meeting, ...], set[int]]:
    """Offsets at 12, 30 and 54 ft told on the way out, the turn at 60 ft after 121 s, home after 200 s.

    The rows, what places the camera on the way home, and the mentions of which it is open what they mean.
    """
    out = [mention("joint-offset", 2 * feet, feet) for feet in STEPS]
    moves = [("start", 0.0), ("pull-back", 121.0), ("home", 200.0)]
    told = telling(moves, [said(2.0 * feet, feet) for feet in (*STEPS, 60)])
    narration = replace(told, mentions=(*out, *home))
    track = place(narration, (), entries_ms=[], homes_ms=[200_000], far_ends=[], last_ms=205_000)
    unplaced = Gatherer(track, narration.mentions)
    unplaced.gather()
    rows = Gatherer(locate(narration, (), 205_000), narration.mentions).gather()
    return rows, meetings(narration, track), unplaced.open_which


def seen_again(rows: list[Row]) -> list[tuple[float, list[int]]]:
    return [
        (round(mm_to_feet(r.placement.distance_mm or 0)), [m.start_ms // 1000 for m in r.mentions[1:]])
        for r in rows
    ]


@pytest.mark.parametrize("times", [(130, 160, 185), (124, 150, 190), (140, 170, 192)])
def test_offsets_named_with_one_word_each_are_met_in_order(times: tuple[int, int, int]) -> None:
    rows, _, _ = gathered_home(*(mention("joint-offset", second) for second in times))
    assert seen_again(rows) == [(12, [times[2]]), (30, [times[1]]), (54, [times[0]])]
    assert not any(REASON in row.reasons for row in rows)


def test_told_as_the_same_they_place_the_camera() -> None:
    _, met, _ = gathered_home(*(mention("joint-offset", s, relation="same") for s in (130, 160, 185)))
    assert [(m.time_ms // 1000, round(mm_to_feet(m.distance_mm))) for m in met] == [
        (130, 54),
        (160, 30),
        (185, 12),
    ]


def test_of_two_that_fit_alike_none_places_the_camera_and_the_row_asks() -> None:
    rows, met, open_which = gathered_home(
        mention("joint-offset", 145, relation="same", fields={"severity": "severe"})
    )
    assert open_which == {3}
    assert met == ()
    (asking,) = [row for row in rows if REASON in row.reasons]
    # nothing is taken over that may be of the other
    assert (len(asking.mentions), asking.fields.severity) == (2, None)


def test_in_words(tmp_path: Path) -> None:
    made = drafted(
        tmp_path,
        "Counter's zeroed.",
        "Here we go.",
        "Offset at twelve feet, left side.",
        "Offset at thirty feet, right side.",
        "Offset at fifty four feet, in the bottom.",
        "That's the main at sixty feet.",
        "Pulling back.",
        "Step.",
        "Step.",
        "Step, on the left.",
        "Back at the cleanout.",
    )
    steps = [row for row in made.observations if row.feature == "joint-offset"]
    assert [(round(mm_to_feet(r.placement.distance_mm or 0)), len(r.sightings_ms)) for r in steps] == [
        (12, 2),
        (30, 2),
        (54, 2),
    ]
