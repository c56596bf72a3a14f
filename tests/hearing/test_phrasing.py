import pytest

from narrate2log.hearing.phrasing import number_phrases
from narrate2log.records import Word


def phrases(*words):
    """The phrase numbers of words given as (text, start, end)."""
    return [word.phrase for word in number_phrases(Word(*word) for word in words)]


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ([], []),
        # A breath within a sentence, then a pause.
        ([("roots", 0, 400), ("here", 899, 1200), ("and", 1700, 1900)], [0, 0, 1]),
        # After a sentence a shorter pause is enough.
        ([("roots.", 0, 400), ("Clay", 600, 1200)], [0, 1]),
        ([("roots?", 0, 400), ("Clay", 600, 1200)], [0, 1]),
        # A sentence that runs straight into the next, as in "no, hang on. 12".
        ([("on.", 0, 400), ("12", 599, 1200)], [0, 0]),
        # Words that overlap.
        ([("roots", 0, 400), ("here", 300, 500)], [0, 0]),
    ],
)
def test_a_phrase_ends_at_a_pause(words, expected):
    assert phrases(*words) == expected


def test_nothing_but_the_phrase_changes():
    assert number_phrases([Word("roots", 10, 20, 0.5, 9)]) == (Word("roots", 10, 20, 0.5, 0),)
