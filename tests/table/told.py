"""Mentions told in seconds and feet, and the rows that are gathered from them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from footage.runs import said, track_of

from narrate2log.footage.track import Track
from narrate2log.records import Fields, Mention, Placement, Standing
from narrate2log.table.merge import Gatherer, Row
from narrate2log.units import MM_PER_FOOT, mm_to_feet


def mention(
    feature: str,
    second: float,
    feet: float | None = None,
    *,
    up_to: float | None = None,
    standing: Standing = "seen",
    relation: str = "new",
    fields: dict[str, Any] | None = None,
    **more: Any,
) -> Mention:
    """A thing spoken of for one second, at a footage where one was said with it."""
    return Mention(
        feature,
        standing,
        relation,  # type: ignore[arg-type]
        0,
        round(second * 1000),
        round(second * 1000) + 1000,
        0,
        0,
        "test",
        Fields(**(fields or {})),
        place=None if feet is None else said(second, feet),
        end_place=None if up_to is None else said(second, up_to, "elsewhere"),
        **more,
    )


def steady_track(**more: Any) -> Track:
    """A foot in two seconds, out to 100 ft."""
    return track_of([("start", 0.0)], [said(2.0 * feet, feet) for feet in range(10, 101, 10)], **more)


def home_track() -> Track:
    """Out to 50 ft by 100 s, home by 150 s."""
    moves = [("start", 0.0), ("pull-back", 100.0)]
    return track_of(moves, [said(2.0 * feet, feet) for feet in range(10, 51, 10)], homes=[150])


def gathered(*mentions: Mention, track: Track | None = None) -> list[Row]:
    return Gatherer(track or steady_track(), mentions).gather()


def feet(row: Row) -> float | None:
    mm = row.placement.distance_mm
    return None if mm is None else mm_to_feet(mm)


def row(
    feature: str,
    *,
    at: float | None = 20.0,
    width: float = 2.0,
    basis: str = "spoken",
    going: str = "out",
    standing: Standing = "seen",
    fields: dict[str, Any] | None = None,
    mentions: list[Mention] | None = None,
    **more: Any,
) -> Row:
    """A gathered row at so many feet, with an interval of that width."""
    mm = None if at is None else round(at * MM_PER_FOOT)
    half = round(width * MM_PER_FOOT / 2)
    placement = Placement(
        1,
        going,  # type: ignore[arg-type]
        mm,
        None if mm is None else mm - half,
        None if mm is None else mm + half,
        basis if mm is not None else "none",  # type: ignore[arg-type]
    )
    told = mentions or [mention(feature, 10, standing=standing)]
    return Row(feature, standing, placement, mentions=told, fields=Fields(**(fields or {})), **more)


def later(one: Mention, second: float, **changes: Any) -> Mention:
    return replace(one, start_ms=round(second * 1000), end_ms=round(second * 1000) + 1000, **changes)
