"""Sentences that find nothing: teaching, what is looked for, other houses, the telephone."""

from __future__ import annotations

from narrate2log.reading.language import Sentence
from narrate2log.reading.things import Thing

# Words that point at the pipe in front of the lens.
_HERE = [
    tuple(phrase.split())
    for phrase in (
        "there is|there are|there was|there were|here|here is|right here|this joint|this one|this is"
        "|these are|we have|i have|we got|i got|got a|it is got|that is a|that is an|see how|see that"
        "|see this|i see|it changes"
    ).split("|")
]
# Kinds of talk that a pointing word before the thing overrules, if the talk only comes after it.
_YIELDS = frozenset({"teaching", "ahead", "bystander", "elsewhere", "looking-for"})


def points_here(sentence: Sentence, before: int) -> bool:
    """Whether the sentence points at what the camera sees before token `before`."""
    folds = sentence.folds[:before]
    return any(folds[i : i + len(words)] == words for words in _HERE for i in range(len(folds)))


def silenced(sentence: Sentence, start: int, end: int) -> str | None:
    """The kind of talk that keeps tokens `start` to `end` from being a finding, or None."""
    clauses = sentence.clauses
    for hit in sentence.cues("talk.toml"):
        kind, reach = hit.entry["kind"], hit.entry["reach"]
        if kind in ("phone-begins", "phone-ends"):
            continue
        if reach == "clause" and clauses[hit.start] != clauses[start]:
            continue
        if reach == "after" and hit.start > start:
            continue
        if kind in _YIELDS and hit.start >= start and points_here(sentence, start + 1):
            continue
        if kind in _YIELDS and hit.start >= end and clauses[hit.start] > clauses[start]:
            continue
        return str(kind)
    return None


# After a bare thing at the head of a sentence these make it a general truth ("roots always ...").
_GENERAL = frozenset(
    (
        "always often usually sometimes generally will can tend love like go get grow follow stick "
        "collect do find need want rust crack move happen cause make build settle last keep are never "
        "seek catch hang start wear rot"
    ).split()
)


def is_general(sentence: Sentence, start: int, end: int) -> bool:
    """Whether the sentence speaks of such things at large: "roots always go for the joints"."""
    folds = sentence.folds
    head = all(
        f in ("and", "so", "well", "see", ",", "because", "old", "but", "a", "an", "where")
        for f in folds[:start]
    )
    if not head or end >= len(folds):
        return False
    following = (
        folds[end + 1] if folds[end] in ("joint", "pipe", "line") and end + 1 < len(folds) else folds[end]
    )
    plural = (
        sentence.lowers[end - 1].endswith("s")
        or folds[start - 1 : start] not in (("a",), ("an",))
        or following in ("will", "can")
    )
    # "belly starts here", "crack starts at forty": this one, not such things
    this_one = {"here", "now", "there", "at", "again"} & set(folds[end : end + 4])
    return following in _GENERAL and plural and not this_one


def kinds(sentence: Sentence) -> set[str]:
    """Every kind of talk in the sentence."""
    return {str(hit.entry["kind"]) for hit in sentence.cues("talk.toml")}


# What stands before a landmark that only says where something else is.
_WHERE = frozenset(
    (
        "after around into through by at near to behind of toward under for in until past towards "
        "beside from between beyond before till"
    ).split()
)
_THE = frozenset({"the", "that", "this", "your", "our", "my", "those", "these", "her", "his", "their"})


# After one of these a thing is named for itself ("right after that there's a tee").
_NAMES = frozenset({",", "is", "are", "have", "got", "there", "see", "find", "get", "come"})


def only_a_place(sentence: Sentence, thing: Thing) -> bool:
    """Whether the thing is named only to say where ("at the saddle", "just before the second wye")."""
    folds = sentence.folds
    i = thing.start - 1
    # step over an ordinal or an adjective between
    for _ in range(3):
        if i >= 0 and folds[i] not in _THE and folds[i] not in _WHERE and folds[i] not in _NAMES:
            i -= 1
    if folds[thing.start] in _THE:
        i = thing.start
    if i < 1 or folds[i] not in _THE:
        return i >= 0 and folds[i] in ("past", "before", "behind", "beyond") and i == thing.start - 1
    return folds[i - 1] in _WHERE
