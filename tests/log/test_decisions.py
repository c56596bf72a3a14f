"""Decisions applied to rows."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from log.journal_lines import decision
from narrate2log.log.decisions import EDITABLE, Applied, apply, holding
from narrate2log.records import Decision

SHA = "ab" * 32


def row(name: str = "r", **more: Any) -> dict[str, Any]:
    return {
        **dict.fromkeys(EDITABLE),
        "id": name,
        "row": 1,
        "kind": "defect",
        "feature": "roots",
        "standing": "seen",
        "distance": 10.0,
        "leg": 1,
        "pass": "out",
        "time": 5.0,
        "time_end": 6.0,
        "sightings": [5.0],
        "heard": "roots",
        "read_as": "roots",
        "remark": "Roots.",
        "check": ["look"],
    } | more


def applied(*decisions: Decision, rows: tuple[dict[str, Any], ...] = ()) -> Applied:
    return apply(rows or (row(), row("s", sightings=[7.0], time=7.0, time_end=8.0)), (), decisions, SHA)


@given(st.data())
def test_a_decision_holds_unless_one_that_holds_takes_it_back(data: st.DataObject) -> None:
    decisions = [decision(1)]
    for n in range(2, data.draw(st.integers(2, 30))):
        undoes = data.draw(st.one_of(st.none(), st.integers(1, n - 1)))
        decisions.append(decision(n, "stands" if undoes is None else "undone", undoes=undoes))

    def holds(n: int) -> bool:
        return not any(holds(d.n) for d in decisions if d.undoes == n)

    assert holding(decisions) == {d.n: holds(d.n) for d in decisions}


def test_a_row_nobody_looked_at_is_unseen() -> None:
    assert applied().rows["r"]["review"] == {
        "state": "unseen", "by": None, "at": None, "changes": {}, "still": None,
    }  # fmt: skip


def test_what_is_given_is_not_changed() -> None:
    given_rows = (row(), row("s"))
    apply(given_rows, (), [decision(1, "changed", after={"severity": "minor"})], SHA)
    assert given_rows == (row(), row("s"))


def test_changes_tell_from_what_to_what_in_the_end() -> None:
    done = applied(
        decision(1, "changed", after={"severity": "minor", "clock_from": 3}),
        decision(2, "changed", after={"severity": "severe", "clock_from": None}),
    )
    review = done.rows["r"]["review"]
    assert (review["state"], review["changes"]) == ("changed", {"severity": [None, "severe"]})
    assert done.retold == {"r"}


def test_changed_back_is_as_it_stood() -> None:
    done = applied(
        decision(1, "changed", after={"severity": "minor"}), decision(2, "changed", after={"severity": None})
    )
    assert (done.rows["r"]["review"]["state"], done.rows["r"]["review"]["changes"]) == ("stands", {})


def test_a_remark_typed_over_stays() -> None:
    done = applied(
        decision(1, "changed", after={"remark": "Mine."}), decision(2, "moved", after={"distance": 3.0})
    )
    assert done.rows["r"]["remark"] == "Mine."
    assert not done.retold


def test_joined_rows_share_sightings_and_what_only_one_said() -> None:
    rows = (
        row(severity="minor", amount_pct=20.0),
        row("s", sightings=[3.0], time=3.0, time_end=4.0, amount_pct=30.0),
    )
    done = applied(decision(1, "joined", after={"into": "s"}), rows=rows)
    kept, joined = done.rows["s"], done.dropped["r"]
    assert (kept["sightings"], kept["time"], kept["severity"], kept["amount_pct"]) == (
        [3.0, 5.0],
        3.0,
        "minor",
        30.0,
    )
    assert kept["review"]["changes"] == {"severity": [None, "minor"], "sightings": [[3.0], [3.0, 5.0]]}
    assert (joined["review"]["state"], joined["review"]["into"]) == ("joined", "s")


def test_joined_to_an_earlier_one_it_begins_then() -> None:
    done = applied(decision(1, "joined", row="s", after={"into": "r"}))
    assert (done.rows["r"]["time"], done.rows["r"]["sightings"]) == (5.0, [5.0, 7.0])
    done = applied(decision(1, "joined", row="r", after={"into": "s"}))
    assert (done.rows["s"]["time"], done.rows["s"]["time_end"]) == (5.0, 6.0)


def test_parted_rows_share_out_the_sightings() -> None:
    rows = (row(sightings=[5.0, 9.0]),)
    after = {"id": "r-2", "sightings": [9.0], "second": {"feature": "crack"}}
    done = applied(decision(1, "parted", after=after), rows=rows)
    first, second = done.rows["r"], done.rows["r-2"]
    assert (first["sightings"], second["sightings"], second["time"], second["time_end"]) == (
        [5.0],
        [9.0],
        9.0,
        10.0,
    )
    assert (first["review"]["state"], second["review"]["state"]) == ("changed", "added")
    assert (first["feature"], second["feature"]) == ("roots", "crack")


def test_a_row_that_is_gone_is_kept_in_mind_until_settled() -> None:
    done = applied(decision(1, "moved", row="lost", after={"distance": 1.0}))
    assert [d.n for d in done.gone] == [1]
    done = applied(
        decision(1, "moved", row="lost", after={"distance": 1.0}), decision(2, "stands", row="d-1")
    )
    assert done.settled == {"d-1"}


def test_let_stand_before_a_new_draft_changed_it_it_stands_no_more() -> None:
    then = decision(1, draft="cd" * 32, before={"distance": 12.0, "severity": None})
    done = applied(then)
    assert done.outdated == {"r": ["distance was 12.0 and is 10.0"]}
    assert done.rows["r"]["review"]["state"] == "unseen"
    done = applied(then, decision(2, before={"distance": 10.0}))
    assert not done.outdated
    assert done.rows["r"]["review"]["state"] == "stands"
    done = applied(decision(1, draft="cd" * 32, before={"distance": 10.0, "severity": None}))
    assert done.rows["r"]["review"]["state"] == "stands"


def test_an_added_row_that_a_new_draft_has_is_not_there_twice() -> None:
    made = row("a-1", time=6.0, severity="minor")
    old = decision(1, "added", row=None, draft="cd" * 32, after=made)
    done = applied(old, decision(2, "moved", row="a-1", draft="cd" * 32, after={"distance": 4.0}))
    assert set(done.rows) == {"r", "s"}
    assert (done.rows["r"]["severity"], done.rows["r"]["distance"]) == ("minor", 4.0)
    assert not done.gone
    assert set(applied(decision(1, "added", row=None, after=made)).rows) == {"r", "s", "a-1"}


@pytest.mark.parametrize("kind", ["stands", "dropped"])
def test_what_was_worked_out_is_settled_too(kind: str) -> None:
    derived = {
        "id": "low",
        "kind": "defect",
        "feature": "low-slope",
        "check": ["worked out"],
        "distance": 1.0,
    }
    done = apply((), (derived,), [decision(1, kind, row="low")], SHA)
    assert set(done.derived if kind == "stands" else done.derived_dropped) == {"low"}


def test_a_still_is_kept_with_the_row() -> None:
    done = applied(decision(1, "still", after={"still": 4.5}))
    assert done.rows["r"]["review"]["still"] == 4.5
    assert done.rows["r"]["review"]["state"] == "unseen"
