"""What happens in the run: setting off, zeroing, flushing, pulling home."""

from __future__ import annotations

from dataclasses import replace

from narrate2log.reading import talk
from narrate2log.reading.context import TOPIC_MS, Context, View
from narrate2log.reading.making import base_mention, pick_place, to_fields
from narrate2log.reading.standing import judge
from narrate2log.reading.things import Thing
from narrate2log.records import Motion

REQUESTS = frozenset({"flush", "water-on", "water-off"})

# Words of a rod that is hauled; without them a camera comes out of the water it was in.
PULLED = frozenset("pull pulling back home bring haul reel drag way".split())

ASKING = frozenset(
    "how what where why who when which did do does can could would have has will should was were".split()
)


def _of_a_defect(view: View, thing: Thing, context: Context) -> bool:
    """ "It stops there" of a crack, and "out we come" of water: what ends is the thing, and no run."""
    sentence = view.sentence
    topic = [context.mentions[i].feature for i in context.topic]
    if not topic or sentence.start_ms - context.topic_ms > TOPIC_MS:
        return False
    if thing.feature == "end-of-run":
        subject = sentence.folds[max(0, thing.start - 1) : thing.start]
        return subject in (("it",), ("that",)) and topic[-1] in context.countable
    out = "out" in sentence.folds[thing.start : thing.end] and not PULLED & set(sentence.folds)
    return thing.feature == "pull-back" and out and topic[-1] == "belly" and not context.back


def read_event(view: View, thing: Thing, context: Context) -> None:
    """An event row, unless the sentence asks, supposes or denies it; tells the track of motions."""
    sentence, feature = view.sentence, thing.feature
    kind = talk.silenced(sentence, thing.start, thing.end)
    if (
        kind
        and kind not in ("bystander", "teaching")
        and not (kind == "ahead" and feature in (*REQUESTS, "locate", "counter-reset", "flush-arrival"))
    ):
        return
    if (
        sentence.asks
        and feature not in REQUESTS
        and feature not in ("counter-reset", "pull-back", "start", "flush-arrival")
    ):
        return
    if (
        sentence.asks
        and sentence.folds[0] in ASKING
        and feature in ("counter-reset", "pull-back", "start", "end-of-run")
    ):
        return
    verdicts = judge(sentence, thing.start, thing.end, view.things)
    told = verdicts.get("reported")
    mine = feature in (*REQUESTS, "locate") or (
        feature in ("pull-back", "end-of-run") and told is not None and told.start > thing.start
    )
    if told is not None and not mine:
        return
    if (
        "nothing" in verdicts
        and feature not in ("end-of-run", "pull-back")
        and verdicts["nothing"].start < thing.start
    ):
        return
    if (
        "denied" in verdicts
        and feature not in ("end-of-run", "locate")
        and verdicts["denied"].start < thing.start
    ):
        return
    if feature == "flush-arrival" and not context.flushed:
        return
    if _of_a_defect(view, thing, context):
        return
    if any(m.feature == feature and m.sentence == sentence.index for m in context.mentions[-6:]):
        return
    values: dict[str, object] = {}
    for a in view.attributes:
        if a.name == "depth_ft" and feature == "locate":
            values["depth_ft"] = a.value
    mention = base_mention(view, thing.start, feature, "seen", f"events: {thing.phrase}")
    placed = feature not in ("flush", "water-on", "water-off")
    place = pick_place(view, thing.start) if placed else None
    context.say(replace(mention, fields=to_fields(values), place=place, placed=placed))
    context.flushed = context.flushed or feature == "flush"
    if feature == "flush":
        context.motions.append(Motion("waiting", view.token_ms(thing.start), sentence.index))
    elif feature == "flush-arrival":
        context.motions.append(Motion("again", sentence.end_ms, sentence.index))
    motion: str | None = thing.entry["motion"]
    if motion:
        context.motions.append(Motion(motion, view.token_ms(thing.start), sentence.index))  # type: ignore[arg-type]
        if motion == "pull-back":
            context.back = True
            context.open = []
        elif motion in ("zero", "start"):
            context.back = context.summing_up = False
