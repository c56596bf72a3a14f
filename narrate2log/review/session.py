"""One review of one run: what the page and the terminal both talk to."""

from __future__ import annotations

import threading
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from narrate2log.errors import Refusal, UnusableFolder
from narrate2log.log.decisions import Applied, LogRow, holding
from narrate2log.log.document import DRAFT_FILE, Log, make_log, read_draft
from narrate2log.log.journal import Journal
from narrate2log.records import Decision
from narrate2log.report.log_files import write_log
from narrate2log.review.additions import Additions, read_course, read_words
from narrate2log.review.answers import Answers, Unanswerable
from narrate2log.review.completing import Completing
from narrate2log.review.queue import Queue
from narrate2log.review.rereading import Rereader
from narrate2log.review.teaching import lesson_for, put_back
from narrate2log.wording.learned import load_learned
from narrate2log.wording.lexicon import Lexicon, load_lexicon

LONGEST_TOKEN = 100
LONGEST_NAME = 100


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
        self._completing = Completing(self._answers, self._additions, rereader)
        urgent = frozenset(f for entry in lexicon.cautions if entry["first"] for f in entry["features"] or ())
        self._queue = Queue(self._additions, rereader, anchors, urgent)
        self._problems = [*load_learned()[1], *filter(None, [self._journal.problem])]
        if not self._words:
            self._problems.append(
                f"{folder / 'words.json'}: the words of this draft cannot be read; draft the run again with"
                " --force to see them."
            )
        self._known: tuple[int, dict[str, Any]] | None = None
        self._made_of: tuple[int, tuple[Log, Applied]] | None = None

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
            target, before, completed = self._completing.complete(kind, log, row, after, token)
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
        return self._made()[0]

    def _made(self) -> tuple[Log, Applied]:
        """The log of the decisions read so far, made once for each number of them."""
        count = len(self._journal.decisions)
        if self._made_of is None or self._made_of[0] != count:
            made = make_log(self._draft, self._journal.decisions, lambda: self._lexicon)
            self._made_of = count, made
        return self._made_of[1]

    def _state(self) -> dict[str, Any]:
        decisions = self._journal.decisions
        if self._known is not None and self._known[0] == len(decisions):
            return self._known[1]
        log, done = self._made()
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

    def _always(self, decision: Decision) -> dict[str, Any] | None:
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
            kind=kind,  # type: ignore[arg-type]
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
        if how == "undone" and decision.undoes is None:
            return decision
        if how == "redone" and decision.undoes is None:
            return None
        if how == "redone" and decision.undoes is not None and _is_undo(decisions, decision.undoes):
            return decision
    return None


def _is_undo(decisions: Sequence[Decision], undoes: int) -> bool:
    """Whether taking this back takes a decision back, and is not the undo of an undo."""
    deeper = decisions[undoes - 1].undoes
    return deeper is None or not _is_undo(decisions, deeper)
