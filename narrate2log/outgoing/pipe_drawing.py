"""The pipe along its length, seen from the side and turned upright: to scale down the page.

The left wall is the top of the pipe and the right wall its bottom, so water lies at the right. Nothing is
told by colour alone: marks differ in shape, materials in pattern, and every mark has its words beside it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any
from xml.etree.ElementTree import Element

from narrate2log.drawing.axes import MIDDLE, Scale, left_axis, number_marks, spread_apart
from narrate2log.drawing.svg import document, element, line, polyline
from narrate2log.log import Log
from narrate2log.outgoing import places
from narrate2log.outgoing.labels import Labels, low

# All lengths are in units of the drawing; at the width of a page one is nearly a point.
WIDTH = 560.0
TOP, BELOW = 34.0, 18.0
AXIS, PIPE = 50.0, 66.0
SIZE = 13.0
GAP = 16.0
TALLEST, SHORTEST = 590.0, 430.0
# Drawn bore: an inch of pipe, the least and most, and that of a pipe whose size was not told.
INCH, NARROW, WIDE, USUAL = 11.0, 24.0, 80.0, 44.0
LANES, LANE = 3, 7.0
LONGEST_LABEL = 50
EVENTS = ("locate", "end-of-run")

STYLE = f"""
text {{ font: {SIZE:g}px "Libertinus Serif", Georgia, "Times New Roman", serif; fill: #111 }}
.axis {{ stroke: #111; stroke-width: 1 }}
.grid {{ stroke: none }}
.wall {{ stroke: #111; stroke-width: 1.6; fill: none }}
.unknown {{ stroke: #111; stroke-width: 1.2; stroke-dasharray: 4 4; fill: none }}
.change {{ stroke: #111; stroke-width: 1.2 }}
.water {{ fill: #7fa6c4; stroke: #1c4a6b; stroke-width: 1 }}
.wave {{ stroke: #1c4a6b; stroke-width: 2.4; stroke-dasharray: 5 3; fill: none }}
.seen {{ fill: #111; stroke: #fff; stroke-width: 1 }}
.possible {{ fill: #fff; stroke: #111; stroke-width: 1.5 }}
.long {{ stroke: #111; stroke-width: 3 }}
.reach {{ stroke: #444; stroke-width: 1.1; fill: none }}
.leader {{ stroke: #888; stroke-width: .7; fill: none }}
.dial {{ stroke: #111; stroke-width: 1; fill: #fff }}
.hand {{ fill: #111; stroke: none }}
.pattern {{ stroke: #777; stroke-width: .8; fill: none }}
.dot {{ fill: #777; stroke: none }}
.strong {{ font-weight: bold }}
"""
# How the wall of each material is filled; plastic stays white.
PATTERN_OF = {
    "concrete": "dots",
    "asbestos-cement": "dots",
    "vitrified-clay": "bricks",
    "brick": "bricks",
    "cast-iron": "slants",
    "ductile-iron": "slants",
    "steel": "slants",
    "lead": "slants",
    "bituminous-fiber": "crosses",
    "abs": None,
    "pvc": None,
    "hdpe": None,
}
KEY = (
    "Length is to scale, the bore is not. Seen from the side: left is the top of the pipe, right its bottom.",
    "Diamond: a finding (white: possible, not certain). Square: a landmark. Line across: the pipe changes.",
    "Bracket beside the pipe: where the thing may be, nine times in ten. Small circle: its place on the"
    " clock, looking the way the camera was pushed. Shaded at the right: water, as deep as it was told.",
)


@dataclass(frozen=True)
class Panel:
    """One drawing of the pipe, or of a part of it that fits a page."""

    title: str
    alt: str
    key: tuple[str, ...]
    height: float
    svg: bytes


def pipe_panels(log: Log, labels: Labels) -> list[Panel]:
    """The pipe of every leg that has a place told of, to one scale a leg, in parts that fit a page."""
    panels: list[Panel] = []
    for leg in (leg["leg"] for leg in log.legs):
        rows = [row for row in log.rows if row["leg"] == leg and _is_drawn(row)]
        if rows:
            panels += _leg(leg, rows, log, labels)
    return panels


def _is_drawn(row: dict[str, Any]) -> bool:
    return (
        row["distance"] is not None
        and row["standing"] in ("seen", "possible")
        and (row["kind"] in ("landmark", "defect", "pipe", "water") or row["feature"] in EVENTS)
    )


def _leg(leg: int, rows: Sequence[dict[str, Any]], log: Log, labels: Labels) -> Iterator[Panel]:
    first = min(0.0, *(row["distance"] for row in rows))
    far = max(max(row["distance"], row["end_distance"] or 0, row["distance_high"] or 0) for row in rows)
    far = max(far, first + 1)
    count = 1
    while True:
        step = (far - first) / count
        parts = [(first + i * step, first + (i + 1) * step) for i in range(count)]
        most = max(sum(_inside(row, part, far) for row in rows) for part in parts)
        if most * GAP <= TALLEST or count > len(rows):
            break
        count += 1
    height = min(TALLEST, max(SHORTEST, most * GAP + 24))
    for number, part in enumerate(parts, 1):
        yield _Drawing(leg, rows, log, labels, part, far, height).panel(number, count)


def _inside(row: dict[str, Any], part: tuple[float, float], far: float) -> bool:
    at: float = row["distance"]
    return part[0] <= at < part[1] or at == part[1] == far


class _Drawing:
    """A part of one leg."""

    def __init__(
        self, leg: int, rows: Sequence[dict[str, Any]], log: Log, labels: Labels, part: tuple[float, float],
        far: float, height: float,
    ) -> None:  # fmt: skip
        self.leg, self.rows, self.log, self.labels, self.part = leg, rows, log, labels, part
        self.here = [row for row in rows if _inside(row, part, far)]
        self.y = Scale(*part, TOP, TOP + height)
        self.bottom = TOP + height
        # Brackets, leaders, dials and labels stand right of the widest pipe of the leg.
        self.lanes = PIPE + max(self._bore(at) for at in (0.0, *(row["distance"] for row in rows))) + 12
        self.leader = self.lanes + LANES * LANE
        self.dial = self.leader + 38

    def panel(self, number: int, count: int) -> Panel:
        units = self.log.units
        leg = f", leg {self.leg}" if len(self.log.legs) > 1 else ""
        part = f", part {number} of {count}" if count > 1 else ""
        title = f"The pipe along its length{leg}{part}"
        alt = (
            f"Drawing of the pipe from {self.part[0]:.0f} to {self.part[1]:.0f} {units} with"
            f" {len(self.here)} marks; the table below tells the same in words."
        )
        svg = document(WIDTH, self.bottom + BELOW, *self._parts(), title=title, description=alt, style=STYLE)
        return Panel(title, alt, KEY, self.bottom + BELOW, svg)

    def _parts(self) -> Iterator[Element]:
        yield _patterns()
        ticks = number_marks(self.y.low, self.y.high, 12)
        yield left_axis(self.y, AXIS, AXIS, ticks, f"{self.log.units} from the start", SIZE)
        yield from self._pipe()
        yield from self._water()
        yield from self._marks()
        yield from self._labels()

    def _until(self, row: dict[str, Any], changes: Sequence[dict[str, Any]]) -> float:
        later = [other["distance"] for other in changes if other["distance"] > row["distance"]]
        return float(min(later, default=self.part[1]))

    def _bore(self, at: float) -> float:
        """The drawn width of the pipe at a distance."""
        sizes = [row for row in self.rows if row["feature"] == "pipe-size" and row["size_in"]]
        before = [row for row in sizes if row["distance"] <= at + 1e-9] or sizes[:1]
        return min(WIDE, max(NARROW, INCH * before[-1]["size_in"])) if before else USUAL

    def _pipe(self) -> Iterator[Element]:
        """The walls, filled by material; dashed where no material was told."""
        changes = [row for row in self.rows if row["feature"] == "material" and row["standing"] == "seen"]
        sizes = [row for row in self.rows if row["feature"] == "pipe-size" and row["standing"] == "seen"]
        edges = sorted(
            {
                *self.part,
                *(r["distance"] for r in (*changes, *sizes) if self.part[0] < r["distance"] < self.part[1]),
            }
        )
        for begin, end in pairwise(edges):
            told = [row for row in changes if row["distance"] <= begin + 1e-9]
            width, top, bottom = self._bore(begin), self.y(begin), self.y(end)
            pattern = PATTERN_OF.get(told[-1]["material"] or "", "waves") if told else None
            if pattern:
                yield element(
                    "rect",
                    x=PIPE,
                    y=top,
                    width=width,
                    height=bottom - top,
                    fill=f"url(#{pattern})",
                    stroke="none",
                )
            style = "wall" if told else "unknown"
            for x in (PIPE, PIPE + width):
                yield line((x, top), (x, bottom), class_=style)

    def _water(self) -> Iterator[Element]:
        for row in self.rows:
            if row["feature"] not in ("belly", "water-level") or row["end_distance"] is None:
                continue
            begin, end = max(row["distance"], self.part[0]), min(row["end_distance"], self.part[1])
            if begin >= end:
                continue
            right = PIPE + self._bore(begin)
            top, bottom = self.y(begin), self.y(end)
            if row["amount_pct"] is None:
                yield line((right - 4, top), (right - 4, bottom), class_="wave")
                continue
            deep = self._bore(begin) * min(100.0, row["amount_pct"]) / 100
            yield element("rect", x=right - deep, y=top, width=deep, height=bottom - top, class_="water")

    def _across(self, row: dict[str, Any]) -> float:
        """Where across the bore a thing lies: by its hour, at the bottom wall if none was told."""
        width = self._bore(row["distance"])
        if row["clock_from"] is None:
            return PIPE + width
        first, last = row["clock_from"], row["clock_to"] or row["clock_from"]
        hour = first + ((last - first) % 12) / 2
        return PIPE + width * (1 - math.cos(math.radians(hour * 30))) / 2

    def _marks(self) -> Iterator[Element]:
        for number, row in enumerate(self.here):
            y, x = self.y(row["distance"]), self._across(row)
            right = PIPE + self._bore(row["distance"])
            lane = self.lanes + number % LANES * LANE
            low_end, high_end = row["distance_low"], row["distance_high"]
            if low_end is not None and high_end is not None:
                top, bottom = (min(max(self.y(d), TOP - 6), self.bottom + 6) for d in (low_end, high_end))
                corners = [(lane - 3, top), (lane, top), (lane, bottom), (lane - 3, bottom)]
                yield polyline(corners, class_="reach")
            if row["kind"] == "pipe":
                yield line((PIPE - 5, y), (right + 5, y), class_="change")
                continue
            if row["end_distance"] is not None and row["feature"] not in ("belly", "water-level"):
                end = min(max(self.y(row["end_distance"]), TOP), self.bottom)
                yield line((x, y), (x, end), class_="long")
            shape = "M0 -6l6 6l-6 6l-6 -6z" if row["kind"] in ("defect", "water") else "M-5 -5h10v10h-10z"
            style = "possible" if row["standing"] == "possible" else "seen"
            yield element("path", d=shape, transform=f"translate({x:.1f} {y:.1f})", class_=style)

    def _labels(self) -> Iterator[Element]:
        rows = sorted(self.here, key=lambda row: row["distance"])
        wanted = [self.y(row["distance"]) for row in rows]
        spread = spread_apart(wanted, GAP, TOP + 2, self.bottom - 2)
        for row, y_row, y in zip(rows, wanted, spread, strict=True):
            right = PIPE + self._bore(row["distance"])
            corners = [(right + 4, y_row), (self.leader, y_row), (self.dial - 22, y), (self.dial - 12, y)]
            yield polyline(corners, class_="leader")
            if row["clock_from"] is not None:
                yield _dial(row, self.dial, y)
            style = "strong" if row["kind"] == "defect" else None
            yield element("text", self._label(row), x=self.dial + 14, y=y + MIDDLE * SIZE, class_=style)

    def _label(self, row: dict[str, Any]) -> str:
        units = self.log.units
        name = self.labels.of(row)
        if row["feature"] == "material":
            material = self.labels.material(row["material"]) if row["material"] else "another material"
            name = f"{material[:1].upper()}{material[1:]} begins"
        elif row["feature"] == "pipe-size":
            name = f"Size {row['size_in']:g} in" if row["size_in"] else name
        elif row["standing"] == "possible":
            name = f"Possible {low(name)}"
        end = places.end_distance(row, units)
        at = f"{places.distance(row, units)} to {end}" if end else places.distance(row, units)
        more = [row["severity"]] if row["severity"] else []
        more += places.amounts(row) if row["feature"] != "pipe-size" else []
        text = ", ".join([f"{at}  {name}", *more])
        return text if len(text) <= LONGEST_LABEL else text[: LONGEST_LABEL - 1] + "…"


def _dial(row: dict[str, Any], at: float, y: float) -> Element:
    """A small clock face, dark where the thing is."""
    first, last = row["clock_from"], row["clock_to"] or row["clock_from"]
    hours = (last - first) % 12
    begin, end = (first - 0.6) * 30, (first + hours + 0.6) * 30
    points = [(0.0, 0.0)] + [
        (7 * math.sin(math.radians(a)), -7 * math.cos(math.radians(a)))
        for a in (begin + (end - begin) * i / 16 for i in range(17))
    ]
    path = "M" + "L".join(f"{x:.2f} {py:.2f}" for x, py in points) + "z"
    return element(
        "g",
        element("circle", cx=0, cy=0, r=7, class_="dial"),
        element("path", d=path, class_="hand"),
        transform=f"translate({at:.1f} {y:.1f})",
    )


def _patterns() -> Element:
    def pattern(name: str, size: int, *parts: Element) -> Element:
        return element("pattern", *parts, id=name, width=size, height=size, patternUnits="userSpaceOnUse")

    def path(d: str) -> Element:
        return element("path", d=d, class_="pattern")

    return element(
        "defs",
        pattern(
            "dots", 9, *(element("circle", cx=x, cy=y, r=0.9, class_="dot") for x, y in ((2, 2), (6.5, 6.5)))
        ),
        pattern("bricks", 12, path("M0 0H12M0 6H12M3 0V6M9 6V12")),
        pattern("slants", 6, path("M-1 7L7 -1M-1 1L1 -1M5 7L7 5")),
        pattern("crosses", 8, path("M0 8L8 0M0 0L8 8")),
        pattern("waves", 10, path("M0 10L10 0")),
    )
