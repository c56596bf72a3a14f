"""Footages said, and what they bind: the camera now, something behind it, a length, or elsewhere."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from narrate2log.reading.language import LINKS, Sentence
from narrate2log.reading.quantities import Quantity, is_length
from narrate2log.records import SpokenPlace
from narrate2log.units import LengthUnit, Millimetres, length_to_mm

# A cable reel holds less than this, in feet; a larger number is no footage.
LONGEST_FT = 500.0
# A rod is moved back or on by so much for another look, feet or metres; further is a footage.
MOST_MOVED = 10
LAST_HOUR = 12
AT = frozenset(
    (
        "at around about approximately roughly past hit hitting near read reads says reading like on mark "
        "starts start starting ends end ended call say from to till until through it's is was by "
        "passing of out over"
    ).split()
)
STRONG_AT = frozenset(["at", "around", "about", "approximately", "roughly", "hit", "mark", "near"])
BEFORE_LENGTH = frozenset(
    (
        "next another every each last for runs run goes go lasts covers couple missed missing skipped lost"
    ).split()
)
# What is moved by so much, and reaches no such place: "backing off two feet", "came back a foot".
MOVED_BY = frozenset("off back up down in out".split())
MOVES = frozenset(
    "back backing backed pull pulling pulled push pushing pushed move moved come came go".split()
)
ASIDE = frozenset(["this", "off", "from", "shy", "short", "before", "away", "past", "to"])
TAKEN_BACK = frozenset("no rather mean saying wait scratch correction strike make sorry".split())
# Words between a number and the one that takes its place ("nine feet, no, what am I saying, thirteen").
LONGEST_REPAIR = 9


@dataclass(frozen=True, slots=True)
class Said:
    """A footage on tokens `start` to `end`: a place, the far end of a stretch, or a length."""

    what: Literal["place", "end", "length"]
    place: SpokenPlace
    start: int
    end: int


def _mm(q: Quantity, value: float, unit: LengthUnit) -> Millimetres:
    return length_to_mm(value, "m" if q.kind == "metre" else "ft" if q.kind == "foot" else unit)


def _skip_back(lowers: tuple[str, ...], i: int) -> int:
    while i >= 0 and lowers[i] in (
        "about",
        "like",
        "maybe",
        "just",
        "probably",
        "around",
        "roughly",
        "say",
        "uh",
        "another",
        "over",
    ):
        i -= 1
    return i


def _fragment(sentence: Sentence, q: Quantity, thing_starts: set[int]) -> bool:
    """Whether the number stands by itself between pauses: "Forty one, roots", "roots, forty one"."""
    lowers = sentence.lowers
    i = q.start - 1
    while i >= 0 and lowers[i] in LINKS | {"here", "that", "that's", "yep", "yes", "uh", "right", "alright"}:
        i -= 1
    opens = i < 0 or sentence.tokens[i].is_punct
    closes = (
        q.end == len(lowers)
        or sentence.tokens[q.end].is_punct
        or lowers[q.end] in ("or", "and", "there", "here", "now", "feet", "even", "flat", "exactly", "ish")
        or (
            opens and q.start == 0 and q.end < len(lowers) and lowers[q.end] in ("was", "is", "has", "that's")
        )
    )
    return opens and (closes or (q.start == 0 and q.end in thing_starts))


def _classify(
    sentence: Sentence, q: Quantity, thing_starts: set[int]
) -> Literal["place", "length", "behind", "ahead", "aside"] | None:
    lowers, folds = sentence.lowers, sentence.folds
    after = folds[q.end] if q.end < len(folds) else ""
    after2 = folds[q.end + 1] if q.end + 1 < len(folds) else ""
    i = _skip_back(lowers, q.start - 1)
    before = folds[i] if i >= 0 else ""
    direct = folds[q.start - 1] if q.start else ""
    if before == "on" and i and folds[max(0, i - 2) : i] in (("coming", "up"), ("come", "up")):
        return "ahead"
    if q.kind in ("foot", "metre"):
        if after in ("back", "ago") or (after == "behind" and after2 in ("u", "us", "me")):
            return "behind"
        if before in BEFORE_LENGTH or is_length(sentence, q):
            return "length"
        if after == "to" and any(n.start == q.end + 1 for n in sentence.numbers):
            return "place"
        if (
            after in ASIDE
            and not (after == "to" and after2 in ("the", "manhole", "city"))
            and after != "from"
        ):
            return "aside"
        if after == "from" and after2 == "the":
            return "aside"
        if (q.value < 1.5 or lowers[q.start] in ("a", "an")) and direct not in STRONG_AT:
            return "length"
        moved = direct in MOVED_BY and (direct == "back" or folds[max(0, q.start - 2)] in MOVES)
        return "aside" if moved and q.value <= MOST_MOVED else "place"
    if q.form in ("fraction", "ordinal", "year") or q.signed or q.value <= 0:
        return None
    if _is_hour(sentence, q, thing_starts) or _in_an_address(sentence, q):
        return None
    if q.form == "one" and direct not in STRONG_AT:
        return None
    if before in ("for", "every", "each", "next"):
        return None
    if direct in STRONG_AT or (
        before in AT
        and before not in ("of", "it's", "is", "like", "on", "over", "out", "was", "by")
        and (
            q.end == len(lowers)
            or sentence.tokens[q.end].is_punct
            or after
            in (
                "to",
                "and",
                "till",
                "until",
                "or",
                "it",
                "i",
                "on",
                "there",
                "here",
                "then",
                "we",
                "the",
                "now",
                "feet",
                "so",
                "with",
                "where",
                "that",
            )
        )
    ):
        return "place"
    if _fragment(sentence, q, thing_starts):
        return "place"
    if (
        before in ("is", "was", "on", "over", "out", "read", "it's", "it")
        and (q.end == len(lowers) or sentence.tokens[q.end].is_punct)
        and any(w in folds for w in ("counter", "footage", "foot", "mark"))
    ):
        return "place"
    return None


def _is_hour(sentence: Sentence, q: Quantity, thing_starts: set[int]) -> bool:
    """Whether the number is a time of day: "ten past nine", "I'm here till four"."""
    lowers = sentence.lowers
    past = [n for n in sentence.numbers if lowers[q.end : q.end + 1] == ("past",) and n.start == q.end + 1]
    past += [n for n in sentence.numbers if n.end == q.start - 1 and lowers[q.start - 1] == "past"]
    until = q.start > 0 and lowers[q.start - 1] in ("till", "until", "by") and not thing_starts
    return q.value <= LAST_HOUR and bool(past or until)


def _in_an_address(sentence: Sentence, q: Quantity) -> bool:
    """Whether a name follows, capitals that the lexicon does not know, or another number: "44 21"."""
    if any(n.start == q.end or n.end == q.start for n in sentence.numbers):
        return True
    if q.end >= len(sentence.tokens) or not sentence.tokens[q.end].capital:
        return False
    return not any(hit.start <= q.end < hit.end for hit in sentence.hits)


def _is_bare(sentence: Sentence, q: Quantity, things: set[int]) -> bool:
    """Whether nothing but its place in the talk makes a number a footage: no unit, no thing, no "at"."""
    if q.kind != "bare":
        return False
    at = q.start > 0 and sentence.folds[q.start - 1] in AT and q.value > LAST_HOUR
    return q.doubtful or not (at or things)


_UP_TO = (("to",), ("through",), ("till",), ("until",), ("up", "to"), ("out", "to"), ("-",))


def _begins_stretch(sentence: Sentence, quantities: list[Quantity], i: int, used: set[int]) -> bool:
    """Whether a bare number and the next are the ends of a stretch: "thirty to fifty five"."""
    if i + 1 >= len(quantities) or i + 1 in used:
        return False
    a, b = quantities[i], quantities[i + 1]
    whole = a.kind == "bare" and a.form in ("integer", "mixed", "decimal") and not a.signed and not b.signed
    return (
        whole
        and b.kind in ("bare", "foot", "metre")
        and b.value > a.value + 0.9
        and sentence.lowers[a.end : b.start] in _UP_TO
    )


def find_places(
    sentence: Sentence,
    quantities: list[Quantity],
    used: set[int],
    unit: LengthUnit,
    elsewhere: bool,
    thing_starts: set[int],
) -> list[Said]:
    """The footages of a sentence that are not used up by something else, corrected ones dropped."""
    found: list[Said] = []
    previous: tuple[Quantity, int] | None = None
    for i, q in enumerate(quantities):
        if i in used or q.kind not in ("foot", "metre", "bare"):
            continue
        span = sentence.lowers[previous[0].end : q.start] if previous else ()
        stretch = bool(previous) and span in _UP_TO
        role = _classify(sentence, q, thing_starts)
        if role is None and _begins_stretch(sentence, quantities, i, used):
            role = "place"
        if role is None and stretch:
            role = "place"
        if (
            role is None
            and found
            and previous
            and set(span) & TAKEN_BACK
            and len(span) < LONGEST_REPAIR
            and q.kind == "bare"
            and not q.signed
            and q.value > 0
        ):
            role = "place"
        if role is None or role == "aside":
            continue
        if length_to_mm(q.value, "ft") > length_to_mm(LONGEST_FT, "ft"):
            continue
        relation: Literal["here", "ahead", "behind", "elsewhere"] = (
            "elsewhere" if elsewhere else role if role in ("behind", "ahead") else "here"
        )
        place = SpokenPlace(
            _mm(q, q.low, unit),
            _mm(q, q.high, unit),
            relation,
            sentence.times[q.start][0],
            sentence.index,
            bare=_is_bare(sentence, q, thing_starts),
        )
        if role == "length":
            found.append(Said("length", place, q.start, q.end))
            continue
        if (
            found
            and previous
            and set(span) & TAKEN_BACK
            and len(span) <= LONGEST_REPAIR
            and found[-1].what == "place"
        ):
            found[-1] = Said("place", place, q.start, q.end)
        elif stretch and found and found[-1].what == "place":
            # told of as a whole, so the camera is at neither end for certain
            first = found[-1]
            apart = SpokenPlace(
                first.place.low_mm, first.place.high_mm, "elsewhere", first.place.time_ms, sentence.index
            )
            found[-1] = Said("place", apart, first.start, first.end)
            far = SpokenPlace(place.low_mm, place.high_mm, "elsewhere", place.time_ms, sentence.index)
            found.append(Said("end", far, q.start, q.end))
        else:
            found.append(Said("place", place, q.start, q.end))
        previous = (q, i)
    return found
