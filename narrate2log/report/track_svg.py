"""track.svg: where the camera was over time, what tied it to distances, and where the rows lie."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from xml.etree.ElementTree import Element

from narrate2log.drawing.axes import (
    MIDDLE,
    Scale,
    bottom_axis,
    clock_text,
    clock_ticks,
    left_axis,
    number_marks,
    spread_apart,
)
from narrate2log.drawing.svg import band, document, element, line, polyline
from narrate2log.records import AnchorUse, Draft, Observation, TrackPoint
from narrate2log.units import MM_PER_UNIT, Millimetres, Milliseconds

# All lengths are in units of the drawing. A phone held upright shows about 390 of a page: 500 make the text
# 12 of them high.
WIDTH = 500.0
LEFT, RIGHT = 52.0, 280.0
TOP, PANEL, BELOW = 44.0, 400.0, 84.0
SIZE = 16.0
LABEL_GAP = 18.0
LABELS = 304.0
LEGEND = 6 * 24.0 + 30.0
# Room for the number beside a cross.
NUMBER_WIDTH = 48.0
# A label longer than this would leave the page.
LONGEST_LABEL = 22

# Passes, anchors and rows differ in shape and stroke, so that a grey print tells them apart too.
STYLE = f"""
text {{ font: {SIZE:g}px sans-serif; fill: #111 }}
.axis {{ stroke: #111; stroke-width: 1.2 }}
.grid {{ stroke: #ccc; stroke-width: 1 }}
.band {{ fill: #8fb4d9; fill-opacity: .45; stroke: none }}
.out {{ stroke: #0b3d6b; stroke-width: 2.6 }}
.back {{ stroke: #0b3d6b; stroke-width: 2.6; stroke-dasharray: 7 5 }}
.anchor {{ fill: #fff; stroke: #111; stroke-width: 1.8 }}
.aside {{ stroke: #b00020; stroke-width: 2.4; fill: none }}
.row {{ fill: #111; stroke: none }}
.leader {{ stroke: #777; stroke-width: .8; fill: none }}
.said {{ fill: #b00020; font-weight: bold }}
"""


def track_svg(draft: Draft) -> bytes:
    """A panel for each leg, one below the other, and what the marks mean."""
    panels: list[Element] = []
    top = TOP
    for leg in draft.legs:
        panel = _Panel(draft, leg.leg, top)
        panels += panel.parts()
        top = panel.bottom + BELOW
    panels.append(_legend(top))
    tied = sum(a.aside is None for a in draft.anchors)
    description = (
        f"Distance in {draft.units} over time in the recording: {tied} moments tie the camera to a distance,"
        f" {len(draft.anchors) - tied} were put aside; the band should hold the truth nine times in ten."
    )
    return document(
        WIDTH, top + LEGEND, *panels, title="Where the camera was", description=description, style=STYLE
    )


class _Panel:
    """One leg."""

    def __init__(self, draft: Draft, leg: int, top: float) -> None:
        self.draft, self.leg = draft, leg
        self.points = [p for p in draft.course if p.placement.leg == leg]
        self.anchors = [a for a in draft.anchors if a.leg == leg]
        self.rows = [
            o
            for o in draft.observations
            if o.placement.leg == leg
            and o.placement.distance_mm is not None
            and o.standing in ("seen", "possible")
            and o.kind not in ("event", "note")
        ]
        self.top = top
        self.bottom = top + max(PANEL, LABEL_GAP * len(self.rows) + 10)
        times = [p.time_ms / 1000 for p in self.points] + [a.time_ms / 1000 for a in self.anchors]
        feet = [self._long(p.placement.high_mm or 0) for p in self.points]
        feet += [self._long(a.distance_mm) for a in self.anchors if a.aside is None]
        low = min([self._long(p.placement.low_mm or 0) for p in self.points] + [0.0])
        self.x = Scale(min(times, default=0.0), max(times, default=1.0), LEFT, RIGHT)
        self.y = Scale(low, max([*feet, 1.0]), self.bottom, top)

    def parts(self) -> Iterator[Element]:
        """Axes first, then the band, the way, the anchors and the rows over them."""
        name = f"Leg {self.leg}: distance from its zero, {self.draft.units}"
        ticks = number_marks(self.y.low, self.y.high, 8)
        yield left_axis(self.y, LEFT, RIGHT, ticks, name, SIZE)
        seconds = clock_ticks(self.x.low, self.x.high, 5)
        marks = [(s, clock_text(s)) for s in seconds]
        yield bottom_axis(self.x, self.bottom, marks, "time in the recording, minutes:seconds", SIZE)
        for going, points in groupby(self.points, key=lambda p: p.placement.going):
            yield from self._way(going, list(points))
        if not self.points:
            nothing = "nothing that was said ties this leg to a distance"
            yield element("text", nothing, x=LEFT + 12, y=self.top + 40)
        yield from self._rows()
        for anchor in self.anchors:
            if anchor.aside is None:
                yield self._anchor(anchor)
        yield from self._put_aside()

    def _long(self, mm: Millimetres) -> float:
        return mm / MM_PER_UNIT[self.draft.units]

    def _at(self, time_ms: Milliseconds, mm: Millimetres) -> tuple[float, float]:
        return self.x(time_ms / 1000), self.y(self._long(mm))

    def _way(self, going: str, points: list[TrackPoint]) -> Iterator[Element]:
        places = [(p.time_ms, p.placement) for p in points]
        high = [self._at(t, at.high_mm) for t, at in places if at.high_mm is not None]
        low = [self._at(t, at.low_mm) for t, at in places if at.low_mm is not None]
        yield band(high, low, class_="band")
        way = [self._at(t, at.distance_mm) for t, at in places if at.distance_mm is not None]
        yield polyline(way, class_=going)

    def _said(self, anchor: AnchorUse) -> str:
        return f"{clock_text(anchor.time_ms / 1000)}, {self._long(anchor.distance_mm):.1f} {self.draft.units}"

    def _put_aside(self) -> Iterator[Element]:
        """A cross for each anchor that was not used, and its number beside it where no other stands."""
        taken: list[tuple[float, float]] = []
        for anchor in self.anchors:
            if anchor.aside is None:
                continue
            x, y = self._at(anchor.time_ms, anchor.distance_mm)
            # what lies far outside the run is drawn at its edge, not left out
            y = min(max(y, self.top + 8), self.bottom)
            # the number goes to the side that has room, and up or down past those that stand there
            right = x < (LEFT + RIGHT) / 2
            begin = x + 10 if right else x - 10 - NUMBER_WIDTH
            at, step = y, LABEL_GAP if y < (self.top + self.bottom) / 2 else -LABEL_GAP
            while any(abs(begin - a) < NUMBER_WIDTH and abs(at - b) < LABEL_GAP for a, b in taken):
                at += step
            taken.append((begin, at))
            yield element(
                "g",
                element("title", f"{anchor.source} put aside, {self._said(anchor)}: {anchor.aside}"),
                line((x - 6, y - 6), (x + 6, y + 6), class_="aside"),
                line((x - 6, y + 6), (x + 6, y - 6), class_="aside"),
                element(
                    "text",
                    f"{round(self._long(anchor.distance_mm), 1):g}",
                    x=begin if right else begin + NUMBER_WIDTH,
                    y=at + MIDDLE * SIZE,
                    text_anchor="start" if right else "end",
                    class_="said",
                ),
            )

    def _anchor(self, anchor: AnchorUse) -> Element:
        x, y = self._at(anchor.time_ms, anchor.distance_mm)
        y = min(max(y, self.top + 8), self.bottom)
        note = element("title", f"{anchor.source}, {self._said(anchor)}")
        if anchor.source == "footage":
            return element("circle", note, cx=x, cy=y, r=4.2, class_="anchor")
        return element("rect", note, x=x - 4.5, y=y - 4.5, width=9.0, height=9.0, class_="anchor")

    def _rows(self) -> Iterator[Element]:
        rows = sorted(self.rows, key=lambda o: -(o.placement.distance_mm or 0))
        wanted = [self.y(self._long(o.placement.distance_mm or 0)) for o in rows]
        places = spread_apart(wanted, LABEL_GAP, self.top + 4, self.bottom - 2)
        for row, y_row, y_label in zip(rows, wanted, places, strict=True):
            # what was told before the start lies at the left edge
            x = min(max(self.x(row.time_ms / 1000), LEFT), RIGHT)
            corners = [(LABELS - 4, y_label), (RIGHT + 8, y_row), (x, y_row)]
            yield polyline(corners, class_="leader")
            yield element("path", d=f"M{x:.1f} {y_row - 4:.1f}l4 4l-4 4l-4 -4z", class_="row")
            text = _label(row, self._long(row.placement.distance_mm or 0))
            yield element("text", text, x=LABELS, y=y_label + MIDDLE * SIZE)


def _label(row: Observation, distance: float) -> str:
    text = f"{distance:.1f} {row.feature.replace('-', ' ')}{'?' if row.standing == 'possible' else ''}"
    return text if len(text) <= LONGEST_LABEL else text[: LONGEST_LABEL - 1] + "…"


def _legend(top: float) -> Element:
    bar = element("rect", x=0, y=-7, width=44, height=14, class_="band")
    circle = element("circle", cx=22, cy=0, r=4.2, class_="anchor")
    square = element("rect", x=17.5, y=-4.5, width=9.0, height=9.0, class_="anchor")
    diamond = element("path", d="M22 -4l4 4l-4 4l-4 -4z", class_="row")
    cross = [line((16, y), (28, -y), class_="aside") for y in (-6, 6)]
    marks = (
        ([line((0, 0), (44, 0), class_="out")], "the way out, and (dashed) the way home"),
        ([bar], "where the camera was, nine times in ten"),
        ([circle], "a footage called out"),
        ([square], "zero, home, a row met again, and the like"),
        (cross, "put aside; `narrate2log track` tells why"),
        ([diamond], "a row of the table, at its first telling"),
    )
    lines = [
        element(
            "g",
            *mark,
            element("text", text, x=58, y=MIDDLE * SIZE),
            transform=f"translate({LEFT:g} {top + 14 + i * 24:g})",
        )
        for i, (mark, text) in enumerate(marks)
    ]
    return element("g", *lines)
