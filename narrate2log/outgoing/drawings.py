"""The drawings of a report: the pipe along its length, and its fall. Made once, used in every format."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from narrate2log.drawing.svg import document
from narrate2log.log import Log
from narrate2log.outgoing.labels import Labels
from narrate2log.outgoing.pipe_drawing import WIDTH as PIPE_WIDTH
from narrate2log.outgoing.pipe_drawing import pipe_panels
from narrate2log.report.slope_json import profile_from_json
from narrate2log.report.slope_svg import MARKED, STYLE, WIDTH, Reading, profile_panels
from narrate2log.slope.minimums import usual_table
from narrate2log.units import percent_to_slope


@dataclass(frozen=True)
class Drawing:
    """A drawing: its name as a file, its heading, what a screen reader tells of it, what its marks mean."""

    name: str
    title: str
    alt: str
    key: tuple[str, ...]
    width: float
    height: float
    svg: bytes


def pipe_drawings(log: Log, labels: Labels) -> list[Drawing]:
    """The pipe of every leg, in panels that fit a page."""
    return [
        Drawing(f"pipe-{number}.svg", panel.title, panel.alt, panel.key, PIPE_WIDTH, panel.height, panel.svg)
        for number, panel in enumerate(pipe_panels(log, labels), 1)
    ]


def fall_drawings(log: Log) -> list[Drawing]:
    """The height and the grade of every leg that has a profile."""
    made = []
    for told in log.slope_profiles:
        profile = profile_from_json(told, log.units)
        if not profile.points:
            continue
        parts, height = profile_panels(
            profile, _marks(log.rows, profile.leg), _readings(log, profile.leg), usual_table(), log.units, 0.0
        )
        title = f"Height and fall of the pipe{_of_leg(log, profile.leg)}"
        alt = (
            f"Height of the pipe in inches, and its fall in inches a foot, over the distance in {log.units};"
            f" the same is told in words and in a table under Slope and flow."
        )
        svg = document(WIDTH, height, *parts, title=title, description=alt, style=STYLE)
        made.append(Drawing(f"fall-{profile.leg}.svg", title, alt, _KEY, WIDTH, height, svg))
    return made


_KEY = (
    "Dark line: the likeliest. Shaded: should hold the truth nine times in ten. Heights are drawn steepened.",
    "Circle: read on the way out. Triangle: read on the way back. Cross: the camera head, not the pipe.",
    "Broken line: the usual least fall that such a pipe is laid with; a camera's tilt is no test of it.",
)


def _of_leg(log: Log, leg: int) -> str:
    return f", leg {leg}" if len(log.legs) > 1 else ""


def _marks(rows: Sequence[dict[str, Any]], leg: int) -> list[tuple[float, int]]:
    return [
        (row["distance"], row["row"])
        for row in rows
        if row["leg"] == leg
        and row["kind"] in MARKED
        and row["standing"] in ("seen", "possible")
        and row["distance"] is not None
    ]


def _readings(log: Log, leg: int) -> list[Reading]:
    return [
        Reading(
            r["distance"],
            percent_to_slope(r["grade_pct"], "in/ft"),
            "head" if r["of"] == "head" else r["pass"],
        )
        for r in log.slope_readings
        if r["leg"] == leg and r["distance"] is not None and r["of"] in ("pipe", "head")
    ]
