"""words.json: every word as heard with its times, for those who listen to the draft again."""

from __future__ import annotations

import json

from narrate2log.records import Draft
from narrate2log.report.row import number
from narrate2log.units import ms_to_seconds

SCHEMA = "narrate2log/words/1"


def words_json(draft: Draft) -> bytes:
    """Every word: text, start and end in seconds of the run, probability (null for timed text), phrase."""
    words = [
        {
            "text": word.text,
            "start": ms_to_seconds(word.start_ms),
            "end": ms_to_seconds(word.end_ms),
            "probability": number(word.probability),
            "phrase": word.phrase,
        }
        for word in draft.transcript.words
    ]
    text = json.dumps({"schema": SCHEMA, "words": words}, ensure_ascii=False, allow_nan=False) + "\n"
    return text.encode("utf-8", "replace")
