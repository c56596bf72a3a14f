"""Decisions applied to the rows of a draft: the log is the draft plus its journal, made anew each time."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from narrate2log.records import Decision

LogRow = dict[str, Any]
# What a person may set of a row; the rest is the draft's.
EDITABLE = (
    "kind feature standing distance distance_low distance_high distance_basis end_distance leg pass severity"
    " clock_from clock_to amount_pct amount_in material size_in depth_ft read_as remark sightings"
).split()
# Where these are no longer what they were when a row was let stand, that was said of another row.
CLAIMS = (
    "feature standing distance end_distance leg severity clock_from clock_to amount_pct amount_in material"
    " size_in depth_ft"
).split()
# What the remark does not tell.
UNTOLD = {"sightings", "read_as", "pass", "leg", "settles", "lesson"}
# An added row that a new draft has by itself begins within this time of it, in seconds.
SAME_S = 2.0


@dataclass
class Applied:
    """What the decisions made of a draft.

    `gone` are those whose row the draft does not have; `outdated` the rows that were let stand as they are
    no more, with what is different; `settled` the offers and gone decisions that were; `lessons` what taught
    a reading; `retold` the rows whose remark is to be made anew; `same` the draft's own rows for those added.
    """

    rows: dict[str, LogRow]
    dropped: dict[str, LogRow] = field(default_factory=dict)
    derived: dict[str, LogRow] = field(default_factory=dict)
    derived_dropped: dict[str, LogRow] = field(default_factory=dict)
    gone: list[Decision] = field(default_factory=list)
    outdated: dict[str, list[str]] = field(default_factory=dict)
    settled: set[str] = field(default_factory=set)
    lessons: list[Decision] = field(default_factory=list)
    retold: set[str] = field(default_factory=set)
    same: dict[str, str] = field(default_factory=dict)


def standing_decisions(decisions: Sequence[Decision]) -> list[Decision]:
    """Those that hold: neither taken back, nor a taking back."""
    holds = holding(decisions)
    return [decision for decision in decisions if holds[decision.n] and decision.kind != "undone"]


def holding(decisions: Sequence[Decision]) -> dict[int, bool]:
    """Whether each decision holds, by number; one that is taken back by one that holds does not."""
    holds: dict[int, bool] = {}
    taken_back: set[int] = set()
    # Only a later decision takes back an earlier one, so the last one is settled first.
    for decision in reversed(decisions):
        holds[decision.n] = decision.n not in taken_back
        if decision.undoes is not None and holds[decision.n]:
            taken_back.add(decision.undoes)
    return holds


def apply(
    rows: Iterable[LogRow], derived: Iterable[LogRow], decisions: Sequence[Decision], draft_sha256: str
) -> Applied:
    """The rows of a draft after the decisions that hold, in their order. What is given is not changed."""
    done = Applied(
        {row["id"]: {**row, "review": unseen()} for row in rows},
        derived={row["id"]: {**row, "review": unseen()} for row in derived},
    )
    for decision in standing_decisions(decisions):
        if "settles" in decision.after:
            done.settled.add(decision.after["settles"])
        if decision.row is not None and decision.row[:2] in ("o-", "d-"):
            done.settled.add(decision.row)
        _APPLY[decision.kind](done, decision, draft_sha256)
    return done


def unseen() -> dict[str, Any]:
    """The review of a row that nobody looked at."""
    return {"state": "unseen", "by": None, "at": None, "changes": {}, "still": None}


def _signed(row: LogRow, decision: Decision, state: str | None = None) -> None:
    review = row["review"] = dict(row["review"], by=decision.by, at=decision.at)
    if state:
        review["state"] = state


def _row(done: Applied, decision: Decision) -> LogRow | None:
    """The row meant, or None where the draft has no such row, which is kept in mind."""
    name = decision.row or ""
    row = done.rows.get(done.same.get(name, name))
    if row is None:
        done.gone.append(decision)
    return row


def _set(done: Applied, row: LogRow, after: dict[str, Any]) -> None:
    changes = dict(row["review"]["changes"])
    for name in EDITABLE:
        if name in after and after[name] != row[name]:
            first = changes[name][0] if name in changes else row[name]
            changes[name] = [first, after[name]]
            if changes[name][0] == changes[name][1]:
                del changes[name]
            row[name] = after[name]
    row["review"] = dict(row["review"], changes=changes)
    if "remark" in after:
        done.retold.discard(row["id"])
    elif after.keys() - UNTOLD and "remark" not in changes:
        done.retold.add(row["id"])


def _stands(done: Applied, decision: Decision, draft_sha256: str) -> None:
    name = decision.row or ""
    if name in done.settled:
        return
    row = done.derived.get(name) or _row(done, decision)
    if row is None:
        return
    before = decision.before
    if decision.draft != draft_sha256:
        other = [
            f"{field.replace('_', ' ')} was {_told(before[field])} and is {_told(row.get(field))}"
            for field in CLAIMS
            if field in before and before[field] != row.get(field)
        ]
        if other:
            done.outdated[name] = other
            return
    done.outdated.pop(name, None)
    _signed(row, decision, "stands" if row["review"]["state"] == "unseen" else None)


def _told(value: object) -> str:
    return "none" if value is None else str(value)


def _changed(done: Applied, decision: Decision, draft_sha256: str) -> None:
    row = _row(done, decision)
    if row is None:
        return
    _set(done, row, dict(decision.after))
    done.outdated.pop(row["id"], None)
    state = row["review"]["state"]
    if state != "added":
        state = "changed" if row["review"]["changes"] else "stands"
    _signed(row, decision, state)
    if "lesson" in decision.after:
        done.lessons.append(decision)


def _dropped(done: Applied, decision: Decision, draft_sha256: str) -> None:
    name = decision.row or ""
    if name in done.settled:
        return
    if name in done.derived:
        row = done.derived_dropped[name] = done.derived.pop(name)
        _signed(row, decision, "dropped")
    elif (kept := _row(done, decision)) is not None:
        done.dropped[kept["id"]] = done.rows.pop(kept["id"])
        _signed(kept, decision, "dropped")


def _added(done: Applied, decision: Decision, draft_sha256: str) -> None:
    if "lesson" in decision.after:
        done.lessons.append(decision)
    row = {name: value for name, value in decision.after.items() if name not in ("settles", "lesson")}
    twin = _found_by_the_draft(done, row) if decision.draft != draft_sha256 else None
    if twin is not None:
        done.same[row["id"]] = twin["id"]
        _set(done, twin, row)
        _signed(twin, decision, "changed" if twin["review"]["changes"] else "stands")
        return
    row["review"] = unseen()
    done.rows[row["id"]] = row
    if "remark" not in decision.after:
        row["remark"] = ""
        done.retold.add(row["id"])
    _signed(row, decision, "added")


def _found_by_the_draft(done: Applied, row: LogRow) -> LogRow | None:
    """The row of a new draft that an added one stands for: a lesson taught since may have brought it."""
    return next(
        (
            other
            for other in done.rows.values()
            if other["feature"] == row["feature"]
            and other["review"]["state"] == "unseen"
            and abs(other["time"] - row["time"]) <= SAME_S
        ),
        None,
    )


def _parted(done: Applied, decision: Decision, draft_sha256: str) -> None:
    row = _row(done, decision)
    if row is None:
        return
    second = {**row, "id": decision.after["id"], "review": unseen()}
    theirs = decision.after.get("sightings") or []
    if theirs:
        mine = [time for time in row["sightings"] if time not in theirs]
        if mine:
            _set(done, row, {"sightings": mine})
        second["sightings"] = theirs
        if second["time"] not in theirs:
            length = second["time_end"] - second["time"]
            second["time"], second["time_end"] = theirs[0], round(theirs[0] + length, 3)
    done.rows[second["id"]] = second
    _set(done, second, dict(decision.after.get("second") or {}))
    _signed(row, decision, "added" if row["review"]["state"] == "added" else "changed")
    second["review"] = dict(unseen(), state="added", by=decision.by, at=decision.at)
    if "remark" not in (decision.after.get("second") or {}):
        done.retold.add(second["id"])


def _joined(done: Applied, decision: Decision, draft_sha256: str) -> None:
    into = done.rows.get(done.same.get(decision.after["into"], decision.after["into"]))
    row = _row(done, decision)
    if row is None:
        return
    if into is None:
        done.gone.append(decision)
        return
    # What the other did not say is taken over; what both said stays as the one kept has it.
    missing = {
        name: row[name]
        for name in ("severity clock_from clock_to amount_pct amount_in material size_in depth_ft").split()
        if into[name] is None and row[name] is not None and not (name == "clock_to" and into["clock_from"])
    }
    _set(done, into, {**missing, "sightings": sorted({*into["sightings"], *row["sightings"]})})
    if row["time"] < into["time"]:
        into["time"], into["time_end"] = row["time"], row["time_end"]
    _signed(into, decision, "added" if into["review"]["state"] == "added" else "changed")
    done.dropped[row["id"]] = done.rows.pop(row["id"])
    _signed(row, decision, "joined")
    row["review"]["into"] = into["id"]


def _still(done: Applied, decision: Decision, draft_sha256: str) -> None:
    row = _row(done, decision)
    if row is not None:
        row["review"] = dict(row["review"], still=decision.after["still"])


def _taught(done: Applied, decision: Decision, draft_sha256: str) -> None:
    done.lessons.append(decision)


_APPLY: dict[str, Callable[[Applied, Decision, str], None]] = {
    "stands": _stands,
    "changed": _changed,
    "moved": _changed,
    "dropped": _dropped,
    "added": _added,
    "parted": _parted,
    "joined": _joined,
    "still": _still,
    "taught": _taught,
}
