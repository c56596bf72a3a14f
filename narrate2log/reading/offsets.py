"""Feet told from something else in the pipe: "two to three feet past the wye"."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from narrate2log.reading.language import Sentence
from narrate2log.reading.quantities import Quantity
from narrate2log.reading.things import Thing
from narrate2log.records import SpokenOffset
from narrate2log.units import MM_PER_FOOT, LengthUnit, Millimetres, length_to_mm

# Which side of the thing, looking out from the entry.
SIDES = {"past": 1, "beyond": 1, "after": 1, "before": -1, "shy": -1, "short": -1}
# What may stand between: "a foot or so past the second wye", "two feet shy of that cleanout".
FILLERS = frozenset("or so just on of the that this our your first second third last".split())
# Feet that are not counted; common practice, no published source.
VAGUE_FT = {"couple": (1.5, 3.0), "few": (2.0, 5.0)}
# The eye judges no more than this; further off it is read from a counter, and then told as it stands there.
BY_EYE_MM = 15 * MM_PER_FOOT
# Told of what lies behind: the camera was there, and may be anywhere now.
PAST_TENSE = frozenset("was were had wasn't weren't".split())


@dataclass(frozen=True, slots=True)
class Told:
    """An offset on tokens `start` to `end`, and whether the camera is there now."""

    offset: SpokenOffset
    start: int
    end: int
    now: bool


def find_offsets(sentence: Sentence, quantities: list[Quantity], things: list[Thing]) -> list[Told]:
    """The feet that a sentence tells from a landmark or a defect: no footages of their own."""
    marks = [thing for thing in things if thing.entry["kind"] in ("landmark", "defect")]
    now = not PAST_TENSE & set(sentence.lowers)
    found = []
    for start, end, least, most in _feet(sentence, quantities):
        at = _skip(sentence, end)
        side = SIDES.get(sentence.folds[at]) if at < len(sentence.folds) else None
        if side is None or not 0 < most <= BY_EYE_MM:
            continue
        begins = _skip(sentence, at + 1)
        mark = next((thing for thing in marks if thing.start <= begins < thing.end), None)
        if mark is not None:
            low, high = sorted((side * least, side * most))
            offset = SpokenOffset(mark.feature, low, high, sentence.times[start][0], sentence.index)
            found.append(Told(offset, start, end, now))
    return found


def _feet(
    sentence: Sentence, quantities: list[Quantity]
) -> Iterator[tuple[int, int, Millimetres, Millimetres]]:
    """Each length said: its first token, the one after it, the least and the most that it may be."""
    for q in quantities:
        if q.kind in ("foot", "metre"):
            unit: LengthUnit = "m" if q.kind == "metre" else "ft"
            yield q.start, q.end, length_to_mm(q.low, unit), length_to_mm(q.high, unit)
    for i, word in enumerate(sentence.lowers):
        if word not in VAGUE_FT:
            continue
        after = i + 1 + (sentence.lowers[i + 1 : i + 2] == ("of",))
        if sentence.lowers[after : after + 1] in (("feet",), ("foot",)):
            least, most = VAGUE_FT[word]
            yield i, after + 1, length_to_mm(least, "ft"), length_to_mm(most, "ft")


def _skip(sentence: Sentence, at: int) -> int:
    """The first token from `at` on that is no filler."""
    while at < len(sentence.folds) and sentence.folds[at] in FILLERS:
        at += 1
    return at
