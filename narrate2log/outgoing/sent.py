"""sent.jsonl: what went out, so that a later report can say that it is amended, when, and what changed.

A line is a report that was made from a reviewed log and is other than the one before, or the word that so
many of the last ones never left the house (`unsent`). Lines are only ever appended.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from narrate2log.errors import UnusableFolder
from narrate2log.files import sync_folder

FILE = "sent.jsonl"
SCHEMA = "narrate2log/sent/1"
# What a reader of the report would see change.
KEPT = (
    "kind feature standing distance end_distance leg severity clock_from clock_to amount_pct amount_in"
    " material size_in depth_ft remark"
).split()


@dataclass(frozen=True)
class Amended:
    """When the report before this one was made, and what is other since, a sentence each."""

    since: str
    changes: tuple[str, ...]


def kept_rows(rows: Sequence[Mapping[str, Any]]) -> dict[str, dict[str, Any]]:
    """What is remembered of the rows of a report, by row id."""
    return {row["id"]: {name: row.get(name) for name in KEPT} for row in rows}


def _hash(told: object) -> str:
    return hashlib.sha256(json.dumps(told, sort_keys=True, ensure_ascii=True).encode()).hexdigest()


def _lines(folder: Path) -> list[dict[str, Any]]:
    try:
        text = (folder / FILE).read_text(encoding="utf-8")
    except FileNotFoundError:
        return []
    except (OSError, ValueError) as error:
        raise UnusableFolder(
            f"{folder / FILE}: it cannot be read ({error}); allow it, or put it aside."
        ) from error
    told = []
    for number, line in enumerate(text.split("\n")[:-1], 1):
        try:
            entry = json.loads(line)
            if entry["schema"] != SCHEMA or not ("unsent" in entry or isinstance(entry["rows"], dict)):
                raise ValueError
        except (ValueError, LookupError, TypeError) as error:
            raise UnusableFolder(
                f"{folder / FILE}, line {number}: this is no record of a report; put a copy of the file back,"
                " or put it aside."
            ) from error
        told.append(entry)
    return told


def before(folder: Path) -> list[dict[str, Any]]:
    """The reports that went out and were not called back, the oldest first. Raises UnusableFolder."""
    gone: list[dict[str, Any]] = []
    for entry in _lines(folder):
        if "unsent" not in entry:
            gone.append(entry)
        else:
            del gone[max(0, len(gone) - entry["unsent"]) :]
    return gone


def amendment(
    gone: Sequence[Mapping[str, Any]], rows: Sequence[Mapping[str, Any]], particulars: Mapping[str, str]
) -> Amended | None:
    """What is other than in the last report that differs from this one; None where none went out."""
    now, about = kept_rows(rows), _about(particulars)
    # Made again unchanged, a report still amends what it amended when it was made first.
    other = [entry for entry in gone if entry["rows"] != now or entry["particulars"] != about]
    if not other:
        return None
    return Amended(other[-1]["at"], tuple(_changes(other[-1], now, about)))


def _changes(then: Mapping[str, Any], now: dict[str, dict[str, Any]], about: Mapping[str, str]) -> list[str]:
    told = []
    for key, row in now.items():
        old = then["rows"].get(key)
        if old is None:
            told.append(f"New: {row['remark']}")
        elif old != row:
            told.append(
                f"Changed: it said \u201c{old['remark']}\u201d and says \u201c{row['remark']}\u201d"
                + _unseen(old, row)
            )
    told += [f"Taken out: {old['remark']}" for key, old in then["rows"].items() if key not in now]
    other = sorted(
        name for name in {*then["particulars"], *about} if then["particulars"].get(name) != about.get(name)
    )
    if other:
        told.append(f"Particulars changed: {', '.join(other)}.")
    return told


def _unseen(old: Mapping[str, Any], new: Mapping[str, Any]) -> str:
    """What changed besides the sentence, where the sentence is the same."""
    if old["remark"] != new["remark"]:
        return ""
    names = [name.replace("_", " ") for name in KEPT if old.get(name) != new.get(name)]
    return f" ({', '.join(names)})"


def _about(particulars: Mapping[str, str]) -> dict[str, str]:
    """Enough to tell a change; names and addresses themselves are not kept here."""
    return {name: _hash(value)[:12] for name, value in particulars.items()}


def keep(
    folder: Path, gone: Sequence[Mapping[str, Any]], rows: Sequence[Mapping[str, Any]],
    particulars: Mapping[str, str], *, at: str, formats: Sequence[str],
) -> None:  # fmt: skip
    """Remember what went out, unless it is what went out last. Raises UnusableFolder."""
    now, about = kept_rows(rows), _about(particulars)
    if gone and gone[-1]["rows"] == now and gone[-1]["particulars"] == about:
        return
    _append(
        folder,
        {
            "schema": SCHEMA,
            "at": at,
            "formats": list(formats),
            "rows_sha256": _hash(now),
            "rows": now,
            "particulars": about,
        },
    )


def call_back(
    folder: Path, gone: Sequence[Mapping[str, Any]], rows: Sequence[Mapping[str, Any]],
    particulars: Mapping[str, str], *, at: str,
) -> bool:  # fmt: skip
    """Say that the report which this one would amend never left the house, nor what was made since.

    False where none is remembered. Raises UnusableFolder.
    """
    now, about = kept_rows(rows), _about(particulars)
    count = 1
    while count < len(gone) and gone[-count]["rows"] == now and gone[-count]["particulars"] == about:
        count += 1
    if gone:
        _append(folder, {"schema": SCHEMA, "at": at, "unsent": count})
    return bool(gone)


def _append(folder: Path, entry: Mapping[str, Any]) -> None:
    path = folder / FILE
    try:
        text = path.read_bytes() if path.exists() else b""
        with path.open("ab") as file:
            # a line that a power cut tore is ended, so that the next one is whole
            if text and not text.endswith(b"\n"):
                file.truncate(text.rfind(b"\n") + 1)
            file.write(json.dumps(entry, ensure_ascii=False).encode("utf-8", "backslashreplace") + b"\n")
            file.flush()
            os.fsync(file.fileno())
        sync_folder(folder)
    except OSError as error:
        raise UnusableFolder(
            f"{path}: what was sent cannot be kept ({error.strerror}); make room or allow writing."
        ) from error
