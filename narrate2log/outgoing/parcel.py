"""What a writer of an outgoing format is given, and what it gives back."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from narrate2log.log import Log
from narrate2log.outgoing.content import Report, Wanted
from narrate2log.outgoing.labels import Labels


@dataclass(frozen=True)
class Phrase:
    """Words that were heard together, and when (seconds in the run)."""

    start: float
    end: float
    text: str


@dataclass(frozen=True)
class Parcel:
    """A log that goes out: as it is, and as a report. `phrases` are there only where words are wanted."""

    log: Log
    report: Report
    labels: Labels
    wanted: Wanted
    phrases: tuple[Phrase, ...] = ()
    template: Path | None = None


@dataclass(frozen=True)
class Made:
    """Files by name, and a sentence for all that could not be put into them."""

    files: dict[str, bytes]
    problems: tuple[str, ...] = ()
