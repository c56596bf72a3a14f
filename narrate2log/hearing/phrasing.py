"""Phrases: words said in one breath."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from narrate2log.records import Word
from narrate2log.units import Milliseconds

# In two narrations whose phrases are known these began a new phrase at 76 of 77 of theirs; what they split
# besides are phrases of several sentences.
PAUSE_MS: Milliseconds = 500
PAUSE_AFTER_SENTENCE_MS: Milliseconds = 200
SENTENCE_END = (".", "?", "!")


def number_phrases(words: Iterable[Word]) -> tuple[Word, ...]:
    """The words with their phrases counted from 0; a phrase ends at a pause, a sentence at a shorter one."""
    numbered: list[Word] = []
    phrase = 0
    for word in words:
        if numbered:
            before = numbered[-1]
            limit = PAUSE_AFTER_SENTENCE_MS if before.text.endswith(SENTENCE_END) else PAUSE_MS
            phrase += word.start_ms - before.end_ms >= limit
        numbered.append(replace(word, phrase=phrase))
    return tuple(numbered)
