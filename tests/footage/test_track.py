"""The camera's way between footages said, and what is put aside. Speeds: pushed cameras go 15 to 30 ft/min
(common practice, no published source); 30 ft/min is the limit of a published televising specification."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from narrate2log.footage.anchors import Anchor
from narrate2log.footage.consistent import FASTEST_OUT, keep_by_pace
from narrate2log.footage.place import place
from narrate2log.records import CounterReading, Motion, Narration, SpokenPlace
from narrate2log.units import MM_PER_FOOT

FT = MM_PER_FOOT


def narration(
    said: list[tuple[int, float]], motions: list[tuple[int, str]], relation: str = "here"
) -> Narration:
    places = tuple(
        SpokenPlace(round(f * FT), round(f * FT), relation, s * 1000, i) for i, (s, f) in enumerate(said)
    )
    moved = tuple(Motion(what, s * 1000, -1) for s, what in motions)
    return Narration((), places, moved, (), tuple((s * 1000, s * 1000 + 900) for s, _ in said))


def track_of(run: Narration, counter: tuple[CounterReading, ...] = (), last_s: int = 600):
    return place(run, counter, entries_ms=[], homes_ms=[], far_ends=[], last_ms=last_s * 1000)


def feet(mm: int | None) -> float | None:
    return None if mm is None else round(mm / FT, 2)


START = [(5, "zero"), (8, "start")]


def test_a_footage_said_is_where_the_camera_is() -> None:
    at = track_of(narration([(40, 20.0), (90, 41.0)], START)).at(40_000)
    assert (feet(at.distance_mm), at.basis, at.going, at.leg) == (20.0, "spoken", "out", 1)
    assert at.low_mm < at.distance_mm < at.high_mm


def test_between_footages_the_camera_is_between() -> None:
    track = track_of(narration([(40, 20.0), (90, 41.0)], START))
    way = [track.at(ms).distance_mm for ms in range(40_000, 90_001, 2_000)]
    assert way == sorted(way)
    assert track.at(65_000).basis == "interpolated"
    assert 20 < feet(track.at(65_000).distance_mm) < 41


def test_a_contradiction_is_put_aside_and_kept() -> None:
    track = track_of(narration([(40, 20.0), (60, 3.0), (90, 41.0)], START))
    assert [feet(a.distance_mm) for a in track.legs[1].aside] == [3.0]
    assert 20 < feet(track.at(60_000).distance_mm) < 41


def test_footages_about_elsewhere_move_nothing() -> None:
    track = track_of(narration([(40, 20.0)], START, relation="elsewhere"))
    assert track.at(40_000).basis == "none"


def test_no_footage_gives_no_feet() -> None:
    at = track_of(narration([], START)).at(60_000)
    assert (at.distance_mm, at.low_mm, at.high_mm, at.basis) == (None, None, None, "none")


def test_a_counter_log_is_believed() -> None:
    log = tuple(CounterReading(s * 1000, round(s * FT / 2)) for s in range(8, 120))
    at = track_of(narration([], START), log).at(61_000)
    assert (feet(at.distance_mm), at.basis) == (30.5, "counter")
    assert at.low_mm < at.distance_mm < at.high_mm


@pytest.mark.parametrize("spoken", [True, False], ids=["said", "only logged"])
def test_the_way_home(spoken: bool) -> None:
    out = [CounterReading(s * 1000, round(s * FT / 2)) for s in range(8, 101)]
    home = [CounterReading((100 + s) * 1000, round((50 - s) * FT)) for s in range(1, 49)]
    run = narration([], [*START, (101, "pull-back")] if spoken else START)
    track = track_of(run, tuple(out + home))
    assert track.at(60_000).going == "out"
    assert track.at(120_000).going == "back"


anchors = st.lists(
    st.tuples(st.integers(0, 900_000), st.integers(0, 60_000)),
    min_size=1,
    max_size=40,
    unique_by=lambda a: a[0],
)


@given(anchors)
def test_no_anchor_is_lost_and_none_kept_outruns_a_rod(said: list[tuple[int, int]]) -> None:
    all_of_them = [Anchor(t, d, 0.3, "footage", 0.06) for t, d in sorted(said)]
    travel = np.array([a.time_ms / 1000 for a in all_of_them])
    kept = keep_by_pace(all_of_them, travel, 1, [False] * len(all_of_them)).kept
    assert kept == sorted(set(kept))
    assert set(kept) <= set(range(len(all_of_them)))
    for a, b in itertools.pairwise(all_of_them[i] for i in kept):
        assert b.feet - a.feet <= FASTEST_OUT * (b.time_ms - a.time_ms) / 1000 + 5


@given(anchors)
def test_every_footage_said_is_kept_or_has_a_reason(said: list[tuple[int, int]]) -> None:
    run = narration([(t // 1000, d / FT) for t, d in sorted(said)], START)
    told = track_of(run, last_s=1000).legs[1].anchors
    assert sorted(p.low_mm for p in run.places) == sorted(
        a.distance_mm for a in told if a.source == "footage"
    )


@given(anchors, st.integers(0, 1_000_000))
def test_the_interval_holds_the_distance(said: list[tuple[int, int]], ms: int) -> None:
    run = narration([(t // 1000, d / FT) for t, d in sorted(said)], START)
    at = track_of(run, last_s=1000).at(ms)
    assert at.distance_mm is None or 0 <= at.low_mm <= at.distance_mm <= at.high_mm


def test_the_last_footage_is_spoken_at_its_own_moment() -> None:
    assert track_of(narration([(40, 20.0), (90, 41.0)], START)).at(90_000).basis == "spoken"


def test_a_counter_below_zero_is_held_by_its_interval() -> None:
    log = tuple(CounterReading(s * 1000, round((s / 2 - 6) * FT)) for s in range(120))
    at = track_of(narration([], START), log).at(9_000)
    assert feet(at.distance_mm) == -1.5
    assert at.low_mm < at.distance_mm < at.high_mm


def test_what_lies_behind_is_placed_behind() -> None:
    track = track_of(narration([(40, 20.0), (90, 41.0)], START))
    said = SpokenPlace(round(3 * FT), round(3 * FT), "behind", 41_000, 0)
    at, camera = track.placed(41_000, said), track.at(41_000)
    assert at.distance_mm == pytest.approx(camera.distance_mm - 3 * FT, abs=1)
    assert at.high_mm - at.low_mm > camera.high_mm - camera.low_mm


def test_standing_and_backing_told_move_the_estimate() -> None:
    quiet = narration([(40, 10.0), (100, 40.0)], START)
    stood = narration([(40, 10.0), (100, 40.0)], [*START, (45, "waiting"), (75, "again")])
    backed = narration([(40, 10.0), (100, 40.0)], [*START, (60, "back-up")])
    assert feet(track_of(stood).at(74_000).distance_mm) < feet(track_of(quiet).at(74_000).distance_mm) - 5
    before, after = (feet(track_of(backed).at(ms).distance_mm) for ms in (60_000, 65_000))
    assert after < before


MOTIONS = ["start", "zero", "pull-back", "back-up", "again", "still", "waiting", "home", "end"]


@given(
    st.lists(st.tuples(st.integers(0, 600), st.floats(0, 400), st.sampled_from(["here", "ahead", "behind"]))),
    st.lists(st.tuples(st.integers(0, 600), st.sampled_from(MOTIONS)), max_size=8),
    st.lists(st.tuples(st.integers(0, 600), st.floats(-5, 90)), max_size=12, unique_by=lambda r: r[0]),
)
def test_contradictions_never_crash_and_every_interval_holds_its_distance(
    said: list[tuple[int, float, str]], moves: list[tuple[int, str]], logged: list[tuple[int, float]]
) -> None:
    places = tuple(
        SpokenPlace(round(f * FT), round(f * FT), relation, s * 1000, 0) for s, f, relation in sorted(said)
    )
    moved = tuple(Motion(what, s * 1000, 0) for s, what in sorted(moves))
    log = tuple(CounterReading(s * 1000, round(f * FT)) for s, f in sorted(logged))
    track = track_of(Narration((), places, moved, (), ()), log)
    for ms in range(0, 660_000, 40_000):
        for told in (None, *places[:2]):
            at = track.placed(ms, told)
            assert at.distance_mm is None or at.low_mm <= at.distance_mm <= at.high_mm
