"""The PDF, reopened by pypdf: tagged (ISO 14289-1), with bookmarks and text; it comes out come what may."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from outgoing.clips import chequers, video
from outgoing.folders import decide, made, row, run
from pypdf import PdfReader

from narrate2log.outgoing.pdf import TEMPLATE

ROWS = (
    row("roots", severity="severe", clock_from=9),
    row("belly", at=29.0, end_distance=36.0, amount_pct=40.0),
    row("hole", at=None, standing="not-seen"),
)
DRAFT = "Draft: written by a program, not reviewed by a person"


def pdf(folder: Path, **asked: Any) -> PdfReader:
    made(folder, "pdf", **asked)
    return PdfReader(folder / "report.pdf")


def text(reader: PdfReader) -> str:
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def bookmarks(outline: list[Any]) -> list[str]:
    return [
        title
        for entry in outline
        for title in (bookmarks(entry) if isinstance(entry, list) else [str(entry.title)])
    ]


def test_it_is_tagged_titled_told_in_english_and_has_bookmarks(tmp_path: Path) -> None:
    reader = pdf(run(tmp_path, *ROWS))
    root: Any = reader.trailer["/Root"]
    assert reader.metadata is not None
    assert reader.metadata.title == "Sewer lateral inspection"
    assert root["/Lang"].startswith("en")
    assert root["/MarkInfo"]["/Marked"]
    assert root["/StructTreeRoot"]
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    xmp = root["/Metadata"].get_data().decode()
    assert re.search(r"pdfuaid:part\D{1,3}1\D", xmp)
    assert re.search(r"pdfaid:part\D{1,3}2\D", xmp)
    assert {"What was found and advised", "Slope and flow", "What limits this inspection"} <= set(
        bookmarks(reader.outline)
    )


def test_its_first_page_tells_what_was_found_and_what_it_is_not(tmp_path: Path) -> None:
    caution = {"key": "cross-bore", "text": "Stop here.", "defer_to": "the gas utility", "first": True}
    bore = row("cross-bore", at=20.0, standing="possible", remark="Possible cross bore at 20.0 ft.")
    first = " ".join(pdf(run(tmp_path, *ROWS, bore, cautions=[caution])).pages[0].extract_text().split())
    for told in ("Roots at 41.0 ft.", "Called severe (1)", "Hole.", "no code test", "no engineering opinion"):
        assert told in first
    # the urgent caution stands before the findings
    assert first.index("Caution, at 20.0 ft. Stop here. Defer to the gas utility.") < first.index(
        "Called severe"
    )


def test_a_draft_says_so_on_every_page_and_a_reviewed_report_on_none(tmp_path: Path) -> None:
    many = [row("crack", at=float(n), id=f"c{n}") for n in range(70)]
    pages = pdf(run(tmp_path, *many)).pages
    assert len(pages) > 4
    assert all(DRAFT in " ".join(page.extract_text().split()) for page in pages)
    run(tmp_path, *many, reviewed=True)
    assert DRAFT not in text(pdf(tmp_path))


def test_an_amended_report_says_when_and_what(tmp_path: Path) -> None:
    run(tmp_path, *ROWS, reviewed=True)
    pdf(tmp_path)
    decide(tmp_path, "changed", "roots-41.0", {"severity": "minor"})
    first = " ".join(pdf(tmp_path).pages[0].extract_text().split())
    assert "Amended. This report, made 2026-03-04, stands for the one made 2026-03-04." in first
    assert "says “Roots at 41.0 ft, called minor, at 9 o'clock.”" in first


def test_a_template_of_the_users_own_sets_it(tmp_path: Path) -> None:
    mine = tmp_path / "mine.typ"
    mine.write_text(TEMPLATE.read_text("utf-8").replace("[Advised]", "[What Ada would do]"), encoding="utf-8")
    told = text(pdf(run(tmp_path / "run", *ROWS), template=mine))
    assert "What Ada would do" in told


@pytest.mark.parametrize(
    ("source", "wrong"),
    [
        ("#let x = \n", r"mine\.typ cannot be used \(line 1: expected expression\)"),
        ("\n\n#nothing-like-it()", r"line 3: unknown variable"),
        ('#set document(title: "x")\n#image("gone.png")', r"line 2: .*not found"),
        (
            '#import "@preview/cetz:0.1.0"',
            r"mine\.typ cannot be used \(it asks for a package of the network\)",
        ),
    ],
)
def test_a_template_with_an_error_is_said_and_the_own_one_taken(
    tmp_path: Path, source: str, wrong: str
) -> None:
    mine = tmp_path / "mine.typ"
    mine.write_text(source, encoding="utf-8")
    outcome = made(run(tmp_path / "run", *ROWS), "pdf", template=mine)
    assert re.search(wrong, outcome.problems[-1])
    told = text(PdfReader(tmp_path / "run" / "report.pdf"))
    assert "Roots at 41.0 ft." in told
    assert "the report is set by the tool's own" in told


def test_a_missing_template_or_logo_is_said(tmp_path: Path) -> None:
    run(tmp_path, *ROWS)
    (tmp_path / "job.toml").write_text('logo = "gone.png"\n', encoding="utf-8")
    told = text(pdf(tmp_path, template=tmp_path / "gone.typ"))
    assert "The logo gone.png is not there" in told
    assert "The template gone.typ is not there" in told


def test_a_logo_that_is_no_picture_is_said(tmp_path: Path) -> None:
    run(tmp_path, *ROWS)
    (tmp_path / "logo.png").write_bytes(b"no picture at all")
    (tmp_path / "job.toml").write_text('logo = "logo.png"\n', encoding="utf-8")
    told = text(pdf(tmp_path))
    assert "The logo logo.png is no picture that can be read" in told
    assert "Roots at 41.0 ft." in told


# The last is Linear A, of which no usual machine has letters.
@pytest.mark.parametrize("name", ["Jürgen Ødegård", "Иван Петров", "Ελένη", "𐘀𐘁𐘂"])
def test_a_name_in_another_script_comes_out_or_is_said_to_be_missing(tmp_path: Path, name: str) -> None:
    run(tmp_path, *ROWS)
    (tmp_path / "job.toml").write_text(f'client = "{name}"\n', encoding="utf-8")
    outcome = made(tmp_path, "pdf", "html")
    said = any("No font on this machine" in problem for problem in outcome.problems)
    told = text(PdfReader(tmp_path / "report.pdf"))
    assert "Roots at 41.0 ft." in told
    assert said or name in told
    assert name in (tmp_path / "report.html").read_text(encoding="utf-8")
    assert not said or name == "𐘀𐘁𐘂"


def test_pictures_have_a_page_and_a_caption(tmp_path: Path) -> None:
    clip = video(tmp_path / "clip.mp4", 3, lambda number: chequers(number))
    reader = pdf(run(tmp_path / "run", row(time=1.0), row("crack", at=9.0, time=2.0)), videos=[clip])
    assert sum(len(page.images) for page in reader.pages) == 2
    assert len(re.findall(r"The picture at 0:0[0-2] of the recording\.", text(reader))) == 2


def test_a_run_without_a_row_still_has_a_report(tmp_path: Path) -> None:
    told = text(pdf(run(tmp_path)))
    assert "No findings are in the log." in told
    assert "nothing is told of the slope" in told


@pytest.mark.parametrize(
    "text_of", ["#panic()", "*a* _b_ = c $x$ @d <e>", "a\\b", '"quoted"', "<script>x</script>"]
)
def test_nothing_in_a_row_is_taken_for_markup(tmp_path: Path, text_of: str) -> None:
    run(tmp_path, row(remark=text_of))
    made(tmp_path, "pdf", "html")
    assert text_of in text(PdfReader(tmp_path / "report.pdf")).replace("“", '"').replace("”", '"')
    assert "<script" not in (tmp_path / "report.html").read_text(encoding="utf-8")
