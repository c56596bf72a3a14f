"""What a number counts: feet, metres, inches, percent, degrees, inches per foot, seconds,
or nothing of the pipe's.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from narrate2log.reading.language import Sentence
from narrate2log.reading.numbers import PARTS, Number
from narrate2log.units import S_PER_MINUTE, mm_to_inches
from narrate2log.wording.lexicon import Hit

Kind = Literal[
    "foot",
    "metre",
    "inch",
    "percent",
    "degree",
    "in/ft",
    "clock",
    "bare",
    "fitting",
    "year",
    "ordinal",
    "other",
    "second",
    "size",
]

# Units that are counted in others: how many of them, and which.
LONE_UNITS: dict[str, tuple[float, Kind]] = {"yard": (3.0, "foot"), "minute": (S_PER_MINUTE, "second")}
FITTING_ANGLES = frozenset({45, 90, 22.5, 11.25})


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with its kind on tokens `start` to `end`; `low` and `high` differ for a range."""

    kind: Kind
    value: float
    low: float
    high: float
    start: int
    end: int
    signed: int | None = None
    singular: bool = False
    form: str = "integer"


def _units(sentence: Sentence) -> tuple[dict[int, list[Hit]], dict[int, list[Hit]]]:
    """Unit words by where they start, and words before a number by where they end."""
    after: dict[int, list[Hit]] = {}
    before: dict[int, list[Hit]] = {}
    for hit in sentence.hits:
        if hit.entry.section == "unit":
            if hit.list == "before":
                before.setdefault(hit.end, []).append(hit)
            else:
                after.setdefault(hit.start, []).append(hit)
    return after, before


def _unit_at(after: dict[int, list[Hit]], at: int) -> Hit | None:
    """The longest unit word at a token."""
    return max(after.get(at, ()), key=lambda hit: hit.end, default=None)


def _alone(lowers: tuple[str, ...], i: int) -> float | None:
    """The inch or foot count in "an inch", "a good inch", "inch": 1, if token `i` is such a unit word."""
    if i and lowers[i - 1] in ("a", "an", "one", "good", "about", "maybe", "full", "solid", "whole"):
        return 1.0
    return None


def _half_after(lowers: tuple[str, ...], i: int) -> tuple[float, int]:
    """ "and a half", "and a quarter", "and three quarters" after a unit word: value and end."""
    if i + 2 < len(lowers) and lowers[i] == "and":
        if lowers[i + 1] in ("a", "an") and lowers[i + 2] in PARTS:
            return 1 / PARTS[lowers[i + 2]], i + 3
        if lowers[i + 1] == "three" and lowers[i + 2] in ("quarters", "eighths"):
            return 3 / PARTS[lowers[i + 2]], i + 3
    return 0.0, i


def _simple(
    sentence: Sentence, number: Number, after: dict[int, list[Hit]], before: dict[int, list[Hit]]
) -> Quantity:
    lowers = sentence.lowers
    end = number.end

    def make(kind: Kind, value: float, stop: int, singular: bool = False) -> Quantity:
        return Quantity(kind, value, value, value, number.start, stop, number.signed, singular, number.form)

    if number.form == "year":
        return make("year", number.value, end)
    unit = _unit_at(after, end)
    if unit is None and number.form == "fraction" and lowers[end : end + 2] in (("of", "an"), ("of", "a")):
        unit = _unit_at(after, end + 2)
    if unit is None and end < len(lowers) and lowers[end] == ",":
        apart = _unit_at(after, end + 1)
        unit = apart if apart is not None and apart.entry["kind"] == "per-foot" else None
    if unit is None and number.form == "fraction" and end < len(lowers) and lowers[end] in ("an", "a"):
        unit = _unit_at(after, end + 1)
    if unit is None and end + 2 < len(lowers) and lowers[end : end + 2] == ("or", "so"):
        unit = _unit_at(after, end + 2)
    if unit is not None:
        kind = unit.entry["kind"]
        singular = lowers[unit.end - 1] in ("inch", "foot", "metre", "meter", '"')
        if kind == "fitting" and (number.value not in FITTING_ANGLES or number.form == "ordinal"):
            return make("ordinal" if number.form == "ordinal" else "bare", number.value, end)
        if kind == "fitting":
            return make("fitting", number.value, unit.end)
        if number.form == "ordinal":
            return make("ordinal", number.value, end)
        if kind == "inch":
            rate = _unit_at(after, unit.end)
            if rate is not None and rate.entry["kind"] == "per-foot":
                return make("in/ft", number.value, rate.end)
            more, stop = _half_after(lowers, unit.end)
            return make("inch", number.value + more, stop, singular and not more)
        if kind == "per-foot":
            bare_foot = sentence.lowers[unit.start : unit.end] in (("a", "foot"),)
            if bare_foot and number.value == 0.5:
                # "half a foot" is a length, and of something a depth
                deep = lowers[unit.end : unit.end + 1] == ("of",)
                return make("inch" if deep else "other", 12 * number.value, unit.end)
            if not bare_foot or number.form == "fraction":
                return make("in/ft", number.value, unit.end)
        if kind == "yard":
            return make("foot", 3 * number.value, unit.end)
        if kind == "millimetre":
            return make("size", mm_to_inches(number.value), unit.end)
        if kind in ("foot", "metre"):
            more, stop = _half_after(lowers, unit.end)
            inches = _inches_after(sentence, unit.end, after) if kind == "foot" else None
            if inches is not None:
                return make("foot", number.value + inches[0] / 12, inches[1])
            return make(kind, number.value + more, stop, singular)
        if kind == "minute":
            more, stop = _half_after(lowers, unit.end)
            return make("second", S_PER_MINUTE * (number.value + more), stop)
        if kind in ("percent", "degree", "clock", "second"):
            return make(kind, number.value, unit.end)
        return make("other", number.value, unit.end)
    if number.form == "ordinal":
        return make("ordinal", number.value, end)
    if any(hit.entry["kind"] == "other" for hit in before.get(number.start, ())):
        return make("other", number.value, end)
    if number.value in FITTING_ANGLES and any(
        hit.entry["kind"] == "fitting" for hit in before.get(number.start, ())
    ):
        return make("fitting", number.value, end)
    return make("bare", number.value, end)


def _inches_after(sentence: Sentence, i: int, after: dict[int, list[Hit]]) -> tuple[float, int] | None:
    """The inches of "five foot two", "eleven foot and nine inches", "thirty three foot and an inch"."""
    lowers = sentence.lowers
    step = i + 1 if i < len(lowers) and lowers[i] == "and" else i
    for number in sentence.numbers:
        if number.start == step and number.value < 12 and number.form in ("integer", "one", "mixed"):
            unit = _unit_at(after, number.end)
            if unit is not None and unit.entry["kind"] == "inch":
                return number.value, unit.end
            if unit is None and step == i and lowers[i - 1] in ("foot", "'"):
                return number.value, number.end
    if lowers[step : step + 2] == ("an", "inch"):
        return 1.0, step + 2
    return None


def _lone_units(sentence: Sentence, taken: set[int], after: dict[int, list[Hit]]) -> list[Quantity]:
    """ "an inch of water", "inch and a half", "a foot and a half": a unit word with no number before it."""
    lowers = sentence.lowers
    found = []
    for start, hits in after.items():
        unit = max(hits, key=lambda hit: hit.end)
        kind = unit.entry["kind"]
        if (
            kind not in ("inch", "foot", "metre", "yard", "minute")
            or start in taken
            or lowers[start] in ("'", '"', "m")
        ):
            continue
        one = _alone(lowers, start)
        more, stop = _half_after(lowers, start + 1)
        # "wait a minute" measures nothing
        if not more and (one is None or kind == "minute"):
            continue
        rate = _unit_at(after, start + 1)
        first = start - 1 if one is not None else start
        value = 1.0 + more
        if rate is not None and rate.entry["kind"] == "per-foot":
            found.append(Quantity("in/ft", value, value, value, first, rate.end))
            continue
        scale, name = LONE_UNITS.get(kind, (1.0, kind))
        found.append(Quantity(name, value * scale, value * scale, value * scale, first, stop))
    return found


def find_quantities(sentence: Sentence) -> list[Quantity]:
    """The quantities of a sentence, left to right. Ranges ("thirty, thirty one feet") are one."""
    after, before = _units(sentence)
    found: list[Quantity] = []
    for number in sentence.numbers:
        if found and number.start < found[-1].end:
            continue
        found.append(_simple(sentence, number, after, before))
    taken = {i for quantity in found for i in range(quantity.start, quantity.end)}
    found += _lone_units(sentence, taken, after)
    found.sort(key=lambda quantity: quantity.start)
    # an inch phrase swallows the bare half that its number would have left behind
    found = [
        q
        for i, q in enumerate(found)
        if not any(
            o is not q and o.start <= q.start and q.end <= o.end and (o.end - o.start) > (q.end - q.start)
            for o in found
        )
    ]
    return _ranges(sentence, found)


_RANGE_LINKS = {
    ("to",),
    ("or",),
    (",",),
    (",", "maybe"),
    (",", "or"),
    ("-",),
    (",", "call", "it"),
    ("and",),
    ("through",),
    ("or", "maybe"),
}


def _ranges(sentence: Sentence, found: list[Quantity]) -> list[Quantity]:
    """A bare number and a near, larger one of a kind right after it are the two ends of one range."""
    joined: list[Quantity] = []
    for quantity in found:
        if joined:
            last = joined[-1]
            link = sentence.lowers[last.end : quantity.start]
            plain_series = link == (",",) and last.value < 10
            same = (
                not plain_series
                and last.signed is None
                and quantity.signed is None
                and last.kind in ("bare", quantity.kind)
                and quantity.kind in ("foot", "metre", "bare", "inch", "percent")
            )
            close = 0 < quantity.value - last.value <= max(1.0, 0.12 * quantity.value)
            if link in (("to",), ("or",), ("-",)):
                close = 0 < quantity.value - last.value <= max(
                    1.0, 0.34 * quantity.value
                ) and quantity.kind in ("foot", "metre", "inch")
            placed = (
                last.start
                and sentence.lowers[last.start - 1] == "at"
                and quantity.kind in ("percent", "inch")
            )
            if placed or (last.start and sentence.lowers[last.start - 1] == "from"):
                close = False
            if link in (("and",), ("to",), ("through",)) and quantity.kind == "bare":
                close = False
            if same and close and link in _RANGE_LINKS and last.low == last.high:
                middle = (last.value + quantity.value) / 2
                joined[-1] = replace(
                    quantity, value=middle, low=last.value, high=quantity.value, start=last.start
                )
                continue
        joined.append(quantity)
    return joined
