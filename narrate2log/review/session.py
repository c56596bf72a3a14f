"""One review of one run: what the page and the terminal both talk to."""

from __future__ import annotations

import threading
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from narrate2log.errors import Refusal, UnusableFolder
from narrate2log.files import write_whole
from narrate2log.log.decisions import EDITABLE, LogRow, holding
from narrate2log.log.document import DRAFT_FILE, Log, make_log, offer_id, read_draft
from narrate2log.log.journal import Journal
from narrate2log.records import Decision, DecisionKind
from narrate2log.report.log_csv import log_csv
from narrate2log.report.log_json import log_json
from narrate2log.review.additions import Additions, read_course, read_words
from narrate2log.review.answers import MOVES, Answers, Unanswerable
from narrate2log.review.queue import Queue
from narrate2log.review.rereading import Rereader
from narrate2log.review.teaching import lesson_for, lesson_in, put_back
from narrate2log.wording.learned import load_learned
from narrate2log.wording.lexicon import Lexicon, load_lexicon

LONGEST_TOKEN = 100
LONGEST_NAME = 100
# What a decision keeps of its row beside the fields, so that it can be told when the row is gone.
TOLD_OF = ("time", "time_end", "heard")


class Conflict(Refusal):
    """Someone else settled the same row meanwhile. `row` is how it is now (None: it is out), `state` all."""

    def __init__(self, message: str, row: LogRow | None, state: dict[str, Any]) -> None:
        super().__init__(message)
        self.row = row
        self.state = state


class Session:
    """A draft, its journal, and who reviews it. Every method may be called from any thread."""

    def __init__(self, folder: Path, by: str, lexicon: Lexicon) -> None:
        self.folder = folder
        self.by = by
        self._lexicon = lexicon
        self._lock = threading.RLock()
        self._draft = read_draft(folder)
        self._signature = self._stat()
        self._journal = Journal(folder)
        document = self._draft.document
        self.sources: list[dict[str, Any]] = document["sources"]
        self._words = read_words(folder)
        anchors, self._course = read_course(folder)
        self._answers = Answers(lexicon, document["legs"], document["units"])
        rereader = Rereader(lexicon, document["units"])
        self._additions = Additions(
            self._words, self._course, rereader, self._answers.features, document["units"]
        )
        urgent = frozenset(f for entry in lexicon.cautions if entry["first"] for f in entry["features"] or ())
        self._queue = Queue(self._additions, rereader, anchors, urgent)
        self._problems = list(load_learned()[1])
        if not self._words:
            self._problems.append(
                f"{folder / 'words.json'}: the words of this draft cannot be read; draft the run again with"
                " --force to see them."
            )
        self._known: tuple[int, dict[str, Any]] | None = None

    @classmethod
    def open(cls, folder: Path, *, by: str, lexicon_folder: Path | None = None) -> Session:
        """Open the draft in `folder` for `by`, with what was decided before.

        Raises UnusableFolder: no draft, another version's, a journal with a bad line; UnusableLexicon.
        """
        name = " ".join(by.split())[:LONGEST_NAME]
        return cls(folder, name or "unnamed", load_lexicon(lexicon_folder))

    def state(self) -> dict[str, Any]:
        """All there is to show, of JSON values; "words" is the same list every time."""
        with self._lock:
            self._journal.refresh()
            return self._state()

    def decide(
        self, kind: str, row: str | None, after: Mapping[str, Any], *, revision: int, token: str
    ) -> dict[str, Any]:
        """Settle something; on return it is on the disk.

        `revision` is that of the state the person saw, `token` the caller's own name for this request:
        the same one again changes nothing and gets the same answer.

        Raises Conflict, Unanswerable, UnusableLexicon for a lesson that cannot be kept, and UnusableFolder
        where the disk refuses or the draft is no longer the one that was opened.
        """
        with self._lock, self._journal.turn():
            known = self._known_by(token)
            if known is not None:
                return self._answer(known)
            self._check_draft()
            log = self._log()
            if not isinstance(after, Mapping) or not isinstance(row, str | None):
                raise Unanswerable("row and after: give the id of a row, or none, and an object of fields.")
            touched = {row, after.get("into"), after.get("settles")} - {None}
            self._check_conflict(touched, revision)
            if kind not in _COMPLETE:
                raise Unanswerable(f"{kind!r} is no decision; give one of {', '.join(_COMPLETE)}.")
            target, before, completed = _COMPLETE[kind](self, log, row, dict(after), token)
            if kind == "taught":
                # The lexicon first: a lesson that is there without its decision does no harm.
                put_back(completed["heard"], _confirmed(before["lesson"], completed["read_as"]))
            try:
                decision = self._append(kind, target, before, completed, None, token)
            except UnusableFolder:
                if kind == "taught":
                    put_back(completed["heard"], before["lesson"])
                raise
            return self._answer(decision)

    def undo(self, *, revision: int, token: str) -> dict[str, Any]:
        """Take back the last decision that holds. Raises as `decide` does, Unanswerable if there is none."""
        return self._reverse("undone", revision, token)

    def redo(self, *, revision: int, token: str) -> dict[str, Any]:
        """Take back the last undo, if nothing was decided since. Raises as `undo` does."""
        return self._reverse("redone", revision, token)

    def suggest(self, first: int, last: int, read_as: str | None = None) -> dict[str, Any]:
        """`after` of an "added" row made from words `first` to `last` (inclusive). Raises Unanswerable."""
        with self._lock:
            try:
                return self._additions.suggest(first, last, read_as)
            except IndexError as error:
                raise Unanswerable(f"{error}; select some that are.") from error

    def log(self) -> Log:
        """The draft with what is decided so far."""
        with self._lock:
            self._journal.refresh()
            return self._log()

    def write_log(self) -> None:
        """Write log.json and log.csv. Raises UnusableFolder."""
        write_log(self.log(), self.folder)

    # --- what is there ----------------------------------------------------------------------------

    def _log(self) -> Log:
        return make_log(self._draft, self._journal.decisions, lambda: self._lexicon)[0]

    def _state(self) -> dict[str, Any]:
        decisions = self._journal.decisions
        if self._known is not None and self._known[0] == len(decisions):
            return self._known[1]
        log, done = make_log(self._draft, decisions, lambda: self._lexicon)
        state = {
            "revision": len(decisions),
            "by": self.by,
            "folder": str(self.folder),
            "units": log.units,
            "sources": log.sources,
            "legs": log.legs,
            "rows": log.rows,
            "dropped": log.dropped,
            "derived": log.derived,
            "derived_dropped": log.derived_dropped,
            "queue": self._queue.items(log, done),
            "words": self._words,
            "offers": log.offers,
            "slope_profiles": log.slope_profiles,
            "course": self._course,
            "cautions": log.cautions,
            "problems": [*log.problems, *self._problems],
            "review": log.review,
            "features": self._answers.features,
            "materials": self._answers.materials,
            "can_undo": _last(decisions, "undone") is not None,
            "can_redo": _last(decisions, "redone") is not None,
        }
        self._known = len(decisions), state
        return state

    def _answer(self, decision: Decision) -> dict[str, Any]:
        row = decision.after["id"] if decision.kind in ("added", "parted") else decision.row
        return {"n": decision.n, "row": row, "always": self._always(decision), "state": self._state()}

    def _always(self, decision: Decision) -> dict[str, str] | None:
        """The lesson of a decision, unless the user's lexicon has it."""
        lesson = decision.after.get("lesson")
        if lesson is None:
            return None
        known = lesson_for(lesson["heard"])
        return None if known and known["read_as"] == lesson["read_as"] else dict(lesson)

    # --- what is kept -----------------------------------------------------------------------------

    def _append(
        self,
        kind: str,
        row: str | None,
        before: Mapping[str, Any],
        after: Mapping[str, Any],
        undoes: int | None,
        token: str,
    ) -> Decision:
        decision = Decision(
            n=len(self._journal.decisions) + 1,
            id=token,
            at=datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
            by=self.by,
            draft=self._draft.sha256,
            kind=_KINDS[kind],
            row=row,
            before=before,
            after=after,
            undoes=undoes,
        )
        self._journal.append(decision)
        return decision

    def _reverse(self, how: str, revision: int, token: str) -> dict[str, Any]:
        with self._lock, self._journal.turn():
            known = self._known_by(token)
            if known is not None:
                return self._answer(known)
            self._check_draft()
            target = _last(self._journal.decisions[:revision], how)
            if target is None:
                raise Unanswerable(f"There is nothing to be {how}; decide something first.")
            self._check_conflict(self._touched(target), revision)
            what = self._undone_by(target)
            if what.kind == "taught":
                holds = how == "redone"
                was = what.before["lesson"]
                put_back(what.after["heard"], _confirmed(was, what.after["read_as"]) if holds else was)
            return self._answer(self._append("undone", what.row, {}, {}, target.n, token))

    def _undone_by(self, decision: Decision) -> Decision:
        """What an undo, of an undo, of an undo is about in the end."""
        while decision.undoes is not None:
            decision = self._journal.decisions[decision.undoes - 1]
        return decision

    def _known_by(self, token: str) -> Decision | None:
        if not isinstance(token, str) or not 0 < len(token) <= LONGEST_TOKEN:
            raise Unanswerable(f"token: give 1 to {LONGEST_TOKEN} characters, others for each request.")
        return next((decision for decision in self._journal.decisions if decision.id == token), None)

    def _stat(self) -> tuple[int, int, int]:
        try:
            stat = (self.folder / DRAFT_FILE).stat()
        except OSError:
            return 0, 0, 0
        return stat.st_mtime_ns, stat.st_size, stat.st_ino

    def _check_draft(self) -> None:
        """Refuse where the draft is no longer what was opened. Raises UnusableFolder."""
        signature = self._stat()
        if signature == self._signature:
            return
        if read_draft(self.folder).sha256 != self._draft.sha256:
            raise UnusableFolder(
                f"{self.folder / DRAFT_FILE}: another program changed this draft while it was open, so the"
                " decision was not kept; open the review again."
            )
        self._signature = signature

    def _check_conflict(self, touched: set[Any], revision: int) -> None:
        decisions = self._journal.decisions
        if not isinstance(revision, int) or not 0 <= revision <= len(decisions):
            raise Unanswerable(f"revision: there is no {revision!r}; give that of the state that was shown.")
        for later in decisions[revision:]:
            both = touched & self._touched(later)
            if both:
                state = self._state()
                row = next((row for row in state["rows"] if row["id"] in both), None)
                raise Conflict(
                    f"{later.by} settled this meanwhile ({later.kind}); look at it as it is now and decide"
                    " again.",
                    row,
                    state,
                )

    def _touched(self, decision: Decision) -> set[Any]:
        what = self._undone_by(decision)
        return {what.row, what.after.get("into"), what.after.get("settles"), what.after.get("id")} - {None}

    # --- answers completed ------------------------------------------------------------------------

    def _row_of(self, log: Log, name: str | None) -> LogRow:
        row = next((row for row in log.rows if row["id"] == name), None)
        if row is None:
            raise Unanswerable(f"There is no row {name!r} in this log; give the id of one that stands.")
        return row

    def _complete_plain(
        self, log: Log, row: str | None, after: dict[str, Any], token: str
    ) -> tuple[str | None, dict[str, Any], dict[str, Any]]:
        """`stands` and `dropped`: nothing but perhaps why."""
        kept = {name: str(after[name])[:1000] for name in ("why", "settles") if after.get(name)}
        derived = next((found for found in log.derived if found["id"] == row), None)
        if derived is not None:
            return row, _before(derived), kept
        if any(item["id"] == row and item["of"] in ("offer", "gone") for item in self._state()["queue"]):
            return row, {}, kept
        return row, _before(self._row_of(log, row)), kept

    def _complete_changed(
        self, log: Log, row: str | None, after: dict[str, Any], token: str
    ) -> tuple[str | None, dict[str, Any], dict[str, Any]]:
        """`changed` and `moved`: the fields with what follows from them, and what was mis-heard."""
        target = self._row_of(log, row)
        extra: dict[str, Any] = {name: after.pop(name) for name in ("settles", "lesson") if name in after}
        # What a gone decision had completed comes back with it, and is completed again.
        for name in ("kind", "distance_basis"):
            after.pop(name, None)
        completed = self._answers.completed(after, target)
        if not completed:
            raise Unanswerable("Nothing is changed; give at least one field.")
        lesson = extra.pop("lesson", None)
        if "read_as" in completed:
            lesson = lesson_in(target, completed["read_as"], log.corrections) or lesson
        if lesson is not None:
            extra["lesson"] = self._lesson(lesson)
        return row, _before(target), {**completed, **extra}

    def _complete_moved(
        self, log: Log, row: str | None, after: dict[str, Any], token: str
    ) -> tuple[str | None, dict[str, Any], dict[str, Any]]:
        wrong = after.keys() - {*MOVES, "settles", "distance_basis"}
        if wrong:
            raise Unanswerable(f"{', '.join(sorted(wrong))}: a move gives only {', '.join(MOVES)}.")
        return self._complete_changed(log, row, after, token)

    def _complete_added(
        self, log: Log, row: str | None, after: dict[str, Any], token: str
    ) -> tuple[str | None, dict[str, Any], dict[str, Any]]:
        """A whole row: what its words tell, and over it what was typed."""
        made = self._made(after)
        lesson = after.pop("lesson", None)
        typed = {
            name: after[name]
            for name in (*EDITABLE, "feature")
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
        if row is not None:
            completed["settles"] = row
        if lesson is not None:
            completed["lesson"] = self._lesson(lesson)
        return row, {}, completed

    def _made(self, after: dict[str, Any]) -> dict[str, Any]:
        words, time = after.get("words"), after.get("time")
        try:
            if words is not None:
                first, last = (int(at) for at in words)
                made = self._additions.suggest(first, last)
                if after.get("feature") is None and after.get("read_as"):
                    made = self._additions.suggest(first, last, after["read_as"])
                return made
            if not isinstance(time, int | float) or isinstance(time, bool):
                raise ValueError("there is no time")
            end = after.get("time_end")
            return self._additions.blank(time, end if isinstance(end, int | float) else time)
        except (IndexError, ValueError, TypeError) as error:
            raise Unanswerable(f"words: {error}; give its first and last word, or its time.") from error

    def _complete_parted(
        self, log: Log, row: str | None, after: dict[str, Any], token: str
    ) -> tuple[str | None, dict[str, Any], dict[str, Any]]:
        target = self._row_of(log, row)
        theirs = after.get("sightings") or []
        if not set(theirs) <= set(target["sightings"]):
            raise Unanswerable(
                f"sightings: {theirs} are not all of this row; give some of {target['sightings']}."
            )
        second = self._answers.completed(after.get("second") or {}, target)
        taken = {other["id"] for other in (*log.rows, *log.dropped)}
        number = next(n for n in range(2, len(taken) + 3) if f"{row}-{n}" not in taken)
        completed = {"id": f"{row}-{number}", "second": second, "sightings": sorted(theirs)}
        return row, _before(target), completed

    def _complete_joined(
        self, log: Log, row: str | None, after: dict[str, Any], token: str
    ) -> tuple[str | None, dict[str, Any], dict[str, Any]]:
        target = self._row_of(log, row)
        into = self._row_of(log, after.get("into"))
        if into is target:
            raise Unanswerable("into: a row cannot be joined to itself; give another one.")
        return row, _before(target), {"into": into["id"]}

    def _complete_still(
        self, log: Log, row: str | None, after: dict[str, Any], token: str
    ) -> tuple[str | None, dict[str, Any], dict[str, Any]]:
        target = self._row_of(log, row)
        still = after.get("still")
        last = max((s["offset"] + s["duration"] for s in self.sources), default=0)
        if still is not None and not (
            isinstance(still, int | float) and not isinstance(still, bool) and 0 <= still <= last
        ):
            raise Unanswerable(f"still: {still!r} is no time of this run; give seconds from 0 to {last:g}.")
        return row, {"still": target["review"]["still"], **_before(target)}, {"still": still}

    def _complete_taught(
        self, log: Log, row: str | None, after: dict[str, Any], token: str
    ) -> tuple[str | None, dict[str, Any], dict[str, Any]]:
        lesson = self._lesson(after)
        return row, {"lesson": lesson_for(lesson["heard"])}, lesson

    def _lesson(self, told: Any) -> dict[str, Any]:
        from narrate2log.wording.folding import fold_phrase

        heard, read_as = told.get("heard"), told.get("read_as")
        if (
            not isinstance(heard, str)
            or not fold_phrase(heard)
            or not (read_as is None or (isinstance(read_as, str) and fold_phrase(read_as)))
        ):
            raise Unanswerable("heard and read_as need words; give both, or read_as as nothing to leave it.")
        return {"heard": heard.strip(), "read_as": read_as and read_as.strip()}


_COMPLETE = {
    "stands": Session._complete_plain,
    "dropped": Session._complete_plain,
    "changed": Session._complete_changed,
    "moved": Session._complete_moved,
    "added": Session._complete_added,
    "parted": Session._complete_parted,
    "joined": Session._complete_joined,
    "still": Session._complete_still,
    "taught": Session._complete_taught,
}
_KINDS: dict[str, DecisionKind] = {
    "stands": "stands",
    "dropped": "dropped",
    "changed": "changed",
    "moved": "moved",
    "added": "added",
    "parted": "parted",
    "joined": "joined",
    "still": "still",
    "taught": "taught",
    "undone": "undone",
}


def write_log(log: Log, folder: Path) -> None:
    """Write log.json and log.csv into a run's folder, each whole or not at all. Raises UnusableFolder."""
    try:
        write_whole(folder / "log.csv", log_csv(log))
        write_whole(folder / "log.json", log_json(log))
    except OSError as error:
        raise UnusableFolder(
            f"{folder}: the log cannot be written here ({error.strerror}); make room or allow writing, then"
            " run `narrate2log log` on it: no decision is lost."
        ) from error


def _before(row: Mapping[str, Any]) -> dict[str, Any]:
    return {name: row[name] for name in (*EDITABLE, *TOLD_OF) if name in row}


def _confirmed(was: Mapping[str, Any] | None, read_as: str | None) -> dict[str, Any]:
    """The lesson after it was taught once more; another reading begins anew."""
    again = was is not None and was["read_as"] == read_as
    return {"read_as": read_as, "count": was["count"] + 1 if was is not None and again else 1}


def _last(decisions: Sequence[Decision], how: str) -> Decision | None:
    """The decision that an undo or a redo takes back next."""
    holds = holding(decisions)
    for decision in reversed(decisions):
        if not holds[decision.n]:
            continue
        if how == "undone" and decision.kind != "undone":
            return decision
        if how == "redone":
            return decision if decision.kind == "undone" else None
    return None
