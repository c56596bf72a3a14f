"""The spoken check before the start."""

import numpy as np
import pytest

from narrate2log.listening.check import ASKED, PATIENCE_S, spoken_check
from narrate2log.listening.level import NO_SIGNAL, TOO_LOUD, TOO_QUIET

from .test_listener import Spoken


class Voice:
    """A tone of so many seconds, as if it were a voice."""

    def __init__(self, loud, seconds=20):
        self.sound = np.clip(loud * np.sin(np.arange(16_000 * seconds) * 0.3), -1, 1).astype(np.float32)

    def blocks(self, tell):
        tell("The microphone is back.")
        for at in range(0, len(self.sound), 800):
            yield self.sound[at : at + 800]


class Ear(Spoken):
    """Hears a phrase of three seconds that begins after one; nothing where nothing sounds."""

    def __init__(self):
        super().__init__(["Testing the microphone."])
        self.fed = 0

    def feed(self, samples):
        self.fed += len(samples)
        self.spoken = int(self.fed >= 16_000 * 4 and np.any(samples))


@pytest.mark.parametrize(
    ("loud", "said"),
    [
        (0.3, ["Heard: Testing the microphone.", "The microphone is back."]),
        (0.001, ["Heard: Testing the microphone.", TOO_QUIET, "The microphone is back."]),
        (5.0, ["Heard: Testing the microphone.", TOO_LOUD, "The microphone is back."]),
        (
            0.0,
            [
                f"Nobody was heard in {PATIENCE_S} s; the loudest was -90 dB.",
                NO_SIGNAL,
                "The microphone is back.",
            ],
        ),
    ],
)
def test_what_the_check_says(loud, said):
    lines, levels = [], []
    rest, wrong = spoken_check(Voice(loud), Ear(), lines.append, levels.append)
    assert lines == [ASKED, *said]
    assert list(wrong) == [
        sentence for sentence in said if not sentence.startswith(("Heard", "Nobody", "The level"))
    ]
    assert len(levels) > 50
    # What comes after the check is the run's; nothing of the check is told twice.
    told = []
    left = sum(map(len, rest.blocks(told.append))) / 16_000
    assert left == pytest.approx(20 - (PATIENCE_S if loud == 0 else 4), abs=0.1)
    assert told == []
