"""Trade words that a recogniser writes as something else, put right where the words around agree."""

from __future__ import annotations

from narrate2log.records import Correction, Transcript
from narrate2log.wording.folding import fold, fold_phrase
from narrate2log.wording.lexicon import Lexicon

# How many words on either side may hold the trade word that makes a correction likely.
NEAR_WORDS = 8


_NUMBERS = frozenset(
    (
        "zero oh one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen"
    ).split()
)


def _number(folded: list[str], i: int) -> bool:
    return 0 <= i < len(folded) and (folded[i] in _NUMBERS or folded[i].isdigit())


def correct(transcript: Transcript, lexicon: Lexicon) -> tuple[Correction, ...]:
    """Known mis-hearings found in the words, in order, none overlapping.

    An entry with `near` needs one of those words close by, in the same phrase of talk; what stands
    in its `not` list is left alone.
    """
    folded: list[str] = []
    owner: list[int] = []
    for i, word in enumerate(transcript.words):
        for piece in fold_phrase(word.text):
            if any(c.isalnum() for c in piece):
                folded.append(piece)
                owner.append(i)
    found = lexicon.mishearing_index.find(folded)
    changes: list[Correction] = []
    taken = -1
    for match in sorted((f for f in found if f.what[2] == "say"), key=lambda f: (f.start, f.start - f.end)):
        entry = match.what[0]
        masked = any(
            o.what[0] is entry and o.what[2] == "not" and o.start < match.end and match.start < o.end
            for o in found
        )
        said = tuple(folded[match.start : match.end])
        if match.start <= taken or masked or said == fold_phrase(str(entry["read_as"])):
            continue
        if entry["between_numbers"] and not (_number(folded, match.start - 1) and _number(folded, match.end)):
            continue
        near = {fold(word) for word in entry["near"] or ()}
        around = set(folded[max(0, match.start - NEAR_WORDS) : match.start]) | set(
            folded[match.end : match.end + NEAR_WORDS]
        )
        helper = around & near
        if near and not helper:
            continue
        first, last = owner[match.start], owner[match.end - 1]
        heard = transcript.heard(first, last).strip(".,?!")
        why = f"known mis-hearing; {sorted(helper)[0]!r} near it" if helper else "known mis-hearing"
        changes.append(Correction(first, last, heard, str(entry["read_as"]), why))
        taken = match.end - 1
    return tuple(changes)
