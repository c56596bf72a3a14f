"""A journal on disk: one JSON object a line, only ever appended to, each on the disk before it counts.

A line counts from its newline on. What stands after the last one is a write that never ended: it is cut
off into a file beside the journal before the next line is appended, and never counted.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, BinaryIO

from narrate2log.files import sync_folder


class Vanished(Exception):
    """What was read from the journal before is gone: `whole` if the file itself is."""

    def __init__(self, *, whole: bool) -> None:
        self.whole = whole


class JournalFile:
    """The lines of one journal. `torn` is what stands after the last one, `read_to` how much counts."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.read_to = 0
        self.torn = b""

    def fresh_lines(self) -> list[bytes]:
        """The lines appended since the last call, without their newlines. Raises OSError, Vanished.

        `read_to` stays: who takes a line moves it on by the line and its newline.
        """
        try:
            with self.path.open("rb") as file:
                if os.fstat(file.fileno()).st_size < self.read_to:
                    raise Vanished(whole=False)
                file.seek(self.read_to)
                fresh = file.read()
        except FileNotFoundError:
            if self.read_to:
                raise Vanished(whole=True) from None
            fresh = b""
        lines = fresh.split(b"\n")
        self.torn = lines.pop()
        return lines

    def append(self, line: bytes) -> None:
        """Add a line, which ends in its newline; on return it is on the disk.

        Raises OSError: the disk refused it, and the journal is as it was before.
        """
        self._set_torn_aside()
        is_new = not self.path.exists()
        with self.path.open("ab", buffering=0) as file:
            if os.fstat(file.fileno()).st_size > self.read_to:
                # A refused write that could not be taken back.
                file.truncate(self.read_to)
            try:
                _write_all(file, line)
                os.fsync(file.fileno())
                if is_new:
                    sync_folder(self.path.parent)
            except OSError:
                with suppress(OSError):
                    file.truncate(self.read_to)
                raise
        self.read_to += len(line)

    def _set_torn_aside(self) -> None:
        if not self.torn:
            return
        with self.path.with_suffix(".torn").open("ab") as aside:
            aside.write(self.torn if self.torn.endswith(b"\n") else self.torn + b"\n")
            aside.flush()
            os.fsync(aside.fileno())
        with self.path.open("r+b") as file:
            file.truncate(self.read_to)
            os.fsync(file.fileno())
        self.torn = b""


def _write_all(file: Any, content: bytes) -> None:
    while content:
        content = content[file.write(content) :]


if sys.platform == "win32":
    import msvcrt

    @contextmanager
    def locked(file: BinaryIO, *, wait: bool = True) -> Iterator[None]:
        """Hold the file's lock, waiting for whoever holds it. Raises OSError where it may not wait."""
        file.seek(0)
        msvcrt.locking(file.fileno(), msvcrt.LK_LOCK if wait else msvcrt.LK_NBLCK, 1)
        try:
            yield
        finally:
            file.seek(0)
            msvcrt.locking(file.fileno(), msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    @contextmanager
    def locked(file: BinaryIO, *, wait: bool = True) -> Iterator[None]:
        """Hold the file's lock, waiting for whoever holds it; it falls with the process that holds it.

        Raises OSError where it may not wait and another holds it.
        """
        fcntl.flock(file, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
        try:
            yield
        finally:
            fcntl.flock(file, fcntl.LOCK_UN)
