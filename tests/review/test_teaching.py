"""What typed-over words teach, and the same mis-hearing found elsewhere in the run."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from review.sessions import Reviewer

from narrate2log.review.teaching import lesson_in, put
from narrate2log.wording.learned import learned_path, load_learned, read_lessons

HEARD = "There is a cuddle here, on the left."


@pytest.mark.parametrize(
    ("typed", "lesson"),
    [
        ("There is a puddle here, on the left.", ("cuddle", "puddle")),
        ("There is a low spot here, on the left.", ("cuddle", "low spot")),
        ("There is a cuddle here, on the right.", ("left", "right")),
        ("There is a Cuddle here, on the left", None),
        ("There is a puddle here, on the right.", None),
        ("There is a cuddle here, off the left.", None),
        ("There is a cuddle here.", None),
        ("Nothing at all can be seen from where we are.", None),
    ],
)
def test_one_place_typed_over_is_a_lesson(typed: str, lesson: tuple[str, str] | None) -> None:
    row = {"heard": HEARD, "read_as": HEARD}
    found = lesson_in(row, typed, ())
    assert (found and (found["heard"], found["read_as"])) == lesson


def test_what_the_draft_had_corrected_was_heard_as_something_else() -> None:
    row = {"heard": HEARD, "read_as": HEARD.replace("cuddle", "puddle")}
    corrections = [{"heard": "cuddle", "read_as": "puddle"}]
    assert lesson_in(row, HEARD.replace("cuddle", "saddle"), corrections) == {
        "heard": "cuddle",
        "read_as": "saddle",
    }
    assert lesson_in(row, HEARD, corrections) == {"heard": "cuddle", "read_as": None}


@pytest.mark.parametrize(
    ("text", "result"),
    [("in the inlet", "at the inlet"), ("inlet In", "inlet at"), ("inlet", None), ("pin", None)],
)
def test_words_are_put_for_whole_words_only(text: str, result: str | None) -> None:
    assert put(text, "in", "at") == result


def added(kim: Reviewer) -> dict[str, Any]:
    at = [word["text"] for word in kim.state["words"]].index("fibble")
    told = kim.session.suggest(at - 1, at + 4, "A crack on the left side.")
    return kim.decide("added", None, told)


def test_the_same_mishearing_elsewhere_is_offered_at_once(folder: Path) -> None:
    kim = Reviewer(folder)
    answer = added(kim)
    assert answer["always"] == {"heard": "fibble", "read_as": "crack"}
    (offer,) = kim.queue("offer")
    assert offer["heard"] == "We have a fibble on the right again."
    choice = offer["choices"][0]
    made = kim.decide(choice["kind"], choice["row"], choice["after"])
    row = kim.by_id(made["row"])
    assert (row["feature"], row["clock_from"], row["time"]) == ("crack", 3, 110.0)
    assert not kim.queue("offer")
    kim.undo()
    assert kim.queue("offer") == [offer]
    kim.decide("stands", offer["id"])
    assert not kim.queue("offer")


def test_taught_and_unlearned(folder: Path) -> None:
    kim = Reviewer(folder)
    answer = added(kim)
    again = kim.decide("taught", answer["row"], answer["always"])
    assert again["always"] is None
    (lesson,) = read_lessons(learned_path()).lessons
    assert (lesson.heard, lesson.read_as, lesson.count) == ("fibble", "crack", 1)
    kim.undo()
    assert not load_learned()[0].lessons
    kim.redo()
    assert load_learned()[0].lessons == (lesson,)
    kim.decide("taught", None, answer["always"])
    assert load_learned()[0].lessons[0].count == 2
    kim.undo()
    assert load_learned()[0].lessons == (lesson,)


def test_what_is_known_is_not_asked_again(folder: Path) -> None:
    kim = Reviewer(folder)
    kim.decide("taught", None, {"heard": "fibble", "read_as": "crack"})
    assert [item["heard"] for item in kim.queue("offer")] == [
        "Forty feet. A fibble on the left side.", "We have a fibble on the right again.",
    ]  # fmt: skip
    assert added(kim)["always"] is None


def test_left_as_heard_it_is_offered_no_more(folder: Path) -> None:
    kim = Reviewer(folder)
    added(kim)
    (offer,) = kim.queue("offer")
    leave = offer["choices"][-1]
    assert leave["after"] == {"heard": "fibble", "read_as": None}
    kim.decide(leave["kind"], leave["row"], leave["after"])
    assert not kim.queue("offer")
    assert load_learned()[0].lessons[0].read_as is None


def test_a_correction_taken_back_is_left_as_heard(folder: Path) -> None:
    kim = Reviewer(folder)
    item = next(item for item in kim.queue() if "mis-heard" in item["why"][0])
    choice = item["choices"][0]
    answer = kim.decide(choice["kind"], choice["row"], choice["after"])
    assert answer["always"] == {"heard": "why settle", "read_as": None}
    assert (
        kim.by_id(item["id"])["read_as"] == "Seventy feet, there's the why settle, and that's the city main."
    )


def test_an_offer_of_the_draft_is_taken_with_one_key(folder: Path) -> None:
    kim = Reviewer(folder)
    item = next(item for item in kim.queue() if "may be" in item["why"][-1])
    (choice,) = item["choices"]
    answer = kim.decide(choice["kind"], choice["row"], choice["after"])
    assert kim.by_id(item["id"])["read_as"] == "There's heavy grease past the cleanout."
    assert answer["always"] == {"heard": "clean outlet", "read_as": "cleanout"}
    assert [one["heard"] for one in kim.queue("offer")] == [
        "Sixty five feet. And so on we go, slowly, as they said this morning, a clean outlet."
    ]


def test_a_damaged_file_of_lessons_is_told(folder: Path) -> None:
    learned_path().parent.mkdir(parents=True)
    learned_path().write_text("not [toml", encoding="utf-8")
    assert any("learned.toml" in problem for problem in Reviewer(folder).state["problems"])
