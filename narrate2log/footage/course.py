"""The track written out: every anchor and what became of it, and the camera's way from moment to moment."""

from __future__ import annotations

from narrate2log.footage.legs import leg_at, pass_at
from narrate2log.footage.track import Track
from narrate2log.records import AnchorUse, TrackPoint
from narrate2log.units import Milliseconds

# A point of the way every so often, and no more than so many.
STEP_MS = 1_000
MOST_POINTS = 1_500


def anchor_uses(track: Track) -> tuple[AnchorUse, ...]:
    """Every anchor of the run in order of time; what was only worked out (the turn) is none."""
    found = [
        AnchorUse(
            leg.stretch.leg, pass_at(leg.stretch, a.time_ms), a.time_ms, a.distance_mm, a.source, a.aside
        )
        for leg in track.legs.values()
        for a in leg.anchors
    ]
    return tuple(sorted(found, key=lambda use: use.time_ms))


def contradictions(track: Track) -> tuple[str, ...]:
    """One sentence if footages called contradict each other so that rows hang on which are right."""
    legs = [leg for leg in track.legs.values() if leg.disputed]
    if not legs:
        return ()
    aside = sum(a.source == "footage" for leg in legs for a in leg.aside)
    told = sum(a.source == "footage" for leg in legs for a in leg.anchors)
    return (
        f"The footages called contradict each other ({aside} of {told} are put aside), so look at every row"
        " that says so, and at track.svg, which has them all.",
    )


def course(track: Track, last_ms: Milliseconds) -> tuple[TrackPoint, ...]:
    """The camera's way from when each leg set off until the end, at even steps and at every anchor used.

    Moments at which nothing tells of a distance are left out, so a run without anchors has no way.
    """
    step = max(STEP_MS, last_ms // MOST_POINTS)
    moments = set(range(0, last_ms + 1, step))
    moments |= {a.time_ms for leg in track.legs.values() for a in leg.anchors if a.aside is None}
    points = []
    for time_ms in sorted(moments):
        stretch = leg_at(track.stretches, time_ms)
        began = stretch.start_ms if stretch.start_ms is not None else stretch.zero_ms
        home_ms = track.legs[stretch.leg].home_ms
        if time_ms >= began and (home_ms is None or time_ms <= home_ms):
            placement = track.at(time_ms)
            if placement.distance_mm is not None:
                points.append(TrackPoint(time_ms, placement))
    return tuple(points)
