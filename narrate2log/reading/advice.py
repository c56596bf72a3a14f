"""What a recommendation asks for, or asks not to do."""

from __future__ import annotations

from narrate2log.reading.language import Sentence
from narrate2log.reading.standing import judge
from narrate2log.reading.things import Thing

# More than this in one sentence is a list that a remark would only garble.
MOST = 3
NOT = "no-"
# "Don't touch it", "nothing goes in before the utility has looked": a denial beside these is of other work.
NEVER_AGAINST = frozenset({"leaving", "utility", "asking"})


def advised(sentence: Sentence, things: list[Thing]) -> str | None:
    """The kinds of work (`lexicon/advice.toml`) that a sentence advises, joined by `+`, in order of words.

    What it advises against has `no-` before it: "I wouldn't dig it up, just watch it" gives
    `no-digging+watching`. None: no work is named.
    """
    kinds: list[str] = []
    for hit in sorted(sentence.cues("advice.toml"), key=lambda hit: hit.start):
        kind = str(hit.entry["kind"])
        if kind not in NEVER_AGAINST and "denied" in judge(sentence, hit.start, hit.end, things):
            kind = NOT + kind
        if kind not in kinds:
            kinds.append(kind)
    return "+".join(kinds[:MOST]) or None
