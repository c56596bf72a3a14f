"""Answers made complete: each kind of decision with all that it needs in the journal, or refused."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any, NamedTuple, TypeGuard

from narrate2log.log.decisions import EDITABLE, LogRow
from narrate2log.log.document import Log, offer_id
from narrate2log.review.additions import Additions
from narrate2log.review.answers import MOVES, Answers, Unanswerable
from narrate2log.review.rereading import Rereader
from narrate2log.review.teaching import lesson_for, lesson_in
from narrate2log.wording.folding import fold_phrase

# What a decision keeps of its row beside the fields, so that it can be told when the row is gone.
TOLD_OF = ("time", "time_end", "heard")
LONGEST_WHY = 1_000


class Complete(NamedTuple):
    """What a decision is about, the fields as they were, and what they become."""

    row: str | None
    before: dict[str, Any]
    after: dict[str, Any]


class Completing:
    """Completes the answers to one run."""

    def __init__(self, answers: Answers, additions: Additions, rereader: Rereader) -> None:
        self._answers = answers
        self._additions = additions
        self._rereader = rereader
        self._by_kind: dict[str, Callable[[Log, str | None, dict[str, Any], str], Complete]] = {
            "stands": self._plain,
            "dropped": self._plain,
            "changed": self._changed,
            "moved": self._moved,
            "added": self._added,
            "parted": self._parted,
            "joined": self._joined,
            "still": self._still,
            "taught": self._taught,
        }

    def complete(
        self, kind: str, log: Log, row: str | None, after: Mapping[str, Any], token: str
    ) -> Complete:
        """The decision with what follows from it. `log` is what it is taken on. Raises Unanswerable."""
        if kind not in self._by_kind:
            raise Unanswerable(f"{kind!r} is no decision; give one of {', '.join(self._by_kind)}.")
        return self._by_kind[kind](log, row, dict(after), token)

    def _plain(self, log: Log, row: str | None, after: dict[str, Any], token: str) -> Complete:
        """`stands` and `dropped`: nothing but perhaps why. Offers and gone decisions are let go by it."""
        kept = {name: str(after[name])[:LONGEST_WHY] for name in ("why", "settles") if after.get(name)}
        derived = next((found for found in log.derived if found["id"] == row), None)
        if derived is not None:
            return Complete(row, _before(derived), kept)
        if row is not None and row.startswith(("o-", "d-")):
            return Complete(row, {}, kept)
        return Complete(row, _before(_row_of(log, row)), kept)

    def _changed(self, log: Log, row: str | None, after: dict[str, Any], token: str) -> Complete:
        """`changed` and `moved`: the fields with what follows from them, and what was mis-heard."""
        target = _row_of(log, row)
        extra: dict[str, Any] = {name: after.pop(name) for name in ("settles", "lesson") if name in after}
        # What a gone decision had completed comes back with it, and is completed again.
        for name in ("kind", "distance_basis", "sightings"):
            after.pop(name, None)
        if after.keys() == {"read_as"} and isinstance(after["read_as"], str):
            # Words typed over and nothing else: the row follows them.
            after = self._rereader.follow(target, after["read_as"]) or after
        completed = self._answers.completed(after, target)
        if not completed:
            raise Unanswerable("Nothing is changed; give at least one field.")
        lesson = extra.pop("lesson", None)
        if "read_as" in completed:
            lesson = lesson_in(target, completed["read_as"], log.corrections) or lesson
        if lesson is not None:
            extra["lesson"] = _lesson(lesson)
        return Complete(row, _before(target), {**completed, **extra})

    def _moved(self, log: Log, row: str | None, after: dict[str, Any], token: str) -> Complete:
        wrong = after.keys() - {*MOVES, "settles", "distance_basis"}
        if wrong:
            raise Unanswerable(f"{', '.join(sorted(wrong))}: a move gives only {', '.join(MOVES)}.")
        return self._changed(log, row, after, token)

    def _added(self, log: Log, row: str | None, after: dict[str, Any], token: str) -> Complete:
        """A whole row: what its words tell, and over it what was typed."""
        made = self._made(after)
        lesson = after.pop("lesson", None)
        typed = {
            name: after[name]
            for name in EDITABLE
            if name in after
            and name not in ("kind", "sightings", "distance_basis")
            and after[name] != made.get(name)
        }
        completed = {**made, **self._answers.completed(typed, made)}
        if completed["feature"] is None:
            raise Unanswerable("feature: these words tell of nothing that is known; say what the row is.")
        completed["id"] = f"a-{offer_id({'time': 0, 'heard': token})[2:]}"
        if any(other["id"] == completed["id"] for other in (*log.rows, *log.dropped)):
            raise Unanswerable("token: it was used for another row; give another one.")
        said = {"heard": made["heard"], "read_as": made["heard"]}
        lesson = lesson_in(said, completed["read_as"], ()) or lesson
        if row is not None:
            completed["settles"] = row
        if lesson is not None:
            completed["lesson"] = _lesson(lesson)
        return Complete(row, {}, completed)

    def _made(self, after: dict[str, Any]) -> dict[str, Any]:
        """The row that the words tell of, or one of nothing at a time."""
        words, time, time_end = after.get("words"), after.get("time"), after.get("time_end")
        try:
            if words is not None:
                first, last = (int(at) for at in words)
                return self._additions.suggest(first, last, after.get("read_as") or None)
            if not _is_time(time):
                raise ValueError("there is no time")
            return self._additions.blank(time, time_end if _is_time(time_end) else time)
        except (IndexError, ValueError, TypeError) as error:
            raise Unanswerable(f"words: {error}; give its first and last word, or its time.") from error

    def _parted(self, log: Log, row: str | None, after: dict[str, Any], token: str) -> Complete:
        target = _row_of(log, row)
        theirs = after.get("sightings") or []
        if not isinstance(theirs, list) or not all(time in target["sightings"] for time in theirs):
            raise Unanswerable(
                f"sightings: {theirs!r} are not of this row; give some of {target['sightings']}, or none."
            )
        second = after.get("second") or {}
        if not isinstance(second, dict):
            raise Unanswerable("second: give the fields of the second row, or nothing.")
        taken = {other["id"] for other in (*log.rows, *log.dropped)}
        number = next(n for n in range(2, len(taken) + 3) if f"{row}-{n}" not in taken)
        completed = {
            "id": f"{row}-{number}",
            "second": self._answers.completed(second, target),
            "sightings": sorted(theirs),
        }
        return Complete(row, _before(target), completed)

    def _joined(self, log: Log, row: str | None, after: dict[str, Any], token: str) -> Complete:
        target, into = _row_of(log, row), _row_of(log, after.get("into"))
        if into is target:
            raise Unanswerable("into: a row cannot be joined to itself; give another one.")
        return Complete(row, _before(target), {"into": into["id"]})

    def _still(self, log: Log, row: str | None, after: dict[str, Any], token: str) -> Complete:
        target, still = _row_of(log, row), after.get("still")
        last = max((source["offset"] + source["duration"] for source in log.sources), default=0)
        if still is not None and not (_is_time(still) and 0 <= still <= last):
            raise Unanswerable(f"still: {still!r} is no time of this run; give seconds from 0 to {last:g}.")
        return Complete(row, {**_before(target), "still": target["review"]["still"]}, {"still": still})

    def _taught(self, log: Log, row: str | None, after: dict[str, Any], token: str) -> Complete:
        lesson = _lesson(after)
        return Complete(row, {"lesson": lesson_for(lesson["heard"])}, lesson)


def _row_of(log: Log, name: Any) -> LogRow:
    row = next((row for row in log.rows if row["id"] == name), None)
    if row is None:
        raise Unanswerable(f"There is no row {name!r} in this log; give the id of one that stands.")
    return row


def _lesson(told: Any) -> dict[str, Any]:
    heard, read_as = (told.get("heard"), told.get("read_as")) if isinstance(told, dict) else (None, None)
    if not _has_words(heard) or not (read_as is None or _has_words(read_as)):
        raise Unanswerable("heard and read_as need words; give both, or read_as as nothing to leave it.")
    return {"heard": heard.strip(), "read_as": read_as and read_as.strip()}


def _has_words(text: Any) -> TypeGuard[str]:
    return isinstance(text, str) and bool(fold_phrase(text)) and any(c.isalnum() for c in text)


def _is_time(value: Any) -> TypeGuard[float]:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _before(row: Mapping[str, Any]) -> dict[str, Any]:
    return {name: row[name] for name in (*EDITABLE, *TOLD_OF) if name in row}
