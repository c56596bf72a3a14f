"""Whether the camera was at the place of a row when it was told, by the track of the draft."""

from __future__ import annotations

import json
from bisect import bisect_right
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from narrate2log.units import LengthUnit

TRACK = "track.json"
# How far the head may be from a thing that fills its picture, beside what is unsure of both places.
NEAR = {"ft": 3.0, "m": 1.0}


def read_whereabouts(folder: Path, units: LengthUnit) -> Callable[[Mapping[str, Any], float], bool]:
    """A function of a row and a time in seconds; without a track that can be read, the camera was nowhere."""
    try:
        points = json.loads((folder / TRACK).read_bytes())["course"]
        told = sorted(
            (float(p["time"]), p["leg"], p["distance"]) for p in points if p["distance"] is not None
        )
    except (OSError, ValueError, LookupError, TypeError):
        told = []
    times = [time for time, _, _ in told]

    def was_there(row: Mapping[str, Any], time: float) -> bool:
        at = bisect_right(times, time) - 1
        if at < 0 or row["distance"] is None:
            return False
        _, leg, distance = told[at]
        end = row["end_distance"] if row["end_distance"] is not None else row["distance"]
        low, high = row["distance_low"] or row["distance"], max(end, row["distance_high"] or 0)
        return bool(leg == row["leg"] and low - NEAR[units] <= distance <= high + NEAR[units])

    return was_there
