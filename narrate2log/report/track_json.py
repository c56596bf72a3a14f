"""track.json: what tied the run to distances, what of it was used and why, and the camera's way."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

from narrate2log.drawing.axes import clock_text
from narrate2log.records import AnchorUse, Draft, TrackPoint
from narrate2log.report.row import length
from narrate2log.units import LengthUnit, ms_to_seconds

SCHEMA = "narrate2log/track/1"


def track_json(draft: Draft) -> bytes:
    """The anchors and the way as one JSON object in UTF-8."""
    document = {
        "schema": SCHEMA,
        "units": draft.units,
        "anchors": [_anchor(anchor, draft.units) for anchor in draft.anchors],
        "course": [_point(point, draft.units) for point in draft.course],
    }
    return (json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode()


def _anchor(anchor: AnchorUse, units: LengthUnit) -> dict[str, Any]:
    return {
        "leg": anchor.leg,
        "pass": anchor.going,
        "time": ms_to_seconds(anchor.time_ms),
        "distance": length(anchor.distance_mm, units),
        "source": anchor.source,
        "used": anchor.aside is None,
        "why": anchor.aside,
    }


def _point(point: TrackPoint, units: LengthUnit) -> dict[str, Any]:
    at = point.placement
    return {
        "time": ms_to_seconds(point.time_ms),
        "leg": at.leg,
        "pass": at.going,
        "distance": length(at.distance_mm, units),
        "low": length(at.low_mm, units),
        "high": length(at.high_mm, units),
        "basis": at.basis,
    }


def anchor_lines(document: Mapping[str, Any]) -> Iterator[str]:
    """The anchors of a track.json for a person, a line each: when, where, from what, and if not used, why."""
    units = document["units"]
    yield f"{'leg':>3}  {'time':>8}  {'pass':<4}  {units:>7}  {'from':<12}  used"
    for a in document["anchors"]:
        used = "yes" if a["used"] else f"no: {a['why']}"
        yield (
            f"{a['leg']:>3}  {clock_text(a['time']):>8}  {a['pass']:<4}  {a['distance']:>7.1f}"
            f"  {a['source']:<12}  {used}"
        )
