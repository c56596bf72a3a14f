"""Rows borne out or contradicted by the readings, and rows that follow from the readings alone."""

from __future__ import annotations

from dataclasses import replace

import pytest
from slope.pipes import row
from slope.test_profile import SIZE, both_ways, profile, reading

from narrate2log.records import SlopeProfile, SlopeReading
from narrate2log.slope.evidence import BORNE_OUT, CONTRADICTED, WORKED_OUT, derive, weigh
from narrate2log.slope.minimums import NO_CODE_TEST, load_tables

IPC = load_tables()["ipc"]
LEVEL = reading(None, 0.0, of="level")


def read(*pieces: tuple[int, float]) -> list[SlopeReading]:
    """A pipe of pieces (feet, degrees of fall) from 2 ft on, read to a tenth on both passes; level head."""
    values: dict[float, float] = {}
    at = 2
    for feet, fall in pieces:
        values |= {float(x): fall + 0.1 * (x % 2) for x in range(at, at + feet)}
        at += feet
    return [*both_ways(values, 0.5), LEVEL]


def of(*pieces: tuple[int, float]) -> SlopeProfile:
    return profile(read(*pieces), SIZE)


READ = read((20, 1.5), (8, -2.0), (20, 1.5))
SAG = profile(READ, SIZE)


@pytest.mark.parametrize(
    ("begin", "end", "why"),
    [
        (16, 30, BORNE_OUT),
        (24, None, BORNE_OUT),
        (36, 44, CONTRADICTED),
        (40, None, CONTRADICTED),
        (80, 90, None),
    ],
)
def test_a_belly_said_beside_the_readings(begin: float, end: float | None, why: str | None) -> None:
    (weighed,) = weigh([row("belly", begin, end)], [SAG], READ)
    assert weighed.rules == ((BORNE_OUT,) if why == BORNE_OUT else ())
    assert weighed.check == ((CONTRADICTED,) if why == CONTRADICTED else ())


@pytest.mark.parametrize(
    "other",
    [row("roots", 24), row("belly", None), replace(row("belly", 24), standing="not-seen")],
)
def test_rows_that_no_grade_speaks_to_stay_as_they_are(other: object) -> None:
    assert weigh([other], [SAG], READ) == (other,)  # type: ignore[list-item]


def test_while_the_sign_is_open_no_row_is_borne_out() -> None:
    belly = row("belly", 22, 30)
    assert weigh([belly], [replace(SAG, sign_known=False)], READ) == (belly,)


def test_an_uphill_piece_that_nobody_named_is_derived_and_marked() -> None:
    (found,) = derive([SAG], IPC, "ft")
    assert found.feature == "backfall"
    assert found.from_mm / 304.8 == pytest.approx(22, abs=1.5)
    assert found.grade_pct.high < 0
    assert WORKED_OUT in found.check
    assert NO_CODE_TEST in found.remark


def test_a_flat_pipe_is_below_the_minimum_of_its_size() -> None:
    flat = of((60, -0.25))
    (found,) = derive([flat], IPC, "ft")
    assert found.feature == "low-slope"
    assert "0.125 in/ft" in found.remark
    assert IPC.name in found.remark
    # without a size there is nothing to be below of
    assert derive([replace(flat, size_in=None)], IPC, "ft") == ()


@pytest.mark.parametrize("fall", [0.9, 1.2, 2.0])
def test_a_pipe_that_falls_well_gives_no_row(fall: float) -> None:
    assert derive([of((60, fall))], IPC, "ft") == ()


def test_without_a_level_a_flat_pipe_gives_no_row() -> None:
    values = {float(x): 0.1 * (x % 2) for x in range(2, 60)}
    assert derive([profile(both_ways(values, 0.5), SIZE)], IPC, "ft") == ()


def test_a_sag_with_its_water_told_needs_no_row_of_its_own() -> None:
    wet = profile(
        [*both_ways({float(x): -2.0 if 22 <= x < 30 else 1.5 for x in range(2, 50)}, 0.5), LEVEL],
        SIZE,
        row("belly", 18, 30),
    )
    assert derive([wet], IPC, "ft") == ()


def test_ids_stay_from_one_draft_to_the_next() -> None:
    assert derive([SAG], IPC, "ft")[0].id == derive([SAG], IPC, "m")[0].id


@pytest.mark.parametrize("always_up", [-1.0, 1.0, 2.39])
def test_a_dip_is_seen_however_far_the_head_rides_up(always_up: float) -> None:
    """The pipe reads flatter there than elsewhere, whatever is added to all of its readings."""
    values = {float(x): (-3.0 if 22 <= x < 30 else 1.5) - always_up for x in range(2, 50)}
    readings = both_ways(values, 0.5)
    (weighed,) = weigh([row("belly", 22, 30)], [profile(readings, SIZE)], readings)
    assert weighed.rules == (BORNE_OUT,)
    (elsewhere,) = weigh([row("belly", 40, 44)], [profile(readings, SIZE)], readings)
    assert elsewhere.rules == ()
