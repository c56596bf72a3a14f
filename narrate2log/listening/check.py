"""The spoken check before the start: is there a signal, is it loud enough, what is heard."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from narrate2log.hearing.growing import GrowingHearing
from narrate2log.hearing.media import SAMPLE_RATE, Samples
from narrate2log.listening.level import QUIETEST_DB, LevelWatch
from narrate2log.listening.listener import PHRASE_ENDS_MS
from narrate2log.listening.sound import SoundSource, Tell

# So long somebody is waited for who does not speak.
PATIENCE_S = 12
ASKED = "Say a sentence as you will say it in the pipe, with the water on."


class _Rest:
    """What a source still has after its first blocks were taken."""

    def __init__(self, rest: Iterator[Samples], sentences: list[str]) -> None:
        self._rest = rest
        self._sentences = sentences

    def blocks(self, tell: Tell) -> Iterator[Samples]:
        """The sound from here on."""
        for block in self._rest:
            self._pass_on(tell)
            yield block
        self._pass_on(tell)

    def _pass_on(self, tell: Tell) -> None:
        while self._sentences:
            tell(self._sentences.pop(0))


def spoken_check(
    source: SoundSource,
    hearing: GrowingHearing,
    say: Callable[[str], None],
    meter: Callable[[float], None] = lambda db: None,
) -> tuple[SoundSource, tuple[str, ...]]:
    """Ask for a sentence and say how it was heard; the sound after it, and what is wrong.

    `meter` is told the level, dB of full scale, as it comes in. Nothing is refused: what is wrong is said,
    and the run begins all the same.
    """
    say(ASKED)
    sentences: list[str] = []
    blocks = source.blocks(sentences.append)
    watch = LevelWatch()
    wrong: list[str] = []
    loudest = QUIETEST_DB
    taken = 0
    for block in blocks:
        taken += len(block)
        hearing.feed(block)
        wrong += watch.watch(block)
        meter(watch.db)
        loudest = max(loudest, watch.db)
        if hearing.untaken and hearing.silence_after(hearing.ended) >= PHRASE_ENDS_MS:
            phrase = hearing.hear()
            wrong += watch.spoken(phrase.start_ms, phrase.end_ms)
            say(f"Heard: {' '.join(word.text for word in phrase.words) or 'nothing that makes words'}")
            break
        if taken >= PATIENCE_S * SAMPLE_RATE:
            say(f"Nobody was heard in {PATIENCE_S} s; the loudest was {loudest:.0f} dB.")
            break
    wrong += sentences
    sentences.clear()
    for sentence in wrong or ["The level is good."]:
        say(sentence)
    return _Rest(blocks, sentences), tuple(wrong)
