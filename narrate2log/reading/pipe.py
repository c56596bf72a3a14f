"""What the pipe is: its material and its size."""

from __future__ import annotations

from dataclasses import replace

from narrate2log.reading import talk
from narrate2log.reading.context import TOPIC_MS, Context, View
from narrate2log.reading.making import base_mention, pick_place, to_fields
from narrate2log.reading.standing import judge
from narrate2log.reading.things import Thing
from narrate2log.records import Standing
from narrate2log.wording.folding import fold

_ASSERTS = frozenset(
    fold(word)
    for word in [
        "is",
        "change",
        "changed",
        "changes",
        "changing",
        "transition",
        "transitions",
        "switch",
        "switched",
        "becomes",
        "become",
        "turn",
        "goes",
        "go",
        "going",
        "into",
        "start",
        "starts",
        "first",
        "piece",
        "here",
        "now",
        "from",
        "to",
        "got",
        "have",
        "have",
        "pipe",
        "run",
        "quits",
        "back",
        "line",
        "was",
    ]
)


def read_material(view: View, thing: Thing, context: Context) -> None:
    """A material row where one begins, a sighting where it is named again, or nothing."""
    sentence = view.sentence
    silent = talk.silenced(sentence, thing.start, thing.end)
    verdicts = judge(sentence, thing.start, thing.end, view.things)
    if talk.is_general(sentence, thing.start, thing.end):
        return
    if silent and not (silent in ("teaching", "ahead") and talk.points_here(sentence, thing.start + 1)):
        return
    if "nothing" in verdicts or "denied" in verdicts:
        return
    folds = sentence.folds
    near = folds[max(0, thing.start - 6) : thing.start]
    after = folds[thing.end : thing.end + 2]
    if after[:1] and after[0] in ("joint", "soil", "lip", "cup", "coupling", "lid", "dust", "pot"):
        return
    definite = near[-1:] and near[-1] in ("the", "that", "this")
    inside = near[-1:] == ("in",) and {"still", "back"} & set(folds)
    sized = any(a.name == "size_in" for a in view.attributes)
    words = [f for f in folds if f.isalnum()]
    alone = len(words) <= (thing.end - thing.start) + 3
    opening = not [
        f
        for f in folds[: thing.start]
        if f.isalnum()
        and f
        not in (
            "so",
            "okay",
            "and",
            "now",
            "well",
            "good",
            "a",
            "the",
            "old",
            "just",
            "plain",
            "still",
            "that",
            "again",
            "all",
            "more",
            "back",
            "in",
        )
    ]
    asserted = (
        any(w in _ASSERTS for w in near)
        or sized
        or alone
        or (opening and bool(after) and not after[0].isalpha())
        or "pipe" in after
        or "here" in after
        or "from" in after
    )
    asserted = asserted or "hedged" in verdicts or (not definite and bool(after) and not after[0].isalpha())
    if thing.loose:
        thing = replace(thing, material=_of_the_family(thing, context))
    values = to_fields({"material": thing.material})
    if "reported" in verdicts:
        told = base_mention(view, thing.start, "material", "reported", f"materials: {thing.phrase}")
        context.say(replace(told, fields=values, placed=False))
        return
    base = replace(
        base_mention(view, thing.start, "material", "seen", f"materials: {thing.phrase}"),
        fields=values,
        place=pick_place(view, thing.start),
    )
    if context.back:
        if definite or inside or alone or asserted or near[-1:] in (("to",), ("in",), ("into",)):
            context.say(replace(base, relation="echo"))
        return
    if thing.material == context.material:
        context.say(replace(base, relation="echo"))
        return
    if not asserted:
        return
    if any(
        m.feature == "material" and m.sentence == sentence.index and m.fields.material == thing.material
        for m in context.mentions[-6:]
    ):
        return
    if (
        definite
        and near[-1] in ("the", "that", "this")
        and "to" not in near
        and "into" not in near
        and not sized
        and context.material
    ):
        # "in the iron" before any iron was told: a place, not a change
        if any(m.feature == "material" and m.fields.material == thing.material for m in context.mentions):
            context.say(replace(base, relation="echo"))
        return
    doubts: tuple[str, ...] = ()
    standing: Standing = "seen"
    hedge = verdicts.get("hedged")
    if (
        hedge
        and hedge.cue
        and any(word in hedge.cue for word in ("might", "maybe", "not sure", "can not", "possibl"))
    ):
        standing = "possible"
    unsaid = {"then", "no", "actually", "sorry", "mean", "wait"} & set(folds) or view.correcting
    quick = sentence.start_ms - context.material_ms <= TOPIC_MS and bool(unsaid)
    context.say(
        replace(base, standing=standing, corrects=quick and context.material is not None, doubts=doubts)
    )
    context.material = thing.material
    context.material_ms = sentence.end_ms


def _of_the_family(thing: Thing, context: Context) -> str | None:
    """ "Plastic" after black plastic is that same plastic: the last material told of the family."""
    family = thing.entry["family"]
    for m in reversed(context.mentions):
        if m.feature == "material" and m.fields.material in context.families.get(family, ()):
            return m.fields.material
    return thing.material


def read_sizes(view: View, context: Context) -> None:
    """A pipe-size row from the last size said in the sentence."""
    sentence = view.sentence
    sizes = [a for a in view.attributes if a.name == "size_in"]
    if (
        not sizes
        or sentence.asks
        or talk.silenced(sentence, sizes[-1].start, sizes[-1].end)
        in ("elsewhere", "owner-advice", "money", "hypothetical")
    ):
        return
    verdicts = judge(sentence, sizes[-1].start, sizes[-1].end, view.things)
    if {"nothing", "denied"} & set(verdicts):
        return
    hedged = "hedged" in verdicts or any(
        hit.start >= sizes[-1].end
        and not any(t.material and sizes[-1].end < t.start < hit.start for t in view.things)
        for hit in sentence.cues("standing.toml", "hedged")
    )
    standing: Standing = "reported" if "reported" in verdicts else "possible" if hedged else "seen"
    base = replace(
        base_mention(view, sizes[-1].start, "pipe-size", standing, "size said"), placed=standing != "reported"
    )
    fields = to_fields({"size_in": sizes[-1].value})
    context.say(
        replace(base, fields=fields, place=pick_place(view, sizes[-1].start), corrects=len(sizes) > 1)
    )
