"""The draft of a folder read and checked, and with its journal made into a log."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from narrate2log.errors import UnusableFolder
from narrate2log.log.decisions import Applied, LogRow, apply, standing_decisions
from narrate2log.log.journal import Journal
from narrate2log.log.retelling import cautions_anew, remark_of
from narrate2log.records import DRAFT_SCHEMA, Decision
from narrate2log.units import LengthUnit
from narrate2log.wording.lexicon import Names, load_names

DRAFT_FILE = "observations.json"
SCHEMA = "narrate2log/log/1"
# What every draft of this version has, for a refusal in one place instead of failures all over.
_NEEDED = (
    "units sources legs observations slope_readings derived slope_profiles flush_tests corrections offers"
    " problems cautions"
).split()


@dataclass(frozen=True)
class DraftFile:
    """An observations.json: its content, and the SHA-256 of its bytes."""

    document: dict[str, Any]
    sha256: str


@dataclass(frozen=True)
class Log:
    """A draft after its decisions; rows and lists as in log.json (distances in `units`, times in seconds).

    `rows` are in order of leg, distance (those without one last), time, each with its `review`; `dropped`
    are the rows that a person took out or joined to another, `derived` what the tool worked out, and
    `derived_dropped` what of it a person put aside. An unreviewed draft is a log whose rows are all unseen.
    """

    units: LengthUnit
    model: str | None
    sources: list[dict[str, Any]]
    legs: list[dict[str, Any]]
    rows: list[LogRow]
    dropped: list[LogRow]
    derived: list[LogRow]
    derived_dropped: list[LogRow]
    slope_readings: list[dict[str, Any]]
    slope_profiles: list[dict[str, Any]]
    flush_tests: list[dict[str, Any]]
    corrections: list[dict[str, Any]]
    offers: list[dict[str, Any]]
    cautions: list[dict[str, Any]]
    problems: list[str]
    review: dict[str, Any]
    draft_sha256: str

    def document(self) -> dict[str, Any]:
        """log.json as an object."""
        return {
            "schema": SCHEMA,
            "draft_sha256": self.draft_sha256,
            "review": self.review,
            "units": self.units,
            "model": self.model,
            "sources": self.sources,
            "legs": self.legs,
            "observations": self.rows,
            "dropped": self.dropped,
            "slope_readings": self.slope_readings,
            "derived": self.derived,
            "derived_dropped": self.derived_dropped,
            "slope_profiles": self.slope_profiles,
            "flush_tests": self.flush_tests,
            "corrections": self.corrections,
            "offers": self.offers,
            "problems": self.problems,
            "cautions": self.cautions,
        }


def read_draft(folder: Path) -> DraftFile:
    """The draft in a folder. Raises UnusableFolder: there is none, or another version's, or a broken one."""
    file = folder / DRAFT_FILE
    try:
        content = file.read_bytes()
    except OSError as error:
        raise UnusableFolder(
            f"{folder}: no draft to read here ({error.strerror}); name a folder that `narrate2log draft`"
            " has written."
        ) from error
    try:
        document = json.loads(content)
        schema = document["schema"]
    except (ValueError, LookupError, TypeError) as error:
        raise UnusableFolder(f"{file}: this draft is broken; draft the run again with --force.") from error
    if schema != DRAFT_SCHEMA or not all(key in document for key in _NEEDED):
        raise UnusableFolder(
            f"{file}: another version of narrate2log wrote this draft; draft the run again with --force."
        )
    return DraftFile(document, hashlib.sha256(content).hexdigest())


def read_log(folder: Path, *, lexicon_folder: Path | None = None) -> Log:
    """The draft of a folder with its decisions, if there are any; nothing is written.

    `lexicon_folder` lies over the tool's words where a remark is made anew.
    Raises UnusableFolder: no draft, another version's, or a journal with a bad line; UnusableLexicon.
    """
    draft, journal = read_draft(folder), Journal(folder)
    log, _ = make_log(draft, journal.decisions, lambda: load_names(lexicon_folder))
    return replace(log, problems=[*log.problems, journal.problem]) if journal.problem else log


def make_log(
    draft: DraftFile, decisions: Sequence[Decision], load: Callable[[], Names]
) -> tuple[Log, Applied]:
    """The log of a draft and its decisions, and what came of each. What is given is not changed.

    `load` is called only where there are decisions: a lexicon takes longer to read than all the rest.
    """
    told = draft.document
    units: LengthUnit = told["units"]
    done = apply(told["observations"], told["derived"], decisions, draft.sha256)
    cautions = told["cautions"]
    if standing_decisions(decisions):
        lexicon = load()
        for row in done.rows.values():
            if row["id"] in done.retold:
                row["remark"] = remark_of(row, lexicon, units)
        cautions = cautions_anew(done.rows.values(), cautions, lexicon, units)
    rows = in_order(done.rows.values())
    return (
        Log(
            units=units,
            model=told.get("model"),
            sources=told["sources"],
            legs=told["legs"],
            rows=rows,
            dropped=list(done.dropped.values()),
            derived=list(done.derived.values()),
            derived_dropped=list(done.derived_dropped.values()),
            slope_readings=told["slope_readings"],
            slope_profiles=told["slope_profiles"],
            flush_tests=told["flush_tests"],
            corrections=told["corrections"],
            offers=[{"id": offer_id(offer), **offer} for offer in told["offers"]],
            cautions=cautions,
            problems=told["problems"],
            review=_summary(done, rows, decisions),
            draft_sha256=draft.sha256,
        ),
        done,
    )


def in_order(rows: Any) -> list[LogRow]:
    """Rows by leg, distance (those without one last), time; numbered anew in that order."""
    ordered = sorted(rows, key=lambda r: (r["leg"], r["distance"] is None, r["distance"] or 0, r["time"]))
    for number, row in enumerate(ordered, 1):
        row["row"] = number
    return ordered


def asks(row: LogRow, done: Applied) -> bool:
    """Whether a row still waits for a person."""
    return (bool(row["check"]) and row["review"]["state"] == "unseen") or row["id"] in done.outdated


def gone_id(decision: Decision) -> str:
    """The name in the queue of a decision whose row is gone."""
    return f"d-{decision.n}"


def offer_id(offer: dict[str, Any]) -> str:
    """The name of an offer, the same from one draft of the same sound to the next."""
    return "o-" + hashlib.sha256(f"{offer['time']}|{offer['heard']}".encode()).hexdigest()[:8]


def _summary(done: Applied, rows: Sequence[LogRow], decisions: Sequence[Decision]) -> dict[str, Any]:
    standing = standing_decisions(decisions)
    waiting = sum(asks(row, done) for row in (*rows, *done.derived.values()))
    waiting += sum(gone_id(decision) not in done.settled for decision in done.gone)
    return {
        "by": list(dict.fromkeys(decision.by for decision in standing)),
        "first": standing[0].at if standing else None,
        "last": standing[-1].at if standing else None,
        "decisions": len(standing),
        "waiting": waiting,
        "unseen": sum(row["review"]["state"] == "unseen" for row in rows),
        "complete": waiting == 0,
    }
