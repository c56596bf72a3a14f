"""What the camera met again on the way home: the same thing, so the same place."""

from __future__ import annotations

from narrate2log.footage.track import Meeting, Track
from narrate2log.records import Mention, Narration
from narrate2log.table.merge import ONCE_A_LEG, SEEN, STRETCHES, Gatherer, Row
from narrate2log.units import MM_PER_FOOT

# A thing whose own place is less certain than this says nothing of the camera's, feet.
CERTAIN_FT = 4.0
# From seeing a thing again to naming it the camera goes on, feet (standard deviation); and an interval
# that holds nine in ten is so many standard deviations wide.
PASSING_FT = 1.0
WIDTH_SDS = 3.29
# Words that may stand for what runs over a length, or for no thing in the pipe.
NO_SPOT = (
    STRETCHES | ONCE_A_LEG | {"material", "pipe-size", "recommendation", "limitation", "flush", "locate"}
)


def met_again(narration: Narration, track: Track) -> tuple[Meeting, ...]:
    """The moments at which something told on the way out is surely told again on the way home.

    Surely: by words that mean the same thing ("there is that"), and the only one of its kind on the leg.
    """
    rows = Gatherer(track, narration.mentions).gather()
    found = []
    for row in rows:
        alone = sum(r.feature == row.feature and r.leg == row.leg and r.standing in SEEN for r in rows) == 1
        if row.standing in SEEN and row.feature not in NO_SPOT and alone and row.placement.going == "out":
            found += [meeting for m in row.mentions[1:] if (meeting := _meeting(row, m, track)) is not None]
    return tuple(found)


def _meeting(row: Row, mention: Mention, track: Track) -> Meeting | None:
    at, here = row.placement, track.at(mention.start_ms)
    if at.distance_mm is None or at.low_mm is None or at.high_mm is None or row.end_mm is not None:
        return None
    home_ms = track.legs[row.leg].home_ms
    met = here.going == "back" and here.leg == row.leg and (home_ms is None or mention.start_ms < home_ms)
    wide_ft = (at.high_mm - at.low_mm) / MM_PER_FOOT
    if not met or mention.relation != "same" or mention.place is not None or wide_ft > CERTAIN_FT:
        return None
    sd_ft = (PASSING_FT**2 + (wide_ft / WIDTH_SDS) ** 2) ** 0.5
    return Meeting(mention.start_ms, at.distance_mm, sd_ft)
