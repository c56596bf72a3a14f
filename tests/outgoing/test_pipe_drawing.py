"""The pipe along its length: to scale, every mark with its words."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
from outgoing.folders import report_of, row, run

from narrate2log.outgoing.content import Report

SVG = "{http://www.w3.org/2000/svg}"


def drawn(report: Report) -> list[ElementTree.Element]:
    return [ElementTree.fromstring(drawing.svg) for drawing in report.pipe]


def texts(report: Report) -> list[str]:
    return [e.text or "" for root in drawn(report) for e in root.iter(f"{SVG}text")]


def heights(root: ElementTree.Element) -> list[float]:
    """Where the diamonds and squares are, from the top."""
    places = [
        e.get("transform", "") for e in root.iter(f"{SVG}path") if e.get("class") in ("seen", "possible")
    ]
    return [float(re.findall(r"[\d.]+", place)[1]) for place in places]


def test_length_is_to_scale(tmp_path: Path) -> None:
    (root,) = drawn(
        report_of(run(tmp_path, *(row("crack", at=a, id=f"c{a}") for a in (0.0, 10.0, 30.0, 40.0))))
    )
    a, b, c, d = heights(root)
    assert (c - b) / (b - a) == pytest.approx(2, rel=0.01)
    assert (d - c) / (b - a) == pytest.approx(1, rel=0.01)


def test_marks_are_told_in_words(tmp_path: Path) -> None:
    rows = (
        row("material", at=2.0, kind="pipe", material="pvc"),
        row("pipe-size", at=2.0, kind="pipe", size_in=6.0),
        row("belly", at=29.0, end_distance=36.0, amount_pct=40.0),
        row("roots", at=41.0, severity="moderate", amount_pct=20.0),
        row("crack", at=44.0, width=3.0, standing="possible", clock_from=3),
        row("hole", at=50.0, standing="not-seen"),
        row("break", at=None),
    )
    labels = [text for text in texts(report_of(run(tmp_path, *rows))) if "  " in text]
    assert labels == [
        "2.0  PVC begins", "2.0  Size 6 in", "29.0 to 36.0  Belly, 40 %", "41.0  Roots, moderate, 20 %",
        "44  Possible crack",
    ]  # fmt: skip


@pytest.mark.parametrize(("percent", "share"), [(40.0, 0.4), (100.0, 1.0), (10.0, 0.1)])
def test_water_is_as_deep_as_it_was_told(tmp_path: Path, percent: float, share: float) -> None:
    size = row("pipe-size", at=0.0, kind="pipe", size_in=4.0)
    belly = row("belly", at=29.0, end_distance=36.0, amount_pct=percent)
    (root,) = drawn(report_of(run(tmp_path, size, belly)))
    (water,) = (e for e in root.iter(f"{SVG}rect") if e.get("class") == "water")
    assert float(water.get("width", 0)) == pytest.approx(44 * share, abs=0.02)


def test_a_depth_that_was_not_told_is_not_drawn(tmp_path: Path) -> None:
    (root,) = drawn(report_of(run(tmp_path, row("belly", at=29.0, end_distance=36.0))))
    assert not [e for e in root.iter(f"{SVG}rect") if e.get("class") == "water"]
    assert [e for e in root.iter(f"{SVG}line") if e.get("class") == "wave"]


def test_a_crowded_pipe_is_parted_to_one_scale_and_every_label_has_room(tmp_path: Path) -> None:
    report = report_of(run(tmp_path, *(row("crack", at=n / 2, id=f"c{n}") for n in range(120))))
    assert len(report.pipe) >= 4
    assert len({drawing.height for drawing in report.pipe}) == 1
    assert len([text for text in texts(report) if "Crack" in text]) == 120
    for root in drawn(report):
        lines = sorted(float(e.get("y", 0)) for e in root.iter(f"{SVG}text") if "Crack" in (e.text or ""))
        assert all(b - a > 15 for a, b in pairwise(lines))
        assert lines[-1] < report.pipe[0].height


def test_each_leg_is_drawn_apart(tmp_path: Path) -> None:
    legs = [{"leg": n, "direction": "downstream", "entry": None} for n in (1, 2)]
    report = report_of(run(tmp_path, row(), row("crack", at=5.0, leg=2), legs=legs))
    assert [d.title for d in report.pipe] == [f"The pipe along its length, leg {n}" for n in (1, 2)]


def test_nothing_placed_is_nothing_drawn(tmp_path: Path) -> None:
    assert report_of(run(tmp_path, row(at=None))).pipe == ()
