"""Why a person should look at a row, and how sure the tool is of it."""

from __future__ import annotations

from statistics import fmean

from narrate2log.records import Correction, Offer, Transcript
from narrate2log.table.merge import SEEN, STRETCHES, Row
from narrate2log.units import MM_PER_FOOT

# An interval wider than this leaves a digger guessing, so it asks.
WIDE_MM = 5 * MM_PER_FOOT
# Below this the recogniser's own doubt about a sentence makes the row ask.
UNSURE = 0.55
# Of these no place is told; of the others in EVERYWHERE it is where the camera was, and may be the far end.
PLACELESS = frozenset("flow start limitation recommendation water-on flush counter-reset water-off".split())
EVERYWHERE = PLACELESS | {"pull-back", "end-of-run"}


def _probability(row: Row, transcript: Transcript) -> float:
    """The mean word probability of the first telling; 1 for timed text."""
    first = row.mentions[0]
    values = [
        w.probability
        for w in transcript.words[first.first_word : first.last_word + 1]
        if w.probability is not None
    ]
    return fmean(values) if values else 1.0


def reasons_to_look(
    row: Row, transcript: Transcript, changes: list[Correction], offers: list[Offer]
) -> tuple[str, ...]:
    """Plain reasons, most important first; none means that the tool would let the row stand."""
    reasons = list(row.reasons)
    at = row.placement
    if row.feature == "material" and row.fields.material is None:
        reasons.append("the material is not one the lexicon knows")
    if row.standing in SEEN and row.placed and row.feature not in PLACELESS:
        if at.distance_mm is None:
            if row.feature not in EVERYWHERE:
                reasons.append("no footage near it to place it by")
        elif at.low_mm is not None and at.high_mm is not None and at.high_mm - at.low_mm > WIDE_MM:
            reasons.append("its place is uncertain")
    if row.standing == "possible" and not any(reason.startswith("asked") for reason in reasons):
        reasons.append("said to be unsure")
    if row.standing == "reported":
        reasons.append("told by others, not seen")
    if row.standing in SEEN and (row.feature in STRETCHES or row.several):
        reasons.append("where it begins and ends")
    if row.placement.going == "back" and row.standing != "reported" and row.feature not in EVERYWHERE:
        reasons.append("first told on the way home")
    if len({m.fields.amount_pct for m in row.mentions if m.fields.amount_pct is not None}) > 1:
        reasons.append("more than one amount was said")
    if len({m.fields.clock_from for m in row.mentions if m.fields.clock_from is not None}) > 1:
        reasons.append("more than one position round the pipe was said")
    if all(m.relation == "echo" for m in row.mentions):
        reasons.append("only told as if known before")
    if changes:
        reasons.append(
            "a mis-heard word was corrected: "
            + "; ".join(f"{c.heard!r} read as {c.read_as!r}" for c in changes)
        )
    reasons += [
        f"{offer.heard!r} may be {' or '.join(repr(choice.read_as) for choice in offer.choices)}"
        for offer in offers
    ]
    if _probability(row, transcript) < UNSURE:
        reasons.append("the words were hard to hear")
    return tuple(dict.fromkeys(reasons))


def confidence_of(row: Row, transcript: Transcript) -> float:
    """0 to 1: how well it was heard, less for each doubt, more for being told again."""
    value = 0.9 * _probability(row, transcript)
    if row.standing == "possible":
        value *= 0.85
    value *= 0.85 ** len(row.reasons)
    if len(row.mentions) > 1:
        value = 1 - (1 - value) * 0.8
    return round(min(0.99, value), 2)
