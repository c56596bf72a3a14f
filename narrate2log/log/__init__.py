"""The log of a run, made from the files in its folder."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from narrate2log.errors import UnusableFolder
from narrate2log.units import LengthUnit


@dataclass(frozen=True)
class Log:
    """A draft after its decisions; rows and lists as in log.json (distances in `units`, times in seconds)."""

    units: LengthUnit
    model: str | None
    sources: list[dict[str, Any]]
    legs: list[dict[str, Any]]
    rows: list[dict[str, Any]]
    dropped: list[dict[str, Any]]
    derived: list[dict[str, Any]]
    derived_dropped: list[dict[str, Any]]
    slope_readings: list[dict[str, Any]]
    slope_profiles: list[dict[str, Any]]
    flush_tests: list[dict[str, Any]]
    corrections: list[dict[str, Any]]
    offers: list[dict[str, Any]]
    cautions: list[dict[str, Any]]
    problems: list[str]
    review: dict[str, Any]
    draft_sha256: str


def read_log(folder: Path, *, lexicon_folder: Path | None = None) -> Log:
    """The draft of a folder. Raises UnusableFolder."""
    file = folder / "observations.json"
    try:
        content = file.read_bytes()
    except OSError as error:
        raise UnusableFolder(
            f"{folder}: no draft to read here ({error.strerror}); name a folder that `narrate2log draft`"
            " has written."
        ) from error
    told = json.loads(content)
    unseen: dict[str, Any] = {"state": "unseen", "by": None, "at": None, "changes": {}, "still": None}
    rows = [{**row, "review": unseen} for row in told["observations"]]
    waiting = sum(bool(row["check"]) for row in rows)
    return Log(
        units=told["units"],
        model=told.get("model"),
        sources=told["sources"],
        legs=told["legs"],
        rows=rows,
        dropped=[],
        derived=[{**row, "review": unseen} for row in told["derived"]],
        derived_dropped=[],
        slope_readings=told["slope_readings"],
        slope_profiles=told["slope_profiles"],
        flush_tests=told["flush_tests"],
        corrections=told["corrections"],
        offers=told["offers"],
        cautions=told["cautions"],
        problems=told["problems"],
        review={
            "by": [],
            "first": None,
            "last": None,
            "decisions": 0,
            "waiting": waiting,
            "unseen": len(rows),
            "complete": waiting == 0,
        },
        draft_sha256=hashlib.sha256(content).hexdigest(),
    )
