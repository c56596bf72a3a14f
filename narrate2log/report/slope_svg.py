"""slope.svg: the profile of each leg as a drawing, with what was read, what it may be, and the minimum."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal
from xml.etree.ElementTree import Element

from narrate2log.drawing.axes import Scale, bottom_axis, left_axis, number_marks, spread_apart
from narrate2log.drawing.svg import band, document, element, line, polyline
from narrate2log.records import Draft, GradeStretch, SlopeProfile
from narrate2log.slope.minimums import NO_CODE_TEST, Table, usual_table
from narrate2log.units import MM_PER_INCH, LengthUnit, mm_to_length, percent_to_slope

# A phone held upright shows about 390 units of a page: 480 make its smallest text 11 of them high.
WIDTH, LEFT, RIGHT = 480.0, 54.0, 466.0
LINE_CHARS = 58
SIZE = 16.0
HEIGHT_PANEL, GRADE_PANEL = 150.0, 190.0
STYLE = """
text { font: 16px sans-serif; fill: #111; paint-order: stroke; stroke: #fff; stroke-width: 4px; }
.head { font-weight: bold; font-size: 18px; }
.small { font-size: 14px; }
.axis { stroke: #111; stroke-width: 1.5; }
.grid { stroke: #ccc; stroke-width: 1; }
.band { fill: #9ec3e6; fill-opacity: 0.6; stroke: #48749c; stroke-width: 1; }
.middle { stroke: #0b3c66; stroke-width: 3; }
.level { stroke: #111; stroke-width: 1.5; }
.minimum { stroke: #a12c00; stroke-width: 2; stroke-dasharray: 8 5; }
.said { stroke: #111; stroke-width: 1.5; fill: none; }
.water { stroke: #111; stroke-width: 7; stroke-dasharray: 3 3; }
.mark { stroke: #111; stroke-width: 1; stroke-dasharray: 2 3; }
"""
# Readings further off every stretch than this are drawn at the edge.
BEYOND_IN_PER_FT = 0.6
# Rows that are marked on the profile.
MARKED = ("defect", "water")


def slope_svg(draft: Draft) -> bytes:
    """One pair of panels a leg: the height of the invert, and the grade by stretch over what was read."""
    code = usual_table()
    parts: list[Element] = []
    y = 26.0
    for profile in draft.slope_profiles:
        made, y = _leg(profile, draft, code, y)
        parts += made
    if not draft.slope_profiles:
        parts.append(element("text", "No tilt readings were told.", x=16.0, y=y))
        y += 30
    for note in (
        "○ read going out, △ read coming back, × the head, not the pipe.",
        "Shaded: holds the truth nine times in ten. Heights are drawn steepened.",
        "A reading far off the rest is drawn at the edge.",
        NO_CODE_TEST,
    ):
        for text in textwrap.wrap(note, LINE_CHARS):
            parts.append(element("text", text, x=16.0, y=y, class_="small"))
            y += 20
    told = "; ".join(
        f"leg {p.leg}: {len(p.stretches)} stretches, {', '.join(s.shape for s in p.stretches)}"
        for p in draft.slope_profiles
    )
    return document(
        WIDTH, y, *parts, title="Slope of the pipe", description=told or "no tilt readings", style=STYLE
    )


def _leg(profile: SlopeProfile, draft: Draft, code: Table, y: float) -> tuple[list[Element], float]:
    """The parts of one leg that begin at `y`, and where they end."""
    size = f", {profile.size_in:g} in" if profile.size_in else ""
    parts = [
        element("text", f"Leg {profile.leg}, pushed {profile.direction}{size}", x=16.0, y=y, class_="head")
    ]
    y += 12
    if profile.points:
        marks = [
            (mm_to_length(o.placement.distance_mm, draft.units), o.row)
            for o in draft.observations
            if o.placement.leg == profile.leg
            and o.kind in MARKED
            and o.standing in ("seen", "possible")
            and o.placement.distance_mm is not None
        ]
        readings = [
            Reading(
                mm_to_length(r.placement.distance_mm, draft.units),
                percent_to_slope(r.grade_pct, "in/ft"),
                "head" if r.of == "head" else r.placement.going,
            )
            for r in draft.slope_readings
            if r.placement.leg == profile.leg
            and r.placement.distance_mm is not None
            and r.of in ("pipe", "head")
        ]
        panels, y = profile_panels(profile, marks, readings, code, draft.units, y)
        parts += panels
    row = code.row(profile.size_in) if profile.size_in and profile.points else None
    notes = [f"- - - Minimum {row.in_per_ft:g} in/ft: {code.name}."] if row else []
    if profile.head:
        head = profile.head
        basis = "assumed" if head.always_from == "prior" else f"from {head.always_from}"
        notes.append(
            f"The stretches are what is left of the readings without the head: up"
            f" {head.pushed_up_deg.value:.1f} degrees while pushed,"
            f" {head.always_up_deg.value:.1f} always ({basis})."
        )
    for note in [*notes, *(f"Open: {lack}." for lack in profile.lacks)]:
        for text in textwrap.wrap(note, LINE_CHARS, subsequent_indent="    "):
            y += 18
            parts.append(element("text", text, x=16.0, y=y, class_="small"))
    return parts, y + 40


@dataclass(frozen=True, slots=True)
class Reading:
    """A tilt reading on the drawing: distance, fall in inches a foot, and which mark it gets."""

    at: float
    in_per_ft: float
    mark: Literal["out", "back", "head"]


def profile_panels(
    profile: SlopeProfile,
    marks: Sequence[tuple[float, int]],
    readings: Sequence[Reading],
    code: Table,
    units: LengthUnit,
    y: float,
) -> tuple[list[Element], float]:
    """Heights and grades of a leg that has points, from `y` on, and where they end.

    `marks` are rows of the table, each its distance in `units` and its number.
    """
    parts = _heights(profile, marks, units, y + 52)
    parts += _grades(profile, readings, code, units, y + 52 + HEIGHT_PANEL + 44)
    return parts, y + 52 + HEIGHT_PANEL + 44 + GRADE_PANEL + 62


def _across(profile: SlopeProfile, units: LengthUnit) -> Scale:
    ends = [mm_to_length(profile.points[i].at_mm, units) for i in (0, -1)]
    return Scale(ends[0], ends[1], LEFT, RIGHT)


def _heights(
    profile: SlopeProfile, marks: Sequence[tuple[float, int]], units: LengthUnit, top: float
) -> list[Element]:
    x = _across(profile, units)
    inches = [
        [mm / MM_PER_INCH for mm in (p.height_mm.low, p.height_mm.value, p.height_mm.high)]
        for p in profile.points
    ]
    low, high = min(i[0] for i in inches), max(i[2] for i in inches)
    up = Scale(low, high, top + HEIGHT_PANEL, top)
    at = [x(mm_to_length(p.at_mm, units)) for p in profile.points]
    ticks = number_marks(low, high, 5)
    parts = _row_marks(marks, x, top)
    parts.append(left_axis(up, LEFT, RIGHT, ticks, "Height of the pipe, inches", SIZE))
    lower, middle, upper = ([(a, up(i[k])) for a, i in zip(at, inches, strict=True)] for k in range(3))
    parts.append(band(upper, lower, class_="band"))
    parts.append(polyline(middle, class_="middle"))
    first, last = profile.points[0].at_mm, profile.points[-1].at_mm
    for pond in profile.ponds:
        if pond.to_mm is None or pond.to_mm <= first or pond.from_mm >= last:
            continue
        begin, end = (min(max(mm_to_length(mm, units), x.low), x.high) for mm in (pond.from_mm, pond.to_mm))
        parts.append(line((x(begin), top + HEIGHT_PANEL), (x(end), top + HEIGHT_PANEL), class_="water"))
        parts.append(
            element(
                "text",
                "water seen",
                x=(x(begin) + x(end)) / 2,
                y=top + HEIGHT_PANEL - 10,
                text_anchor="middle",
                class_="small",
            )
        )
    return parts


def _row_marks(marks: Sequence[tuple[float, int]], x: Scale, top: float) -> list[Element]:
    """The numbers of the rows in the table, above the place they were seen at."""
    marked = [(at, row) for at, row in sorted(marks) if x.low <= at <= x.high]
    places = spread_apart([x(at) for at, _ in marked], 24, LEFT, RIGHT)
    parts = []
    for (at, row), place in zip(marked, places, strict=True):
        parts.append(
            polyline([(place, top - 26), (x(at), top - 12), (x(at), top + HEIGHT_PANEL)], class_="mark")
        )
        parts.append(element("text", str(row), x=place, y=top - 30, text_anchor="middle", class_="small"))
    if marked:
        parts.append(element("text", "row", x=LEFT - 10, y=top - 30, text_anchor="end", class_="small"))
    return parts


def _grades(
    profile: SlopeProfile, readings: Sequence[Reading], code: Table, units: LengthUnit, top: float
) -> list[Element]:
    x = _across(profile, units)
    row = code.row(profile.size_in) if profile.size_in else None
    shown = [r for r in readings if x.low <= r.at <= x.high]
    ends = [
        percent_to_slope(p, "in/ft") for s in profile.stretches for p in (s.grade_pct.low, s.grade_pct.high)
    ]
    ends += [0.0, *([row.in_per_ft] if row else [])]
    # one reading thrown by a joint shall not flatten all the others
    low, high = min(ends) - BEYOND_IN_PER_FT, max(ends) + BEYOND_IN_PER_FT
    ends += [min(max(r.in_per_ft, low), high) for r in shown]
    up = Scale(min(ends) - 0.05, max(ends) + 0.05, top + GRADE_PANEL, top)
    ticks = number_marks(up.low, up.high, 6)
    parts = [left_axis(up, LEFT, RIGHT, ticks, "Fall, inches in a foot (below 0: uphill)", SIZE)]
    parts += [_stretch(s, x, up, units) for s in profile.stretches]
    parts.append(line((LEFT, up(0)), (RIGHT, up(0)), class_="level"))
    if row:
        parts.append(line((LEFT, up(row.in_per_ft)), (RIGHT, up(row.in_per_ft)), class_="minimum"))
    parts += [_reading(x(r.at), up(min(max(r.in_per_ft, low), high)), r) for r in shown]
    axis = number_marks(x.low, x.high, 6)
    parts.append(bottom_axis(x, top + GRADE_PANEL, axis, f"Distance, {units}", SIZE))
    return parts


def _stretch(stretch: GradeStretch, x: Scale, up: Scale, units: LengthUnit) -> Element:
    begin, end = (x(mm_to_length(mm, units)) for mm in (stretch.from_mm, stretch.to_mm))
    low, middle, high = (
        up(percent_to_slope(p, "in/ft"))
        for p in (stretch.grade_pct.low, stretch.grade_pct.value, stretch.grade_pct.high)
    )
    parts = [
        element("rect", x=begin, y=high, width=end - begin, height=low - high, class_="band"),
        line((begin, middle), (end, middle), class_="middle"),
    ]
    if stretch.shape in ("flat", "uphill"):
        parts.append(element("text", stretch.shape, x=begin + 4, y=low + 15, class_="small"))
    return element("g", *parts)


def _reading(x: float, y: float, reading: Reading) -> Element:
    if reading.mark == "head":
        return polyline(
            [(x - 4, y - 4), (x + 4, y + 4), (x, y), (x - 4, y + 4), (x + 4, y - 4)], class_="said"
        )
    if reading.mark == "back":
        return polyline([(x, y - 5), (x + 5, y + 4), (x - 5, y + 4), (x, y - 5)], class_="said")
    return element("circle", cx=x, cy=y, r=4, class_="said")
