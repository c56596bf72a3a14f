"""observations.csv: the rows of the draft for a spreadsheet."""

from __future__ import annotations

from narrate2log.records import Draft
from narrate2log.report.row import COLUMNS, row

LIST_SEPARATOR = "; "
FORMULA_STARTS = ("=", "+", "-", "@")


def observations_csv(draft: Draft) -> bytes:
    """The rows as CSV: lists joined by "; ", what does not apply left empty, numbers as numbers."""
    import pandas as pd

    cells = [
        {column: cell(value) for column, value in row(observation, draft.units).items()}
        for observation in draft.observations
    ]
    # dtype object keeps 3 from becoming 3.0 in a column that has empty cells.
    table = pd.DataFrame(cells, columns=list(COLUMNS), dtype=object)
    text: str = table.to_csv(index=False, lineterminator="\r\n")
    # Without a byte-order mark spreadsheets take UTF-8 for the machine's old code page.
    return text.encode("utf-8-sig", "replace")


def cell(value: object) -> object:
    """A value as one cell: lists joined, text that a spreadsheet would run made inert, numbers kept."""
    if isinstance(value, list):
        return _inert(LIST_SEPARATOR.join(map(str, value)))
    return _inert(value) if isinstance(value, str) else value


def _inert(text: str) -> str:
    """'=1+1' -> "'=1+1": text that a spreadsheet would run is only shown."""
    return f"'{text}" if text.lstrip().startswith(FORMULA_STARTS) else text
