"""Word error rate of the embedded model on a reading in English.

The clip: two_cities.wav, 44 s, carried by the package moonshine-voice (MIT,
https://pypi.org/project/moonshine-voice/): the first paragraph of "A Tale of Two Cities" (1859, in the
public domain), whose printed text is the reference. The measure: jiwer
(https://pypi.org/project/jiwer/). The bound is this machine's figure with some room for other processors,
whose arithmetic rounds differently.
"""

import re
from importlib.util import find_spec
from pathlib import Path

import jiwer
import pytest

from narrate2log.hearing.hear import hear

PRINTED = """
It was the best of times, it was the worst of times, it was the age of wisdom, it was the age of
foolishness, it was the epoch of belief, it was the epoch of incredulity, it was the season of Light, it was
the season of Darkness, it was the spring of hope, it was the winter of despair, we had everything before us,
we had nothing before us, we were all going direct to Heaven, we were all going direct the other way – in
short, the period was so far like the present period, that some of its noisiest authorities insisted on its
being received, for good or for evil, in the superlative degree of comparison only.
"""


def to_bare_words(text):
    return " ".join(re.findall(r"[a-z']+", text.lower()))


@pytest.mark.speech
def test_word_error_rate_of_a_reading():
    spec = find_spec("moonshine_voice")
    if spec is None or spec.origin is None:
        pytest.skip("moonshine-voice has no build for this machine")

    transcript = hear([Path(spec.origin).parent / "assets" / "two_cities.wav"], model="tiny.en")

    said = to_bare_words(" ".join(word.text for word in transcript.words))
    assert jiwer.wer(to_bare_words(PRINTED), said) <= 0.05
