"""The things a sentence names: features and materials, the nearer word first."""

from __future__ import annotations

from dataclasses import dataclass

from narrate2log.reading.language import Sentence
from narrate2log.wording.lexicon import Entry, Hit

# How near, in tokens, a feature must be to one that it would only repeat ("saddle", "wye").
COVER_REACH = 8


@dataclass(frozen=True, slots=True)
class Thing:
    """A feature named on tokens `start` to `end`; for a material, `material` is its key.

    `loose`: the word may stand for any material of its family ("plastic").
    """

    feature: str
    start: int
    end: int
    phrase: str
    entry: Entry
    material: str | None = None
    loose: bool = False


def _in_a_name(sentence: Sentence, hit: Hit) -> bool:
    """Whether the words are part of a street's or a person's name: capitals inside a sentence."""
    words = [t for t in sentence.tokens[hit.start : hit.end] if not t.is_punct]
    return (
        hit.start > 0
        and not sentence.tokens[hit.start - 1].is_punct
        and bool(words)
        and all(t.capital for t in words)
    )


def _clash(a: Hit, b: Hit) -> bool:
    """Whether only one of two hits can stand.

    What advice is about may stand inside the advice, and where a run starts inside the start.
    """
    if "start" in (a.entry["key"], b.entry["key"]) and "landmark" in (a.entry["kind"], b.entry["kind"]):
        return False
    around = (a.entry["kind"] == "note") != (b.entry["kind"] == "note") and ".." in a.phrase + b.phrase
    return a.start < b.end and b.start < a.end and not around


def _hides(a: Hit, b: Hit) -> bool:
    """Whether `a` lies over `b` and covers it ("city connection" over "connection on the right")."""
    covers = a.entry["covers"] or ()
    return a.start < b.end and b.start < a.end and b.entry["key"] in covers


def _said_words(hit: Hit) -> int:
    """How many words a hit says, the words in its gaps not counted."""
    if ".." not in hit.phrase:
        return hit.end - hit.start
    return min(hit.end - hit.start, sum(slot != ".." for slot in hit.phrase.split()))


def _alone(sentence: Sentence, hit: Hit) -> bool:
    """Whether the words are the whole sentence, or its head before a comma."""
    lead = {"okay", "and", "so", "now", "alright", "right", ",", "well", "then"}
    opens = all(word in lead for word in sentence.lowers[: hit.start])
    return opens and (hit.end == len(sentence.tokens) or sentence.tokens[hit.end].is_punct)


def _listed(sentence: Sentence, a: Hit, b: Hit) -> bool:
    """Whether the two stand side by side in a list, and so are two things."""
    return bool({",", "or", "and"} & set(sentence.lowers[min(a.end, b.end) : max(a.start, b.start)]))


def _near(a: Hit, b: Hit) -> bool:
    return max(a.start, b.start) - min(a.end, b.end) <= COVER_REACH


def name_things(sentence: Sentence) -> list[Thing]:
    """Features and materials in order of place. Of overlapping ones the longest stays.

    A feature that another one covers (`covers` in the lexicon) is dropped in the same clause.
    """
    hits = [
        h
        for h in sentence.hits
        if h.entry.section in ("feature", "material")
        and h.list in ("say", "weak", "loose", "alone")
        and (h.list != "alone" or _alone(sentence, h))
        and not _in_a_name(sentence, h)
    ]
    hits = [h for h in hits if not any(_hides(other, h) for other in hits)]
    hits.sort(key=lambda hit: (-_said_words(hit), hit.list == "weak", hit.start))
    kept: list[Hit] = []
    for hit in hits:
        if not any(_clash(hit, other) for other in kept):
            kept.append(hit)
    clauses = sentence.clauses
    covered = {
        id(hit)
        for hit in kept
        for other in kept
        if hit.entry["key"] in (other.entry["covers"] or ())
        and (clauses[hit.start] == clauses[other.start] or hit.entry["kind"] == "landmark")
        and _near(hit, other)
        and (hit.entry["kind"] == "landmark" or not _listed(sentence, hit, other))
    }
    kept = sorted((hit for hit in kept if id(hit) not in covered), key=lambda hit: hit.start)
    return [
        Thing(
            "material" if hit.entry.section == "material" else hit.entry["key"],
            hit.start,
            hit.end,
            hit.phrase,
            hit.entry,
            hit.entry["key"] if hit.entry.section == "material" else None,
            hit.list == "loose",
        )
        for hit in kept
        if hit.list in ("say", "loose", "alone") or _material_stands(sentence, hit)
    ]


# Words beside a weak material word ("concrete", "tile") that make it the pipe's.
_CHANGE = frozenset(
    (
        "change transition switch become into goes going to it is this that now from here pipe inch "
        "first piece back starts concrete still line run"
    ).split()
)


def _material_stands(sentence: Sentence, hit: Hit) -> bool:
    """Whether a weak word is the pipe's material: a size or a change beside it, or it stands alone."""
    folds = sentence.folds
    before = folds[max(0, hit.start - 3) : hit.start]
    after = folds[hit.end : hit.end + 3]
    if any(word in ("on", "in", "of", "hard", "hardened") for word in before[-1:]):
        return before[-1] == "in" and "back" in folds[: hit.start]
    if after[:1] and after[0] in (
        "on",
        "in",
        "along",
        "build",
        "driveway",
        "slab",
        "patio",
        "floor",
        "wall",
        "manhole",
    ):
        return False
    if hit.start == 0 and hit.end < len(sentence.tokens) and sentence.tokens[hit.end].is_punct:
        return True
    alone = len([f for f in folds if f.isalnum()]) <= hit.end - hit.start + 1
    return (
        alone
        or any(w in _CHANGE for w in before)
        or any(w in ("pipe", "from", "line", "here") for w in after)
    )
