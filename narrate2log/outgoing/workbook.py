"""report.xlsx: the rows for a spreadsheet, numbers as numbers, with filters and a head that stays in view."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from typing import Any

from narrate2log.outgoing.columns import columns_for, record
from narrate2log.outgoing.parcel import Made, Parcel
from narrate2log.report.observations_csv import FORMULA_STARTS, LIST_SEPARATOR
from narrate2log.table.cautions import warning

NAME = "report.xlsx"
Cells = Iterable[Sequence[Any]]
# Excel's own limit of a cell.
LONGEST_TEXT = 32_767
WIDEST = 60


def report_xlsx(parcel: Parcel) -> Made:
    """Sheets for what the report is, the rows, the slope, what was not seen, and the words if wanted."""
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    book.properties.title = parcel.report.title
    book.properties.creator = "narrate2log"
    log, units = parcel.log, parcel.log.units
    columns = columns_for(parcel.wanted)
    heads = [f"{c.name}, {unit}" if (unit := c.unit_in(units)) else c.name for c in columns]
    report = parcel.report
    about: list[Sequence[Any]] = [(label, value or "not given") for label, value in report.particulars]
    first = [("Status", report.stamp)] if report.stamp else []
    if report.amended:
        first += [("Amended", f"stands for the one made {report.amended.since}")]
        first += [("Amended", change) for change in report.amended.changes]
    first += [("Caution", warning(c.text, c.defer_to)) for c in report.cautions]
    first += [("Missing", sentence) for sentence in report.missing]
    _sheet(book, "report", ["", ""], [*first, *about, ("What this is", report.record)], filters=False)
    _sheet(book, "rows", heads, [list(record(row, columns).values()) for row in log.rows])
    slope = "time distance distance_low distance_high leg pass reading unit grade_pct of".split()
    slope_units = {"time": "s", "grade_pct": "%", **dict.fromkeys(slope[1:4], units)}
    slope_heads = [f"{name}, {slope_units[name]}" if name in slope_units else name for name in slope]
    _sheet(book, "slope", slope_heads, [[reading[name] for name in slope] for reading in log.slope_readings])
    unseen = [record(row, columns) for row in log.rows if row["standing"] == "not-seen"]
    few = ["row", "feature", "distance", "leg", "remark"]
    few_heads = [f"{name}, {units}" if name == "distance" else name for name in few]
    _sheet(book, "not seen", few_heads, [[row[name] for name in few] for row in unseen])
    if parcel.wanted.words:
        phrases = [(phrase.start, phrase.end, phrase.text) for phrase in parcel.phrases]
        _sheet(book, "words", ["start, s", "end, s", "words"], phrases)
    content = io.BytesIO()
    book.save(content)
    return Made({NAME: content.getvalue()})


def _sheet(book: Any, name: str, heads: Sequence[str], rows: Cells, *, filters: bool = True) -> None:
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    sheet = book.create_sheet(name)
    widths = [len(head) for head in heads]
    for column, head in enumerate(heads, 1):
        _put(sheet.cell(1, column), head)
        sheet.cell(1, column).font = Font(bold=True)
    for line, row in enumerate(rows, 2):
        for column, value in enumerate(row, 1):
            cell = sheet.cell(line, column)
            _put(cell, value)
            if isinstance(cell.value, str):
                cell.alignment = Alignment(wrap_text=True, vertical="top")
            widths[column - 1] = max(widths[column - 1], len(str(cell.value or "")))
    for column, width in enumerate(widths, 1):
        sheet.column_dimensions[get_column_letter(column)].width = min(WIDEST, width + 2)
    if filters:
        sheet.freeze_panes = "A2"
        sheet.auto_filter.ref = f"A1:{get_column_letter(len(heads))}{sheet.max_row}"


def _put(cell: Any, value: object) -> None:
    """A value in a cell: numbers as numbers, text as text whatever it begins with."""
    from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

    if isinstance(value, list):
        value = LIST_SEPARATOR.join(map(str, value))
    if isinstance(value, str):
        text: str = ILLEGAL_CHARACTERS_RE.sub("\ufffd", value)[:LONGEST_TEXT]
        cell.value = text
        # Of the type of text nothing is run; the mark keeps it so when a person edits the cell.
        cell.data_type = "s"
        cell.quotePrefix = text.lstrip().startswith(FORMULA_STARTS)
    else:
        cell.value = value
