"""Which tellings are one thing, which are two, and what stays of what was said of it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reading.marked import rows_of
from table.told import feet, gathered, home_track, mention

from narrate2log.records import TAKEN_BACK, Fields, Mention, Standing
from narrate2log.table.merge import merge_fields


@pytest.mark.parametrize(
    "tellings",
    [
        # the same breath
        (mention("crack", 40, 20), mention("crack", 43)),
        # the same footage, much later
        (mention("crack", 40, 20), mention("crack", 44, 20)),
        (mention("crack", 40, 20), mention("crack", 46, 21)),
        # told as known before
        (mention("crack", 40, 20), mention("crack", 49, relation="same")),
        (mention("crack", 40, 20), mention("crack", 60, relation="echo")),
        # the clock moved by an hour
        (mention("crack", 40, 20, fields={"clock_from": 12}), mention("crack", 43, fields={"clock_from": 1})),
        # a stretch, still going
        (mention("belly", 40, 20), mention("belly", 70)),
    ],
)
def test_one_thing_told_twice_is_one_row_with_both_sightings(tellings: tuple[Mention, ...]) -> None:
    (row,) = gathered(*tellings)
    assert row.mentions == list(tellings)
    assert feet(row) == 20


@pytest.mark.parametrize(
    "tellings",
    [
        (mention("crack", 40, 20), mention("crack", 42, relation="another")),
        (mention("crack", 40, 20), mention("crack", 60, 30)),
        # after a silence, named anew
        (mention("crack", 40, 20), mention("crack", 50)),
        # across the pipe
        (mention("crack", 40, 20, fields={"clock_from": 3}), mention("crack", 43, fields={"clock_from": 9})),
        (mention("crack", 40, 20), mention("roots", 41, 20)),
        (mention("belly", 40, 20, up_to=25), mention("belly", 100, 50)),
    ],
)
def test_two_things_are_two_rows(tellings: tuple[Mention, ...]) -> None:
    assert [row.mentions for row in gathered(*tellings)] == [[telling] for telling in tellings]


@pytest.mark.parametrize(
    ("said", "rows"),
    [
        ("Starting. At ten feet there's a crack. That crack is at three o'clock.", [("crack", 10, 2)]),
        (
            "Starting. At ten feet a crack. At twelve feet another crack.",
            [("crack", 10, 1), ("crack", 12, 1)],
        ),
        ("Starting. Roots at ten feet. Roots at ten feet.", [("roots", 10, 2)]),
    ],
)
def test_tellings_in_words(said: str, rows: list[tuple[str, float, int]]) -> None:
    found = [r for r in rows_of(said) if r.feature != "start"]
    assert [
        (r.feature, round((r.placement.distance_mm or 0) / 304.8), len(r.sightings_ms)) for r in found
    ] == rows


@pytest.mark.parametrize(
    ("told", "standing"),
    [
        ([("seen", "new"), ("not-seen", "same")], "not-seen"),
        ([("possible", "new"), ("not-seen", "same")], "not-seen"),
        ([("possible", "new"), ("seen", "same")], "seen"),
        ([("seen", "new"), ("possible", "same")], "possible"),
        ([("seen", "new"), ("not-seen", "same"), ("seen", "same")], "seen"),
    ],
)
def test_the_last_word_on_a_claim_counts(told: list[tuple[Standing, str]], standing: str) -> None:
    tellings = [
        mention("crack", 40 + 3 * i, 20 if i == 0 else None, standing=s, relation=relation, sure=s == "seen")
        for i, (s, relation) in enumerate(told)
    ]
    (row,) = gathered(*tellings)
    assert (row.standing, len(row.mentions), feet(row)) == (standing, len(told), 20)


def test_what_was_claimed_and_then_denied_keeps_its_position_alone() -> None:
    said = {"clock_from": 3, "severity": "severe", "amount_pct": 40.0}
    (row,) = gathered(
        mention("crack", 40, 20, fields=said), mention("crack", 43, standing="not-seen", relation="same")
    )
    assert (row.standing, row.fields) == ("not-seen", Fields(clock_from=3))


def test_a_denial_long_after_is_of_another_place() -> None:
    rows = gathered(mention("crack", 40, 20), mention("crack", 90, standing="not-seen", relation="same"))
    assert [(row.standing, feet(row)) for row in rows] == [("seen", 20), ("not-seen", 45)]


def test_a_claim_denied_in_words_is_one_row_not_seen() -> None:
    rows = rows_of("Starting. At ten feet that's a crack. Actually that's not a crack, just a stain.")
    assert [(r.standing, len(r.sightings_ms)) for r in rows if r.feature == "crack"] == [("not-seen", 2)]


def test_denials_of_the_whole_run_are_one_row() -> None:
    denial = mention("roots", 40, standing="not-seen", general=True)
    rows = gathered(denial, replace(denial, start_ms=90_000, end_ms=91_000))
    assert [len(row.mentions) for row in rows] == [2]


def test_hearsay_never_joins_what_was_seen() -> None:
    rows = gathered(mention("break", 40, 20), mention("break", 42, standing="reported"))
    assert [row.standing for row in rows] == ["seen", "reported"]


def test_what_was_taken_back_makes_no_row() -> None:
    assert gathered(replace(mention("crack", 40, 20), rule=TAKEN_BACK)) == []


def test_an_echo_makes_no_row_alone() -> None:
    assert gathered(mention("crack", 40, relation="echo")) == []


@pytest.mark.parametrize("ordinal", [1, 2])
def test_an_echo_by_number_is_of_that_one(ordinal: int) -> None:
    rows = gathered(
        mention("crack", 20, 10),
        mention("crack", 60, 30),
        mention("crack", 80, relation="echo", ordinal=ordinal),
    )
    assert [len(row.mentions) for row in rows] == ([2, 1] if ordinal == 1 else [1, 2])


def test_on_the_way_home_what_was_seen_is_met_again() -> None:
    rows = gathered(
        mention("roots", 40, 20),
        mention("roots", 80, 40),
        mention("roots", 112),
        mention("roots", 130),
        track=home_track(),
    )
    assert [(feet(row), len(row.mentions)) for row in rows] == [(20, 2), (40, 2)]


def test_what_is_first_seen_on_the_way_home_is_a_row_until_the_camera_is_out() -> None:
    rows = gathered(mention("crack", 125), mention("offset", 155), track=home_track())
    assert [(row.feature, row.placement.going) for row in rows] == [("crack", "back")]


def test_a_stretch_begins_where_first_told_and_ends_where_its_end_was() -> None:
    (row,) = gathered(mention("belly", 40, 20, begins=True), mention("belly", 60, 30, ends=True))
    assert (feet(row), row.end_mm) == (20, round(30 * 304.8))


@pytest.mark.parametrize(
    ("more", "end"),
    [({"up_to": 33.0}, 33), ({"length_mm": 3048}, 30), ({}, None)],
    ids=["told", "length", "open"],
)
def test_a_stretch_told_in_one_go(more: dict, end: float | None) -> None:
    (row,) = gathered(mention("belly", 40, 20, **more))
    assert row.end_mm == (None if end is None else round(end * 304.8))


MENTIONS = st.builds(
    mention,
    st.sampled_from(
        ("crack", "roots", "belly", "material", "limitation", "recommendation", "flow", "pull-back")
    ),
    st.integers(1, 160),
    st.none() | st.integers(1, 50),
    standing=st.sampled_from(("seen", "possible", "not-seen", "reported")),
    relation=st.sampled_from(("new", "another", "same")),
    fields=st.fixed_dictionaries({"clock_from": st.none() | st.integers(1, 12)}),
)


@settings(deadline=None)
@given(st.lists(MENTIONS, max_size=12))
def test_no_row_is_empty_and_each_holds_one_feature(mentions: list[Mention]) -> None:
    mentions.sort(key=lambda m: m.start_ms)
    rows = gathered(*mentions, track=home_track())
    assert all(row.mentions and {m.feature for m in row.mentions} == {row.feature} for row in rows)
    kept = [id(m) for row in rows for m in row.mentions]
    assert len(kept) == len(set(kept))
    # nothing found on the way out gets lost
    out = [m for m in mentions if m.start_ms < 100_000 and m.feature in ("crack", "roots", "belly")]
    assert {id(m) for m in out} <= set(kept)


@pytest.mark.parametrize(
    ("old", "new", "corrects", "want"),
    [
        ({}, {}, False, {}),
        ({"severity": "severe"}, {}, False, {"severity": "severe"}),
        ({}, {"severity": "minor"}, False, {"severity": "minor"}),
        # the worst said
        ({"severity": "severe"}, {"severity": "minor"}, False, {"severity": "severe"}),
        ({"severity": "minor"}, {"severity": "moderate"}, False, {"severity": "moderate"}),
        ({"amount_pct": 40.0}, {"amount_pct": 20.0}, False, {"amount_pct": 40.0}),
        ({"amount_pct": 20.0}, {"amount_pct": 40.0}, False, {"amount_pct": 40.0}),
        ({"amount_in": 1.0}, {"amount_in": 0.5}, False, {"amount_in": 1.0}),
        # but what was corrected is the last said
        ({"severity": "severe"}, {"severity": "minor"}, True, {"severity": "minor"}),
        ({"amount_pct": 40.0}, {"amount_pct": 20.0}, True, {"amount_pct": 20.0}),
        ({"amount_pct": 40.0}, {}, True, {"amount_pct": 40.0}),
        # all else is the last said
        ({"material": "clay"}, {"material": "pvc"}, False, {"material": "pvc"}),
        ({"size_in": 4.0}, {"size_in": 6.0}, False, {"size_in": 6.0}),
        # a position goes with its own other end
        ({"clock_from": 3, "clock_to": 6}, {"clock_from": 9}, False, {"clock_from": 9}),
        ({"clock_from": 3, "clock_to": 6}, {}, False, {"clock_from": 3, "clock_to": 6}),
        ({"clock_from": 3}, {"clock_from": 9, "clock_to": 12}, False, {"clock_from": 9, "clock_to": 12}),
    ],
)
def test_what_stays_of_two_tellings(old: dict, new: dict, corrects: bool, want: dict) -> None:
    assert merge_fields(Fields(**old), Fields(**new), corrects) == Fields(**want)


FIELDS = st.builds(
    Fields,
    severity=st.none() | st.sampled_from(("minor", "moderate", "severe")),
    amount_pct=st.none() | st.floats(0, 100),
    amount_in=st.none() | st.floats(0, 12),
    depth_ft=st.none() | st.floats(0, 30),
)


@settings(deadline=None)
@given(FIELDS, FIELDS)
def test_tellings_only_add_up_and_a_correction_has_the_last_word(old: Fields, new: Fields) -> None:
    for name in ("severity", "amount_pct", "amount_in", "depth_ft"):
        before, after = getattr(old, name), getattr(new, name)
        kept, corrected = (getattr(merge_fields(old, new, c), name) for c in (False, True))
        assert corrected == (before if after is None else after)
        assert kept in (before, after)
        assert (kept is None) == (before is None and after is None)
        if name.startswith("amount"):
            assert kept == max((v for v in (before, after) if v is not None), default=None)


@pytest.mark.parametrize(
    ("said", "amount"),
    [
        ("Starting. At ten feet roots, ten percent. Roots, forty percent. Roots, twenty percent.", 40),
        ("Starting. Roots at ten feet, about forty percent. No, make that twenty percent.", 20),
    ],
)
def test_amounts_in_words(said: str, amount: float) -> None:
    (row,) = [r for r in rows_of(said) if r.feature == "roots"]
    assert row.fields.amount_pct == amount


@pytest.mark.parametrize(
    ("text", "standing", "clock"),
    [
        ("There's a possible cross bore here, a yellow line through the pipe.", "possible", None),
        ("Concrete goes soft up top, no holes.", "not-seen", None),
        ("At three o'clock, no crack.", "not-seen", 3),
    ],
)
def test_what_one_sentence_says_of_a_thing(text: str, standing: Standing, clock: int | None) -> None:
    (row,) = rows_of(text)
    assert (row.standing, row.fields.clock_from) == (standing, clock)
