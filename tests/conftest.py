"""What every test stands on."""

from pathlib import Path

import pytest
from hypothesis import settings

# How long one example takes is for the benchmarks: on a busy machine it would fail by chance.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")


@pytest.fixture(autouse=True)
def nothing_learned(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """The user's own folder, not there yet: no test meets what the person at this machine has taught."""
    home = tmp_path / "narrate2log home"
    monkeypatch.setenv("NARRATE2LOG_HOME", str(home))
    return home
