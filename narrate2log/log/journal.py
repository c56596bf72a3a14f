"""decisions.jsonl: what a person settled, a journal of one decision a line."""

from __future__ import annotations

import json
import typing
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, fields
from pathlib import Path

from narrate2log.errors import UnusableFolder
from narrate2log.journal_file import JournalFile, Vanished, locked
from narrate2log.records import Decision, DecisionKind

FILE = "decisions.jsonl"
TORN = "decisions.torn"
LOCK = "decisions.lock"
KINDS = frozenset(typing.get_args(DecisionKind))
_NAMES = frozenset(field.name for field in fields(Decision))


class NotKept(UnusableFolder):
    """The disk refused a decision: it does not count, and the journal is as it was before."""


class Journal:
    """The decisions of one run. Several processes may hold one on the same folder; appends take turns."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / FILE
        self.decisions: list[Decision] = []
        self._file = JournalFile(self.path)
        self.refresh()

    def refresh(self) -> bool:
        """Read what was appended since; whether there was anything. Raises UnusableFolder for a bad line."""
        file = self._file
        try:
            lines = file.fresh_lines()
        except Vanished as vanished:
            if vanished.whole:
                raise UnusableFolder(
                    f"{self.path}: it was taken away while the review was open; put it back."
                ) from None
            raise UnusableFolder(
                f"{self.path}: decisions that were read from it are gone; another program changed"
                " it, so put its copy back and open the review again."
            ) from None
        except OSError as error:
            raise UnusableFolder(
                f"{self.path}: the decisions cannot be read ({error.strerror}); allow it."
            ) from error
        before = len(self.decisions)
        for at, line in enumerate(lines):
            try:
                decision = _decision(line, len(self.decisions) + 1)
            except ValueError as wrong:
                if at == len(lines) - 1 and not file.torn:
                    file.torn = line + b"\n"
                    break
                raise UnusableFolder(
                    f"{self.path}, line {len(self.decisions) + 1}: this is no decision ({wrong}); put a copy"
                    " of the file back, or take the line out."
                ) from wrong
            self.decisions.append(decision)
            file.read_to += len(line) + 1
        return len(self.decisions) > before

    @property
    def problem(self) -> str | None:
        """What was found torn at the end of the file, in a sentence."""
        if not self._file.torn:
            return None
        return (
            f"{self.path}: its end is a decision that was never finished; it does not count, and is put into"
            f" {TORN} with the next decision."
        )

    @contextmanager
    def turn(self) -> Iterator[None]:
        """Nobody else appends meanwhile, and all that others appended is read. Raises UnusableFolder."""
        try:
            lock = self.path.with_name(LOCK).open("ab")
        except OSError as error:
            raise NotKept(
                f"{self.path.parent}: no decision can be kept here ({error.strerror}); allow writing or make"
                " room, then decide again."
            ) from error
        with lock, locked(lock):
            self.refresh()
            yield

    def append(self, decision: Decision) -> None:
        """Add the next decision; on return it is on the disk. Only within `turn`. Raises NotKept."""
        text = json.dumps(asdict(decision), ensure_ascii=False, allow_nan=False) + "\n"
        try:
            # Lone surrogates, as a page may send them, are still JSON as \udcXX.
            self._file.append(text.encode("utf-8", "backslashreplace"))
        except OSError as error:
            raise NotKept(
                f"{self.path}: the decision cannot be kept ({error.strerror}); make room or allow writing,"
                " then decide again."
            ) from error
        self.decisions.append(decision)


def _decision(line: bytes, n: int) -> Decision:
    """The decision in a line. Raises ValueError, saying what is wrong."""
    try:
        told = json.loads(line)
    except ValueError as error:
        raise ValueError("it is not JSON") from error
    if not isinstance(told, dict) or set(told) != _NAMES:
        raise ValueError(f"it needs {', '.join(sorted(_NAMES))}")
    if told["n"] != n:
        raise ValueError(f"its number is {told['n']!r}, and {n} is due")
    if told["kind"] not in KINDS:
        raise ValueError(f"unknown kind {told['kind']!r}")
    if not isinstance(told["before"], dict) or not isinstance(told["after"], dict):
        raise ValueError("before and after are no objects")
    return Decision(**told)
