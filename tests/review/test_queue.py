"""What asks for a look comes in the order of how much it matters, with what is heard and offered."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from review.sessions import Reviewer


def change(folder: Path, **rows: dict[str, object]) -> Reviewer:
    """The draft with other fields in the rows of these features."""
    path = folder / "observations.json"
    told = json.loads(path.read_bytes())
    for row in told["observations"]:
        row.update(rows.get(row["feature"].replace("-", "_"), {}))
    path.write_text(json.dumps(told), encoding="utf-8")
    return Reviewer(folder)


def features(kim: Reviewer) -> list[str]:
    return [kim.by_id(item["id"])["feature"] for item in kim.queue("row")]


def test_a_defect_before_a_landmark_before_water_before_an_event(folder: Path) -> None:
    kim = change(
        folder,
        pull_back={"check": ["x"]},
        flow={"check": ["x"]},
        cleanout={"check": ["x"]},
        material={"check": ["x"]},
        crack={"check": ["x"]},
    )
    order = features(kim)
    assert [f for f in order if f in ("crack", "cleanout", "material", "flow", "pull-back")] == [
        "crack", "cleanout", "material", "flow", "pull-back",
    ]  # fmt: skip


def test_of_defects_first_whether_then_where_then_how_far(folder: Path) -> None:
    kim = change(
        folder,
        roots={"check": ["where it begins and ends"]},
        crack={"check": ["its place is uncertain"]},
        belly={"check": ["said to be unsure"]},
        grease={"check": []},
    )
    assert features(kim)[:4] == ["belly", "crack", "roots", "roots"]


def test_what_cannot_wait_is_first(folder: Path) -> None:
    kim = change(
        folder, pull_back={"feature": "cross-bore", "kind": "defect", "check": ["its place is uncertain"]}
    )
    assert features(kim)[0] == "cross-bore"


def test_an_item_plays_the_whole_phrase_and_marks_doubtful_words(folder: Path) -> None:
    path = folder / "words.json"
    told = json.loads(path.read_bytes())
    for word in told["words"]:
        word["probability"] = 0.2 if word["text"] == "deep." else 0.0 if word["text"] == "belly" else 0.9
    path.write_text(json.dumps(told), encoding="utf-8")
    kim = Reviewer(folder)
    item = next(item for item in kim.queue() if kim.by_id(item["id"])["feature"] == "belly")
    first, last = item["words"]
    words = [word["text"] for word in kim.state["words"]]
    assert " ".join(words[first : last + 1]) == "Thirty feet. There's a belly here, about two inches deep."
    assert [words[at] for at in item["doubtful"]] == ["belly", "deep."]
    assert item["play"] == [80.0, 85.0]


def test_a_footage_put_aside_is_a_choice(folder: Path) -> None:
    path = folder / "track.json"
    told = json.loads(path.read_bytes())
    told["anchors"].append(
        {
            "leg": 1,
            "pass": "out",
            "time": 83.0,
            "distance": 13.0,
            "source": "footage",
            "used": False,
            "why": "why",
        }
    )
    path.write_text(json.dumps(told), encoding="utf-8")
    kim = change(folder, belly={"check": ["the footage said with it does not fit the others"]})
    item = next(item for item in kim.queue() if kim.by_id(item["id"])["feature"] == "belly")
    (choice,) = item["choices"]
    assert (choice["label"], choice["why"]) == ("at 13 ft, as said", "why")
    kim.decide(choice["kind"], choice["row"], choice["after"])
    assert kim.by_id(item["id"])["distance"] == 13


def test_what_was_worked_out_is_asked_and_may_be_put_aside(folder: Path) -> None:
    path = folder / "observations.json"
    told = json.loads(path.read_bytes())
    told["derived"] = [
        {
            "id": "low1",
            "kind": "defect",
            "feature": "low-slope",
            "leg": 1,
            "distance": 4.0,
            "end_distance": 9.0,
            "remark": "Flat.",
            "check": ["worked out"],
        }
    ]
    path.write_text(json.dumps(told), encoding="utf-8")
    kim = Reviewer(folder)
    (item,) = kim.queue("derived")
    waiting = kim.state["review"]["waiting"]
    kim.decide("dropped", item["id"])
    assert kim.state["review"]["waiting"] == waiting - 1
    assert [row["id"] for row in kim.state["derived_dropped"]] == ["low1"]
    assert kim.state["derived"] == []


@pytest.mark.parametrize("name", ["words.json", "track.json"])
@pytest.mark.parametrize("content", [None, "{", '{"words": [{}], "course": [1], "anchors": {}}'])
def test_a_draft_without_words_or_track_is_reviewed_all_the_same(
    folder: Path, name: str, content: str | None
) -> None:
    (folder / name).unlink()
    if content is not None:
        (folder / name).write_text(content, encoding="utf-8")
    kim = Reviewer(folder)
    assert len(kim.queue()) == 4
    kim.decide("stands", kim.queue()[0]["id"])
    told = any("words of this draft cannot be read" in problem for problem in kim.state["problems"])
    assert told == (name == "words.json")
