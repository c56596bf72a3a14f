"""What the rules find in words said one after the other, without the stages that follow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from narrate2log.reading import read
from narrate2log.reading.language import Sentence, split
from narrate2log.reading.quantities import Quantity, find_quantities
from narrate2log.records import Correction, Narration, Source, Transcript, Word
from narrate2log.units import LengthUnit, mm_to_feet
from reading.marked import lexicon, transcript_of


def sentences(text: str) -> list[Sentence]:
    """The sentences of a text, with what the lexicon finds in them."""
    return [replace(s, hits=tuple(lexicon().find(s.folds))) for s in split(transcript_of(text), ())]


def quantities(text: str) -> list[Quantity]:
    return [quantity for sentence in sentences(text) for quantity in find_quantities(sentence)]


def narration(text: str, unit: LengthUnit = "ft") -> Narration:
    return read(transcript_of(text), (), lexicon(), unit)


def readings(text: str) -> list[tuple[float, str]]:
    """The tilt numbers of a text, each with its unit."""
    return [(s.value, s.unit) for s in narration(text).slopes]


def footages(text: str) -> list[tuple[float, float, str]]:
    """The footages of a text: least and most feet, and how each binds to the moment."""
    return [(mm_to_feet(p.low_mm), mm_to_feet(p.high_mm), p.relation) for p in narration(text).places]


def timed(
    *words: tuple[str, int, int] | tuple[str, int, int, int], probability: float | None = None
) -> Transcript:
    """A transcript of words, each with its start and end in ms and, where given, its phrase."""
    made = tuple(Word(text, a, b, probability, *phrase) for text, a, b, *phrase in words)
    return Transcript(made, (Source("line", "", made[-1].end_ms, 0),))


def as_lines(transcript: Transcript, corrections: Sequence[Correction] = ()) -> list[str]:
    """The sentences of a transcript, their tokens parted by spaces."""
    return [" ".join(sentence.lowers) for sentence in split(transcript, corrections)]
