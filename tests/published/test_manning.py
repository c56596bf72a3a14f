"""Manning's formula beside published worked examples and multipliers, and a library of fluid mechanics.

The figures that others printed stand beside each row. `fluids` (MIT licence) knows the formula in metres.
"""

from __future__ import annotations

import fluids
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from narrate2log.slope.flow import (
    GPM_PER_CFS,
    manning,
    self_cleansing_pct,
    standing_depth_in,
    wetted,
)

FT = 0.3048


@pytest.mark.parametrize(
    ("size_in", "slope", "n", "ft_s", "cfs", "within"),
    [
        # "Environmental Engineering" (textbook), example 8.1, p. 158: 1.54 ft/s, 0.54 cfs
        (8, 0.002, 0.013, 1.54, 0.54, 0.01),
        # National Clay Pipe Institute, calculator, example I: 3.8 ft/s full
        (24, 0.0028, 0.013, 3.8, 11.97, 0.01),
        # the same, example II: 12 cfs, 3.0 ft/s full
        (27, 0.0015, 0.013, 3.0, 12.0, 0.01),
        # exam preparation, problem 472: 0.82 cfs
        (6, 0.05, 0.02, None, 0.82, 0.01),
        # a calculator on the web (a weaker source): 2.448 ft/s, 0.854 cfs
        (8, 0.005, 0.013, 2.448, 0.854, 0.001),
    ],
)
def test_worked_examples(
    size_in: float, slope: float, n: float, ft_s: float | None, cfs: float, within: float
) -> None:
    flow = manning(size_in, 100 * slope, n)
    assert flow.discharge_cfs == pytest.approx(cfs, rel=within)
    if ft_s is not None:
        assert flow.velocity_ft_s == pytest.approx(ft_s, rel=within)


def test_the_clay_pipe_example_part_full() -> None:
    """National Clay Pipe Institute, example II: 0.77 full gives 3.4 ft/s."""
    assert manning(27, 0.15, 0.013, depth=0.77).velocity_ft_s == pytest.approx(3.4, rel=0.012)


@pytest.mark.parametrize(
    ("depth", "discharge", "velocity"), [(0.25, 0.274, 0.701), (0.75, 1.82, 1.13), (1.0, 2.00, 1.00)]
)
def test_multipliers_of_half_full(depth: float, discharge: float, velocity: float) -> None:
    """National Standard Plumbing Code 2009, Appendix K: quarter, three-quarter and full against half full."""
    half, there = (manning(4, 1, 0.013, depth=d) for d in (0.5, depth))
    assert there.discharge_cfs / half.discharge_cfs == pytest.approx(discharge, rel=0.005)
    assert there.velocity_ft_s / half.velocity_ft_s == pytest.approx(velocity, rel=0.005)


STORM_GPM = {4: (81, 115, 163, 231), 6: (243, 344, 487, 689)}


@pytest.mark.parametrize("size_in", STORM_GPM)
def test_storm_capacities(size_in: int) -> None:
    """International Plumbing Code 2018, Table 1106.2, at 1/16, 1/8, 1/4, 1/2 in/ft: n is about 0.0098."""
    slopes = [100 * inches / 12 for inches in (1 / 16, 1 / 8, 1 / 4, 1 / 2)]
    for slope, gpm in zip(slopes, STORM_GPM[size_in], strict=True):
        assert manning(size_in, slope, 0.0098).discharge_gpm == pytest.approx(gpm, rel=0.015)


@pytest.mark.parametrize(("in_per_ft", "ft_s", "gpm"), [(1 / 8, 2.23, 87), (1 / 4, 3.15, 123)])
def test_a_house_sewer_of_4_inches(in_per_ft: float, ft_s: float, gpm: int) -> None:
    """Worked out by hand from the formula, n = 0.013; no published figure."""
    flow = manning(4, 100 * in_per_ft / 12, 0.013)
    assert flow.velocity_ft_s == pytest.approx(ft_s, abs=0.006)
    assert flow.discharge_gpm == pytest.approx(gpm, abs=0.6)


def test_the_constant_of_feet_is_not_put_into_metres() -> None:
    """An answer on the web gives 0.14 m3/s for 200 mm at 1 in 72 by using 1.49 in metres: 0.0387 is right."""
    flow = manning(200 / 25.4, 100 / 72, 0.01)
    cubic_metres = flow.discharge_cfs * FT**3
    right = fluids.V_Manning(Rh=0.2 / 4, S=1 / 72, n=0.01) * np.pi * 0.2**2 / 4
    assert cubic_metres == pytest.approx(right, rel=0.001)
    assert cubic_metres != pytest.approx(0.14, rel=0.5)


@settings(deadline=None)
@given(
    size_in=st.floats(1, 48),
    slope_pct=st.floats(0.01, 20),
    n=st.floats(0.008, 0.02),
    depth=st.floats(0.02, 1),
)
def test_beside_a_library(size_in: float, slope_pct: float, n: float, depth: float) -> None:
    """Velocity of `fluids.V_Manning`, with the wetted circle integrated by slices instead of by angles."""
    y = np.linspace(0, depth, 20_001)
    widths = 2 * np.sqrt(np.clip(y * (1 - y), 0, None))
    area = float(np.sum((widths[1:] + widths[:-1]) / 2 * np.diff(y)))
    diameter = size_in * 0.0254
    mine_area, mine_perimeter = wetted(depth)
    assert mine_area == pytest.approx(area, rel=1e-3)
    metres = fluids.V_Manning(Rh=mine_area / mine_perimeter * diameter, S=slope_pct / 100, n=n)
    flow = manning(size_in, slope_pct, n, depth=depth)
    assert flow.velocity_ft_s * FT == pytest.approx(metres, rel=1e-3)
    assert flow.discharge_cfs * FT**3 == pytest.approx(metres * mine_area * diameter**2, rel=1e-3)


@given(st.floats(-20, 0), st.floats(0, 1))
def test_a_pipe_that_does_not_fall_carries_nothing_by_its_fall(slope_pct: float, depth: float) -> None:
    assert manning(4, slope_pct, 0.013, depth=depth).discharge_cfs == 0


@given(st.floats(0.05, 20))
def test_doubling_the_slope_is_the_root_of_two(slope_pct: float) -> None:
    once, twice = (manning(6, s, 0.013).discharge_gpm for s in (slope_pct, 2 * slope_pct))
    assert twice / once == pytest.approx(2**0.5)


@given(st.floats(2, 24), st.floats(0.009, 0.016), st.floats(0.1, 1))
def test_the_slope_that_cleans_itself_gives_2_ft_s(size_in: float, n: float, depth: float) -> None:
    """2 ft/s keeps solids moving: National Standard Plumbing Code 2009, Appendix K."""
    slope = self_cleansing_pct(size_in, n, depth)
    assert manning(size_in, slope, n, depth).velocity_ft_s == pytest.approx(2.0)


def test_water_standing_in_a_sag() -> None:
    """40 % of 4 in is 1.6 in deep and 37.4 % of the area; 1 in is 25 % of 4 in. Geometry, worked out."""
    assert standing_depth_in(40, 4) == pytest.approx(1.6)
    assert wetted(0.4)[0] / wetted(1.0)[0] == pytest.approx(0.374, abs=0.0005)
    assert standing_depth_in(25, 4) == 1.0


def test_gallons() -> None:
    """A US gallon is 231 cubic inches by definition."""
    assert pytest.approx(1728 / 231 * 60, rel=1e-5) == GPM_PER_CFS
