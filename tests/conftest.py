"""What every test stands on."""

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def nothing_learned(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """The user's own folder, not there yet: no test meets what the person at this machine has taught."""
    home = tmp_path / "narrate2log home"
    monkeypatch.setenv("NARRATE2LOG_HOME", str(home))
    return home
