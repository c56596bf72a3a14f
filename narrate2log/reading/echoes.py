"""Bare numbers that go on with what was counted beside them: "five percent. Five.", "seven, eight o'clock".

A narrator says a number once with its unit and again without, corrects it, or gives both ends of a range.
Such a number is no footage; where only its place in the talk tells so, it is kept, but marked as doubtful.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from narrate2log.reading import talk
from narrate2log.reading.language import Sentence
from narrate2log.reading.quantities import Quantity, find_quantities, is_length
from narrate2log.units import Milliseconds

# Kinds that a bare number after or before them takes over, and the most that each can count.
MOST = {"percent": 100.0, "clock": 12.0, "inch": 48.0, "fitting": 90.0, "other": 1e9, "year": 2100.0}
# So near, on from a sentence to the next, a number still speaks of the same thing.
NEAR_MS: Milliseconds = 6_000
# What stands between a number and its echo; the second set makes another value a correction.
LINKS = frozenset(
    (
        ", . ... … ? ! - 's 'd 'm and so say i would that's that is it's it there the about around round over"
        " to clear and a bit"
        " at up now then well really really like what the most best this here um in"
    ).split()
)
CORRECTS = frozenset(
    "no or maybe call make yeah yes even worst deepest more lied rather sorry nearly".split()
)
# Words before a number that make it a place, whatever was counted before.
PLACES_IT = frozenset("at near hit mark past from".split())
_ONE_MORE = {
    tuple(f"{link} {one} at".split())
    for link in (",", "and", ", and")
    for one in ("one", "another", "the other")
}
# What joins two numbers to one span.
_ONE_SPAN = {(",",), ("or",), ("to",), (",", "or"), (",", "maybe")}
# Longest gap, in tokens, between a number and its echo.
GAP = 10
# A sum of money is at least this, where it is told beside a smaller number ("six to ten thousand").
LARGE = 500


def settle_kinds(sentences: Sequence[Sentence]) -> list[list[Quantity]]:
    """The quantities of each sentence; a bare number that goes on with another kind is of that kind."""
    found = [find_quantities(sentence) for sentence in sentences]
    money = -2
    for k, sentence in enumerate(sentences):
        found[k] = _within(sentence, found[k])
        if "money" in talk.kinds(sentence):
            money = k
        if k - money <= 1:
            found[k] = _no_money(sentence, found[k])
        if k and found[k] and sentence.start_ms - sentences[k - 1].end_ms <= NEAR_MS:
            found[k] = _told_on(sentence, found[k], sentences[k - 1], found[k - 1])
    for k in range(len(sentences) - 2, -1, -1):
        if found[k + 1] and sentences[k + 1].start_ms - sentences[k].end_ms <= NEAR_MS:
            found[k] = _told_ahead(sentences[k], found[k], found[k + 1][0])
    return found


def _is_bare(q: Quantity) -> bool:
    return q.kind == "bare" and q.signed is None and q.form not in ("ordinal", "fraction", "one")


def _placed(sentence: Sentence, q: Quantity) -> bool:
    return q.start > 0 and sentence.lowers[q.start - 1] in PLACES_IT


def _within(sentence: Sentence, quantities: list[Quantity]) -> list[Quantity]:
    settled = list(quantities)
    for i, q in enumerate(settled):
        if _is_bare(q) and i and _one_more_hour(sentence, settled[:i], q):
            settled[i] = replace(q, kind="clock")
        if _is_bare(q) and _of_a_sum(sentence, q, settled[i + 1 : i + 2]):
            settled[i] = replace(q, kind="other")
            continue
        if not _is_bare(q) or _placed(sentence, q):
            continue
        if i and settled[i - 1].end <= q.start:
            settled[i] = _after(settled[i - 1], q, sentence, sentence.lowers[settled[i - 1].end : q.start])
        if settled[i].kind == "bare" and i + 1 < len(settled):
            settled[i] = _before(sentence, q, settled[i + 1])
    return settled


def _of_a_sum(sentence: Sentence, q: Quantity, after: list[Quantity]) -> bool:
    """ "From six to ten thousand": the end of a range that no cable is as long as."""
    if not after or after[0].kind not in ("bare", "other") or after[0].value < LARGE:
        return False
    return sentence.lowers[q.end : after[0].start] in _ONE_SPAN


def _one_more_hour(sentence: Sentence, before: list[Quantity], q: Quantity) -> bool:
    """ "One at nine o'clock, one at three": of two that are told one by one, both are told by the hour."""
    told = [p for p in before if p.form != "one"]
    if not told or told[-1].kind != "clock" or q.value > MOST["clock"]:
        return False
    return sentence.lowers[told[-1].end : q.start] in _ONE_MORE


def _after(p: Quantity, q: Quantity, sentence: Sentence, gap: Sequence[str]) -> Quantity:
    """The number `q` after `p`, with only links in `gap` between them if it goes on with it."""
    words = set(gap)
    if is_length(sentence, p) and 0 <= q.value - p.value < 1.5:
        return replace(q, kind="other")
    if p.value >= LARGE and p.value in (10 * q.value, 100 * q.value, 1000 * q.value):
        # "three and a half thousand for a dig like that, three and a half"
        return replace(q, kind="other")
    if len(gap) > GAP or not words <= LINKS | CORRECTS | {"too", "much"}:
        return q
    if p.kind not in MOST or q.value > MOST[p.kind]:
        return q
    if p.value == q.value:
        return replace(q, kind=p.kind)
    if p.kind == "clock":
        return replace(q, kind="clock") if q.value == int(q.value) else q
    if p.kind == "percent":
        if words & CORRECTS:
            return replace(q, kind="percent")
        return replace(q, doubtful=q.value % 5 == 0 and p.value % 5 == 0)
    if p.kind == "inch":
        return replace(q, kind="inch") if abs(q.value - p.value) <= 1 or words & CORRECTS else q
    return q


def _before(sentence: Sentence, q: Quantity, n: Quantity) -> Quantity:
    """The number `q` before `n`, where the words between make them one: "two, three wipes"."""
    gap = sentence.lowers[q.end : n.start]
    counts = n.end < len(sentence.tokens) and any(
        hit.start == n.end and hit.entry.section == "feature" for hit in sentence.hits
    )
    few = n.kind == "bare" and n.value - q.value == 1 and n.value <= MOST["clock"] and counts
    if few and gap in _ONE_SPAN:
        return replace(q, kind="other")
    if n.kind not in MOST or gap not in _ONE_SPAN:
        return q
    near = 0 < n.value - q.value <= 2 and n.kind in ("clock", "other")
    if n.value == q.value or near:
        return replace(q, kind=n.kind)
    return q


def _no_money(sentence: Sentence, quantities: list[Quantity]) -> list[Quantity]:
    """Of a price asked or told, and in the sentence after it, a bare number is money."""
    if any(hit.entry.section in ("feature", "material") for hit in sentence.hits):
        return quantities
    return [replace(q, kind="other") if _is_bare(q) and not _placed(sentence, q) else q for q in quantities]


def _told_on(
    sentence: Sentence, quantities: list[Quantity], before: Sentence, told_before: list[Quantity]
) -> list[Quantity]:
    """The numbers of a sentence that only says again, or better, the last number of the one before."""
    bare = [i for i, q in enumerate(quantities) if _is_bare(q) and not _placed(sentence, q)]
    p = _amount(before, told_before) or (told_before[-1] if told_before else None)
    if p is None or not bare or bare[0] != 0 or p.value <= 0:
        return quantities
    told = list(quantities)
    first = told[0]
    lead, rest = sentence.lowers[: first.start], set(sentence.lowers) - {"."}
    if not set(lead) <= LINKS | CORRECTS:
        return quantities
    if is_length(before, p):
        if 0 <= first.value - p.value < 1.5:
            told[0] = replace(first, kind="other")
        return told
    if p.kind not in MOST or any(told[i].value > MOST[p.kind] for i in bare):
        return told
    again = any(told[i].value == p.value for i in bare)
    alone = all(
        token.is_punct or token.lower in LINKS | CORRECTS or any(q.start <= i < q.end for q in told)
        for i, token in enumerate(sentence.tokens)
    )
    if p.kind in ("percent", "clock", "inch"):
        again |= alone and p.kind == "inch" and abs(first.value - p.value) <= 1
        if again or (rest & CORRECTS and (alone or set(lead) & CORRECTS)):
            return [replace(q, kind=p.kind) if i in bare else q for i, q in enumerate(told)]
        if alone:
            return [replace(q, doubtful=True) if i in bare else q for i, q in enumerate(told)]
    elif again and alone:
        told = [replace(q, kind="other") if i in bare else q for i, q in enumerate(told)]
    return told


def _amount(sentence: Sentence, quantities: list[Quantity]) -> Quantity | None:
    """An amount told in words ("half full") as percent, if no number comes after it."""
    hits = [hit for hit in sentence.hits if hit.entry.section == "amount"]
    if not hits or any(q.start >= hits[-1].end for q in quantities):
        return None
    percent = float(hits[-1].entry["percent"])
    return Quantity("percent", percent, percent, percent, hits[-1].start, hits[-1].end)


def _told_ahead(sentence: Sentence, quantities: list[Quantity], n: Quantity) -> list[Quantity]:
    """ "Forty. Forty percent.": a number alone takes the kind that the next sentence gives it."""
    if len(quantities) != 1 or not _is_bare(quantities[0]) or _placed(sentence, quantities[0]):
        return quantities
    q = quantities[0]
    others = set(sentence.lowers[: q.start] + sentence.lowers[q.end :])
    if n.kind in MOST and n.value == q.value and others <= LINKS | CORRECTS:
        return [replace(q, kind=n.kind)]
    return quantities
