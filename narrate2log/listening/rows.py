"""The rows as they were shown: each table that is made anew is matched with the one before it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from narrate2log.records import Observation, Standing
from narrate2log.units import Millimetres, Milliseconds

# A row that is told again begins within this of where it was first told: its words were cut otherwise.
SAME_MS: Milliseconds = 2_500
# Another thing told at so nearly the same moment is the same words read otherwise.
READ_ANEW_MS: Milliseconds = 1_200

# `gone`: what was said later says otherwise; `joined`: it is a row shown before, told again.
What = Literal["taken", "changed", "joined", "gone"]


@dataclass(frozen=True, slots=True)
class ToldRow:
    """What is shown of a row of the table."""

    feature: str
    standing: Standing
    time_ms: Milliseconds
    sightings_ms: tuple[Milliseconds, ...]
    distance_mm: Millimetres | None
    low_mm: Millimetres | None
    high_mm: Millimetres | None
    remark: str
    check: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LiveRow:
    """A row under the number that it was first shown with, and has for good.

    `into`: the number of the row that it turned out to be told of again.
    """

    number: int
    told: ToldRow
    gone: bool = False
    into: int | None = None


@dataclass(frozen=True, slots=True)
class RowChange:
    """What became of a row since the table before."""

    what: What
    row: LiveRow


def told_row(row: Observation) -> ToldRow:
    """What is shown of a row."""
    at = row.placement
    return ToldRow(
        feature=row.feature,
        standing=row.standing,
        time_ms=row.time_ms,
        sightings_ms=row.sightings_ms,
        distance_mm=at.distance_mm,
        low_mm=at.low_mm,
        high_mm=at.high_mm,
        remark=row.remark,
        check=row.check,
    )


class ShownRows:
    """All rows that were ever shown, by number."""

    def __init__(self, rows: Iterable[LiveRow] = ()) -> None:
        self._rows = {row.number: row for row in rows}

    @property
    def standing(self) -> tuple[LiveRow, ...]:
        """Those that are not gone, by number."""
        return tuple(row for row in self._rows.values() if not row.gone)

    def update(self, observations: Sequence[Observation]) -> tuple[RowChange, ...]:
        """Match a new table with what was shown, and tell what is different."""
        table = [told_row(row) for row in sorted(observations, key=lambda row: row.time_ms)]
        pairs = self._matched(table)
        changes = []
        for number, at in sorted(pairs.items()):
            before, after = self._rows[number], LiveRow(number, table[at])
            self._rows[number] = after
            if before.gone or _shown(before.told) != _shown(after.told):
                changes.append(RowChange("changed", after))
        for row in self.standing:
            if row.number not in pairs:
                into = self._told_again_in(row, pairs)
                left = replace(row, gone=True, into=into)
                self._rows[row.number] = left
                changes.append(RowChange("gone" if into is None else "joined", left))
        for at in sorted(set(range(len(table))) - set(pairs.values())):
            fresh = LiveRow(len(self._rows) + 1, table[at])
            self._rows[fresh.number] = fresh
            changes.append(RowChange("taken", fresh))
        return tuple(changes)

    def _matched(self, table: Sequence[ToldRow]) -> dict[int, int]:
        """The index in the table of each row shown: those that stand first, then the nearest in time."""
        near = []
        for row in self._rows.values():
            for at, told in enumerate(table):
                apart = abs(row.told.time_ms - told.time_ms)
                other = row.told.feature != told.feature
                if apart <= (READ_ANEW_MS if other else SAME_MS) and not (other and row.gone):
                    near.append((row.gone, other, apart, row.number, at))
        pairs: dict[int, int] = {}
        used: set[int] = set()
        for *_, number, at in sorted(near):
            if number not in pairs and at not in used:
                pairs[number] = at
                used.add(at)
        return pairs

    def _told_again_in(self, row: LiveRow, pairs: dict[int, int]) -> int | None:
        """The number of the row that has the telling of this one among its own."""
        return next(
            (
                other.number
                for other in self.standing
                if other.number in pairs
                and other.told.feature == row.told.feature
                and any(abs(time - row.told.time_ms) <= SAME_MS for time in other.told.sightings_ms)
            ),
            None,
        )


def _shown(told: ToldRow) -> tuple[object, ...]:
    """What a person would see change: its place by the remark, to the digit that is told."""
    return (told.feature, told.standing, told.remark, told.check)
