"""Sentences that name nothing: they end, size, judge, doubt or repeat the last thing."""

from __future__ import annotations

from dataclasses import replace

from narrate2log.reading import talk
from narrate2log.reading.answers import take_back
from narrate2log.reading.context import TOPIC_MS, Context, View
from narrate2log.reading.extents import SEVERAL
from narrate2log.reading.making import (
    base_mention,
    corrects,
    echo,
    free_values,
    keep_topic,
    last_value,
    pick_place,
    to_fields,
)
from narrate2log.records import Standing
from narrate2log.wording.lexicon import Hit


def read_remark(view: View, context: Context) -> None:
    """A sentence that names no thing: it may end, size, judge, doubt or repeat the last one."""
    sentence = view.sentence
    if (
        talk.kinds(sentence)
        & {"elsewhere", "owner-advice", "bystander", "money", "looking-for", "hypothetical"}
        or sentence.asks
    ):
        return
    words = [f for f in sentence.folds if f.isalnum()]
    fresh = sentence.start_ms - context.topic_ms <= TOPIC_MS and bool(context.topic)
    ends = [hit for hit in sentence.cues("extent.toml", "ends") if len(words) <= 16]
    last = _ended(context, ends, words) if ends and not context.back else None
    if last is not None:
        echo(view, context, [last], last_value(view, free_values(view)), "ends", ends=True)
        context.open.remove(last)
        context.topic, context.topic_ms = [last], sentence.end_ms
        return
    take_back(view, context, words)
    if words[:1] in (["same"], ["another"]) and ditto(view, context, words):
        return
    values = last_value(view, free_values(view))
    vague = bool(sentence.cues("relation.toml", "vague"))
    depths = [a for a in view.attributes if a.name == "depth_ft"]
    if depths and fresh and context.mentions[context.topic[-1]].feature == "locate":
        echo(view, context, context.topic[-1:], {"depth_ft": depths[0].value}, "its depth")
        return
    open_water = [
        i
        for i in context.open
        if context.mentions[i].feature in ("belly", "deposit", "grease", "corrosion", "scale")
    ]
    graded = {k: v for k, v in values.items() if k != "severity"} or (values and len(words) <= 18)
    if _each_at(view, context):
        return
    breath = sentence.start_ms - context.topic_ms <= TOPIC_MS // 2
    pointing = bool({"that", "it", "this", "those", "these", "they"} & set(words[:4]))
    if not breath and not pointing:
        fresh = fresh and any(k.startswith("amount") for k in values)
    if not fresh:
        values = {k: v for k, v in values.items() if not k.startswith("clock")}
    if vague and not pointing:
        context.pending = (
            sentence.index,
            {k: v for k, v in values.items() if k.startswith(("clock", "amount"))},
        )
        return
    if graded and values and (fresh or open_water) and len(words) <= 25:
        unsure = len(context.topic) > 1 and all(
            context.mentions[i].standing == "possible" for i in context.topic
        )
        about = (context.topic[:1] if unsure else context.topic[-1:]) if fresh else open_water[-1:]
        if (
            open_water
            and "amount_pct" in values
            and context.mentions[about[0]].feature
            not in ("roots", "grease", "deposit", "belly", "scale", "corrosion")
        ):
            about = open_water[-1:]
        echo(
            view,
            context,
            about,
            values,
            "what was said of it",
            corrects=corrects(view),
            standing=_hedge_standing(view),
        )
        keep_topic(context, about, sentence)
        return
    if sentence.cues("extent.toml", "rest") and context.open and len(words) <= 16 and not context.back:
        echo(view, context, context.open[-1:], values, "the rest of the way")
        iron = {"iron", "clay", "concrete", "plastic"} & view.words()
        context.mentions[-1] = replace(context.mentions[-1], until="material" if iron else "end")
        return
    inside = sentence.cues("extent.toml", "inside")
    if inside and context.open and len(words) <= 12 and not context.back:
        echo(view, context, context.open[-1:], {}, "still in it")
        keep_topic(context, context.open[-1:], sentence)
        return
    if ditto(view, context, words):
        return
    if _numbered(view, context, words):
        return
    near = sentence.start_ms - context.topic_ms <= TOPIC_MS // 2
    judged = sentence.cues("relation.toml", "evaluation", "pronoun")
    if fresh and near and judged and len(words) <= 22 and not view.quantities_elsewhere():
        echo(view, context, context.topic[-1:], {}, "a remark on it", standing=_hedge_standing(view))
        keep_topic(context, context.topic[-1:], sentence)


def _ended(context: Context, ends: list[Hit], words: list[str]) -> int | None:
    """Which open stretch a remark ends: water first, else the one still talked of."""
    bellies = [i for i in context.open if context.mentions[i].feature == "belly"]
    if bellies and ({"water", "out", "up"} & set(words) or len(words) <= 6):
        return bellies[-1]
    firm = [h for h in ends if h.end - h.start > 1 or h.phrase.split("|")[0] in ("ends", "cleans")]
    talked = [
        i
        for i in context.open
        if context.mentions[i].feature in {context.mentions[t].feature for t in context.topic}
    ]
    if firm and talked and "through" not in words:
        return talked[-1]
    return None


def _hedge_standing(view: View) -> Standing | None:
    strong = [
        hit for hit in view.sentence.cues("standing.toml", "hedged") if hit.entry["reach"] == "sentence"
    ]
    return "possible" if strong else None


def ditto(view: View, context: Context, words: list[str]) -> bool:
    """ "Another one", "same again", "and another one, and another one": further things of the last kind."""
    sentence = view.sentence
    again = sentence.cues("relation.toml", "another")
    same = words[:1] == ["same"] and words[1:2] != ["one"]
    kind = context.repeated
    if kind is None or len(words) > 12 or context.back or not (again or same):
        return False
    if not same and not any(w in ("another", "more", "ditto") for w in words[:6]):
        return False
    if len(words) > 18 or words[:2] == ["same", "difference"] or kind not in context.countable:
        return False
    times = max(
        1, sum(hit.phrase in ("another one", "and another") for hit in again if hit.phrase == "another one")
    )
    values = free_values(view)
    starts = [hit.start for hit in again if hit.phrase == "another one"] or [0]
    for start in starts[:times]:
        base = base_mention(view, start, kind, "seen", "another one", "another")
        context.topic = [
            context.say(replace(base, fields=to_fields(values), place=pick_place(view, start), doubts=()))
        ]
    context.topic_ms = sentence.end_ms
    return True


def _each_at(view: View, context: Context) -> bool:
    """ "One at nineteen, one at twenty four": each place is one of the things just named."""
    places = [s for s in view.said if s.what == "place"]
    ones = sum(view.sentence.folds[max(0, s.start - 2) : s.start] == ("one", "at") for s in places)
    fresh = bool(context.topic) and view.sentence.start_ms - context.topic_ms <= TOPIC_MS
    if len(places) < 2 or ones < 2 or not fresh:
        return False
    target = context.mentions[context.topic[-1]]
    if target.several:
        # where each is has now been told
        doubts = tuple(doubt for doubt in target.doubts if doubt != SEVERAL)
        context.mentions[context.topic[-1]] = replace(target, several=False, doubts=doubts)
    for k, s in enumerate(places):
        base = base_mention(
            view, s.start, target.feature, target.standing, "one of several", "another" if k else "same"
        )
        if k == 0:
            base = replace(base, relation="echo", about=context.topic[-1], corrects=True)
        context.say(replace(base, place=s.place))
    return True


def _numbered(view: View, context: Context, words: list[str]) -> bool:
    """ "The third one", "number five", "second": one of the things told before, by its number."""
    if not context.back or context.repeated is None or len(words) > 6:
        return False
    ordinal = next((q for q in view.quantities if q.kind == "ordinal"), None)
    if ordinal is None:
        ordinal = next(
            (q for q in view.quantities if q.start and view.sentence.folds[q.start - 1] == "number"), None
        )
    if ordinal is None:
        return False
    base = base_mention(view, 0, context.repeated, "seen", "by its number", "echo")
    context.topic = [context.say(replace(base, ordinal=int(ordinal.value)))]
    context.topic_ms = view.sentence.end_ms
    return True
