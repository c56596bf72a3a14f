"""The tables of minimum slopes beside the codes they stand for, and the rules about a pipe in terms of them.

International Plumbing Code, Table 704.1: 2 1/2 in or less 1/4, 3 to 6 in 1/8, 8 in or more 1/16 in/ft; the
same rows were read in the Chicago Plumbing Code, Table 18-29-704.1. National Standard Plumbing Code 2009,
Appendix K: 2 in or less 1/4, 3 in or more 1/8; read there. International Residential Code, P3005.3, and
Uniform Plumbing Code, 708.1 and 718.1: from memory. Recommended Standards for Wastewater Facilities ("Ten
States Standards") 2014, 33.4: read in a secondary copy.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from narrate2log.slope.flow import manning
from narrate2log.slope.minimums import load_tables
from narrate2log.units import slope_to_percent

TABLES = load_tables()
Q, E, S = 0.25, 0.125, 0.0625


@pytest.mark.parametrize(
    ("code", "size_in", "in_per_ft"),
    [
        *[("ipc", size, Q) for size in (1.25, 1.5, 2, 2.5)],
        *[("ipc", size, E) for size in (3, 4, 5, 6)],
        *[("ipc", size, S) for size in (8, 10, 12)],
        *[("irc", size, Q) for size in (1.5, 2, 2.5)],
        *[("irc", size, E) for size in (3, 4, 6)],
        *[("nspc", size, Q) for size in (1.5, 2)],
        *[("nspc", size, E) for size in (3, 4, 6, 8)],
        *[("upc-drain", size, Q) for size in (1.5, 2, 3, 4, 6)],
        *[("upc-sewer", size, Q) for size in (3, 4, 6, 8)],
    ],
)
def test_what_a_code_asks_of_a_size(code: str, size_in: float, in_per_ft: float) -> None:
    row = TABLES[code].row(size_in)
    assert row is not None
    assert row.in_per_ft == in_per_ft


@pytest.mark.parametrize(
    ("code", "size_in", "less"),
    [("upc-drain", 3, None), ("upc-drain", 4, E), ("upc-sewer", 6, E), ("upc-sewer", 8, S)],
)
def test_what_the_authority_may_allow(code: str, size_in: float, less: float | None) -> None:
    row = TABLES[code].row(size_in)
    assert row is not None
    assert row.with_approval == less


# Diameter in inches: fall in feet over 100 ft.
TEN_STATES = {8: "0.40", 10: "0.28", 12: "0.22", 15: "0.15", 18: "0.12", 21: "0.10", 24: "0.08"}


@pytest.mark.parametrize(("size_in", "feet"), TEN_STATES.items())
def test_ten_states_standards(size_in: int, feet: str) -> None:
    row = TABLES["ten-states"].row(size_in)
    assert row is not None
    assert Fraction(str(row.in_per_ft)) == Fraction(feet) * 12 / 100
    # which is to give 2 ft/s full at n = 0.013
    velocity = manning(size_in, slope_to_percent(row.in_per_ft, "in/ft"), 0.013).velocity_ft_s
    assert velocity == pytest.approx(2.0, abs=0.21)


def test_sizes_that_a_table_does_not_have() -> None:
    assert TABLES["ten-states"].row(4) is None
    assert TABLES["ipc"].row(7) is None


def test_every_table_says_where_it_is_from() -> None:
    for table in TABLES.values():
        assert table.title
        assert table.section
        assert table.year.isdigit()
        assert table.source


@pytest.mark.parametrize(("in_per_ft", "label"), [(Q, 2), (E, 1)])
def test_the_percents_printed_in_codes_are_rounded_labels(in_per_ft: float, label: int) -> None:
    """Codes print 2 % for 1/4 and 1 % for 1/8 in/ft; compared in percent, pipe laid to them would fail."""
    exact = slope_to_percent(in_per_ft, "in/ft")
    assert round(exact) == label
    assert exact > label
