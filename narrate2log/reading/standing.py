"""Whether a named thing is seen, possible, not seen, or only told by somebody: scope rules.

The cues and how far they reach are data (`lexicon/standing.toml`). Of several that reach a thing,
"no finding at all" wins over hearsay, hearsay over denial, denial over doubt.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from narrate2log.reading.language import Sentence
from narrate2log.reading.things import Thing
from narrate2log.wording.lexicon import Hit

# Tokens between a cue and the thing it speaks of. A denial may run through a list, a doubt may
# not jump far; hearsay governs all that follows it. Chosen on tests/reading/sentences/standing.txt.
REACH = {"denied": 7, "hedged": 6, "reported": 40, "nothing": 14, "affirmed": 40}
# Between "maybe" and the thing these turn the doubt to a place, an amount or a cause.
_TURNS_AWAY = frozenset("after from foot % because inch since percent due about at".split())
# What a doubt after the thing may be followed by and still speak of it.
_END = frozenset({",", ".", "?", "!", "...", ";", "but", "or", "though", "here", "there", "in"})


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the cues say of one thing. `cue` is the phrase that decided, for the record."""

    effect: str | None
    cue: str | None = None
    start: int = -1


def _list_only(sentence: Sentence, start: int, end: int, things: list[Thing]) -> bool:
    """Whether tokens `start` to `end` hold only things, links of a list, and words that go with them."""
    inside = {i for t in things for i in range(t.start, t.end)}
    links = {
        ",",
        "or",
        "and",
        "any",
        "no",
        "nor",
        "a",
        "an",
        "not",
        "of",
        "in",
        "kind",
        "other",
        "big",
        "major",
        "sign",
    }
    return all(i in inside or sentence.lowers[i] in links for i in range(start, end))


# What links the members of a denied list; "a" does not: "no roots, a crack" finds the crack.
_LISTS = frozenset({",", "or", "and", "any", "no", "nor", "other"})


def _in_a_list(sentence: Sentence, hit: Hit, start: int, things: list[Thing]) -> bool:
    """ "Didn't see any collapse, any cracks": the first thing is denied, and what is listed after it too."""
    first = min((t for t in things if t.start >= hit.end), key=lambda t: t.start, default=None)
    if first is None or first.start - hit.end > REACH["denied"] or first.end > start:
        return False
    lowers = sentence.lowers
    if "," in lowers[hit.end : first.start]:
        return False
    inside = {i for t in things for i in range(t.start, t.end)}
    return all(
        # an unknown thing may stand in the list ("any collapse, any bugs, any cracks")
        i in inside or lowers[i] in _LISTS or lowers[i - 1] in ("any", "no", "or")
        for i in range(first.end, start)
    )


# With these the narrator turns from what was told to what the camera shows.
_CAMERA_NOW = (
    "but",
    ", i",
    "i do",
    "sure enough",
    "here is",
    "what we have",
    "what i have",
    "i see",
    "i have not",
    "what i see",
    "and there is",
    "well there is",
)
# Two of these that reach one thing cancel each other ("there isn't a joint without roots").
_LACKS = ("without", "free of", "clear of", "devoid", "free from")


def _forward(sentence: Sentence, hit: Hit, start: int, things: list[Thing]) -> bool:
    if hit.end > start:
        return False
    effect = hit.entry["effect"]
    clauses = sentence.clauses
    same = clauses[hit.start] == clauses[start] or clauses[hit.end - 1] == clauses[start]
    gap = start - hit.end
    if effect == "reported":
        # hearsay runs on through "and" but not past "but" or a new "I"
        said_between = " ".join(sentence.folds[hit.end : start])
        return not any(f" {turn} " in f" {said_between} " for turn in _CAMERA_NOW)
    if effect == "denied":
        if same and gap <= REACH["denied"] and "," not in sentence.lowers[hit.end : start]:
            return True
        listed = _list_only(sentence, hit.end, start, things) or _in_a_list(sentence, hit, start, things)
        return gap <= 24 and listed
    if effect == "hedged":
        between = sentence.folds[hit.end : start]
        turned = any(w in _TURNS_AWAY for w in between) or any(
            hit.end <= n.start < start and n.form != "one" for n in sentence.numbers
        )
        return same and gap <= REACH["hedged"] and not turned
    return same and gap <= REACH[effect]


def _backward(sentence: Sentence, hit: Hit, start: int, end: int, things: list[Thing]) -> bool:
    if hit.start < end:
        return False
    effect = hit.entry["effect"]
    gap = hit.start - end
    between = sentence.lowers[end : hit.start]
    if effect == "reported":
        return gap <= 14
    later = any(end <= t.start < hit.start for t in things)
    if later or "but" in between[:-1]:
        return False
    clauses = sentence.clauses
    if effect == "hedged":
        closes = hit.end == len(sentence.lowers) or sentence.lowers[hit.end] in _END
        commas = sum(word == "," for word in between)
        return closes and commas <= 1 and gap <= 7
    return clauses[hit.start] - clauses[start] <= 1 and gap <= 6


def judge(sentence: Sentence, start: int, end: int, things: list[Thing]) -> dict[str, Verdict]:
    """The deciding cue of each effect that reaches what is named on tokens `start` to `end`."""
    verdicts: dict[str, Verdict] = {}
    denials: set[int] = set()
    for hit in sentence.cues("standing.toml"):
        if hit.start < end and start < hit.end and hit.entry["effect"] != "denied":
            # a cue may hold the thing's own words ("crack or stain"), a scoped one may not
            if hit.entry["reach"] == "sentence":
                verdicts[hit.entry["effect"]] = Verdict(hit.entry["effect"], hit.phrase, hit.start)
            continue
        reach = hit.entry["reach"]
        reached = (
            (reach in ("forward", "both") and _forward(sentence, hit, start, things))
            or (reach in ("backward", "both") and _backward(sentence, hit, start, end, things))
            or reach == "sentence"
        )
        if reached:
            old = verdicts.get(hit.entry["effect"])
            later = old is not None and hit.start > old.start
            # of hearsay the first word of it counts, of the rest the nearest
            if (
                old is None
                or (later and hit.entry["effect"] != "reported")
                or (not later and hit.entry["effect"] == "reported")
            ):
                verdicts[hit.entry["effect"]] = Verdict(hit.entry["effect"], hit.phrase, hit.start)
            if hit.entry["effect"] == "denied" and reach == "forward":
                denials |= {hit.end}
    if "denied" not in verdicts and {"not", "never"} & set(sentence.folds[start:end]):
        # the denial stands inside the words themselves ("that joint has not opened")
        verdicts["denied"] = Verdict("denied", "not, inside", start)
    last = next((j for j in range(len(sentence.folds) - 1, -1, -1) if sentence.folds[j].isalnum()), 0)
    asks = sentence.folds[:2] in (("is", "that"), ("is", "it"), ("is", "this"), ("was", "that"))
    no = next(
        (j for j in range(end, len(sentence.folds)) if sentence.folds[j] in ("no", "nope", "naw")), None
    )
    if asks and no is not None and no + 1 < len(sentence.tokens) and sentence.tokens[no + 1].is_punct:
        verdicts["denied"] = Verdict("denied", "asked, and no", no)
    if "denied" not in verdicts and last > end and sentence.folds[last] in ("no", "nope", "naw"):
        verdicts["denied"] = Verdict("denied", "no, at the end", last)
    lacking = verdicts.get("denied")
    apart = sorted(denials)
    twice = any(b - a > 2 for a, b in pairwise(apart))
    if lacking and twice and any(word in (lacking.cue or "") for word in _LACKS):
        del verdicts["denied"]
    return verdicts
