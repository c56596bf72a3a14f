"""How far from the place of a row the camera was when it was told, by the track of the draft."""

from __future__ import annotations

import json
from bisect import bisect_right
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from narrate2log.units import LengthUnit

TRACK = "track.json"
# Further from a thing than this the camera does not see it.
NEAR = {"ft": 3.0, "m": 1.0}


def read_whereabouts(folder: Path, units: LengthUnit) -> Callable[[Mapping[str, Any], float], float | None]:
    """A function of a row and a time in seconds: how far off its place the camera was, None for too far.

    Without a track that can be read, the camera was nowhere.
    """
    try:
        points = json.loads((folder / TRACK).read_bytes())["course"]
        told = sorted(
            (float(p["time"]), p["leg"], p["distance"]) for p in points if p["distance"] is not None
        )
    except (OSError, ValueError, LookupError, TypeError):
        told = []
    times = [time for time, _, _ in told]

    def off_by(row: Mapping[str, Any], time: float) -> float | None:
        at = bisect_right(times, time) - 1
        if at < 0 or row["distance"] is None:
            return None
        _, leg, distance = told[at]
        end = row["end_distance"] if row["end_distance"] is not None else row["distance"]
        off = max(row["distance"] - distance, distance - end, 0.0)
        return off if leg == row["leg"] and off <= NEAR[units] else None

    return off_by
