"""Digits of distances: JCGM 100:2008 (GUM), 7.2.6, and an interval that still holds what it held."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from outgoing.folders import row

from narrate2log.outgoing import places
from narrate2log.units import LengthUnit, decimals_told


@pytest.mark.parametrize(
    ("low", "high", "unit", "decimals"),
    [
        (41.5, 44.5, "ft", 0),
        (40.0, 60.0, "ft", 0),
        (41.1, 42.9, "ft", 1),
        (41.0, 41.02, "ft", 1),
        (41.0, 41.0, "ft", 1),
        (12.0, 12.5, "m", 1),
        (12.0, 12.1, "m", 2),
        (12.0, 15.0, "m", 0),
    ],
)
def test_the_last_digit_is_the_first_that_the_uncertainty_touches(
    low: float, high: float, unit: LengthUnit, decimals: int
) -> None:
    assert decimals_told(low, high, unit) == decimals


hundredths = st.integers(0, 30_000).map(lambda n: n / 100)


@given(hundredths, hundredths, st.sampled_from(["ft", "m"]))
def test_an_interval_as_told_holds_the_whole_interval(a: float, b: float, units: LengthUnit) -> None:
    low, high = sorted((a, b))
    told = places.between(row(at=low, distance_low=low, distance_high=high), units)
    if low == high:
        assert told == ""
        return
    first, last = map(float, told.split(" to "))
    assert first <= low
    assert last >= high
    # and not by more than a digit on either side
    step = 10.0 ** -decimals_told(low, high, units)
    assert low - first < step + 1e-9
    assert last - high < step + 1e-9


@given(hundredths, st.sampled_from([0.0, 0.5, 3.0, 12.0]))
def test_a_distance_as_told_is_within_half_a_digit(at: float, width: float) -> None:
    told = places.distance(row(at=at, width=width), "ft")
    decimals = len(told.partition(".")[2])
    assert abs(float(told) - at) <= 0.5 * 10.0**-decimals + 1e-9
    assert decimals == (0 if width >= 2 else 1)


@pytest.mark.parametrize(
    ("fields", "text"),
    [
        ({}, ""),
        ({"clock_from": 9}, "9"),
        ({"clock_from": 9, "clock_to": 9}, "9"),
        ({"clock_from": 11, "clock_to": 1}, "11 to 1"),
    ],
)
def test_hours(fields: dict[str, int], text: str) -> None:
    assert places.clock(row(**fields)) == text


def test_amounts_are_told_as_they_were_said() -> None:
    told = places.amounts(row(amount_pct=33.0, amount_in=0.25, size_in=4.0, depth_ft=5.5))
    assert told == ["33 %", "0.25 in", "4 in pipe", "5.5 ft deep"]
    assert not re.search(r"\d", "".join(places.amounts(row())))
