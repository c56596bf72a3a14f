"""Where someone speaks, told while the sound still grows."""

from __future__ import annotations

from typing import Any

import numpy as np

from narrate2log.hearing.media import SAMPLE_RATE, Samples
from narrate2log.hearing.windows import LONGEST_WINDOW, MARGIN, Stretch

# The detector judges frames of so many samples, each with the end of the one before.
FRAME = 512
CONTEXT = 64
STATE = (1, 1, 128)
# Speech begins at the first probability and ends below the second, as faster-whisper has them.
BEGINS, ENDS = 0.5, 0.35
# A pause this long lets the recogniser go on in the next window, as faster-whisper's own batches do.
SHORTEST_PAUSE = 160 * SAMPLE_RATE // 1000
# Speech that is too long for a window is cut at its last pause of more than this.
SHORTEST_CUT = 98 * SAMPLE_RATE // 1000
LONGEST_SPEECH = LONGEST_WINDOW - 2 * MARGIN - FRAME
# Sound is judged a minute at a time, so that memory does not grow with it.
AT_ONCE = 60 * SAMPLE_RATE


def find_speech(samples: Samples) -> list[Stretch]:
    """Where someone speaks in a recording, none longer than a window even when widened. In samples."""
    detector = SpeechDetector()
    for begin in range(0, len(samples), AT_ONCE):
        detector.feed(samples[begin : begin + AT_ONCE])
    detector.finish()
    return detector.ended


class SpeechDetector:
    """Finds stretches of speech, counted in samples from the first one fed.

    `ended` are the stretches that are over, none longer than a window even when widened; `began` is where
    the speech that goes on began, None while nobody speaks; `quiet_from` where its last word may have
    ended, None while it sounds; `fed` how many samples were judged.

    The model is the one inside faster-whisper (Silero), and in one go or piece by piece the stretches are
    those that `faster_whisper.vad.get_speech_timestamps` finds in the whole.
    """

    def __init__(self, longest: int = LONGEST_SPEECH) -> None:
        """`longest`: speech without a pause is cut after so many samples."""
        from faster_whisper.vad import get_vad_model

        self._longest = longest
        self._session: Any = get_vad_model().session
        self._state = [np.zeros(STATE, np.float32), np.zeros(STATE, np.float32)]
        self._context = np.zeros(CONTEXT, np.float32)
        self._waiting = np.zeros(0, np.float32)
        self.ended: list[Stretch] = []
        self.began: int | None = None
        self.quiet_from: int | None = None
        self.fed = 0
        # The last pause that the speech could be cut at, and where it went on after that.
        self._cut: int | None = None
        self._onward: int | None = None

    def feed(self, samples: Samples) -> None:
        """Judge more sound. samples: float32, shape (n,), 16 kHz."""
        sound = np.concatenate([self._waiting, samples])
        whole = len(sound) // FRAME * FRAME
        self._waiting = sound[whole:]
        if whole:
            for probability in self._judge(sound[:whole].reshape(-1, FRAME)):
                self._step(float(probability))

    def finish(self) -> None:
        """No sound follows: what was spoken until here has ended."""
        total = self.fed + len(self._waiting)
        self.feed(np.zeros(FRAME - len(self._waiting), np.float32))
        if self.began is not None:
            self._end(total)
        self.fed = total

    def _judge(self, frames: Any) -> Any:
        """The probability of speech in each frame. frames: (n, FRAME)."""
        before = np.vstack([self._context, frames[:-1, -CONTEXT:]])
        self._context = frames[-1, -CONTEXT:]
        h, c = self._state
        told, *self._state = self._session.run(
            None, {"input": np.concatenate([before, frames], axis=1), "h": h, "c": c}
        )
        return told.reshape(-1)

    def _step(self, probability: float) -> None:
        at = self.fed
        self.fed += FRAME
        if self.began is None:
            if probability >= BEGINS:
                self.began = at
            return
        if probability >= BEGINS and self.quiet_from is not None:
            self.quiet_from = None
            if self._onward is None and self._cut is not None:
                self._onward = at
        if at - self.began > self._longest:
            self._cut_short(at)
        if self.began is None or probability >= ENDS:
            return
        if self.quiet_from is None:
            self.quiet_from = at
        if at - self.quiet_from > SHORTEST_CUT:
            self._cut, self._onward = self.quiet_from, None
        if at - self.quiet_from >= SHORTEST_PAUSE:
            self._end(self.quiet_from)

    def _cut_short(self, at: int) -> None:
        """End speech that is too long where it last paused, or right here."""
        cut, onward = self._cut, self._onward
        self._end(at if cut is None else cut)
        self.began = onward

    def _end(self, at: int) -> None:
        assert self.began is not None
        self.ended.append((self.began, at))
        self.began = self.quiet_from = self._cut = self._onward = None
