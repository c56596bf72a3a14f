"""Reading: what a transcript says, by rules that can be read. Knows words, not distances."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from narrate2log.reading.language import split
from narrate2log.reading.marks import marked_words
from narrate2log.reading.mentions import read_sentences
from narrate2log.records import Correction, Mark, Narration, Transcript
from narrate2log.units import LengthUnit
from narrate2log.wording.lexicon import Lexicon


def read(
    transcript: Transcript,
    corrections: Sequence[Correction],
    lexicon: Lexicon,
    unit: LengthUnit,
    marks: Sequence[Mark] = (),
) -> Narration:
    """Everything the rules take out of a transcript. `unit` is what a bare footage is counted in.

    The words of `marks` are said to the tool or to the office, and tell nothing of the pipe.
    """
    told = split(transcript, corrections, marked_words(marks))
    sentences = [replace(s, hits=tuple(lexicon.find(s.folds))) for s in told]
    context = read_sentences(sentences, lexicon, unit)
    return Narration(
        mentions=tuple(context.mentions),
        places=tuple(context.places),
        motions=tuple(sorted(context.motions, key=lambda motion: motion.time_ms)),
        slopes=tuple(context.slopes),
        sentences=tuple((s.start_ms, s.end_ms) for s in sentences),
        direction=tuple(context.directions),
        falling_sign=context.falling_sign,
        head_up=context.head_up,
        offsets=tuple(context.offsets),
        flush_times=tuple(context.flush_times),
    )
