"""Why a person should look at a row, and how sure the tool is of it."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reading.marked import rows_of
from table.told import mention, row

from narrate2log.records import Correction, Mention, Source, Transcript, Word
from narrate2log.table.check import UNSURE, confidence_of, reasons_to_look


def heard(probability: float | None) -> Transcript:
    return Transcript((Word("crack", 0, 300, probability),), (Source("line", "", 1000, 0),))


def reasons(
    feature: str, *, probability: float | None = None, changes: tuple = (), **more: Any
) -> tuple[str, ...]:
    return reasons_to_look(row(feature, **more), heard(probability), list(changes), [])


@pytest.mark.parametrize(
    ("feature", "more", "want"),
    [
        ("crack", {}, ()),
        ("crack", {"width": 5}, ()),
        ("crack", {"width": 5.1}, ("its place is uncertain",)),
        ("crack", {"at": None}, ("no footage near it to place it by",)),
        ("crack", {"at": None, "placed": False}, ()),
        # not of the place of an event, nor of what is not there
        ("flow", {"at": None}, ()),
        ("pull-back", {"width": 20}, ("its place is uncertain",)),
        ("pull-back", {"at": None}, ()),
        ("flow", {"width": 20}, ()),
        ("crack", {"width": 20, "standing": "not-seen"}, ()),
        ("crack", {"standing": "possible"}, ("said to be unsure",)),
        ("crack", {"standing": "possible", "width": 20}, ("its place is uncertain", "said to be unsure")),
        ("crack", {"standing": "reported"}, ("told by others, not seen",)),
        ("crack", {"going": "back"}, ("first told on the way home",)),
        ("pull-back", {"going": "back"}, ()),
        ("belly", {}, ("where it begins and ends",)),
        ("belly", {"standing": "not-seen"}, ()),
        ("material", {}, ("the material is not one the lexicon knows",)),
        ("material", {"fields": {"material": "clay"}}, ()),
        ("crack", {"reasons": ["the amount is odd"]}, ("the amount is odd",)),
        ("crack", {"probability": UNSURE}, ()),
        ("crack", {"probability": UNSURE - 0.01}, ("the words were hard to hear",)),
        ("crack", {"probability": None}, ()),
    ],
)
def test_reasons_to_look(feature: str, more: dict[str, Any], want: tuple[str, ...]) -> None:
    assert reasons(feature, **more) == want


def told(*fields: dict[str, Any], relation: str = "new") -> list[Mention]:
    return [mention("crack", 10 + i, fields=f, relation=relation) for i, f in enumerate(fields)]


@pytest.mark.parametrize(
    ("mentions", "want"),
    [
        (told({"amount_pct": 10.0}, {"amount_pct": 40.0}), ("more than one amount was said",)),
        (told({"amount_pct": 10.0}, {"amount_pct": 10.0}), ()),
        (told({"amount_pct": 10.0}, {}), ()),
        (told({"clock_from": 3}, {"clock_from": 9}), ("more than one position round the pipe was said",)),
        (told({"clock_from": 3}, {}), ()),
        (told({}, relation="echo"), ("only told as if known before",)),
    ],
)
def test_tellings_that_do_not_agree(mentions: list[Mention], want: tuple[str, ...]) -> None:
    assert reasons("crack", mentions=mentions) == want


def test_a_word_put_right_is_named() -> None:
    change = Correction(0, 0, "track", "crack", "test")
    assert reasons("crack", changes=(change,)) == ("a mis-heard word was corrected: 'track' read as 'crack'",)


def test_no_reason_is_given_twice_and_the_rows_own_come_first() -> None:
    found = reasons("crack", reasons=["its place is uncertain", "odd"], width=20, probability=0.1)
    assert found == ("its place is uncertain", "odd", "the words were hard to hear")


# Whole millimetres are kept, so the very edge is left out.
@settings(deadline=None)
@given(st.floats(0, 7.99) | st.floats(8.01, 30))
def test_only_a_wide_interval_asks(width: float) -> None:
    assert ("its place is uncertain" in reasons("crack", width=width)) is (width > 5)


CONFIDENT = [row("crack"), row("crack", standing="possible"), row("crack", reasons=["odd"])]


def test_confidence_falls_with_every_doubt_and_rises_with_a_second_telling() -> None:
    sure, possible, doubted = (confidence_of(one, heard(1.0)) for one in CONFIDENT)
    assert possible < sure
    assert doubted < sure
    assert confidence_of(row("crack", reasons=["odd", "odder"]), heard(1.0)) < doubted
    assert confidence_of(row("crack", mentions=told({}, {})), heard(1.0)) > sure
    assert confidence_of(row("crack"), heard(0.5)) < sure


@settings(deadline=None)
@given(st.floats(0, 1), st.integers(0, 6), st.booleans(), st.sampled_from(("seen", "possible", "not-seen")))
def test_confidence_is_from_0_to_1_and_follows_the_hearing(
    probability: float, doubts: int, again: bool, standing: Any
) -> None:
    one = row(
        "crack", standing=standing, reasons=["odd"] * doubts, mentions=told({}, {}) if again else told({})
    )
    value = confidence_of(one, heard(probability))
    assert 0 <= value <= 0.99
    assert value <= confidence_of(one, heard(1.0))


@pytest.mark.parametrize(
    ("said", "feature", "want"),
    [
        ("Starting. At ten feet a crack.", "crack", ()),
        ("Roots here. Possible crack at thirty feet.", "crack", ("said to be unsure",)),
        ("Starting. There's a crack.", "crack", ("no footage near it to place it by",)),
        ("Starting. Belly from thirty to forty feet.", "belly", ("where it begins and ends",)),
        ("Starting. The owner said there was a break at fifty feet.", "break", ("told by others, not seen",)),
    ],
)
def test_reasons_in_words(said: str, feature: str, want: tuple[str, ...]) -> None:
    assert [r.check for r in rows_of(said) if r.feature == feature] == [want]
