"""Every number that a person reads in a report is one of the log, told with fewer digits or as a time."""

from __future__ import annotations

import json
import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from outgoing.folders import NOW
from pypdf import PdfReader
from typer.testing import CliRunner

from narrate2log.cli import app
from narrate2log.outgoing.content import READING, RECORD, Report
from narrate2log.outgoing.drawings import _KEY
from narrate2log.outgoing.make import Asked, make_report
from narrate2log.outgoing.pipe_drawing import KEY

SAMPLES = Path(__file__).parents[2] / "samples"
NUMBER = re.compile(r"\d+:\d\d(?::\d\d)?|\d+(?:\.\d+)?")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample run drafted from its text, with a job file, and its report."""
    out = tmp_path_factory.mktemp("sample") / "run"
    arguments = [str(SAMPLES / "narration.vtt"), "--counter", str(SAMPLES / "counter.csv"), "--out", str(out)]
    assert CliRunner().invoke(app, ["draft", *arguments, "--quiet"]).exit_code == 0
    (out / "job.toml").write_text('date = 2026-03-04\nlicence = "LX 7719"\n', encoding="utf-8")
    return out


@pytest.fixture(scope="module")
def report(folder: Path) -> Report:
    return make_report(folder, Asked(formats=("pdf", "html", "vtt")), now=NOW).report


def leaves(told: Any) -> Iterator[float]:
    if isinstance(told, dict):
        for value in told.values():
            yield from leaves(value)
    elif isinstance(told, list):
        for value in told:
            yield from leaves(value)
    elif isinstance(told, int | float) and not isinstance(told, bool):
        yield float(told)


def as_told(value: float) -> Iterator[str]:
    """A number as it may be printed: rounded, or an end of an interval rounded outwards."""
    yield f"{abs(value):g}"
    for decimals in range(3):
        yield f"{abs(value):.{decimals}f}"
    for decimals in range(2):
        for way in (math.floor, math.ceil):
            yield f"{way(value * 10**decimals) / 10**decimals:.{decimals}f}"


def clock(seconds: float) -> str:
    return f"{round(seconds) // 60}:{round(seconds) % 60:02}"


# Fields whose numbers may stand before a unit.
OF_UNIT = {
    "ft": ("distance", "end_distance", "distance_low", "distance_high", "depth_ft"),
    "percent": ("amount_pct",),
    "%": ("amount_pct",),
    "in": ("amount_in", "size_in"),
}
WITH_UNIT = re.compile(r"(\d+(?:\.\d+)?) (ft|percent|%|in)(?!\w| the US)")


def allowed_before(unit: str, folder: Path) -> set[str]:
    """Numbers of the log that may stand before a unit, and those that the slope is told with."""
    rows = json.loads((folder / "observations.json").read_bytes())["observations"]
    told = {text for row in rows for field in OF_UNIT[unit] for text in as_told(row[field] or 0.0)}
    slope = WITH_UNIT.findall(CliRunner().invoke(app, ["slope", str(folder)]).output)
    return told | {number for number, other in slope if other == unit}


def allowed_of(folder: Path) -> set[str]:
    log = json.loads((folder / "observations.json").read_bytes())
    rows = log["observations"]
    allowed = {text for value in leaves([rows, log["legs"]]) for text in as_told(value)}
    allowed |= {clock(time) for row in rows for time in (*row["sightings"], row["time"])}
    allowed |= {clock(sum(source["duration"] for source in log["sources"]))}
    # how many of a kind there are
    placed = [row for row in rows if row["distance"] is not None]
    kinds = Counter((row["kind"], row["standing"], row["severity"]) for row in rows)
    unsure = sum(row["distance_basis"] in ("interpolated", "extrapolated") for row in placed)
    allowed |= {str(count) for count in (*kinds.values(), len(placed), unsure, len(log["slope_readings"]))}
    # the slope as `narrate2log slope` tells it, which has tests of its own, and the ends of its stretches
    allowed |= set(NUMBER.findall(CliRunner().invoke(app, ["slope", str(folder)]).output))
    ends = [
        stretch[end] for p in log["slope_profiles"] for stretch in p["stretches"] for end in ("from", "to")
    ]
    allowed |= {f"{end:.0f}" for end in ends}
    # what every report says, the usual cautions, the job file and the day
    fixed = [RECORD, *READING, *KEY, *_KEY, (SAMPLES.parent / "lexicon" / "cautions.toml").read_text("utf-8")]
    fixed += [(folder / "job.toml").read_text("utf-8"), NOW.date().isoformat()]
    return allowed | {number for text in fixed for number in NUMBER.findall(text)}


class Text(HTMLParser):
    """What is read of a page: its words, and what stands for its pictures."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.inside = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.inside = tag
        self.words += [value or "" for name, value in attrs if name == "alt"]

    def handle_data(self, data: str) -> None:
        if self.inside != "style":
            self.words.append(data)


def untraced(texts: Iterable[str], allowed: set[str], folder: Path | None = None) -> list[str]:
    """Numbers that are none of the log's, and with the folder those that do not fit their unit."""
    told = list(texts)
    found = [number for text in told for number in NUMBER.findall(text) if number not in allowed]
    if folder:
        units = {unit: allowed_before(unit, folder) for unit in OF_UNIT}
        with_unit = [pair for text in told for pair in WITH_UNIT.findall(text)]
        found += [f"{number} {unit}" for number, unit in with_unit if number not in units[unit]]
    return found


def test_every_number_of_the_page_is_of_the_log(folder: Path, report: Report) -> None:
    page = Text()
    page.feed((folder / "report.html").read_text(encoding="utf-8"))
    assert len(NUMBER.findall(" ".join(page.words))) > 150
    assert untraced(page.words, allowed_of(folder), folder) == []


def test_every_number_of_the_pdf_is_of_the_log(folder: Path, report: Report) -> None:
    pages = PdfReader(folder / "report.pdf").pages
    texts = [page.extract_text() for page in pages]
    # the axes of the drawings count round feet and inches
    drawn = {text for drawing in (*report.pipe, *report.fall) for text in svg_texts(drawing.svg)}
    ticks = {number for text in drawn if not re.search("[a-z]", text) for number in NUMBER.findall(text)}
    numbers = {str(n) for n in range(1, len(pages) + 1)}
    assert len(NUMBER.findall(" ".join(texts))) > 150
    assert untraced(texts, allowed_of(folder) | ticks | numbers) == []


def svg_texts(svg: bytes) -> list[str]:
    return [e.text or "" for e in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")]


def test_every_number_beside_words_in_the_drawings_is_of_the_log(folder: Path, report: Report) -> None:
    texts = [
        text for d in (*report.pipe, *report.fall) for text in svg_texts(d.svg) if re.search("[a-z]", text)
    ]
    assert len(texts) > 12
    assert untraced(texts, allowed_of(folder), folder) == []


def test_every_number_of_the_captions_is_of_the_log(folder: Path, report: Report) -> None:
    lines = [
        line
        for line in (folder / "captions.vtt").read_text("utf-8").splitlines()
        if line and "-->" not in line
    ]
    assert untraced(lines, allowed_of(folder), folder) == []


@pytest.mark.parametrize("wrong", ["Roots at 41.3 ft.", "about 21 percent", "at 3:03 of the recording"])
def test_a_number_that_is_not_of_the_log_is_found(folder: Path, wrong: str) -> None:
    assert untraced([wrong], allowed_of(folder), folder)
