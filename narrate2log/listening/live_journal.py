"""live.jsonl: what was heard, shown and marked while listening, an entry a line, on disk before it counts.

An entry has `n` (its number), `at` (the time of the clock, ISO 8601), `what`, and the fields of its kind:

- `begun`: `schema`, `clip` (a file beside the journal), `units`, `clock_ms` and `sound_ms` (its begin),
  `options` (what else the run was started with);
- `slept`: `clock_ms` and `sound_ms` from which on they part by more;
- `phrase`: `words` (text, start_ms, end_ms, probability of each), `until_ms`, and `rows`: what came of it,
  each with `change`, `number`, `into` and the fields of `ToldRow`;
- `mark`: `kind`, `start_ms`, `end_ms`, `text`;
- `caution`: `key`, `text`;
- `trouble`: `text`;
- `ended`: nothing more.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from narrate2log.errors import UnusableFolder
from narrate2log.journal_file import JournalFile
from narrate2log.listening.counter import Clip
from narrate2log.listening.rows import LiveRow, RowChange, ToldRow
from narrate2log.records import Mark, Word
from narrate2log.table.marked import taken_in
from narrate2log.units import LengthUnit, Milliseconds

FILE = "live.jsonl"
SCHEMA = "narrate2log/live/1"


@dataclass(frozen=True, slots=True)
class Told:
    """All that a journal tells of a run.

    `until_ms`: up to where the sound was heard; `clock_s`: seconds since the epoch at which the first clip
    began; `slept`: where the clock ran on without the sound, inside of clips; `ended`: whether it was ended
    on purpose; `options`: what it was started with.
    """

    units: LengthUnit = "ft"
    clips: tuple[tuple[str, Clip], ...] = ()
    words: tuple[Word, ...] = ()
    rows: tuple[LiveRow, ...] = ()
    marks: tuple[Mark, ...] = ()
    until_ms: Milliseconds = 0
    clock_s: float = 0.0
    ended: bool = False
    slept: tuple[Clip, ...] = ()
    options: Mapping[str, Any] = field(default_factory=dict)

    @property
    def times(self) -> tuple[Clip, ...]:
        """Every moment from which on the clock and the sound part by more, in order."""
        return tuple(sorted((*(clip for _, clip in self.clips), *self.slept), key=lambda clip: clip.clock_ms))


@dataclass
class LiveJournal:
    """The journal of one run, written by one process. Raises UnusableFolder where it cannot be read.

    `waiting` are entries that the disk did not take yet; they are tried again with the next.
    """

    path: Path
    waiting: list[bytes] = field(default_factory=list)
    trouble: OSError | None = None

    def __post_init__(self) -> None:
        self._file = JournalFile(self.path)
        self._entries: list[dict[str, Any]] = []
        try:
            lines = self._file.fresh_lines()
        except OSError as error:
            raise UnusableFolder(
                f"{self.path}: what was listened to cannot be read ({error.strerror}); allow it."
            ) from error
        for number, line in enumerate(lines, 1):
            try:
                entry = json.loads(line)
                if entry["n"] != number:
                    raise ValueError(entry["n"])
            except (ValueError, LookupError, TypeError) as wrong:
                if number == len(lines) and not self._file.torn:
                    # A power cut may leave a line that is whole in length only.
                    self._file.torn = line + b"\n"
                    break
                raise UnusableFolder(
                    f"{self.path}, line {number}: this is no entry of a run; put a copy of the file back, or"
                    " take the line and those after it out."
                ) from wrong
            self._entries.append(entry)
            self._file.read_to += len(line) + 1
        self._n = len(self._entries)

    def append(self, what: str, **told: Any) -> bool:
        """Add an entry; whether it, and all before it, are on the disk."""
        self._n += 1
        entry = {"n": self._n, "at": datetime.now().astimezone().isoformat(), "what": what, **told}
        line = json.dumps(entry, ensure_ascii=False, allow_nan=False) + "\n"
        self.waiting.append(line.encode("utf-8", "backslashreplace"))
        return self.try_again()

    def try_again(self) -> bool:
        """Write what waits; whether nothing does any more."""
        try:
            while self.waiting:
                self._file.append(self.waiting[0])
                self.waiting.pop(0)
            self.trouble = None
        except OSError as error:
            self.trouble = error
        return not self.waiting

    def phrase(self, words: tuple[Word, ...], until_ms: Milliseconds, changes: tuple[RowChange, ...]) -> bool:
        """Add what was heard in a phrase, and what became of the rows."""
        heard = [[w.text, w.start_ms, w.end_ms, w.probability] for w in words]
        rows = [_row_entry(change) for change in changes]
        return self.append("phrase", words=heard, until_ms=until_ms, rows=rows)

    def mark(self, mark: Mark) -> bool:
        """Add a mark."""
        return self.append("mark", kind=mark.kind, start_ms=mark.start_ms, end_ms=mark.end_ms, text=mark.text)

    def told(self) -> Told:
        """All that stood in the file when it was opened. Raises UnusableFolder: another version wrote it."""
        try:
            return _told(self._entries)
        except (LookupError, TypeError, ValueError) as wrong:
            raise UnusableFolder(
                f"{self.path}: another version of narrate2log wrote this; draft its sound with"
                " `narrate2log draft`."
            ) from wrong


def _row_entry(change: RowChange) -> dict[str, Any]:
    row = change.row
    told = {name: getattr(row.told, name) for name in ToldRow.__dataclass_fields__}
    return {"change": change.what, "number": row.number, "into": row.into, **told}


def _told(entries: list[dict[str, Any]]) -> Told:
    begun = [entry for entry in entries if entry["what"] == "begun"]
    if begun and begun[0]["schema"] != SCHEMA:
        raise ValueError(begun[0]["schema"])
    phrases = [entry for entry in entries if entry["what"] == "phrase"]
    rows = {row["number"]: _row(row) for phrase in phrases for row in phrase["rows"]}
    return Told(
        units=begun[0]["units"] if begun else "ft",
        clips=tuple((str(e["clip"]), Clip(e["clock_ms"], e["sound_ms"])) for e in begun),
        words=tuple(_words(phrases)),
        rows=tuple(rows[number] for number in sorted(rows)),
        marks=_marks(entries),
        until_ms=max((entry["until_ms"] for entry in phrases), default=0),
        clock_s=datetime.fromisoformat(begun[0]["at"]).timestamp() if begun else 0.0,
        ended=bool(entries) and entries[-1]["what"] == "ended",
        slept=tuple(Clip(e["clock_ms"], e["sound_ms"]) for e in entries if e["what"] == "slept"),
        options=begun[0]["options"] if begun else {},
    )


def _words(phrases: list[dict[str, Any]]) -> Iterator[Word]:
    for phrase in phrases:
        for text, start_ms, end_ms, probability in phrase["words"]:
            yield Word(text, start_ms, end_ms, probability)


def _row(entry: Mapping[str, Any]) -> LiveRow:
    told = {name: entry[name] for name in ToldRow.__dataclass_fields__}
    told |= {name: tuple(told[name]) for name in ("sightings_ms", "check")}
    return LiveRow(entry["number"], ToldRow(**told), entry["change"] in ("gone", "joined"), entry["into"])


def _marks(entries: list[dict[str, Any]]) -> tuple[Mark, ...]:
    """The marks; of one that was told again, longer, the last."""
    marks: list[Mark] = []
    for entry in entries:
        if entry["what"] == "mark":
            mark = Mark(entry["kind"], entry["start_ms"], entry["end_ms"], 0, 0, entry["text"])
            marks = taken_in(marks, mark)
    return tuple(marks)
