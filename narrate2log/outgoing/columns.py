"""The columns of the rows that go out, the same in every table and program format, with what each means."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from narrate2log.outgoing.content import Wanted
from narrate2log.units import LengthUnit


@dataclass(frozen=True)
class Column:
    """A column: type and limits as JSON Schema has them, unit, and meaning. `length`: in the log's unit."""

    name: str
    schema: Mapping[str, Any]
    about: str
    unit: str | None = None
    length: bool = False
    personal: bool = False
    words: bool = False

    def unit_in(self, units: LengthUnit) -> str | None:
        """The unit of its numbers."""
        return units if self.length else self.unit


_TEXT = {"type": "string"}
_MAYBE_TEXT = {"type": ["string", "null"]}
_NUMBER = {"type": ["number", "null"], "minimum": 0}
_PLACE = {"type": ["number", "null"]}
_HOUR = {"type": ["integer", "null"], "minimum": 1, "maximum": 12}

COLUMNS: tuple[Column, ...] = (
    Column("id", _TEXT, "the same from one draft of a recording to the next"),
    Column("row", {"type": "integer", "minimum": 1}, "number by leg, distance and time"),
    Column("kind", {"enum": ["landmark", "defect", "pipe", "water", "event", "note"]}, "what it belongs to"),
    Column("feature", _TEXT, "what it is"),
    Column(
        "standing",
        {"enum": ["seen", "possible", "not-seen", "reported"]},
        "seen; possible, not certain; looked for and not seen; told by others",
    ),
    Column("distance", _PLACE, "along the pipe from the zero of its leg", length=True),
    Column("end_distance", _PLACE, "where it ends, of what runs over a length", length=True),
    Column("distance_low", _PLACE, "should hold the true distance nine times in ten: from", length=True),
    Column("distance_high", _PLACE, "should hold the true distance nine times in ten: to", length=True),
    Column(
        "distance_basis",
        {"enum": ["spoken", "counter", "interpolated", "extrapolated", "none"]},
        "what the distance rests on",
    ),
    Column(
        "leg", {"type": "integer", "minimum": 1}, "one more each time that the counter was set to zero again"
    ),
    Column("severity", {"enum": ["minor", "moderate", "severe", None]}, "only as it was called"),
    Column("clock_from", _HOUR, "looking the way of the push, clockwise: from", unit="hour"),
    Column("clock_to", _HOUR, "looking the way of the push, clockwise: to", unit="hour"),
    Column("amount_pct", {**_NUMBER, "maximum": 100}, "share of bore, depth or area that was told", unit="%"),
    Column("amount_in", _NUMBER, "the same told in inches", unit="in"),
    Column("material", _MAYBE_TEXT, "of the pipe that begins here"),
    Column("size_in", _NUMBER, "of the pipe that begins here", unit="in"),
    Column("depth_ft", _NUMBER, "below the ground, as located from the surface", unit="ft"),
    Column("pass", {"enum": ["out", "back"]}, "on the way out or back"),
    Column("time", _NUMBER, "in the recording, of the first telling: begins", unit="s"),
    Column("time_end", _NUMBER, "in the recording, of the first telling: ends", unit="s"),
    Column(
        "sightings", {"type": "array", "items": {"type": "number"}}, "when it was told, each time", unit="s"
    ),
    Column("remark", _TEXT, "one sentence made from the fields, or as the reviewer wrote it"),
    Column("state", {"enum": ["unseen", "stands", "changed", "added"]}, "what the review made of it"),
    Column("reviewed_by", _MAYBE_TEXT, "who looked at it", personal=True),
    Column("heard", _TEXT, "the words as transcribed", words=True),
    Column("read_as", _TEXT, "the words after mis-heard terms were put right", words=True),
)


def columns_for(wanted: Wanted) -> list[Column]:
    """The columns that may go out."""
    return [
        column
        for column in COLUMNS
        if (wanted.words or not column.words) and not (wanted.redacted and column.personal)
    ]


def record(row: Mapping[str, Any], columns: Iterable[Column]) -> dict[str, Any]:
    """The values of a row of the log, by column."""
    review = row["review"]
    own = {"state": review["state"], "reviewed_by": review["by"]}
    return {column.name: own[column.name] if column.name in own else row[column.name] for column in columns}
