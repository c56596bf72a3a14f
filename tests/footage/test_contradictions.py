"""Where footages contradict each other so that nobody can tell which are right, the table says so."""

from __future__ import annotations

from pathlib import Path

import pytest
from footage.runs import drafted, said, track_of

from narrate2log.footage.course import contradictions

MOVES = [("start", 0.0)]
STEADY = [(20.0, 8.0), (40.0, 16.0), (60.0, 24.0), (80.0, 32.0), (100.0, 40.0)]


@pytest.mark.parametrize(
    ("told", "disputed"),
    [
        (STEADY, False),
        # one slip among many that agree
        ([*STEADY[:2], (50.0, 61.0), *STEADY[2:]], False),
        # two tales of the same way
        ([(20.0, 8.0), (40.0, 16.0), (60.0, 3.0), (70.0, 5.0), (80.0, 32.0), (100.0, 8.0)], True),
        ([(60.0, 24.0), (70.0, 2.0)], True),
    ],
)
def test_two_tales_of_one_way_are_told_in_a_sentence(told: list[tuple[float, float]], disputed: bool) -> None:
    track = track_of(MOVES, [said(second, feet) for second, feet in told])
    assert any(track.disputed(second * 1000) for second in range(120)) == disputed
    problems = contradictions(track)
    assert len(problems) == disputed
    assert all(problem.count(".") == 2 and problem.endswith("has them all.") for problem in problems)


def test_a_counter_log_settles_it() -> None:
    log = [(float(s), s * 0.4) for s in range(120)]
    track = track_of(MOVES, [said(60.0, 24.0), said(70.0, 2.0)], counter=log)
    assert not contradictions(track)


def test_rows_that_hang_on_it_ask_for_a_look(tmp_path: Path) -> None:
    made = drafted(
        tmp_path,
        "Counter's zeroed.",
        "Here we go.",
        "Roots at six feet.",
        "Crack at forty feet.",
        "There's a tap on the left.",
        "Offset at twelve feet.",
        "Crack at forty six feet.",
        "A hole in the bottom here.",
        "Offset at eighteen feet.",
    )
    reason = "the footages said around it contradict each other"
    checks = {row.feature: row.check for row in made.observations}
    assert reason in checks["branch"]
    assert reason in checks["hole"]
    assert sum("contradict" in problem for problem in made.problems) == 1


def test_numbers_of_amounts_overrule_no_footage(tmp_path: Path) -> None:
    made = drafted(
        tmp_path,
        "Counter's zeroed.",
        "Here we go.",
        "Clay from nine and a half.",
        "Roots, call that fifteen percent. Fifteen.",
        "More roots, ten percent. Ten.",
        "There's a dip here, water in it.",
        "And out at thirty eight.",
        "That was seven foot of it, seven and a bit.",
        "That's a city tap, fifty one and a half.",
    )
    at = {row.feature: round(row.placement.distance_mm or 0) / 304.8 for row in made.observations}
    assert at["city-connection"] == pytest.approx(51.5, abs=0.1)
    assert 9.5 < at["belly"] < 38
    assert not made.problems


def test_a_footage_too_far_from_all_others_to_be_taken_asks_for_a_look(tmp_path: Path) -> None:
    made = drafted(
        tmp_path, "Here we go.", "Roots at eight feet.", "Crack at ninety feet.", "Tap at sixteen feet."
    )
    (crack,) = [row for row in made.observations if row.feature == "crack"]
    assert crack.placement.basis != "spoken"
    assert "the footage said with it does not fit the others" in crack.check
