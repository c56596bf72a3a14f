"""Several things told in one breath are one row that says so; common practice, no published source."""

from __future__ import annotations

import pytest

from reading.marked import rows_of

REASON = "several are told of along here, not where each is"


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("A couple of offsets along here.", True),
        ("There's a few cracks through here.", True),
        ("Several offsets along in here.", True),
        ("Along this section there's three or four little offsets.", True),
        ("A string of offsets one after another.", True),
        ("Two fractures over the next few feet.", True),
        ("A few roots in this stretch.", True),
        ("There's an offset along here.", False),
        ("There's a crack here.", False),
        # one joint, one mass, and a count of something else
        ("A few roots through this joint.", False),
        ("A lot of grease along here.", False),
        ("A couple of feet along here there's a crack.", False),
        ("I've seen a few houses along here with offsets.", False),
    ],
)
def test_a_couple_along_here(text: str, asks: bool) -> None:
    (row,) = rows_of(text)
    assert (REASON in row.check) == asks
    assert ("where it begins and ends" in row.check) == (asks or row.feature == "grease")
