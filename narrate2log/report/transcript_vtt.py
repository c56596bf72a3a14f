"""transcript.vtt: what was heard, as WebVTT."""

from __future__ import annotations

from narrate2log.hearing.timed_text import transcript_to_vtt
from narrate2log.records import Draft


def transcript_vtt(draft: Draft) -> bytes:
    """The transcript as UTF-8 WebVTT, words as heard, before any correction."""
    return transcript_to_vtt(draft.transcript).encode("utf-8", "replace")
