"""Degrees, percent and inches per foot beside exact trigonometry, lengths beside their legal definition.

A slope of the angle a falls 100 tan a percent, or 12 tan a inches in a foot; the rows below were worked
out from that with decimal arithmetic, no published table. The foot is 0.3048 m and the inch 25.4 mm
exactly: international yard and pound agreement, 1959 (from memory).
"""

import math
from decimal import Decimal, getcontext
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from narrate2log.units import (
    MM_PER_FOOT,
    MM_PER_INCH,
    MM_PER_UNIT,
    SlopeUnit,
    length_to_mm,
    mm_to_feet,
    mm_to_inches,
    mm_to_length,
    percent_to_slope,
    slope_to_percent,
)

# degrees, percent, inches per foot, to the last figure given
BY_DEGREE = [
    (0.3, "0.5236", "0.0628"),
    (0.5, "0.8727", "0.1047"),
    (1, "1.7455", "0.2095"),
    (2, "3.4921", "0.4190"),
    (3, "5.2408", "0.6289"),
    (5, "8.7489", "1.0499"),
    (10, "17.6327", "2.1159"),
]
BY_INCH = [
    (Fraction(1, 16), "0.5208", "0.2984"),
    (Fraction(1, 8), "1.0417", "0.5968"),
    (Fraction(3, 16), "1.5625", "0.8952"),
    (Fraction(1, 4), "2.0833", "1.1935"),
    (Fraction(3, 8), "3.1250", "1.7899"),
    (Fraction(1, 2), "4.1667", "2.3859"),
    (Fraction(1), "8.3333", "4.7636"),
]


def tan_by_series(degrees: float) -> Decimal:
    """tan of a small angle by the Taylor series of sine and cosine, in 40 figures, without `math`."""
    getcontext().prec = 40
    pi = Decimal("3.141592653589793238462643383279502884197")
    x = Decimal(str(degrees)) * pi / 180
    sine = cosine = Decimal(0)
    term = Decimal(1)
    for n in range(40):
        if n % 2:
            sine += term if n % 4 == 1 else -term
        else:
            cosine += term if n % 4 == 0 else -term
        term = term * x / (n + 1)
    return sine / cosine


@pytest.mark.parametrize(("degrees", "percent", "inches"), BY_DEGREE)
def test_degrees_to_percent_and_inches(degrees: float, percent: str, inches: str) -> None:
    assert f"{slope_to_percent(degrees, 'deg'):.4f}" == percent
    assert f"{percent_to_slope(slope_to_percent(degrees, 'deg'), 'in/ft'):.4f}" == inches


@pytest.mark.parametrize(("inches", "percent", "degrees"), BY_INCH)
def test_inches_to_percent_and_degrees(inches: Fraction, percent: str, degrees: str) -> None:
    assert f"{slope_to_percent(float(inches), 'in/ft'):.4f}" == percent
    assert f"{percent_to_slope(slope_to_percent(float(inches), 'in/ft'), 'deg'):.4f}" == degrees


@given(st.floats(-20, 20).map(lambda degrees: round(degrees, 2)))
def test_degrees_beside_the_series(degrees: float) -> None:
    assert slope_to_percent(degrees, "deg") == pytest.approx(
        float(100 * tan_by_series(degrees)), rel=1e-12, abs=1e-12
    )


@given(st.fractions(-4, 4, max_denominator=64))
def test_inches_per_foot_are_a_ratio(inches: Fraction) -> None:
    assert slope_to_percent(float(inches), "in/ft") == pytest.approx(float(100 * inches / 12), rel=1e-12)


@given(st.floats(-30, 30))
def test_percent_is_percent(percent: float) -> None:
    assert slope_to_percent(percent, "pct") == percent


@given(st.floats(-30, 30), st.sampled_from(["deg", "pct", "in/ft"]))
def test_there_and_back(percent: float, unit: SlopeUnit) -> None:
    assert slope_to_percent(percent_to_slope(percent, unit), unit) == pytest.approx(
        percent, rel=1e-12, abs=1e-300
    )


def test_a_whole_degree_display_cannot_tell_an_eighth_from_a_quarter() -> None:
    eighth, quarter = (
        percent_to_slope(slope_to_percent(inches, "in/ft"), "deg") for inches in (1 / 8, 1 / 4)
    )
    assert round(eighth) == round(quarter) == 1


def test_foot_and_inch_by_definition() -> None:
    assert Fraction(str(MM_PER_FOOT)) == Fraction(3048, 10)
    assert Fraction(str(MM_PER_INCH)) == Fraction(254, 10)
    assert MM_PER_UNIT == {"ft": MM_PER_FOOT, "m": 1000.0}
    assert math.isclose(MM_PER_FOOT, 12 * MM_PER_INCH, rel_tol=1e-15)


@given(st.integers(0, 40_000))
def test_hundredths_of_a_unit_survive_the_millimetres(hundredths: int) -> None:
    for unit in ("ft", "m"):
        assert mm_to_length(length_to_mm(hundredths / 100, unit), unit) == hundredths / 100


@pytest.mark.parametrize(("feet", "mm"), [(1, 305), (10, 3048), (100, 30_480), (57.5, 17_526)])
def test_feet_in_whole_millimetres(feet: float, mm: int) -> None:
    assert length_to_mm(feet, "ft") == mm
    assert mm_to_feet(mm) == pytest.approx(feet, abs=0.005)


@pytest.mark.parametrize(("mm", "inches"), [(100, 3.9), (101.6, 4.0), (110, 4.3), (150, 5.9), (152.4, 6.0)])
def test_metric_bores_in_inches(mm: float, inches: float) -> None:
    assert mm_to_inches(mm) == inches
