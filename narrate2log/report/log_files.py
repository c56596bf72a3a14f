"""The log in its folder: log.json and log.csv."""

from __future__ import annotations

from pathlib import Path

from narrate2log.errors import UnusableFolder
from narrate2log.files import write_whole
from narrate2log.log import Log
from narrate2log.report.log_csv import log_csv
from narrate2log.report.log_json import log_json


def write_log(log: Log, folder: Path) -> None:
    """Write log.json and log.csv into a run's folder, each whole or not at all. Raises UnusableFolder."""
    try:
        write_whole(folder / "log.csv", log_csv(log))
        write_whole(folder / "log.json", log_json(log))
    except OSError as error:
        raise UnusableFolder(
            f"{folder}: the log cannot be written here ({error.strerror}); make room or allow writing, then"
            " run `narrate2log log` on it: no decision is lost."
        ) from error
