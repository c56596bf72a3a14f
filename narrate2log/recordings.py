"""recordings.json: where on this machine the recordings of a draft lie. Of no use anywhere else."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

from narrate2log.errors import UnusableFolder
from narrate2log.files import write_whole

FILE = "recordings.json"
SCHEMA = "narrate2log/recordings/1"


def read_recordings(folder: Path) -> dict[str, Path]:
    """The recordings known for the run in `folder`, by SHA-256; none where the file is missing or broken.

    It can be told again at any time, so a broken file is no reason to refuse anything.
    """
    try:
        told = json.loads((folder / FILE).read_bytes())
        if told["schema"] != SCHEMA:
            return {}
        return {str(sha256): Path(path) for sha256, path in told["recordings"].items()}
    except (OSError, ValueError, LookupError, TypeError, AttributeError):
        return {}


def write_recordings(folder: Path, recordings: Mapping[str, Path]) -> None:
    """Add to what is known of the run in `folder`. Raises UnusableFolder if the disk refuses."""
    known = {**read_recordings(folder), **recordings}
    told = {"schema": SCHEMA, "recordings": {sha256: str(path.absolute()) for sha256, path in known.items()}}
    text = json.dumps(told, ensure_ascii=False, indent=1) + "\n"
    try:
        write_whole(folder / FILE, text.encode("utf-8", "backslashreplace"))
    except OSError as error:
        raise UnusableFolder(
            f"{folder / FILE}: where the recordings lie cannot be kept here ({error.strerror}); make room or"
            " allow writing."
        ) from error
