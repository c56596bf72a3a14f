"""The spoken clip that a package of the `test` extra carries, for tests that load the real model."""

from importlib.util import find_spec
from pathlib import Path

import pytest


def spoken_clip():
    """44 s of a reading in English."""
    spec = find_spec("moonshine_voice")
    if spec is None or spec.origin is None:
        pytest.skip("moonshine-voice is not installed on this kind of machine")
    return Path(spec.origin).parent / "assets" / "two_cities.wav"
