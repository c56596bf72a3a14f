"""Stretches of speech packed into the windows that the recogniser hears at once. Counted in samples."""

from __future__ import annotations

from collections.abc import Sequence

from narrate2log.hearing.media import SAMPLE_RATE

# Where sound begins and ends, half open.
Stretch = tuple[int, int]

# A Whisper model hears 30 s at a time.
LONGEST_WINDOW = 30 * SAMPLE_RATE
# The detector reacts late and lets go early; a word cut at its edge is misheard.
MARGIN = 400 * SAMPLE_RATE // 1000


def widen(speech: Sequence[Stretch], total: int) -> list[Stretch]:
    """Each stretch with MARGIN more on either side, or half of the silence where that is shorter."""
    wide = []
    for index, (begin, finish) in enumerate(speech):
        before = begin - speech[index - 1][1] if index else 2 * begin
        after = speech[index + 1][0] - finish if index + 1 < len(speech) else 2 * (total - finish)
        wide.append((begin - min(MARGIN, before // 2), finish + min(MARGIN, after // 2)))
    return wide


def pack(stretches: Sequence[Stretch]) -> list[Stretch]:
    """Windows over the stretches joined end to end, each as full as LONGEST_WINDOW allows.

    A stretch is never cut, so none may be longer than a window.
    """
    windows: list[Stretch] = []
    begin = end = 0
    for first, past in stretches:
        length = past - first
        if end + length - begin > LONGEST_WINDOW:
            windows.append((begin, end))
            begin = end
        end += length
    if end > begin:
        windows.append((begin, end))
    return windows
