"""The log of a cable counter, a text table with the columns `time_s` and `distance`, read into readings.

Time is in seconds from the start of the run, over all its clips. Distance is in the unit of the run.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import pairwise
from pathlib import Path
from statistics import median

from narrate2log.errors import UnusableSource
from narrate2log.records import CounterReading
from narrate2log.units import LengthUnit, Milliseconds, length_to_mm, ms_to_seconds, seconds_to_ms

COLUMNS = ("time_s", "distance")

# A log is silent too long when it says nothing for this long, and for this many of its usual steps.
GAP_MS: Milliseconds = 10_000
GAP_STEPS = 5

# Far above any recording in seconds and any cable; a larger number is a damaged file.
LARGEST = 1e7

# A problem that names more lines than this is no easier to look into.
LINES_NAMED = 5


def read_counter_log(
    path: Path, unit: LengthUnit, *, growing: bool = False
) -> tuple[tuple[CounterReading, ...], tuple[str, ...]]:
    """The readings in order of time, one for each moment, and the problems of the log, a sentence each.

    `growing`: another program still writes it, so a last line without its end is none yet.

    The columns may be parted by commas, semicolons, tabs or spaces; where they are not parted by
    commas, a comma may be the decimal point. Other columns, blank lines and a byte-order mark do no
    harm. A line without two numbers, or out of the order of time, is left out and told, as are a moment
    given twice and a gap.

    Raises UnusableSource, naming the file and, if there is one, the line: it cannot be opened, a column
    is missing, no line has both numbers, or most lines are out of order.
    """
    incomplete, unreadable, repeated = [], [], []
    found: list[tuple[int, CounterReading]] = []
    for number, time, distance in _rows(path, growing=growing):
        seconds, length = _number(time), _number(distance)
        if seconds is not None and length is not None:
            found.append((number, CounterReading(seconds_to_ms(seconds), length_to_mm(length, unit))))
        elif time and distance:
            unreadable.append(number)
        else:
            incomplete.append(number)
    if not found:
        raise UnusableSource(
            f"{path}: no line has both a time and a distance; give the log of this run, or leave out"
            " --counter."
        )
    forward = _in_order([reading.time_ms for _, reading in found])
    backward = [number for i, (number, _) in enumerate(found) if i not in forward]
    if len(backward) > len(forward):
        raise UnusableSource(
            f"{path}, line {backward[0]}: the time runs backward here and at {len(backward) - 1} more lines;"
            " give the log of one run in order of time, or leave out --counter."
        )
    by_time: dict[Milliseconds, CounterReading] = {}
    for i, (number, reading) in enumerate(found):
        if i in forward:
            if reading.time_ms in by_time:
                repeated.append(number)
            # Of a moment given twice, the later line is the counter's last word on it.
            by_time[reading.time_ms] = reading
    problems = [
        f"{path.name}: {_listed(numbers)} {what}."
        for numbers, what in (
            (incomplete, "left out for want of a time or a distance"),
            (unreadable, "left out, because something else stands where a number should"),
            (backward, "left out, because the time runs backward there"),
            (repeated, "taken in place of the line before, which has the same time"),
        )
        if numbers
    ]
    readings = tuple(by_time.values())
    return readings, (*problems, *_gaps(path, readings))


def _in_order(times: Sequence[Milliseconds]) -> set[int]:
    """The indices of the longest run of times that never falls: one wild time costs itself, not the rest.

    By patience sorting (C. Schensted, "Longest increasing and decreasing subsequences", 1961).
    """
    tails: list[Milliseconds] = []
    last: list[int] = []
    before: list[int] = []
    for i, time in enumerate(times):
        at = bisect_right(tails, time)
        before.append(last[at - 1] if at else -1)
        tails[at : at + 1] = [time]
        last[at : at + 1] = [i]
    kept = set()
    at = last[-1] if last else -1
    while at >= 0:
        kept.add(at)
        at = before[at]
    return kept


def _rows(path: Path, *, growing: bool) -> Iterator[tuple[int, str, str]]:
    """The number, the time and the distance, as text, of each line below the heading that is not blank."""
    try:
        # A stray byte in some other column does no harm: numbers are ASCII.
        with path.open(encoding="utf-8-sig", errors="replace") as file:
            lines = (
                (number, line.strip(" \n"))
                for number, line in enumerate(file, 1)
                if line.strip() and (line.endswith("\n") or not growing)
            )
            heading_number, heading = next(lines, (1, ""))
            separator = next((mark for mark in ";\t," if mark in heading), None)
            names = [cell.lower() for cell in _cells(heading, separator)]
            if not set(COLUMNS) <= set(names):
                raise UnusableSource(
                    f"{path}, line {heading_number}: this is no heading with the columns time_s and distance;"
                    " name them so, or leave out --counter."
                )
            time_at, distance_at = (names.index(column) for column in COLUMNS)
            for number, line in lines:
                cells = _cells(line, separator) + [""] * len(names)
                yield number, cells[time_at], cells[distance_at]
    except OSError as error:
        raise UnusableSource(
            f"{path}: this counter log cannot be opened ({error.strerror}); check its name and permissions,"
            " or leave out --counter."
        ) from error


def _cells(line: str, separator: str | None) -> list[str]:
    """'"30.2"; 0,5' -> ["30.2", "0.5"]; without a separator, white space parts the cells."""
    if separator != ",":
        line = line.replace(",", ".")
    return [cell.strip(' "') for cell in line.split(separator)]


def _number(text: str) -> float | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return value if abs(value) < LARGEST else None


def _gaps(path: Path, readings: Sequence[CounterReading]) -> Iterator[str]:
    """One sentence on all the stretches of time in which the cable moved and the log says nothing."""
    steps = [after.time_ms - before.time_ms for before, after in pairwise(readings)]
    if not steps:
        return
    shortest = max(GAP_MS, GAP_STEPS * median(steps))
    gaps = [
        (step, before.time_ms)
        for step, (before, after) in zip(steps, pairwise(readings), strict=True)
        # Some counters write a line only when the cable moves: standing still is no gap.
        if step > shortest and before.distance_mm != after.distance_mm
    ]
    if gaps:
        step, start = max(gaps)
        yield (
            f"{path.name}: {len(gaps)} gap{'s' * (len(gaps) > 1)} in the counter log, the longest"
            f" {ms_to_seconds(step)} s from {ms_to_seconds(start)} s on; distances there are worked out"
            " between its ends."
        )


def _listed(line_numbers: list[int]) -> str:
    """[3, 7] -> "lines 3, 7"; of many, the first few and how many more."""
    named = ", ".join(map(str, line_numbers[:LINES_NAMED]))
    more = len(line_numbers) - LINES_NAMED
    return f"line{'s' * (len(line_numbers) > 1)} {named}" + (f" and {more} more" if more > 0 else "")
