"""What is shown of a table that grows, and the numbers it is shown under."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from narrate2log.listening.rows import ShownRows, told_row
from narrate2log.records import Fields, Observation, Placement


def row(feature, at_s, *, more_s=(), standing="seen", remark=None, feet=10.0, check=()):
    mm = round(feet * 304.8)
    return Observation(
        id=f"{feature}{at_s}",
        row=1,
        kind="defect",
        feature=feature,
        standing=standing,
        placement=Placement(1, "out", mm, mm - 100, mm + 100, "spoken"),
        end_distance_mm=None,
        fields=Fields(),
        time_ms=round(at_s * 1000),
        time_end_ms=round(at_s * 1000) + 500,
        sightings_ms=tuple(round(s * 1000) for s in (at_s, *more_s)),
        heard=feature,
        read_as=feature,
        remark=remark or f"{feature} at {feet} ft.",
        confidence=0.9,
        check=check,
        rules=(),
    )


def told(changes):
    return [(change.what, change.row.number, change.row.told.feature) for change in changes]


def test_rows_are_numbered_as_they_are_taken_and_keep_their_numbers():
    shown = ShownRows()
    assert told(shown.update([row("roots", 10)])) == [("taken", 1, "roots")]
    # A row that lies nearer to the entry comes first in the table, and is told all the same under the next.
    assert told(shown.update([row("crack", 30, feet=4), row("roots", 10)])) == [("taken", 2, "crack")]
    assert told(shown.update([row("crack", 30, feet=4), row("roots", 10)])) == []
    assert [r.number for r in shown.standing] == [1, 2]


def test_what_was_said_better_changes_the_row():
    shown = ShownRows()
    shown.update([row("roots", 10)])
    corrected = row("roots", 10, more_s=[14], feet=42.0)
    assert told(shown.update([corrected])) == [("changed", 1, "roots")]
    assert shown.standing[0].told == told_row(corrected)


def test_words_read_otherwise_are_the_same_row():
    shown = ShownRows()
    shown.update([row("branch", 10)])
    assert told(shown.update([row("wye", 10.2)])) == [("changed", 1, "wye")]


def test_what_was_taken_back_is_gone_and_may_come_again():
    shown = ShownRows()
    shown.update([row("roots", 10)])
    assert told(shown.update([])) == [("gone", 1, "roots")]
    assert shown.standing == ()
    assert told(shown.update([row("crack", 10.5)])) == [("taken", 2, "crack")]
    assert told(shown.update([row("roots", 10), row("crack", 10.5)])) == [("changed", 1, "roots")]


def test_a_row_told_again_joins_the_first():
    shown = ShownRows()
    shown.update([row("belly", 10), row("belly", 40)])
    changes = shown.update([row("belly", 10, more_s=[40])])
    assert told(changes) == [("joined", 2, "belly")]
    assert changes[0].row.into == 1


def test_two_of_a_kind_close_together_are_two_rows():
    shown = ShownRows()
    assert len(shown.update([row("crack", 10), row("crack", 11)])) == 2
    assert shown.update([row("crack", 10.1), row("crack", 11.1)]) == ()


TABLES = st.lists(
    st.lists(
        st.builds(
            row, st.sampled_from(["roots", "crack", "wye"]), st.floats(0, 20), standing=st.just("seen")
        ),
        max_size=5,
    ),
    max_size=6,
)


@given(TABLES)
def test_after_each_table_just_its_rows_stand_and_no_number_is_used_twice(tables):
    shown = ShownRows()
    ever = {}
    for table in tables:
        for change in shown.update(table):
            if change.what == "taken":
                assert change.row.number == len(ever) + 1
                ever[change.row.number] = change.row
        assert sorted(r.told.time_ms for r in shown.standing) == sorted(o.time_ms for o in table)
        assert sorted(r.told.remark for r in shown.standing) == sorted(o.remark for o in table)


@given(TABLES.filter(bool))
def test_the_same_table_again_changes_nothing(tables):
    shown = ShownRows()
    for table in tables:
        shown.update(table)
        assert shown.update([replace(observation) for observation in table]) == ()
