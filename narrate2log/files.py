"""Files that are whole or not there: written beside their place, synced, then renamed over it."""

from __future__ import annotations

import os
import secrets
from pathlib import Path


def write_whole(path: Path, content: bytes) -> None:
    """Put `content` at `path`; a reader, or a power cut, finds the old file or the new. Raises OSError."""
    beside = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        with beside.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
        sync_folder(path.parent)
    finally:
        beside.unlink(missing_ok=True)


def sync_folder(folder: Path) -> None:
    """Make the names in a folder outlast a power cut. Windows opens no folders, and needs no such step."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
