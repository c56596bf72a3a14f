"""How loud the sound is, and what is wrong with it."""

from __future__ import annotations

import math
from collections import deque

import numpy as np

from narrate2log.hearing.media import SAMPLE_RATE, Samples, samples_to_ms
from narrate2log.units import Milliseconds

# A full second of nothing but one value is no microphone in a room.
SILENT_S = 3
# So many samples of a second at the limit are a voice that is cut off. From ear, no published source.
CUT_SHARE = 0.002
LIMIT = 0.985
# Speech below this is heard badly, dB of full scale (root mean square of its seconds).
QUIET_DB = -48.0
QUIETEST_DB = -90.0
# So many blocks are remembered: a phrase is over by then.
REMEMBERED = 1_200
# What stays wrong is said again after so long.
AGAIN_MS: Milliseconds = 180_000

NO_SIGNAL = "There is no signal at all; check the plug, the switch and the volume of the microphone."
TOO_LOUD = "The sound is cut off at its loudest; turn the microphone down or hold it further off."
TOO_QUIET = "The voice is very low; turn the microphone up or hold it nearer."


def level_db(samples: Samples) -> float:
    """The root mean square of a sound, dB of full scale (a full square wave is 0), no less than -90."""
    if not len(samples):
        return QUIETEST_DB
    power = float(np.mean(np.square(samples, dtype=np.float64)))
    return max(QUIETEST_DB, 10 * math.log10(power)) if power > 0 else QUIETEST_DB


class LevelWatch:
    """Watches a sound as it comes in. `db` is the level of the last block."""

    def __init__(self) -> None:
        self.db = QUIETEST_DB
        self._total = 0
        self._levels: deque[tuple[Milliseconds, float]] = deque(maxlen=REMEMBERED)
        self._second: list[Samples] = []
        self._nothing_s = 0
        self._told: dict[str, Milliseconds] = {}

    def watch(self, block: Samples) -> list[str]:
        """Take in a block; what is newly wrong, a sentence each."""
        self.db = level_db(block)
        self._total += len(block)
        self._levels.append((samples_to_ms(self._total), self.db))
        self._second.append(block)
        if sum(map(len, self._second)) < SAMPLE_RATE:
            return []
        second = np.concatenate(self._second)
        self._second = []
        self._nothing_s = self._nothing_s + 1 if float(np.ptp(second)) == 0 else 0
        if not self._nothing_s:
            self._told.pop(NO_SIGNAL, None)
        return self._new(
            [NO_SIGNAL] * (self._nothing_s >= SILENT_S)
            + [TOO_LOUD] * (float(np.mean(np.abs(second) >= LIMIT)) > CUT_SHARE)
        )

    def spoken(self, start_ms: Milliseconds, end_ms: Milliseconds) -> list[str]:
        """What is newly wrong with a phrase that was spoken then, counted from the first block on."""
        powers = [10 ** (db / 10) for at, db in list(self._levels) if start_ms < at <= end_ms]
        low = bool(powers) and 10 * math.log10(sum(powers) / len(powers)) < QUIET_DB
        return self._new([TOO_QUIET] * low)

    def _new(self, wrong: list[str]) -> list[str]:
        now_ms = samples_to_ms(self._total)
        fresh = [one for one in wrong if now_ms - self._told.get(one, -AGAIN_MS) >= AGAIN_MS]
        self._told |= dict.fromkeys(fresh, now_ms)
        return fresh
