"""Spoken marks put to the rows: a reason to look where one was given; nothing is ever removed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from narrate2log.drawing.axes import clock_text
from narrate2log.records import Mark, Observation
from narrate2log.units import Milliseconds, ms_to_seconds

MARKED = "marked by voice to be looked at"
STRUCK = "struck by voice: say whether it stays"
# A mark to look is of the row told at most so long before it, else of one told so soon after it.
BEFORE_MS: Milliseconds = 20_000
AFTER_MS: Milliseconds = 10_000
# A mark heard twice, while it was said and in the whole recording, lies within this of itself.
SAME_MS: Milliseconds = 3_000


def with_taken(heard: Sequence[Mark], taken: Sequence[Mark]) -> tuple[Mark, ...]:
    """The marks that were heard, and those taken before that were not heard again, in order."""
    lacking = [mark for mark in taken if not any(is_same(mark, other) for other in heard)]
    return tuple(sorted([*heard, *lacking], key=lambda mark: mark.start_ms))


def is_same(mark: Mark, other: Mark) -> bool:
    """Whether two hearings of a mark are of one."""
    return mark.kind == other.kind and abs(mark.start_ms - other.start_ms) <= SAME_MS


def taken_in(marks: Sequence[Mark], mark: Mark) -> list[Mark]:
    """The marks with one more, or in place of an earlier hearing of it."""
    return [*(other for other in marks if not is_same(mark, other)), mark]


def mark_rows(
    observations: Sequence[Observation], marks: Sequence[Mark]
) -> tuple[tuple[Observation, ...], tuple[str, ...]]:
    """The rows with their marks in `check`, and what the marks tell that belongs to no row.

    A mark to look is of the row whose telling began last before it. A strike is of the row told last that no
    earlier strike was of, so that two strikes are of two rows.
    """
    rows = list(observations)
    told: list[str] = []
    for mark in marks:
        at = clock_text(ms_to_seconds(mark.start_ms))
        if mark.kind == "note":
            told.append(_note(mark, at))
            continue
        if mark.kind == "look":
            index, reason = _looked_at(rows, mark), MARKED
            nowhere = f"Marked by voice at {at}, where no row was told: listen there."
        else:
            index, reason = _struck(rows, mark), STRUCK
            nowhere = f"Struck by voice at {at}, but no row was told before: listen there."
        if index is None:
            told.append(nowhere)
        elif reason not in rows[index].check:
            rows[index] = replace(rows[index], check=(reason, *rows[index].check))
    return tuple(rows), tuple(told)


def _note(mark: Mark, at: str) -> str:
    if not mark.text:
        return f"Office note at {at}: no words were heard after it; listen there."
    return f"Office note at {at}: '{mark.text}'"


def _told_last(
    rows: Sequence[Observation], until: Milliseconds, among: Sequence[int]
) -> tuple[int, int] | None:
    """When a row was told last until a moment, and which; of `among` only."""
    tellings = [
        (sighting, index) for index in among for sighting in rows[index].sightings_ms if sighting <= until
    ]
    return max(tellings, default=None)


def _looked_at(rows: Sequence[Observation], mark: Mark) -> int | None:
    before = _told_last(rows, mark.start_ms, range(len(rows)))
    if before is not None and mark.start_ms - before[0] <= BEFORE_MS:
        return before[1]
    after = [
        (sighting, index)
        for index, row in enumerate(rows)
        for sighting in row.sightings_ms
        if mark.end_ms <= sighting <= mark.end_ms + AFTER_MS
    ]
    return min(after)[1] if after else None


def _struck(rows: Sequence[Observation], mark: Mark) -> int | None:
    left = [index for index, row in enumerate(rows) if STRUCK not in row.check]
    last = _told_last(rows, mark.start_ms, left)
    return None if last is None else last[1]
