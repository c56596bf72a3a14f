"""The review in a terminal, driven by keys from a pipe."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest
from review.sessions import Reviewer
from rich.console import Console

from narrate2log.review.answers import Unanswerable, place_of
from narrate2log.review.session import Session
from narrate2log.review.sound import Player
from narrate2log.review.terminal import Keys, Terminal, typed_over
from narrate2log.wording.learned import load_learned


class Heard(Player):
    """A player that only notes what it was to play."""

    def __init__(self) -> None:
        super().__init__([], {})
        self.played: list[tuple[float, float, float]] = []

    def why_silent(self) -> str | None:
        return None

    def play(self, start: float, end: float, speed: float = 1.0) -> str | None:
        self.played.append((start, end, speed))
        return None


def go(folder: Path, keys: str) -> tuple[str, Reviewer, Heard]:
    """What was shown, the log as it is after these keys, and what was played."""
    session, player, shown = Session.open(folder, by="Kim"), Heard(), io.StringIO()
    console = Console(file=shown, width=100)
    Terminal(session, Keys(io.StringIO(keys), console), console, player).run()
    return shown.getvalue(), Reviewer(folder), player


def test_enter_all_the_way(folder: Path) -> None:
    shown, log, player = go(folder, "\n\n\n\nq")
    assert log.state["review"]["complete"]
    assert [line for line in shown.splitlines() if line.startswith("─")] == [
        line.center(100, "─") for line in (" 1 of 4 ", " 1 of 3 ", " 1 of 2 ", " 1 of 1 ")
    ]
    assert "Nothing waits any more." in shown
    assert player.played == [(59.0, 66.0, 1.0), (171.0, 178.0, 1.0), (79.0, 86.0, 1.0), (159.0, 166.0, 1.0)]


def test_what_is_shown_of_an_item(folder: Path) -> None:
    shown, _, _ = go(folder, "n")
    first = shown.split("2 of 4")[0]
    assert "Possible roots at about 20 ft; not certain from the picture." in first
    assert "? said to be unsure" in first
    assert "heard:   Might be a root here, not sure." in first
    assert "1  it is there (said to be unsure)" in first
    assert "read as: Seventy feet, there's the wye saddle" in go(folder, "b")[0]


@pytest.mark.parametrize(
    ("keys", "feature", "told"),
    [
        ("1", "roots", {"standing": "seen", "state": "changed"}),
        ("2", "roots", {"standing": "not-seen"}),
        ("4\n", "roots", {"standing": "possible", "state": "stands"}),
        ("nnm33\n", "belly", {"distance": 33.0, "distance_low": 32.5}),
        ("nnm30 to 36\n", "belly", {"distance": 30.0, "end_distance": 36.0}),
        ("nnm-\n", "belly", {"distance": None}),
        ("nnm\n\n", "belly", {"state": "stands", "distance": 30.31}),
        ("nnmthere\n\n", "belly", {"state": "stands"}),
        ("nneseverity = minor; amount_in = none\n", "belly", {"severity": "minor", "amount_in": None}),
        ("nnebelly > hole\n ", "hole", {"state": "changed", "amount_in": 2.0}),
        ("nnecolour = red\n\n", "belly", {"state": "stands"}),
        ("nnm33\nu", "belly", {"state": "unseen", "distance": 30.31}),
        ("nnm33\nuU", "belly", {"state": "changed", "distance": 33.0}),
        ("bbx", "roots", {"state": "unseen"}),
    ],
)
def test_keys_answer(folder: Path, keys: str, feature: str, told: dict[str, Any]) -> None:
    row = go(folder, keys)[1].row(feature)
    assert {name: {**row, **row["review"]}[name] for name in told} == told


def test_not_a_finding(folder: Path) -> None:
    _, log, _ = go(folder, "nnx")
    assert [row["feature"] for row in log.state["dropped"]] == ["belly"]


def test_joined_by_number(folder: Path) -> None:
    number = Reviewer(folder).row("crack")["row"]
    shown, log, _ = go(folder, f"j99\nj{number}\n")
    assert "'99' is no other row" in shown
    assert log.row("crack")["sightings"] == [40.9, 60.9] or len(log.row("crack")["sightings"]) == 2
    assert log.state["dropped"][0]["review"]["into"] == log.row("crack")["id"]


def test_parted_in_two(folder: Path) -> None:
    _, log, _ = go(folder, "nnp9\np\nfeature = hole; clock_from = 6\n")
    assert log.row("hole")["clock_from"] == 6
    assert log.row("belly")["review"]["state"] == "changed"


def test_always_is_asked_once(folder: Path) -> None:
    shown, log, _ = go(folder, "nnebelly > hole\ny")
    assert "Always read 'belly' as 'hole'?" in shown
    assert load_learned()[0].lessons[0].read_as == "hole"
    assert log.state["revision"] == 2


def test_wider_and_slower_and_again(folder: Path) -> None:
    _, _, player = go(folder, "w s ")
    assert player.played == [
        (59.0, 66.0, 1.0), (55.0, 70.0, 1.0), (55.0, 70.0, 1.0), (55.0, 70.0, 0.7), (55.0, 70.0, 0.7),
    ]  # fmt: skip


def test_another_window_meanwhile(folder: Path) -> None:
    session, shown = Session.open(folder, by="Kim"), io.StringIO()
    console = Console(file=shown, width=100)
    terminal = Terminal(session, Keys(io.StringIO("1q"), console), console, Heard())
    lee = Reviewer(folder, "Lee")
    lee.decide("stands", lee.queue()[0]["id"])
    terminal.run()
    assert "Lee settled this meanwhile (stands)" in shown.getvalue()
    assert Reviewer(folder).row("roots")["standing"] == "possible"


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("30", {"distance": 30.0}),
        (" 30.5 ", {"distance": 30.5}),
        ("31-29", {"distance": 30.0, "distance_low": 29.0, "distance_high": 31.0}),
        ("30 to 36.5", {"distance": 30.0, "end_distance": 36.5}),
        ("-", {"distance": None}),
        ("", {"distance": None}),
    ],
)
def test_places_typed(text: str, place: dict[str, float | None]) -> None:
    assert place_of(text) == place


@pytest.mark.parametrize("text", ["there", "30 ft", "-5", "1 2", "30-", "nan", "1e5"])
def test_what_is_no_place(text: str) -> None:
    with pytest.raises(Unanswerable, match="is no place"):
        place_of(text)


@pytest.mark.parametrize(
    "text", ["puddle > belly", "> belly", "cuddle >", "severity", "severity: minor", "id = 3"]
)
def test_what_cannot_be_typed_over(text: str) -> None:
    with pytest.raises(Unanswerable):
        typed_over(text, "There is a cuddle here.")


@pytest.mark.parametrize(
    ("text", "after"),
    [
        ("cuddle > puddle", {"read_as": "There is a puddle here."}),
        ("clock_from = 3; amount_pct=12.5", {"clock_from": 3, "amount_pct": 12.5}),
        ("leg = 2; clock_to = none;material = pvc", {"leg": 2, "clock_to": None, "material": "pvc"}),
        ("severity = 3; size_in = big", {"severity": "3", "size_in": "big"}),
    ],
)
def test_typed_over(text: str, after: dict[str, Any]) -> None:
    assert typed_over(text, "There is a cuddle here.") == after
