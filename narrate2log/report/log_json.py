"""log.json: a reviewed draft for programs; shaped like observations.json, and who decided what."""

from __future__ import annotations

import json

from narrate2log.log import Log


def log_json(log: Log) -> bytes:
    """The whole log as one JSON object in UTF-8. Times in seconds, distances in the draft's units."""
    text = json.dumps(log.document(), ensure_ascii=False, allow_nan=False, indent=1) + "\n"
    # A file name that is not UTF-8 comes as lone surrogates, and as \udcXX it is still JSON.
    return text.encode("utf-8", "backslashreplace")
