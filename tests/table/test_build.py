"""The rows of a run: their order, numbers and ids, and the words they keep."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reading.marked import lexicon, rows_of, transcript_of

from narrate2log.footage.place import place
from narrate2log.reading import read
from narrate2log.records import Choice, Correction, Leg, Observation, Offer
from narrate2log.table.build import build, narration_times
from narrate2log.units import LengthUnit

SENTENCES = (
    "Starting here at the cleanout.",
    "Roots at ten feet, forty percent.",
    "There's a crack at fifteen feet, three o'clock.",
    "Crack.",
    "And another crack.",
    "It changes to cast iron at twenty feet.",
    "Belly from thirty to forty feet.",
    "No offsets so far.",
    "Possible break at forty two feet.",
    "We are flowing water.",
    "There's the city main at fifty feet.",
    "Pulling back.",
    "There are the roots again.",
    "Zero the counter.",
    "I'd recommend you jet it.",
    "Um, yeah.",
)
RUN = " ".join(SENTENCES[:12])


def drafted(
    text: str,
    corrections: tuple[Correction, ...] = (),
    unit: LengthUnit = "ft",
    offers: tuple[Offer, ...] = (),
) -> tuple[tuple[Leg, ...], tuple[Observation, ...]]:
    transcript = transcript_of(text)
    narration = read(transcript, corrections, lexicon(), unit)
    entries, homes, far = narration_times(narration)
    track = place(narration, (), entries_ms=entries, homes_ms=homes, far_ends=far, last_ms=10**6)
    return build(narration, track, transcript, corrections, offers, lexicon(), unit)


def order(row: Observation) -> tuple[int, bool, int, int]:
    at = row.placement
    return at.leg, at.distance_mm is None, at.distance_mm or 0, row.time_ms


@settings(max_examples=40, deadline=None)
@given(st.lists(st.sampled_from(SENTENCES), min_size=1, max_size=10))
def test_rows_are_in_order_and_numbered_and_named_apart(said: list[str]) -> None:
    rows = rows_of(" ".join(said))
    assert [row.row for row in rows] == list(range(1, len(rows) + 1))
    assert list(rows) == sorted(rows, key=order)
    assert len({row.id for row in rows}) == len(rows)
    for row in rows:
        assert row.sightings_ms == tuple(sorted(set(row.sightings_ms)))
        assert row.time_ms in row.sightings_ms
        assert row.time_ms <= row.time_end_ms
        at = row.placement
        if at.distance_mm is not None:
            assert at.low_mm is not None
            assert at.high_mm is not None
            assert at.low_mm <= at.distance_mm <= at.high_mm
            assert row.end_distance_mm is None or row.end_distance_mm > at.distance_mm


def test_a_row_without_distance_stands_last_of_its_leg() -> None:
    rows = rows_of("Starting. No offsets so far. Roots at ten feet. A crack at twenty feet.")
    assert [(r.feature, r.placement.distance_mm is None) for r in rows] == [
        ("start", False),
        ("roots", False),
        ("crack", False),
        ("joint-offset", True),
    ]


def test_rows_are_by_distance_though_told_otherwise() -> None:
    rows = rows_of("Starting. The owner said there was a break at fifty feet. Roots at ten feet.")
    assert [r.feature for r in rows] == ["start", "roots", "break"]


def test_the_same_text_gives_the_same_rows() -> None:
    assert rows_of(RUN) == rows_of(RUN)


@pytest.mark.parametrize(
    "added",
    [
        "Grease at fifty five feet.",
        "We are done here.",
        "Um.",
        "No scale so far.",
        "I'd recommend you jet it.",
    ],
)
def test_ids_stay_when_more_is_said_at_the_end(added: str) -> None:
    before = {r.id: (r.feature, r.time_ms) for r in rows_of(RUN)}
    after = {r.id: (r.feature, r.time_ms) for r in rows_of(f"{RUN} {added}")}
    assert len(before) > 8
    assert before.items() <= after.items()


@settings(max_examples=30, deadline=None)
@given(st.lists(st.sampled_from(SENTENCES), min_size=1, max_size=8), st.sampled_from(SENTENCES))
def test_an_id_never_comes_to_mean_another_thing(said: list[str], added: str) -> None:
    before = {r.id: (r.feature, r.time_ms) for r in rows_of(" ".join(said))}
    after = {r.id: (r.feature, r.time_ms) for r in rows_of(" ".join([*said, added]))}
    assert all(after[key] == before[key] for key in before.keys() & after.keys())


def test_ids_differ_between_kinds_and_moments() -> None:
    one, two = (rows_of(text) for text in ("Roots at ten feet.", "Crack at ten feet."))
    (late,) = rows_of("Yeah okay so well anyway yeah. Roots at ten feet.")
    assert len({one[0].id, two[0].id, late.id}) == 3


def test_two_of_a_kind_in_one_second_have_ids_of_their_own() -> None:
    one, two = rows_of("A crack. Another crack.")
    assert one.time_ms // 1000 == two.time_ms // 1000
    assert one.id != two.id


def test_a_row_keeps_the_words_it_was_made_of() -> None:
    (row,) = rows_of("Yeah. Roots at ten feet, forty percent.")
    assert row.heard == row.read_as == "Roots at ten feet, forty percent."


def test_a_corrected_word_is_kept_as_heard_and_as_read() -> None:
    text = "Starting. At ten feet a track at the joint."
    _, rows = drafted(text, (Correction(5, 5, "track", "crack", "test"),))
    (row,) = [r for r in rows if r.feature == "crack"]
    assert row.heard == "At ten feet a track at the joint."
    assert row.read_as == "At ten feet a crack at the joint."
    assert row.check == ("a mis-heard word was corrected: 'track' read as 'crack'",)


def test_words_that_may_be_a_trade_term_are_asked_of_the_rows_they_stand_in() -> None:
    offer = Offer(8, 8, "lot", (Choice("root", 0.4, "sounds near"), Choice("rot", 0.3, "sounds near")))
    _, rows = drafted(
        "Starting. At ten feet there is a lot and a crack. At twenty feet a hole.", offers=(offer,)
    )
    asked = {row.feature: row.check for row in rows}
    assert asked["crack"] == ("'lot' may be 'root' or 'rot'",)
    assert asked["hole"] == ()


def test_the_words_of_all_sightings_are_kept() -> None:
    rows = rows_of("Starting. At ten feet there's a crack. That crack is at three o'clock.")
    (row,) = [r for r in rows if r.feature == "crack"]
    assert row.heard == "At ten feet there's a crack. / That crack is at three o'clock."
    assert len(row.sightings_ms) == len(row.heard.split(" / "))


@pytest.mark.parametrize(
    ("said", "legs"),
    [
        ("Roots at ten feet.", (Leg(1, "downstream", None),)),
        ("This is the cleanout. Starting. Roots at ten feet.", (Leg(1, "downstream", "cleanout"),)),
        (
            "This is the cleanout. Starting. We are going upstream. Roots at ten feet.",
            (Leg(1, "upstream", "cleanout"),),
        ),
    ],
)
def test_a_leg_tells_how_it_was_entered_and_which_way(said: str, legs: tuple[Leg, ...]) -> None:
    assert drafted(said)[0] == legs


def test_a_bare_footage_is_counted_in_the_unit_of_the_run() -> None:
    for unit, mm in (("ft", 3048), ("m", 10_000)):
        _, rows = drafted("Starting. Roots at ten.", unit=unit)  # type: ignore[arg-type]
        assert [r.placement.distance_mm for r in rows if r.feature == "roots"] == [mm]


@pytest.mark.parametrize(
    "said", ["Um, yeah. Okay.", "The weather is nice today.", "He paid fifty dollars for it."]
)
def test_talk_of_nothing_makes_no_row(said: str) -> None:
    assert rows_of(said) == ()


@pytest.mark.parametrize(
    ("said", "entry"),
    [
        ("Starting at the cleanout. Roots at ten feet.", "cleanout"),
        ("Starting from the manhole. Roots at ten feet.", "manhole"),
        ("Starting at the cleanout, counter is zeroed. Roots at ten feet.", "cleanout"),
    ],
)
def test_the_entry_that_a_run_starts_at_lies_at_zero(said: str, entry: str) -> None:
    at = {row.feature: row.placement.distance_mm for row in rows_of(said)}
    assert (at["start"] if "counter-reset" not in at else at["counter-reset"], at[entry]) == (0, 0)


def test_what_begins_at_an_entry_starts_no_run() -> None:
    assert [r.feature for r in rows_of("Starting. Belly starting at the cleanout.")].count("start") == 1


def test_what_was_told_before_a_late_zeroing_is_marked() -> None:
    rows = rows_of("Starting. There is a crack here. Okay, zero the counter now. Roots at ten feet.")
    marked = {row.feature for row in rows if "told before the counter was zeroed" in row.check}
    assert marked == {"crack"}
