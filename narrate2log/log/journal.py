"""decisions.jsonl: what a person settled, one JSON object a line, only ever appended to.

A decision counts from its newline on. What stands after the last one is a write that never ended: it is
cut off into decisions.torn before the next decision is appended, and never counted.
"""

from __future__ import annotations

import json
import os
import sys
import typing
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any, BinaryIO

from narrate2log.errors import UnusableFolder
from narrate2log.files import sync_folder
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
        # How much of the file `decisions` stands for, and what was found torn after it.
        self._read_to = 0
        self.torn = b""
        self.refresh()

    def refresh(self) -> bool:
        """Read what was appended since; whether there was anything. Raises UnusableFolder for a bad line."""
        try:
            with self.path.open("rb") as file:
                if os.fstat(file.fileno()).st_size < self._read_to:
                    raise UnusableFolder(
                        f"{self.path}: decisions that were read from it are gone; another program changed"
                        " it, so put its copy back and open the review again."
                    )
                file.seek(self._read_to)
                fresh = file.read()
        except FileNotFoundError:
            fresh = b""
            if self._read_to:
                raise UnusableFolder(
                    f"{self.path}: it was taken away while the review was open; put it back."
                ) from None
        except OSError as error:
            raise UnusableFolder(
                f"{self.path}: the decisions cannot be read ({error.strerror}); allow it."
            ) from error
        lines = fresh.split(b"\n")
        self.torn = lines.pop()
        before = len(self.decisions)
        for at, line in enumerate(lines):
            try:
                decision = _decision(line, len(self.decisions) + 1)
            except ValueError as wrong:
                if at == len(lines) - 1 and not self.torn:
                    self.torn = line + b"\n"
                    break
                raise UnusableFolder(
                    f"{self.path}, line {len(self.decisions) + 1}: this is no decision ({wrong}); put a copy"
                    " of the file back, or take the line out."
                ) from wrong
            self.decisions.append(decision)
            self._read_to += len(line) + 1
        return len(self.decisions) > before

    @property
    def problem(self) -> str | None:
        """What was found torn at the end of the file, in a sentence."""
        if not self.torn:
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
        # Lone surrogates, as a page may send them, are still JSON as \udcXX.
        line = text.encode("utf-8", "backslashreplace")
        try:
            self._set_torn_aside()
            is_new = not self.path.exists()
            with self.path.open("ab", buffering=0) as file:
                try:
                    _write_all(file, line)
                    os.fsync(file.fileno())
                    if is_new:
                        sync_folder(self.path.parent)
                except OSError:
                    file.truncate(self._read_to)
                    raise
        except OSError as error:
            raise NotKept(
                f"{self.path}: the decision cannot be kept ({error.strerror}); make room or allow writing,"
                " then decide again."
            ) from error
        self.decisions.append(decision)
        self._read_to += len(line)

    def _set_torn_aside(self) -> None:
        if not self.torn:
            return
        with self.path.with_name(TORN).open("ab") as aside:
            aside.write(self.torn if self.torn.endswith(b"\n") else self.torn + b"\n")
            aside.flush()
            os.fsync(aside.fileno())
        with self.path.open("r+b") as file:
            file.truncate(self._read_to)
            os.fsync(file.fileno())
        self.torn = b""


def _write_all(file: Any, content: bytes) -> None:
    while content:
        content = content[file.write(content) :]


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


if sys.platform == "win32":
    import msvcrt

    @contextmanager
    def locked(file: BinaryIO) -> Iterator[None]:
        """Hold the file's lock, waiting for whoever holds it."""
        file.seek(0)
        msvcrt.locking(file.fileno(), msvcrt.LK_LOCK, 1)
        try:
            yield
        finally:
            file.seek(0)
            msvcrt.locking(file.fileno(), msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    @contextmanager
    def locked(file: BinaryIO) -> Iterator[None]:
        """Hold the file's lock, waiting for whoever holds it; it falls with the process that holds it."""
        fcntl.flock(file, fcntl.LOCK_EX)
        try:
            yield
        finally:
            fcntl.flock(file, fcntl.LOCK_UN)
