"""Short tones for ears whose hands and eyes are busy."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Literal

import numpy as np

from narrate2log.errors import UnusableCommand
from narrate2log.hearing.media import Samples

Tone = Literal["taken", "look", "lost", "trouble"]
# What each tells, and its notes: hertz and seconds. One: a row was taken; two that rise: it asks for a look;
# two that fall: a phrase was not understood; three low ones: something is wrong with the sound or the disk.
NOTES: dict[Tone, tuple[tuple[float, float], ...]] = {
    "taken": ((880.0, 0.09),),
    "look": ((659.3, 0.08), (880.0, 0.12)),
    "lost": ((440.0, 0.09), (293.7, 0.16)),
    "trouble": ((220.0, 0.09), (220.0, 0.09), (220.0, 0.09)),
}
RATE = 44_100
LOUD = 0.25
# A note that starts or stops at once clicks.
EDGE_S = 0.008


def tone(kind: Tone) -> Samples:
    """The sound of a tone: float32, shape (n,), at RATE."""
    return np.concatenate([_note(hertz, seconds) for hertz, seconds in NOTES[kind]])


def _note(hertz: float, seconds: float) -> Samples:
    t = np.arange(round(seconds * RATE)) / RATE
    edge = np.clip(np.minimum(t, seconds - t) / EDGE_S, 0, 1)
    return (LOUD * np.sin(2 * np.pi * hertz * t) * edge).astype(np.float32)


def muted(names: Iterable[str]) -> frozenset[Tone]:
    """The tones that were named to be silent. Raises UnusableCommand: there is no such tone."""
    silent: set[Tone] = set()
    for name in names:
        found = [kind for kind in NOTES if name in (kind, "all")]
        if not found:
            raise UnusableCommand(
                f"--mute: there is no tone '{name}'; name one of {', '.join(NOTES)}, or all."
            )
        silent.update(found)
    return frozenset(silent)


class Tones:
    """Plays tones. `api`: the module sounddevice, None where there is no loudspeaker."""

    def __init__(self, api: Any, silent: frozenset[Tone]) -> None:
        self._api = api
        self._silent = silent

    def play(self, kind: Tone) -> None:
        """Sound a tone, without waiting for its end. If the loudspeaker fails, listening goes on."""
        if self._api is None or kind in self._silent:
            return
        try:
            self._api.play(tone(kind), RATE)
        except (self._api.PortAudioError, ValueError):
            self._api = None
