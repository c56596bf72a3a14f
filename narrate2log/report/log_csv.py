"""log.csv: the reviewed rows for a spreadsheet, those taken out at the end and marked so."""

from __future__ import annotations

import csv
import io

from narrate2log.log import Log
from narrate2log.report.observations_csv import cell
from narrate2log.report.row import COLUMNS

REVIEW_COLUMNS = ("reviewed", "reviewed_by", "reviewed_at", "changes", "still", "joined_to")


def log_csv(log: Log) -> bytes:
    """The columns of observations.csv, then how each row was reviewed; `changes` tells old > new."""
    text = io.StringIO()
    table = csv.DictWriter(text, [*COLUMNS, *REVIEW_COLUMNS], extrasaction="ignore", lineterminator="\r\n")
    table.writeheader()
    for row in (*log.rows, *log.dropped):
        review = row["review"]
        told = {
            "reviewed": review["state"],
            "reviewed_by": review["by"],
            "reviewed_at": review["at"],
            "changes": [
                f"{name}: {_shown(old)} > {_shown(new)}" for name, (old, new) in review["changes"].items()
            ],
            "still": review["still"],
            "joined_to": review.get("into"),
        }
        table.writerow({name: cell(value) for name, value in {**row, **told}.items()})
    # Without a byte-order mark spreadsheets take UTF-8 for the machine's old code page.
    return text.getvalue().encode("utf-8-sig", "replace")


def _shown(value: object) -> str:
    return "none" if value is None else str(value)
