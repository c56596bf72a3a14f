"""The least slopes at which plumbing codes let a pipe be laid, and whether a stretch has them."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal

from narrate2log.errors import UnusableCommand, UnusableLexicon
from narrate2log.records import GradeStretch
from narrate2log.units import percent_to_slope

NO_CODE_TEST = (
    "A tilt read off a camera is no code test: the minimums are rules for laying pipe, and the code that the"
    " local authority has adopted and a licensed plumber decide."
)
# The table that a draft is compared with; its rows are the least that any table here asks of 3 to 6 in.
USUAL = "ipc"
TABLE_KEYS = frozenset({"key", "title", "section", "year", "source", "rows"})
ROW_KEYS = frozenset({"from_in", "to_in", "in_per_ft"})
Verdict = Literal["below", "meets", "cannot tell"]


@dataclass(frozen=True, slots=True)
class SizeRow:
    """Sizes from and to (inches, both included), the least inches per foot, and the less by approval."""

    from_in: float
    to_in: float
    in_per_ft: float
    with_approval: float | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """The minimums of one code, and where they were read."""

    key: str
    title: str
    section: str
    year: str
    source: str
    rows: tuple[SizeRow, ...]
    note: str | None = None

    def row(self, size_in: float) -> SizeRow | None:
        """The row for a pipe of this nominal size, or None where the table has none."""
        return next((r for r in self.rows if r.from_in <= size_in <= r.to_in), None)

    @property
    def name(self) -> str:
        """Title, section and year on one line."""
        return f"{self.title}, {self.section} ({self.year})"


def load_tables(extra: Path | None = None) -> dict[str, Table]:
    """The tables by key, those of a file of the user's own laid over the tool's.

    Raises UnusableLexicon: the file cannot be read, or a table lacks or mistakes a key.
    """
    files = [Path(__file__).with_suffix(".toml"), *([extra] if extra else [])]
    return {table.key: table for file in files for table in _read(file)}


@cache
def usual_table() -> Table:
    """The table that a draft is compared with, read once."""
    return load_tables()[USUAL]


def _read(file: Path) -> Iterable[Table]:
    try:
        document = tomllib.loads(file.read_text(encoding="utf-8"))
    except OSError as error:
        raise UnusableLexicon(
            f"{file}: this table of minimums cannot be read ({error.strerror}); check its name and"
            " permissions, or leave --minimums out."
        ) from error
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise UnusableLexicon(
            f"{file}: this table of minimums cannot be read ({error}); mend it or leave --minimums out."
        ) from error
    tables = document.get("table", [])
    if not isinstance(tables, list) or not tables or set(document) != {"table"}:
        raise UnusableLexicon(f"{file}: no minimums here; write each as a [[table]].")
    return [_table(file, number, table) for number, table in enumerate(tables, 1)]


def _table(file: Path, number: int, told: dict[str, Any]) -> Table:
    where = f"{file}: table {number}"
    _check_keys(where, told, TABLE_KEYS, {"note"})
    rows = told["rows"]
    if not isinstance(rows, list) or not rows or not all(isinstance(row, dict) for row in rows):
        raise UnusableLexicon(f"{where}: 'rows' must be a list of sizes with their in_per_ft.")
    for row in rows:
        _check_keys(where, row, ROW_KEYS, {"with_approval"})
        wrong = [k for k, v in row.items() if isinstance(v, bool) or not isinstance(v, int | float) or v < 0]
        if wrong:
            raise UnusableLexicon(f"{where}: '{wrong[0]}' must be a number of inches, 0 or more.")
    texts = {k: v for k, v in told.items() if k != "rows"}
    wrong = [k for k, v in texts.items() if not isinstance(v, str) or not v.strip()]
    if wrong:
        raise UnusableLexicon(f"{where}: '{wrong[0]}' must be words in quotes.")
    return Table(**texts, rows=tuple(SizeRow(**row) for row in rows))


def _check_keys(where: str, told: dict[str, Any], needed: frozenset[str], allowed: set[str]) -> None:
    lacking, unknown = sorted(needed - told.keys()), sorted(told.keys() - needed - allowed)
    if lacking:
        raise UnusableLexicon(f"{where}: '{lacking[0]}' is missing; add it.")
    if unknown:
        known = ", ".join(sorted(needed | allowed))
        raise UnusableLexicon(f"{where}: unknown key '{unknown[0]}'; known are {known}.")


def choose(tables: dict[str, Table], key: str) -> Table:
    """The table of a key. Raises UnusableCommand where there is none."""
    if key not in tables:
        raise UnusableCommand(f"--code: unknown code '{key}'; use {', '.join(tables)}.")
    return tables[key]


def verdict(stretch: GradeStretch, in_per_ft: float) -> Verdict:
    """Whether a stretch is below a minimum or meets it; most readings of a tilt display cannot tell.

    Either is said only where no other reading of the numbers is left.
    """
    low, high = (percent_to_slope(p, "in/ft") for p in (stretch.surely_low_pct, stretch.surely_high_pct))
    if high < in_per_ft:
        return "below"
    return "meets" if low >= in_per_ft else "cannot tell"
