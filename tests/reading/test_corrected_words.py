"""The words that a correction takes stay in what was heard, at the end of a sentence too."""

from __future__ import annotations

from narrate2log.reading.language import split
from narrate2log.wording.mishearings import correct
from reading.marked import lexicon, transcript_of


def test_a_correction_at_the_end_keeps_its_words() -> None:
    transcript = transcript_of("At ten feet there is a hair lying crack.")
    changes = correct(transcript, lexicon())
    assert [change.read_as for change in changes] == ["hairline crack"]
    (sentence,) = split(transcript, changes)
    assert sentence.last_word == len(transcript.words) - 1
    assert sentence.end_ms == transcript.words[-1].end_ms
