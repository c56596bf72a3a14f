"""What a run itself shows that it did not see, beside what was said of limits."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from narrate2log.log import Log
from narrate2log.outgoing import places

# Where a lateral ends in the public sewer, or the run in something that one can stand beside.
FAR_ENDS = ("city-connection", "manhole", "tank")
UNDER_WATER = ("belly", "water-level")
# Further from the end of the run than this, a landmark is not what the run ended at; units of the log.
NEAR_END = {"ft": 3.0, "m": 1.0}


def limits_shown(log: Log) -> list[str]:
    """Each limit as a sentence, none that the log does not show."""
    return [
        *_not_reached(log),
        *dict.fromkeys(_under_water(log)),
        *_one_pass(log),
        *_estimated(log),
        *_several_legs(log),
    ]


def furthest(log: Log, leg: int) -> dict[str, Any] | None:
    """The row of what was seen furthest in."""
    there = [
        row
        for row in log.rows
        if row["leg"] == leg and row["distance"] is not None and row["standing"] in ("seen", "possible")
    ]
    return max(there, key=lambda row: row["distance"], default=None)


def far_end(log: Log, leg: int) -> dict[str, Any] | None:
    """The landmark that the run ended at: the public sewer, a manhole or a tank, seen for sure."""
    last = furthest(log, leg)
    if last is None:
        return None
    return next(
        (
            row
            for row in log.rows
            if row["feature"] in FAR_ENDS
            and row["standing"] == "seen"
            and row["leg"] == leg
            and row["distance"] is not None
            and last["distance"] - row["distance"] <= NEAR_END[log.units]
            and row["distance"] > 0
        ),
        None,
    )


def _not_reached(log: Log) -> Iterator[str]:
    """Where the runs of each direction ended, unless one of them ended at what ends a lateral.

    A leg that the counter was zeroed in goes on as the next one, so the legs of a direction are one run.
    """
    many = len(log.legs) > 1
    for direction in dict.fromkeys(leg["direction"] for leg in log.legs):
        legs = [leg["leg"] for leg in log.legs if leg["direction"] == direction]
        lasts = [
            last for leg in legs if (last := furthest(log, leg)) and last["distance"] > NEAR_END[log.units]
        ]
        if any(far_end(log, leg) for leg in legs):
            continue
        if not lasts:
            yield f"No place was told of on the way {direction}, so it is not known how far the camera went."
            continue
        last = lasts[-1]
        leg = f" of leg {last['leg']}" if many else ""
        told = (
            "The log does not tell that the public sewer was reached. " if direction == "downstream" else ""
        )
        place = f"The furthest place told of going {direction} lies {places.where(last, log.units)}{leg}"
        yield f"{told}{place}; what lies beyond was not seen."


def _under_water(log: Log) -> Iterator[str]:
    for row in log.rows:
        if (
            row["feature"] in UNDER_WATER
            and row["standing"] in ("seen", "possible")
            and row["distance"] is not None
        ):
            deep = "" if row["amount_pct"] is None else f", about {row['amount_pct']:g} percent of the bore"
            at = places.where(row, log.units)
            yield f"Under the water {at}{deep}, the wall of the pipe could not be seen."


def _one_pass(log: Log) -> Iterator[str]:
    back = any(row["pass"] == "back" for row in (*log.rows, *log.slope_readings))
    if not back and log.rows:
        yield "Nothing was told on the way back: every place was looked at once, on the way out."


def _estimated(log: Log) -> Iterator[str]:
    placed = [row for row in log.rows if row["distance"] is not None]
    between = [row for row in placed if row["distance_basis"] in ("interpolated", "extrapolated")]
    if between:
        was = "was" if len(between) == 1 else "were"
        yield (
            f"Of the {len(placed)} distances, {len(between)} {was} not read off a counter or called out,"
            " but worked out from those that were."
        )
    lost = [row for row in log.rows if row["kind"] == "defect" and _there(row) and row["distance"] is None]
    if lost:
        yield f"{len(lost)} finding{'s have' if len(lost) != 1 else ' has'} no place: none was told."


def _there(row: dict[str, Any]) -> bool:
    return row["standing"] in ("seen", "possible")


def _several_legs(log: Log) -> Iterator[str]:
    if len(log.legs) > 1:
        yield (
            f"The counter was set to zero again: there are {len(log.legs)} legs, each measured from its own"
            " zero."
        )
