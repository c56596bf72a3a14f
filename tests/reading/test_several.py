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
        ("There's an offset along here.", False),
        ("There's a crack here.", False),
    ],
)
def test_a_couple_along_here(text: str, asks: bool) -> None:
    (row,) = rows_of(text)
    assert (REASON in row.check) == asks
