"""What a person settles in a session, and what two of them, or another program, do to each other."""

from __future__ import annotations

import errno
import json
import os
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from review.conftest import vtt
from review.sessions import Reviewer

from narrate2log.draft import draft
from narrate2log.draft_folder import write_draft
from narrate2log.errors import Refusal, UnusableFolder
from narrate2log.log import read_log
from narrate2log.records import Draft
from narrate2log.review.answers import Unanswerable
from narrate2log.review.session import Conflict, Session


def test_an_unreviewed_draft_is_all_unseen(folder: Path) -> None:
    kim = Reviewer(folder)
    assert {row["review"]["state"] for row in kim.state["rows"]} == {"unseen"}
    assert kim.state["review"] == {
        "by": [], "first": None, "last": None, "decisions": 0, "waiting": 4,
        "unseen": len(kim.state["rows"]), "complete": False,
    }  # fmt: skip
    json.dumps(kim.state)


def test_the_queue_is_gone_through_with_one_key_each(folder: Path) -> None:
    kim = Reviewer(folder)
    assert [kim.by_id(item["id"])["feature"] for item in kim.queue()] == [
        "roots", "grease", "belly", "city-connection",
    ]  # fmt: skip
    for item in kim.queue():
        kim.decide("stands", item["id"])
    assert not kim.queue()
    assert kim.state["review"]["complete"]
    assert kim.state["review"]["by"] == ["Kim"]
    assert kim.row("belly")["review"]["state"] == "stands"
    assert kim.row("crack")["review"]["state"] == "unseen"


def test_the_draft_is_never_changed(folder: Path) -> None:
    names = [path for path in folder.iterdir() if path.is_file()]
    before = {path: path.read_bytes() for path in names}
    kim = Reviewer(folder)
    kim.decide("dropped", kim.row("belly")["id"])
    kim.session.write_log()
    assert {path: path.read_bytes() for path in names} == before


def test_a_choice_makes_the_remark_anew(folder: Path) -> None:
    kim = Reviewer(folder)
    item = kim.queue()[0]
    choice = item["choices"][0]
    kim.decide(choice["kind"], choice["row"], choice["after"])
    row = kim.by_id(item["id"])
    assert row["remark"] == "Roots at about 20 ft."
    assert row["review"]["changes"] == {"standing": ["possible", "seen"]}
    assert item["id"] not in [other["id"] for other in kim.queue()]


@pytest.mark.parametrize(
    ("typed", "place"),
    [
        ({"distance": 21}, (21, 20.5, 21.5, "spoken", "Roots at 21.0 ft.")),
        ({"distance": 0.2}, (0.2, 0.0, 0.7, "spoken", "Roots at 0.2 ft.")),
        (
            {"distance": 22, "distance_low": 20, "distance_high": 24},
            (22, 20, 24, "spoken", "Roots at 22 ft."),
        ),
        ({"distance": None}, (None, None, None, "none", "Roots.")),
    ],
)
def test_a_place_typed_is_as_said(folder: Path, typed: dict[str, Any], place: tuple[Any, ...]) -> None:
    kim = Reviewer(folder)
    name = kim.row("roots")["id"]
    kim.decide("changed", name, {"standing": "seen"})
    kim.decide("moved", name, typed)
    row = kim.by_id(name)
    told = tuple(
        row[key] for key in ("distance", "distance_low", "distance_high", "distance_basis", "remark")
    )
    assert told == place


def test_rows_stay_in_order_and_are_numbered_anew(folder: Path) -> None:
    kim = Reviewer(folder)
    name = kim.row("belly")["id"]
    kim.decide("moved", name, {"distance": 75})
    assert [row["row"] for row in kim.state["rows"]] == list(range(1, len(kim.state["rows"]) + 1))
    places = [row["distance"] for row in kim.state["rows"] if row["distance"] is not None]
    assert places == sorted(places)
    assert kim.by_id(name)["distance"] == 75


def test_words_typed_over_carry_the_row_along(folder: Path) -> None:
    kim = Reviewer(folder)
    name = kim.row("belly")["id"]
    answer = kim.decide("changed", name, {"read_as": "There's a belly here, about four inches deep."})
    assert kim.by_id(name)["amount_in"] == 4
    assert answer["always"] is None or answer["always"]["heard"] == "two"
    answer = kim.decide("changed", name, {"read_as": "There's a hole here, about four inches deep."})
    assert kim.by_id(name)["feature"] == "hole"
    assert kim.by_id(name)["kind"] == "defect"
    assert answer["always"] == {"heard": "belly", "read_as": "hole"}


def test_a_row_from_a_selection_of_words(folder: Path) -> None:
    kim = Reviewer(folder)
    words = [word["text"] for word in kim.state["words"]]
    at = words.index("fibble")
    told = kim.session.suggest(at - 1, at + 4, "A crack on the left side")
    assert (told["feature"], told["clock_from"], told["distance_basis"]) == ("crack", 9, "interpolated")
    assert told["distance"] == pytest.approx(40, abs=2)
    assert kim.session.suggest(at, at)["feature"] is None
    answer = kim.decide("added", None, {**told, "severity": "minor", "distance": 41.0})
    row = kim.by_id(answer["row"])
    assert (row["review"]["state"], row["remark"]) == (
        "added",
        "Crack at 41.0 ft, called minor, at 9 o'clock.",
    )
    assert (row["distance_low"], row["distance_high"], row["heard"]) == (
        40.5,
        41.5,
        "A fibble on the left side.",
    )
    # A selection of nothing known needs to be told what it is.
    with pytest.raises(Unanswerable, match="say what the row is"):
        kim.decide("added", None, {"words": [at, at]})


def test_parted_and_joined_again(folder: Path) -> None:
    kim = Reviewer(folder)
    name = kim.row("crack")["id"]
    second = kim.decide("parted", name, {"second": {"feature": "hole", "clock_from": 9}})["row"]
    assert second == f"{name}-2"
    assert kim.by_id(second)["remark"].startswith("Hole at")
    assert kim.by_id(second)["review"]["state"] == "added"
    kim.decide("joined", second, {"into": name})
    assert [(row["id"], row["review"]["into"]) for row in kim.state["dropped"]] == [(second, name)]
    assert kim.decide("parted", name)["row"] == f"{name}-3"


def test_undo_has_no_end_and_is_itself_undone(folder: Path) -> None:
    kim = Reviewer(folder)
    states = [kim.state["rows"]]
    name = kim.row("belly")["id"]
    for kind, after in (("moved", {"distance": 31}), ("changed", {"severity": "minor"}), ("dropped", {})):
        kim.decide(kind, name, after)
        states.append(kim.state["rows"])
    for state in reversed(states[:-1]):
        kim.undo()
        assert kim.state["rows"] == state
    with pytest.raises(Unanswerable, match="nothing to be undone"):
        kim.undo()
    for state in states[1:]:
        kim.redo()
        assert kim.state["rows"] == state
    with pytest.raises(Unanswerable, match="nothing to be redone"):
        kim.redo()
    assert len((folder / "decisions.jsonl").read_bytes().splitlines()) == 9


# --- any sequence ---------------------------------------------------------------------------------


def act(kim: Reviewer, data: st.DataObject) -> None:
    rows = [row["id"] for row in kim.state["rows"]]
    name = data.draw(st.sampled_from(rows))
    kind = data.draw(
        st.sampled_from("stands changed moved dropped added parted joined still undo redo".split())
    )
    if kind in ("undo", "redo"):
        getattr(kim, kind)()
        return
    after: dict[str, Any] = {
        "changed": {
            "severity": data.draw(st.sampled_from(["minor", "severe", None])),
            "feature": data.draw(st.sampled_from(["crack", "roots", "material"])),
        },
        "moved": {"distance": data.draw(st.one_of(st.none(), st.integers(0, 90)))},
        "added": {"words": [3, 8], "feature": "hole"},
        "joined": {"into": data.draw(st.sampled_from(rows))},
        "still": {"still": data.draw(st.one_of(st.none(), st.floats(0, 180)))},
        "parted": {"second": {"feature": "crack"}},
    }.get(kind, {})
    kim.decide(kind, None if kind == "added" else name, after)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_replaying_is_applying_and_undoing_all_gives_the_draft_back(
    folder: Path, data: st.DataObject
) -> None:
    for path in folder.glob("decisions.*"):
        path.unlink()
    kim = Reviewer(folder)
    draft_rows = kim.state["rows"]
    for _ in range(data.draw(st.integers(1, 12))):
        try:
            act(kim, data)
        except Unanswerable:
            continue
    again = Reviewer(folder).state
    assert again == kim.state
    log = read_log(folder)
    assert (log.rows, log.dropped, log.review) == (
        kim.state["rows"],
        kim.state["dropped"],
        kim.state["review"],
    )
    while kim.state["can_undo"]:
        kim.undo()
    assert kim.state["rows"] == draft_rows
    assert not kim.state["dropped"]


# --- more than one --------------------------------------------------------------------------------


def test_two_windows_merge(folder: Path) -> None:
    kim, lee = Reviewer(folder), Reviewer(folder, "Lee")
    kim.decide("stands", kim.row("belly")["id"])
    lee.decide("stands", lee.row("grease")["id"])
    kim.look()
    assert kim.state["rows"] == lee.state["rows"]
    assert kim.state["review"]["by"] == ["Kim", "Lee"]
    assert [json.loads(line)["n"] for line in (folder / "decisions.jsonl").read_bytes().splitlines()] == [
        1,
        2,
    ]


def test_a_stale_window_is_shown_the_row_as_it_is(folder: Path) -> None:
    kim, lee = Reviewer(folder), Reviewer(folder, "Lee")
    name = kim.row("belly")["id"]
    kim.decide("moved", name, {"distance": 33})
    with pytest.raises(Conflict, match="Kim settled this meanwhile") as conflict:
        lee.decide("moved", name, {"distance": 44})
    assert conflict.value.row is not None
    assert conflict.value.row["distance"] == 33
    lee.state = conflict.value.state
    lee.decide("moved", name, {"distance": 44})
    assert lee.by_id(name)["distance"] == 44
    # An undo of what the other window changed meanwhile is stale as well.
    kim_saw = kim.state
    with pytest.raises(Conflict):
        kim.undo()
    assert kim.state is kim_saw


def test_the_same_request_twice_is_one_decision(folder: Path) -> None:
    kim = Reviewer(folder)
    name = kim.row("belly")["id"]
    for _ in range(3):
        answer = kim.session.decide("moved", name, {"distance": 33}, revision=0, token="retry")
        assert answer["n"] == 1
    again = Session.open(folder, by="Kim").decide("moved", name, {"distance": 33}, revision=0, token="retry")
    assert again["n"] == 1
    for _ in range(2):
        assert kim.session.undo(revision=1, token="undo once")["n"] == 2


def test_a_full_disk_refuses_and_nothing_is_changed(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kim = Reviewer(folder)
    name = kim.row("belly")["id"]
    kim.decide("stands", name)
    before = (folder / "decisions.jsonl").read_bytes()

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        for kind, row, after in (
            ("dropped", name, {}),
            ("taught", None, {"heard": "fibble", "read_as": "crack"}),
        ):
            with pytest.raises(Refusal, match="No space left on device"):
                kim.decide(kind, row, after)
        with pytest.raises(UnusableFolder, match="no decision is lost"):
            kim.session.write_log()
    assert (folder / "decisions.jsonl").read_bytes() == before
    assert not (folder / "log.json").exists()
    kim.look()
    assert kim.by_id(name)["review"]["state"] == "stands"
    kim.decide("dropped", name)


def test_another_programs_change_to_the_draft_is_refused(folder: Path) -> None:
    kim = Reviewer(folder)
    name = kim.row("belly")["id"]
    path = folder / "observations.json"
    content = path.read_bytes()
    path.write_bytes(content)
    kim.decide("stands", name)
    path.write_bytes(content.replace(b"grease", b"smears"))
    with pytest.raises(UnusableFolder, match="another program changed this draft while it was open"):
        kim.decide("dropped", name)
    assert len((folder / "decisions.jsonl").read_bytes().splitlines()) == 1
    assert b"smears" in path.read_bytes()


# --- a new draft ----------------------------------------------------------------------------------


def test_a_new_draft_keeps_the_journal_and_what_lost_its_row_comes_back(
    folder: Path, drafted_once: tuple[Draft, Path], tmp_path: Path
) -> None:
    kim = Reviewer(folder)
    belly, roots = kim.row("belly")["id"], kim.row("roots")["id"]
    kim.decide("moved", belly, {"distance": 33})
    kim.decide("stands", roots)
    journal = (folder / "decisions.jsonl").read_bytes()
    write_draft(drafted_once[0], folder, force=True)
    assert (folder / "decisions.jsonl").read_bytes() == journal
    kim = Reviewer(folder)
    assert kim.by_id(belly)["distance"] == 33
    assert len(kim.queue()) == 2

    source = tmp_path / "run.vtt"
    source.write_text(vtt().replace("There's a belly here, about", "Nothing here, about"), encoding="utf-8")
    write_draft(draft([source]), folder, force=True)
    kim = Reviewer(folder)
    (gone,) = kim.queue("gone")
    assert kim.state["queue"][0] == gone
    assert gone["why"][0].startswith("this was decided on a row that the new draft does not have")
    assert gone["heard"] == "There's a belly here, about two inches deep."
    assert kim.by_id(roots)["review"]["state"] == "stands"
    waiting = kim.state["review"]["waiting"]
    kim.decide("stands", gone["id"])
    assert not kim.queue("gone")
    assert kim.state["review"]["waiting"] == waiting - 1
    kim.undo()
    assert kim.queue("gone")


def test_what_lost_its_row_may_hold_for_another(folder: Path, tmp_path: Path) -> None:
    kim = Reviewer(folder)
    kim.decide("moved", kim.row("belly")["id"], {"distance": 33, "distance_low": 31})
    source = tmp_path / "run.vtt"
    source.write_text(vtt().replace("belly", "hole"), encoding="utf-8")
    write_draft(draft([source]), folder, force=True)
    kim = Reviewer(folder)
    (gone,) = kim.queue("gone")
    choice = gone["choices"][0]
    assert choice["label"] == f"it holds for row {kim.row('hole')['row']}: {kim.row('hole')['remark']}"
    kim.decide(choice["kind"], choice["row"], choice["after"])
    assert not kim.queue("gone")
    hole = kim.row("hole")
    assert (hole["distance"], hole["distance_low"], hole["distance_high"]) == (33, 31, 33.5)


# --- refused --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (None, "no draft to read here"),
        ("{", "this draft is broken"),
        ("[]", "this draft is broken"),
        ('{"schema": "narrate2log/observations/2"}', "another version of narrate2log wrote this draft"),
        ('{"schema": "narrate2log/observations/1"}', "another version of narrate2log wrote this draft"),
    ],
)
def test_what_is_no_draft_is_refused(tmp_path: Path, content: str | None, told: str) -> None:
    if content is not None:
        (tmp_path / "observations.json").write_text(content, encoding="utf-8")
    with pytest.raises(UnusableFolder, match=told):
        Session.open(tmp_path, by="Kim")


@pytest.mark.parametrize(
    ("kind", "row", "after", "told"),
    [
        ("blessed", "belly", {}, "is no decision"),
        ("undone", "belly", {}, "is no decision"),
        ("stands", "nobody", {}, "There is no row 'nobody'"),
        ("stands", None, {}, "There is no row None"),
        ("changed", "belly", {}, "Nothing is changed"),
        ("changed", "belly", {"colour": "red"}, "colour: this cannot be typed over"),
        ("changed", "belly", {"feature": "ghost"}, "feature: 'ghost' is not one of"),
        ("changed", "belly", {"feature": None}, "feature: None is not one of"),
        ("changed", "belly", {"clock_from": 13}, "clock_from: 13 is not a whole hour"),
        ("changed", "belly", {"clock_from": True}, "clock_from: True is not a whole hour"),
        ("changed", "belly", {"amount_pct": float("nan")}, "amount_pct: nan is not a number"),
        ("changed", "belly", {"amount_pct": "40"}, "amount_pct: '40' is not a number"),
        ("changed", "belly", {"material": "cheese"}, "material: 'cheese' is not one of"),
        ("changed", "belly", {"leg": 2}, "leg: 2 is not a leg of this run"),
        ("changed", "belly", {"remark": " "}, "remark: ' ' is not words"),
        ("moved", "belly", {"severity": "minor"}, "severity: a move gives only"),
        ("moved", "belly", {"distance": 5, "end_distance": 4}, "does not lie beyond the beginning"),
        ("moved", "belly", {"distance": 5, "distance_low": 6}, "is not within"),
        ("moved", "belly", {"distance": -1}, "distance: -1 is not a number from 0"),
        ("joined", "belly", {"into": "belly"}, "cannot be joined to itself"),
        ("joined", "belly", {}, "There is no row None"),
        ("parted", "belly", {"sightings": [1.5]}, "are not of this row"),
        ("parted", "belly", {"second": "crack"}, "give the fields of the second row"),
        ("still", "belly", {"still": 9999}, "is no time of this run"),
        ("taught", None, {"heard": "..."}, "heard and read_as need words"),
        ("taught", None, {"heard": "fibble", "read_as": ""}, "heard and read_as need words"),
        ("added", None, {"words": [5, 2]}, "there are no words 5 to 2"),
        ("added", None, {"words": 5}, "words: "),
        ("added", None, {"feature": "crack"}, "there is no time"),
    ],
)
def test_an_answer_that_cannot_be_kept_is_refused_in_a_sentence(
    folder: Path, kind: str, row: str | None, after: dict[str, Any], told: str
) -> None:
    kim = Reviewer(folder)
    belly = kim.row("belly")["id"]
    after = {name: belly if value == "belly" else value for name, value in after.items()}
    with pytest.raises(Unanswerable) as refusal:
        kim.decide(kind, belly if row == "belly" else row, after)
    assert told in str(refusal.value)
    assert str(refusal.value).endswith(".")
    assert not (folder / "decisions.jsonl").exists()


@pytest.mark.parametrize(("revision", "token"), [(5, "t"), (-1, "t"), (0, ""), (0, "t" * 101)])
def test_a_request_needs_its_revision_and_token(folder: Path, revision: int, token: str) -> None:
    session = Session.open(folder, by="Kim")
    row = session.state()["rows"][0]["id"]
    with pytest.raises(Unanswerable):
        session.decide("stands", row, {}, revision=revision, token=token)
