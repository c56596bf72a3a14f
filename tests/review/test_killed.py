"""A review killed at any moment loses nothing that it said was kept, and doubles nothing tried again."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from narrate2log.log.journal import Journal

SCRIPT = Path(__file__).with_name("killed.py")


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_killed_fifty_times_no_kept_decision_is_lost_or_doubled(folder: Path) -> None:
    shown = subprocess.run(
        [sys.executable, str(SCRIPT), str(folder), "7"], capture_output=True, text=True, check=True
    ).stdout
    told = json.loads(shown)
    in_journal = Counter(decision.id for decision in Journal(folder).decisions)
    assert len(told["kept"]) >= 25
    assert set(told["kept"]) <= set(in_journal)
    assert set(in_journal.values()) == {1}
    # What was never acknowledged is at most the last try of each life.
    assert len(set(in_journal) - set(told["kept"])) <= 50
