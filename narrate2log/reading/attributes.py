"""What is said of a thing: how severe, where round the bore, how much, how deep, how wide."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from narrate2log.reading.language import Sentence
from narrate2log.reading.quantities import Quantity
from narrate2log.wording.lexicon import Hit

Name = Literal["severity", "clock", "amount_pct", "amount_in", "size_in", "depth_ft"]
# Nominal bores of house and street sewers, inches (laterals 4 to 6, mains from 8: common practice).
NOMINAL_INCHES = frozenset({1.5, 2, 3, 4, 5, 6, 8, 9, 10, 12, 15, 18, 21, 24, 27, 30, 36})
# Words after "two inch" that make it a measure of something and no bore.
_MEASURES = frozenset(
    (
        "lip gap offset step drop crack hole of deep opening separation belly sag water wide high "
        "thick long root down apart fracture chunk piece mass up off above ledge break void lump per "
        "dip void this below"
    ).split()
)
# Words after "three feet" that make it no depth below the ground.
_ASIDE = frozenset("this off from past inside back of to short before away toward towards behind".split())
FEET_PER_METRE = 1 / 0.3048


@dataclass(frozen=True, slots=True)
class Attribute:
    """One said value on tokens `start` to `end`. A clock is a tuple of one or two hours, or none."""

    name: Name
    value: object
    start: int
    end: int


def _severities(sentence: Sentence) -> list[Attribute]:
    hits = sentence.cues("severity.toml")
    hits.sort(key=lambda hit: hit.start - hit.end)
    kept: list[Attribute] = []
    for hit in hits:
        if not any(hit.start < a.end and a.start < hit.end for a in kept):
            kept.append(Attribute("severity", hit.entry["kind"], hit.start, hit.end))
    return sorted(kept, key=lambda a: a.start)


# What stands between the two hours of a range.
_CLOCK_LINKS = {
    tuple(phrase.split())
    for phrase in (
        "to|through|and|until|-|up to|down to|around to|round to|over to|across to|all the way to"
        "|over the top to|over the crown to|around the top to|round the top to|across the top to"
        "|round the bottom to|around the bottom to|clear over to|right over to|clear round to|clear around to"
        "|right round to|right around to|clear across to|clear to"
    ).split("|")
}
# Of these no two footages are the ends.
_ROUND = frozenset({"round", "around", "over", "across"})


def _hours(sentence: Sentence, quantities: list[Quantity]) -> list[Attribute]:
    """Hours said: "two o'clock", "ten o'clock to two", "ten to two o'clock", "like eleven to one"."""
    lowers, found = sentence.lowers, []
    used: set[int] = set()
    words = {"noon": 12, "midnight": 12}
    for i, q in enumerate(quantities):
        if i in used or q.value not in range(1, 13) or q.signed:
            continue
        nxt = quantities[i + 1] if i + 1 < len(quantities) else None
        linked = nxt is not None and nxt.value in range(1, 13) and lowers[q.end : nxt.start] in _CLOCK_LINKS
        told = q.kind == "clock" or (linked and nxt is not None and nxt.kind == "clock")
        if linked and nxt is not None and not told and q.kind == nxt.kind == "bare":
            # "eleven to one" can only be hours where no footage could fall so
            link = lowers[q.end : nxt.start]
            told = bool(_ROUND & set(link)) or (
                link in (("to",), ("through",)) and (q.value > nxt.value or _clock_talk(sentence))
            )
        if not told:
            continue
        hours = (int(q.value), int(nxt.value)) if linked and nxt is not None else (int(q.value),)
        end = nxt.end if linked and nxt is not None else q.end
        used |= {i, i + 1} if linked else {i}
        found.append(Attribute("clock", hours, q.start, end))
    for i, word in enumerate(lowers):
        if word in words and i and lowers[i - 1] == "at" and _clock_talk(sentence):
            found.append(Attribute("clock", (12,), i, i + 1))
    return found


def _clock_talk(sentence: Sentence) -> bool:
    return any(
        hit.entry.section == "clock" or (hit.entry.section == "unit" and hit.entry["kind"] == "clock")
        for hit in sentence.hits
    )


def _interjected(sentence: Sentence, hit: Hit) -> bool:
    """ "Right, so" and "..., right?" are no side of the pipe."""
    if sentence.folds[hit.start : hit.end] != ("right",):
        return False
    closed = hit.end == len(sentence.tokens) or sentence.tokens[hit.end].is_punct
    return closed and (hit.start == 0 or (sentence.asks and hit.end >= len(sentence.tokens) - 1))


def _clocks(sentence: Sentence, quantities: list[Quantity]) -> list[Attribute]:
    hours = _hours(sentence, quantities)
    sides = sorted(
        (h for h in sentence.hits if h.entry.section == "clock" and not _interjected(sentence, h)),
        key=lambda h: (h.start - h.end, h.start),
    )
    kept: list[Attribute] = []
    for hit in sides:
        if not any(hit.start < a.end and a.start < hit.end for a in kept):
            kept.append(Attribute("clock", tuple(hit.entry["hours"]), hit.start, hit.end))
    # an hour is nearer than a side said with it ("on the right, two o'clock")
    clauses = sentence.clauses
    kept = [a for a in kept if not any(clauses[h.start] == clauses[a.start] for h in hours)]
    return sorted(hours + kept, key=lambda a: a.start)


def _is_size(sentence: Sentence, q: Quantity) -> bool:
    after = sentence.folds[q.end : q.end + 2]
    if q.kind == "size":
        return True
    if q.kind != "inch" or q.value not in NOMINAL_INCHES or q.signed or q.low != q.high:
        return False
    if any(word in _MEASURES for word in after[:2]):
        return False
    before = sentence.folds[max(0, q.start - 2) : q.start]
    stuff = any(hit.entry.section == "material" for hit in sentence.hits)
    return (q.singular and (q.value > 1 or stuff)) or (stuff and after[:1] != ("of",)) or "size" in before


def find_attributes(sentence: Sentence, quantities: list[Quantity]) -> list[Attribute]:
    """Every attribute said in the sentence, in order of place."""
    found = _severities(sentence) + _clocks(sentence, quantities)
    for hit in sentence.hits:
        if hit.entry.section == "amount":
            found.append(Attribute("amount_pct", float(hit.entry["percent"]), hit.start, hit.end))
    locating = any(hit.entry.section == "feature" and hit.entry["key"] == "locate" for hit in sentence.hits)
    for i, q in enumerate(quantities):
        if q.kind == "percent":
            found.append(Attribute("amount_pct", q.high, q.start, q.end))
            if (
                i
                and quantities[i - 1].kind == "bare"
                and sentence.lowers[quantities[i - 1].end : q.start] in ((",",), ("to",), ("or",))
                and 0 < q.value - quantities[i - 1].value <= 15
                and sentence.lowers[max(0, quantities[i - 1].start - 1)] not in ("at", "around", "about")
            ):
                found.append(
                    Attribute(
                        "amount_pct", quantities[i - 1].value, quantities[i - 1].start, quantities[i - 1].end
                    )
                )
        elif _is_size(sentence, q):
            found.append(Attribute("size_in", round(q.value, 1), q.start, q.end))
        elif q.kind == "inch" and not q.signed:
            found.append(Attribute("amount_in", q.high, q.start, q.end))
        elif q.kind in ("foot", "metre", "bare"):
            after = sentence.folds[q.end : q.end + 2]
            deep = (
                "deep" in after
                or "down" in after[:1]
                or "depth" in sentence.folds
                or "deep" in sentence.folds
            )
            if (
                (
                    locating
                    or "locator" in sentence.folds
                    or "deep" in after
                    or "depth" in sentence.folds[max(0, q.start - 3) : q.start]
                )
                and deep
                and not any(w in _ASIDE for w in after[:1])
            ):
                feet = q.value * FEET_PER_METRE if q.kind == "metre" else q.value
                named = "deep" in after or "depth" in sentence.folds[max(0, q.start - 3) : q.start]
                if feet < 30 and (q.kind != "bare" or named):
                    found.append(Attribute("depth_ft", round(feet, 2), q.start, q.end))
    # a longer phrase beats one inside it ("quarter pipe" beats "quarter")
    found = [
        a
        for a in found
        if not any(
            b is not a
            and b.name == a.name
            and b.start <= a.start
            and a.end <= b.end
            and b.end - b.start > a.end - a.start
            for b in found
        )
    ]
    return sorted(found, key=lambda a: a.start)
