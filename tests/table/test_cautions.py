"""Which rows call up which caution. The hazards: 40 CFR 61 subpart M, 29 CFR 1910.146; cross bore, and
advice to clear a pipe: common practice of gas utilities, no published source."""

from __future__ import annotations

import pytest
from reading.marked import lexicon, rows_of

from narrate2log.table.cautions import cautions_of


@pytest.mark.parametrize(
    ("said", "keys"),
    [
        ("Starting. There's a yellow line through the pipe, possible cross bore.", ["cross-bore"]),
        ("Starting. It changes to asbestos cement here.", ["asbestos-cement"]),
        ("Starting. This is bituminous fiber pipe.", ["bituminous-fiber"]),
        ("Starting. And there is the manhole.", ["manhole"]),
        ("Starting. No cross bore in here.", []),
        ("He says there was a gas line through it once.", []),
        ("Starting. Roots at the joint, and a crack.", []),
        ("Starting. Roots at ten feet. I'd have those roots cut out.", ["clearing"]),
    ],
)
def test_cautions_follow_what_was_seen(said: str, keys: list[str]) -> None:
    assert [c.key for c in cautions_of(rows_of(said), lexicon())] == keys


def test_what_cannot_wait_stands_first() -> None:
    rows = rows_of("Starting. There is a manhole here. Then a cross bore, a gas line through the pipe.")
    assert [c.first for c in cautions_of(rows, lexicon())] == [True, False]
