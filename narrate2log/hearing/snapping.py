"""Word times moved to where speech was heard.

The recogniser places a word somewhere between its neighbours. Next to a silence that can be
seconds off: the first word after it comes early, the last one before it is drawn out.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import replace

from narrate2log.records import Word
from narrate2log.units import Milliseconds

# Where speech begins and ends, half open.
Span = tuple[Milliseconds, Milliseconds]

# Farther from speech than this, a word was said too low for the detector, and stays where it is.
LARGEST_MOVE_MS: Milliseconds = 3000
# Slow speech takes some 100 ms a character; a word of 2 s and more holds something else as well.
LONGEST_WORD_MS: Milliseconds = 2000


def snap_to_speech(words: Sequence[Word], spans: Sequence[Span]) -> tuple[Word, ...]:
    """The same words in the same order, each within the stretch of speech it belongs to.

    A word that reaches over a silence belongs to the speech that it shares most time with, a word in
    silence to the nearest speech. `spans` are in order and do not overlap. Starts never step back.
    """
    snapped: list[Word] = []
    earliest = 0
    for word in words:
        start, end = _snap(word.start_ms, word.end_ms, spans)
        start = max(start, earliest)
        end = max(start, min(end, start + LONGEST_WORD_MS))
        snapped.append(replace(word, start_ms=start, end_ms=end))
        earliest = start
    return tuple(snapped)


def _snap(start: Milliseconds, end: Milliseconds, spans: Sequence[Span]) -> Span:
    """The times of one word within the speech it belongs to, or as they are if none is near."""
    # The spans that may share time with the word, and one neighbour on either side.
    first = bisect_left(spans, start, key=lambda span: span[1])
    past = bisect_left(spans, end, key=lambda span: span[0])
    near = spans[max(first - 1, 0) : past + 1]
    if not near:
        return start, end
    # Of two that are equally near, speech to come wins: early is the commoner error.
    begin, finish = min(near, key=lambda span: (_distance(start, end, span), -span[0]))
    if _distance(start, end, (begin, finish)) > LARGEST_MOVE_MS:
        return start, end
    length = min(end - start, LONGEST_WORD_MS, finish - begin)
    if end <= begin:
        return begin, begin + length
    if start >= finish:
        return finish - length, finish
    return max(start, begin), min(end, finish)


def _distance(start: Milliseconds, end: Milliseconds, span: Span) -> Milliseconds:
    """How far a word is from a stretch of speech; where they share time, that time below zero."""
    return max(span[0], start) - min(span[1], end)
