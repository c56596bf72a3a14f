"""report.pdf: the report typeset by Typst from a template, tagged, with bookmarks and selectable text.

The template is set in a folder of its own with all that it needs; nothing is fetched.
"""

from __future__ import annotations

import json
import re
import shutil
import tempfile
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

from narrate2log.outgoing.content import Report
from narrate2log.outgoing.parcel import Made, Parcel

TEMPLATE = Path(__file__).with_name("report.typ")
NAME = "report.pdf"
# PDF/UA-1 (ISO 14289-1) for those who listen, PDF/A-2a (ISO 19005-2) for those who file.
STANDARDS: list[Any] = ["ua-1", "a-2a"]
# Typst would fetch such a package.
_PACKAGE = re.compile(rb'"@\w+/')
_NO_LETTERS = re.compile(r'the text `?"(.*?)"`? could not be displayed', re.DOTALL)


def report_pdf(parcel: Parcel) -> Made:
    """The report as PDF; a template, logo or letters that cannot be used are said, and it is set without."""
    content, problems = typeset(parcel.report, parcel.template)
    return Made({NAME: content}, tuple(problems))


def typeset(report: Report, template: Path | None = None, **options: Any) -> tuple[bytes, list[str]]:
    """The report by a template (the tool's own without one), and what had to be left out of it.

    `options` are those of `typst.compile` beside the standards: format="png" gives a list of pages.
    """
    import typst

    fonts = typst.Fonts(include_system_fonts=True)
    standards = [] if options else STANDARDS
    problems: list[str] = []
    with tempfile.TemporaryDirectory(prefix="narrate2log-") as made:
        folder = Path(made)
        while True:
            source = _lay_out(report, template or TEMPLATE, folder)
            try:
                if _PACKAGE.search(source.read_bytes()):
                    raise OSError("it asks for a package of the network")
                content: Any = typst.compile(
                    source, root=folder, font_paths=fonts, pdf_standards=standards, **options
                )
            except (typst.TypstError, OSError) as error:
                found = _NO_LETTERS.search(str(error))
                if found and standards:
                    problem = (
                        f"No font on this machine has all the letters of \u201c{found[1]}\u201d, so the PDF"
                        " shows boxes for some; the page (html) shows them where its reader has such a font."
                    )
                    standards = []
                elif template is not None:
                    problem = (
                        f"The template {template.name} cannot be used ({_first_line(error)}), so the report"
                        " is set by the tool's own."
                    )
                    template = None
                elif report.logo is not None:
                    problem = f"The logo {report.logo.name} is no picture that can be read, so there is none."
                    report = replace(report, logo=None)
                else:
                    raise
                problems.append(problem)
                report = replace(report, missing=(*report.missing, problem))
                continue
            return content, problems


def _first_line(error: Exception) -> str:
    """What is wrong in a template and in which line of it."""
    told = getattr(error, "diagnostic", "")
    line = re.search(r"\.typ:(\d+):", told)
    return f"{f'line {line[1]}: ' if line else ''}{str(error).splitlines()[0]}"


def _lay_out(report: Report, template: Path, folder: Path) -> Path:
    """Everything that the template reads, by the names that report.json has."""
    told = asdict(report)
    for drawing in (*report.pipe, *report.fall):
        (folder / drawing.name).write_bytes(drawing.svg)
    for drawing in (*told["pipe"], *told["fall"]):
        del drawing["svg"]
    for finding in told["findings"]:
        for picture in finding["pictures"]:
            shutil.copyfile(picture.pop("path"), folder / picture["name"])
    if report.logo:
        told["logo"] = f"logo{report.logo.suffix.lower()}"
        shutil.copyfile(report.logo, folder / told["logo"])
    text = json.dumps(told, ensure_ascii=False)
    (folder / "report.json").write_text(text, encoding="utf-8", errors="replace")
    return Path(shutil.copyfile(template, folder / "report.typ"))
