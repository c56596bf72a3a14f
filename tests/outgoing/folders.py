"""Folders of runs, written as a draft and a review write them."""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from typing import Any

from narrate2log.log import Log, read_log
from narrate2log.outgoing.content import Report
from narrate2log.outgoing.make import Asked, Outcome, make_report

NOW = datetime(2026, 3, 4, 15, 30, tzinfo=UTC)


def row(
    feature: str = "roots", *, at: float | None = 41.0, width: float = 0.9, **more: Any
) -> dict[str, Any]:
    """A row of a draft, seen and placed if nothing else is said."""
    name = feature.replace("-", " ").capitalize()
    place = f" at {at:.1f} ft" if at is not None else ""
    made = {
        "id": f"{feature}-{at}",
        "row": 0,
        "kind": "defect",
        "feature": feature,
        "standing": "seen",
        "distance": at,
        "end_distance": None,
        "distance_low": None if at is None else round(at - width / 2, 2),
        "distance_high": None if at is None else round(at + width / 2, 2),
        "distance_basis": "none" if at is None else "spoken",
        "leg": 1,
        "severity": None,
        "clock_from": None,
        "clock_to": None,
        "amount_pct": None,
        "amount_in": None,
        "material": None,
        "size_in": None,
        "depth_ft": None,
        "pass": "out",
        "time": 60.0,
        "time_end": 62.5,
        "sightings": [60.0],
        "heard": "old Zounds says routes at forty one",
        "read_as": "old Zounds says roots at forty one",
        "remark": f"{name}{place}.",
        "confidence": 0.9,
        "check": [],
        "rules": ["roots"],
        "general": False,
        "sense": None,
        "about": [],
    }
    assert more.keys() <= made.keys(), more.keys() - made.keys()
    made |= more
    if "sightings" not in more and "time" in more:
        made["sightings"] = [more["time"]]
    return made


def document(rows: Iterable[dict[str, Any]], **more: Any) -> dict[str, Any]:
    made: dict[str, Any] = {
        "schema": "narrate2log/observations/1",
        "units": "ft",
        "model": None,
        "sources": [{"file": "zounds.mp4", "sha256": "ab" * 32, "duration": 300.0, "offset": 0.0}],
        "legs": [{"leg": 1, "direction": "downstream", "entry": "cleanout"}],
        "observations": list(rows),
        **{
            name: []
            for name in (
                "slope_readings derived slope_profiles flush_tests corrections offers problems cautions"
            ).split()
        },
    }
    return made | more


def run(folder: Path, *rows: dict[str, Any], reviewed: bool = False, said: str = "", **more: Any) -> Path:
    """A folder with a draft of these rows; `reviewed` by a person who let every row stand."""
    folder.mkdir(exist_ok=True)
    content = json.dumps(document(rows, **more)).encode()
    (folder / "observations.json").write_bytes(content)
    cue = f"00:00:02.000 --> 00:00:09.000\n{said or 'Nothing to be told.'}\n"
    (folder / "transcript.vtt").write_text(f"WEBVTT\n\n{cue}", encoding="utf-8")
    if reviewed:
        (folder / "decisions.jsonl").unlink(missing_ok=True)
        for one in rows:
            decide(folder, "stands", one["id"])
    return folder


def decide(folder: Path, kind: str, row_id: str | None, after: dict[str, Any] | None = None) -> None:
    """Add a decision to the journal of a folder."""
    path = folder / "decisions.jsonl"
    n = len(path.read_bytes().splitlines()) + 1 if path.exists() else 1
    told = {
        "n": n,
        "id": f"decision-{n}",
        "at": "2026-03-03T18:00:00Z",
        "by": "Ada Reviewer",
        "draft": sha256((folder / "observations.json").read_bytes()).hexdigest(),
        "kind": kind,
        "row": row_id,
        "before": {},
        "after": after or {},
        "undoes": None,
    }
    with path.open("a", encoding="utf-8") as file:
        file.write(json.dumps(told) + "\n")


def made(folder: Path, *formats: str, now: datetime = NOW, **asked: Any) -> Outcome:
    return make_report(folder, Asked(formats=formats or ("json",), **asked), now=now)


def report_of(folder: Path, **asked: Any) -> Report:
    return made(folder, **asked).report


def log_of(folder: Path) -> Log:
    return read_log(folder)
