"""Hearing while the talk grows: every phrase as soon as it ends, with what was said before it for company.

A phrase alone is misheard more often than one among its neighbours, so the recogniser hears the last
seconds of speech before it once more. Only the words of the phrase itself are taken: what was heard stands,
and so do the rows that came of it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from narrate2log.hearing.detector import SpeechDetector
from narrate2log.hearing.media import SAMPLE_RATE, Samples, samples_to_ms
from narrate2log.hearing.recogniser import hear_stretches, words_said
from narrate2log.hearing.snapping import snap_to_speech
from narrate2log.hearing.windows import LONGEST_WINDOW, MARGIN, Stretch, widen
from narrate2log.records import Word
from narrate2log.units import Milliseconds

if TYPE_CHECKING:
    from narrate2log.hearing.models import SpeechModel

# How a phrase is heard, on six narrations: rows .901 as it is here, .898 with the beam of a draft, .861 with
# eight seconds of company; the draft of the whole .881 (tests/benchmarks/listen.py, --hearing).
BEAM_SIZE = 2
# So much speech before a phrase is heard with it.
COMPANY = 12 * SAMPLE_RATE
# Someone who never pauses is cut at his last breath after this.
LONGEST_PHRASE = 12 * SAMPLE_RATE
# Words may begin this much before the speech that they were snapped to.
EDGE_MS: Milliseconds = 20


@dataclass(frozen=True, slots=True)
class Phrase:
    """What was said since the phrase before: its words, and where its speech begins and ends.

    `stretches` counts those of the whole sound up to its end.
    """

    words: tuple[Word, ...]
    start_ms: Milliseconds
    end_ms: Milliseconds
    stretches: int


class GrowingHearing:
    """Phrases out of a sound that grows. Not for several threads at once."""

    def __init__(self, model: SpeechModel, prompt: str | None, start_ms: Milliseconds = 0) -> None:
        """`start_ms`: the moment of the run at which the sound begins."""
        self._model = model
        self._prompt = prompt
        self._start_ms = start_ms
        self._detector = SpeechDetector(LONGEST_PHRASE)
        # The sound from sample `_kept_from` on, in pieces.
        self._sound: list[Samples] = []
        self._kept_from = 0
        self._fed = 0
        self._taken = 0

    @property
    def fed_ms(self) -> Milliseconds:
        """The moment of the run up to which sound was taken in."""
        return self._start_ms + samples_to_ms(self._fed)

    @property
    def untaken(self) -> int:
        """How many stretches of speech have ended that are in no phrase yet."""
        return self.ended - self._taken

    def warm_up(self) -> None:
        """Load the model and hear a second of nothing, so that the first phrase need not wait for that."""
        list(hear_stretches(np.zeros(SAMPLE_RATE, np.float32), [(0, SAMPLE_RATE)], self._model, prompt=None))

    def feed(self, samples: Samples) -> None:
        """Take in more sound. samples: float32, shape (n,), mono, 16 kHz."""
        self._sound.append(samples)
        self._fed += len(samples)
        self._detector.feed(samples)
        if self.untaken == 0 and self._detector.began is None:
            # While nobody speaks, for an hour perhaps, nothing is taken.
            self._let_go(self._fed)

    def finish(self) -> None:
        """No sound follows: what was spoken until here has ended."""
        self._detector.finish()

    @property
    def ended(self) -> int:
        """How many stretches of speech have ended in all."""
        return len(self._detector.ended)

    def silence_after(self, stretches: int) -> Milliseconds:
        """How long nobody spoke after so many stretches of speech, up to now or until somebody did."""
        ended, began = self._detector.ended, self._detector.began
        finish = ended[stretches - 1][1]
        following = ended[stretches][0] if len(ended) > stretches else began
        return samples_to_ms((self._detector.fed if following is None else following) - finish)

    def hear(self) -> Phrase:
        """Hear what was said since the phrase that was taken last; at least one stretch must have ended."""
        ended = self._detector.ended
        first = begin = self._taken
        length = sum(past - start + 2 * MARGIN for start, past in ended[first:])
        while begin and length + ended[begin - 1][1] - ended[begin - 1][0] <= COMPANY:
            begin -= 1
            length += ended[begin][1] - ended[begin][0]
            if ended[begin][0] - MARGIN < self._kept_from:
                begin += 1
                break
        speech = ended[begin:]
        sound = self._whole()
        words = [
            word
            for segment in hear_stretches(
                sound, self._widened(begin), self._model, prompt=self._prompt, beam_size=BEAM_SIZE
            )
            for word in words_said(segment, None)
        ]
        kept_ms = samples_to_ms(self._kept_from)
        spans = [(samples_to_ms(a) - kept_ms, samples_to_ms(b) - kept_ms) for a, b in speech]
        words = list(snap_to_speech(words, spans))
        since = samples_to_ms(ended[first][0]) - kept_ms - EDGE_MS if begin < first else 0
        shift = self._start_ms + kept_ms
        return Phrase(
            _shifted([word for word in words if word.start_ms >= since], shift),
            self._start_ms + samples_to_ms(ended[first][0]),
            self._start_ms + samples_to_ms(ended[-1][1]),
            len(ended),
        )

    def take(self, phrase: Phrase) -> None:
        """The phrase stands; the sound that no later one needs is let go."""
        self._taken = phrase.stretches
        self._let_go(min(self._detector.ended[self._taken - 1][1], self._fed))

    def skip(self) -> None:
        """What was said since the phrase before is given up."""
        self._taken = self.ended

    def _whole(self) -> Samples:
        """The sound that is kept, in one piece."""
        self._sound = [np.concatenate([np.zeros(0, np.float32), *self._sound])]
        return self._sound[0]

    def _let_go(self, until: int) -> None:
        """Forget what no later phrase needs of the sound before sample `until`."""
        keep = until - 2 * LONGEST_WINDOW
        if keep - self._kept_from > LONGEST_WINDOW:
            self._sound = [self._whole()[keep - self._kept_from :].copy()]
            self._kept_from = keep

    def _widened(self, begin: int) -> list[Stretch]:
        """The stretches from `begin` on as `widen` has them among all, in samples of the kept sound."""
        ended = self._detector.ended
        around = ended[max(begin - 1, 0) :]
        if self._detector.began is not None:
            around = [*around, (self._detector.began, self._detector.began)]
        wide = widen(around, self._fed)[1 if begin else 0 :][: len(ended) - begin]
        return [(a - self._kept_from, min(b, self._fed) - self._kept_from) for a, b in wide]


def _shifted(words: list[Word], by_ms: Milliseconds) -> tuple[Word, ...]:
    return tuple(replace(word, start_ms=word.start_ms + by_ms, end_ms=word.end_ms + by_ms) for word in words)
