"""What goes out of the door: one writer a format, made from the log.

How to add one:

1. Write `outgoing/NAME.py` with a function that takes a `Parcel` and gives `Made`: files by name, and a
   sentence for all that could not be put into them. It opens nothing of the run and decides nothing.
2. Names and addresses stay out of file names; words as heard go out only where `parcel.wanted.words`, and
   nothing personal where `parcel.wanted.redacted`.
3. Add a line to `FORMATS`; import a heavy library inside the function.
4. Test it in `tests/outgoing/test_NAME.py`, reopened by a library of somebody else.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from narrate2log.outgoing.captions import captions_srt, captions_vtt, chapters_vtt
from narrate2log.outgoing.page import report_html
from narrate2log.outgoing.parcel import Made, Parcel
from narrate2log.outgoing.pdf import report_pdf
from narrate2log.outgoing.rows_csv import rows_csv
from narrate2log.outgoing.rows_json import rows_json
from narrate2log.outgoing.workbook import report_xlsx


@dataclass(frozen=True)
class Format:
    """A format: what writes it, what it is for, and whether it may go out redacted."""

    write: Callable[[Parcel], Made]
    about: str
    redacted: bool = True


FORMATS: dict[str, Format] = {
    "pdf": Format(report_pdf, "the report, to read and print"),
    "html": Format(report_html, "the report as a page, for a screen of any width"),
    "xlsx": Format(report_xlsx, "the rows for a spreadsheet"),
    "csv": Format(rows_csv, "the rows as text, and a Table Schema that describes them"),
    "json": Format(rows_json, "all of it for programs, with its JSON Schema"),
    "vtt": Format(captions_vtt, "captions over the video: place and name of each row", redacted=False),
    "srt": Format(captions_srt, "the same captions as SubRip", redacted=False),
    "chapters": Format(chapters_vtt, "chapter marks for a player, as WebVTT", redacted=False),
}
USUAL = ("pdf", "html")
