"""Words that say of a thing that it is one from before; common practice, no published source."""

from __future__ import annotations

import pytest

from narrate2log.reading import read
from narrate2log.records import Mention
from reading.marked import lexicon, transcript_of

HOME = "Here we go. Pulling back now."


def last_of(text: str) -> Mention:
    return read(transcript_of(text), (), lexicon(), "ft").mentions[-1]


@pytest.mark.parametrize("before", ["Here we go.", HOME])
@pytest.mark.parametrize(
    ("told", "feature"),
    [
        ("There's that tap again.", "branch"),
        ("That same wye again.", "branch"),
        ("Back at that offset.", "joint-offset"),
        ("The crack from earlier.", "crack"),
        ("Same hole.", "hole"),
        ("Roots, the same ones we saw on the way in.", "roots"),
        ("The wye we passed before.", "branch"),
        ("Offset, seen it going out.", "joint-offset"),
        ("Crack, same one.", "crack"),
        ("That's the dip I called on the way down.", "belly"),
    ],
)
def test_the_same_on_either_way(before: str, told: str, feature: str) -> None:
    met = last_of(f"{before} {told}")
    assert (met.feature, met.relation) == (feature, "same")


@pytest.mark.parametrize("told", ["Offset again.", "Roots again.", "Step again."])
def test_a_name_and_again_is_the_next_one_going_out_and_the_same_coming_home(told: str) -> None:
    assert last_of(f"Here we go. {told}").relation != "same"
    assert last_of(f"{HOME} {told}").relation == "same"


@pytest.mark.parametrize(
    "told",
    ["A crack again here.", "Another offset.", "Some more roots, again.", "Roots, coming in at ten o'clock."],
)
@pytest.mark.parametrize("before", ["Here we go.", HOME])
def test_a_new_one_is_none_from_before(before: str, told: str) -> None:
    assert last_of(f"{before} {told}").relation != "same"


@pytest.mark.parametrize(
    ("out", "feature"),
    [
        ("There's a wye on the left. And that's the city tap.", "city-connection"),
        ("That's a tap on the left. And that's the city wye.", "branch"),
        ("A tap sticking in on the left.", "intruding-connection"),
        ("There's a wye on the left.", "branch"),
        # neither was called a tap: the one that is passed first
        ("There's a wye on the left. And that's the city wye.", "city-connection"),
        ("There's a wye on the left. And that's the city wye. Pulling back. City wye.", "branch"),
    ],
)
def test_a_tap_met_again_is_what_was_called_so(out: str, feature: str) -> None:
    assert last_of(f"Here we go. {out} Pulling back now. Tap.").feature == feature


def test_a_full_name_is_never_another_kind() -> None:
    assert (
        last_of("Here we go. A tap on the left. Pulling back now. The city tap.").feature == "city-connection"
    )


@pytest.mark.parametrize(
    ("told", "feature"),
    [("Step.", "joint-offset"), ("Okay, step, left side.", "joint-offset"), ("Tap.", "branch")],
)
def test_one_word_names_a_thing(told: str, feature: str) -> None:
    assert last_of(f"Here we go. {told}").feature == feature


@pytest.mark.parametrize(
    ("told", "number"), [("The first wye.", 1), ("There's the third wye.", 3), ("The wye.", None)]
)
def test_which_of_its_kind(told: str, number: int | None) -> None:
    assert last_of(f"{HOME} {told}").ordinal == number
