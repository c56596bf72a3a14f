"""What is met again on the way home tells where the camera was; where it does not fit, a person looks."""

from __future__ import annotations

from dataclasses import replace

from footage.runs import feet_at, said, telling
from table.told import mention

from narrate2log.footage.place import place
from narrate2log.footage.track import Meeting, Track
from narrate2log.records import Mention, Narration
from narrate2log.table.meetings import meetings
from narrate2log.table.merge import Gatherer
from narrate2log.units import MM_PER_FOOT

MOVES = [("start", 0.0), ("pull-back", 100.0)]


def run_of(*mentions: Mention) -> Narration:
    places = [said(2.0 * feet, feet) for feet in range(10, 51, 10)]
    return replace(telling(MOVES, places), mentions=mentions)


def track_of(run: Narration, met: tuple[Meeting, ...] = ()) -> Track:
    return place(run, (), entries_ms=[], homes_ms=[200_000], far_ends=[], last_ms=210_000, met=met)


def test_the_same_thing_is_where_it_was() -> None:
    run = run_of(mention("roots", 60, 30), mention("roots", 120, relation="same"))
    (meeting,) = meetings(run, track_of(run))
    assert (meeting.time_ms, meeting.distance_mm) == (120_000, round(30 * MM_PER_FOOT))
    before, after = feet_at(track_of(run), 120), feet_at(track_of(run, (meeting,)), 120)
    assert before is not None
    assert after is not None
    assert abs(after - 30) < abs(before - 30)


def test_one_of_two_alike_a_new_one_and_one_still_on_the_way_out_tell_nothing() -> None:
    two = run_of(mention("roots", 76, 38), mention("roots", 84, 42), mention("roots", 120, relation="same"))
    new = run_of(mention("roots", 60, 30), mention("crack", 120))
    out = run_of(mention("roots", 60, 30), mention("roots", 64, relation="same"))
    home = run_of(mention("roots", 60, 30), mention("roots", 205, relation="same"))
    assert [meetings(run, track_of(run)) for run in (two, new, out, home)] == [(), (), (), ()]


def test_told_again_where_it_cannot_be_becomes_a_reason_to_look() -> None:
    run = run_of(mention("roots", 20, 10), mention("roots", 101, relation="same"))
    run = replace(run, places=(*run.places, said(104, 49), said(108, 47), said(112, 45)))
    track = track_of(run, meetings(run, track_of(run)))
    (row,) = Gatherer(track, run.mentions).gather()
    assert row.reasons == ["told again on the way home, but not where it was"]
    assert feet_at(track, 101) is not None
    assert feet_at(track, 101) > 45  # type: ignore[operator]


def test_backed_up_to_on_the_way_out_it_is_where_it_was() -> None:
    places = [said(20.0, 10), said(60.0, 30), said(100.0, 36)]
    told = (mention("hole", 60, 30), mention("hole", 78, relation="same"))
    run = replace(telling([("start", 0.0), ("back-up", 70.0)], places), mentions=told)
    (meeting,) = meetings(run, track_of(run))
    assert (meeting.time_ms, meeting.distance_mm) == (78_000, round(30 * MM_PER_FOOT))
    still = replace(run, motions=run.motions[:1])
    assert meetings(still, track_of(still)) == ()
