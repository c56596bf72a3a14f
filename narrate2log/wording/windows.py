"""Which heard words may be looked at for another term: never a name, never a number."""

from __future__ import annotations

import math
from collections.abc import Iterator

from narrate2log.wording.evidence import Setting
from narrate2log.wording.talk import NUMBER
from narrate2log.wording.terms import LINKS, LONGEST

# Words all heard more surely than this, or that fit better where they stand (natural logarithm a word, as
# `Talk.likelihood`), are not looked at: of the mis-hearings that can be mended 19 in 20 lie below either.
SURE = math.log(0.94)
FITTING = -4.0


def looks_like_name(setting: Setting, at: int) -> bool:
    """A word with a capital inside a sentence, initials and "I" aside."""
    text = setting.words[at].text.strip("\"'(")
    begins = at == 0 or setting.words[at - 1].text.endswith((".", "?", "!"))
    return (
        text[:1].isupper()
        and not begins
        and not text.startswith("I'")
        and not (text.rstrip(".,?!'s").isupper())
    )


def is_doubtful(setting: Setting, first: int, last: int) -> bool:
    """May these words be wrong, by the recogniser's probabilities and by how they fit where they stand?"""
    if min(setting.sure[first : last + 1]) > SURE:
        return False
    return setting.likelihood(first, last) / (last - first + 2) < FITTING


def windows(setting: Setting) -> Iterator[tuple[int, int]]:
    """The rows of one to four words (first, last) that may be looked at.

    Three words or more neither begin nor end with a link such as "it": too much ordinary English sounds
    like some term then ("for its age", "go in at a").
    """
    count = len(setting.words)
    barred = [
        setting.bare[at] in ("", NUMBER)
        or any(c.isdigit() for c in setting.words[at].text)
        or looks_like_name(setting, at)
        for at in range(count)
    ]
    for first in range(count):
        for last in range(first, min(first + LONGEST, count)):
            if barred[last] or (last > first and setting.sentence_ends[last - 1]):
                break
            if last - first >= 2 and (setting.bare[first] in LINKS or setting.bare[last] in LINKS):
                continue
            if is_doubtful(setting, first, last):
                yield first, last
