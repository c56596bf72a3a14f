"""Whatever is told and logged, in any order: no crash, no footage lost, every interval round its distance."""

from __future__ import annotations

import warnings
from dataclasses import replace

from footage.runs import telling
from hypothesis import example, given, settings
from hypothesis import strategies as st
from reading.marked import lexicon, transcript_of
from table.told import mention

from narrate2log.draft import locate
from narrate2log.footage.counter_faults import in_the_unit_said, mend
from narrate2log.footage.course import course
from narrate2log.records import CounterReading, Mention, Narration, SpokenPlace
from narrate2log.table import build

LAST_MS = 300_000
seconds = st.integers(-5, 320)
far = st.one_of(st.integers(0, 40_000), st.sampled_from([0, 304, 9144, 152_400]))
moves = st.lists(
    st.tuples(
        st.sampled_from(
            ["start", "zero", "pull-back", "back-up", "again", "home", "still", "waiting", "main", "end"]
        ),
        seconds,
    ),
    max_size=6,
)
places = st.lists(
    st.builds(
        lambda mm, more, relation, second, bare: SpokenPlace(
            mm, mm + more, relation, second * 1000, 0, bare=bare
        ),
        far,
        st.sampled_from([0, 0, 600]),
        st.sampled_from(["here", "here", "ahead", "behind", "elsewhere"]),
        seconds,
        st.booleans(),
    ),
    max_size=12,
)
mentions = st.lists(
    st.builds(
        lambda feature, second, standing, relation, several, ends: mention(
            feature, second, standing=standing, relation=relation, several=several, ends=ends
        ),
        st.sampled_from(["roots", "joint-offset", "branch", "belly", "material", "end-of-run", "pull-back"]),
        st.integers(0, 300),
        st.sampled_from(["seen", "seen", "possible", "not-seen", "reported"]),
        st.sampled_from(["new", "same", "another", "echo"]),
        st.booleans(),
        st.booleans(),
    ),
    max_size=12,
)
logs = st.lists(
    st.builds(
        lambda second, mm: CounterReading(second * 1000, mm),
        seconds,
        st.one_of(st.integers(-2000, 60_000), st.sampled_from([10**9, -(10**6), 0])),
    ),
    max_size=20,
    # the reader of a log leaves out what runs backward, and names the line
    unique_by=lambda reading: reading.time_ms,
).map(lambda log: sorted(log, key=lambda reading: reading.time_ms))


def run_of(
    moved: list[tuple[str, int]], told: list[SpokenPlace], named: list[Mention], talk: list[int]
) -> Narration:
    narration = telling(
        moved, sorted(told, key=lambda p: p.time_ms), sentences=[(s, s + 3) for s in sorted(talk)]
    )
    motions = tuple(sorted(narration.motions, key=lambda m: m.time_ms))
    return replace(narration, motions=motions, mentions=tuple(sorted(named, key=lambda m: m.start_ms)))


@settings(max_examples=80, deadline=None)
@given(
    moves,
    places,
    mentions,
    st.lists(st.integers(0, 300), max_size=8),
    logs,
    st.sampled_from([None, 0, 30_480]),
)
@example(
    # on the way home the turn is what does not fit
    [("pull-back", 100)],
    [SpokenPlace(mm, mm, "here", s * 1000, 0) for mm, s in ((9144, 50), (0, 105), (0, 110), (0, 115))],
    [],
    [],
    [],
    None,
)
def test_any_run_has_a_draft(
    moved: list[tuple[str, int]],
    told: list[SpokenPlace],
    named: list[Mention],
    talk: list[int],
    read: list[CounterReading],
    length_mm: int | None,
) -> None:
    narration = run_of(moved, told, named, talk)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        log = in_the_unit_said(mend(tuple(read))[0], narration.places)[0]
        track = locate(narration, log, LAST_MS, length_mm)
        rows = build(narration, track, transcript_of("a b c"), (), (), lexicon(), "ft")[1]
        way = course(track, LAST_MS)
    footages = sum(p.relation in ("here", "ahead") for p in told)
    assert footages == sum(a.source == "footage" for leg in track.legs.values() for a in leg.anchors)
    for at in [row.placement for row in rows] + [point.placement for point in way]:
        if at.distance_mm is not None:
            assert at.low_mm is not None
            assert at.high_mm is not None
            assert at.low_mm <= at.distance_mm <= at.high_mm
    for row in rows:
        if row.end_distance_mm is not None and row.placement.distance_mm is not None:
            assert row.end_distance_mm > row.placement.distance_mm
