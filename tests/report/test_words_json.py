import json

from narrate2log.records import Draft, Source, Transcript, Word
from narrate2log.report.words_json import words_json


def test_every_word_with_its_times_and_probability() -> None:
    words = (Word("Höhle.", 1_250, 1_900, 0.87654, 0), Word("So", 2_000, 2_100, None, 1))
    draft = Draft("ft", Transcript(words, (Source("a.wav", "ab" * 32, 3_000, 0),)), (), (), (), ())
    assert json.loads(words_json(draft)) == {
        "schema": "narrate2log/words/1",
        "words": [
            {"text": "Höhle.", "start": 1.25, "end": 1.9, "probability": 0.877, "phrase": 0},
            {"text": "So", "start": 2.0, "end": 2.1, "probability": None, "phrase": 1},
        ],
    }
