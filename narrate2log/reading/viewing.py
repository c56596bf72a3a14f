"""A sentence looked at: its quantities, slope readings, attributes, footages and things."""

from __future__ import annotations

from dataclasses import replace

from narrate2log.reading import talk
from narrate2log.reading.attributes import find_attributes
from narrate2log.reading.context import Context, View
from narrate2log.reading.language import Sentence
from narrate2log.reading.offsets import find_offsets
from narrate2log.reading.places import find_places
from narrate2log.reading.quantities import Quantity
from narrate2log.reading.slopes import disown, find_slopes, head_up, takes_back, told_of
from narrate2log.reading.things import name_things


def view_of(sentence: Sentence, quantities: list[Quantity], context: Context) -> View:
    """Everything found in one sentence; numbers used by one reading are none for the next."""
    things = name_things(sentence)
    if {"worst", "deepest"} & set(sentence.folds) and any(
        context.mentions[i].fields.amount_pct for i in context.told_amounts()
    ):
        quantities = [
            replace(q, kind="percent") if q.kind == "bare" and not q.signed and 5 <= q.value <= 100 else q
            for q in quantities
        ]
    quantities = _corrected_percents(sentence, quantities)
    zeroing = any(thing.feature == "counter-reset" for thing in things)
    kinds = talk.kinds(sentence)
    if any(hit.entry["kind"] == "summary" for hit in sentence.cues("relation.toml", "summary")):
        context.summing_up = context.back or bool(context.mentions)
    quiet = bool(kinds & {"teaching", "hypothetical", "looking-for", "elsewhere", "owner-advice", "ahead"})
    slopes, used = find_slopes(sentence, quantities, context.slope, quiet, zeroing)
    if slopes and context.slopes and takes_back(sentence, context.slopes[-1], slopes[0]):
        context.slopes.pop()
    context.slopes += told_of(sentence, slopes)
    if sentence.cues("slope.toml", "disown"):
        context.slopes = disown(sentence, context.slopes)
    context.head_up |= head_up(sentence)
    attributes = [
        a
        for a in find_attributes(sentence, quantities)
        if not any(quantities[i].start < a.end and a.start < quantities[i].end for i in used)
    ]
    used |= {
        i
        for i, q in enumerate(quantities)
        if any(a.start < q.end and q.start < a.end for a in attributes if a.name != "severity")
    }
    # a number inside a thing's own words ("one of the", "forty five bend") is no footage
    used |= {
        i for i, q in enumerate(quantities) if any(t.start <= q.start and q.end <= t.end for t in things)
    }
    advising = any(thing.feature == "recommendation" for thing in things)
    told = any(
        hit.entry["effect"] in ("reported", "nothing")
        for hit in sentence.cues("standing.toml", "reported", "nothing")
    )
    elsewhere = advising or told or bool(kinds - {"bystander", "ahead", "phone-ends"})
    offsets = find_offsets(sentence, quantities, things)
    used |= {
        i for i, q in enumerate(quantities) if any(t.start <= q.start and q.end <= t.end for t in offsets)
    }
    outward = not (elsewhere or "ahead" in kinds or context.back or context.summing_up)
    bound = tuple(told.offset for told in offsets if told.now and outward)
    context.offsets += bound
    said = find_places(sentence, quantities, used, context.unit, elsewhere, {t.start for t in things})
    correcting = context.correcting == sentence.index
    if {"strike", "scratch", "correction"} & set(sentence.folds[-4:]) or (
        sentence.lowers[0] in ("no", "well") and len(sentence.tokens) <= 3
    ):
        context.correcting = sentence.index + 1
    return View(sentence, quantities, attributes, said, things, correcting, bound)


def _corrected_percents(sentence: Sentence, quantities: list[Quantity]) -> list[Quantity]:
    """ "Thirty percent, no, call it forty": the bare number after the correction is percent as well."""
    fixed = list(quantities)
    for i in range(1, len(fixed)):
        a, b = fixed[i - 1], fixed[i]
        between = set(sentence.folds[a.end : b.start])
        if (
            a.kind == "percent"
            and b.kind == "bare"
            and b.start - a.end <= 8
            and (between & {"no", "call", "make", "sorry", "now", "rather"})
        ):
            fixed[i] = replace(b, kind="percent")
    return fixed
