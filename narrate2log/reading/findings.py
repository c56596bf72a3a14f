"""Defects, landmarks and water: what is named, how it stands, where it begins and ends."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from narrate2log.reading import talk
from narrate2log.reading.context import SIGHT, TOPIC_MS, Context, View
from narrate2log.reading.events import ASKING
from narrate2log.reading.language import Sentence
from narrate2log.reading.making import (
    attributes_of,
    base_mention,
    corrects,
    echo,
    last_value,
    pick_place,
    to_fields,
)
from narrate2log.reading.standing import judge
from narrate2log.reading.things import Thing
from narrate2log.records import Fields, Mention, Standing


def _relation(view: View, thing: Thing) -> Literal["new", "another", "same", "echo"]:
    clauses = view.sentence.clauses
    mass = thing.feature in ("grease", "scale", "corrosion", "belly", "flow", "deposit")
    for hit in view.sentence.cues("relation.toml", "another"):
        if mass and "more" in hit.phrase.split():
            continue
        if (
            (clauses[hit.start] == clauses[thing.start] or hit.start <= 1)
            and hit.end <= thing.start + 1
            and thing.start - hit.end <= 3
        ):
            return "another"
        if (
            hit.start >= thing.end
            and hit.start - thing.end <= 2
            and hit.phrase.split()[0] in ("also", "too", "again")
        ):
            return "another"
    for hit in view.sentence.cues("relation.toml", "same"):
        if (
            hit.end <= thing.start
            and thing.start - hit.end <= 3
            and clauses[hit.start] == clauses[thing.start]
        ):
            return "same"
    i = thing.start - 1
    while i >= 0 and i > thing.start - 4:
        if view.sentence.folds[i] in ("the", "that", "those", "these", "our", "same", "your", "my", "this"):
            return "same"
        if view.sentence.folds[i] in ("a", "an", "some", "is", "are", "got", "have", ","):
            break
        i -= 1
    return "new"


_SPOT = frozenset({"here", "there", "this", "that", "at", "it", "one"})


def _general(view: View, thing: Thing, answered: bool) -> bool:
    """Whether a denial is of the whole run so far rather than of this spot."""
    folds = view.sentence.folds
    if answered or any(s.what == "place" for s in view.said):
        return False
    if (
        {"far", "anywhere", "yet", "all", "whole", "nowhere", "anyway", "one"} & set(folds)
        and "this" not in folds
        and "that" not in folds
        and "there" not in folds[thing.end :]
    ):
        return True
    if {"any", "see", "saw", "sign", "found", "either", "no"} & set(folds[: thing.start]) and not (
        _SPOT & set(folds)
    ):
        plural = view.sentence.lowers[thing.end - 1].endswith("s") or thing.feature in (
            "grease",
            "scale",
            "infiltration",
            "corrosion",
            "deposit",
        )
        return plural or "any" in folds
    return "in" in folds[thing.end :] and "here" in folds[thing.end :]


# A question that begins so is a statement with a rising voice.
_STATED = frozenset(
    {
        ("there", "is"),
        ("there", "are"),
        ("i", "have"),
        ("we", "have"),
        ("i", "got"),
        ("we", "got"),
        ("it", "is"),
        ("you", "see"),
        ("see", "that"),
        ("see", "the"),
        ("see", "this"),
        ("see", "how"),
        ("you", "can"),
    }
)

_TAGS = frozenset({"see", "right", "okay", "huh", "yeah", "you"})


def _tag_question(sentence: Sentence, thing: Thing) -> bool:
    """ "The water's moving along, see it go by?": said before the comma, only then asked."""
    commas = [i for i, word in enumerate(sentence.lowers) if word == "," and i >= thing.end]
    return (
        bool(commas)
        and sentence.folds[commas[-1] + 1 : commas[-1] + 2] != ()
        and sentence.folds[commas[-1] + 1] in _TAGS
    )


# Words that make an entry named after the way home a new entry, and no coming home.
_MOVED = frozenset({"second", "other", "now", "next", "try", "front", "moved", "different"})


def read_finding(view: View, thing: Thing, context: Context) -> None:
    """A mention of a defect, a landmark, water, a lining or a repair, or nothing if only talked about."""
    sentence, feature = view.sentence, thing.feature
    verdicts = judge(sentence, thing.start, thing.end, view.things)
    silent = talk.silenced(sentence, thing.start, thing.end)
    told = "reported" in verdicts and verdicts["reported"].start < thing.start
    if silent and not (told and silent in ("elsewhere", "bystander", "ahead")):
        return
    if talk.is_general(sentence, thing.start, thing.end):
        return
    if {"lens", "glass", "screen"} & set(
        sentence.folds[thing.end : thing.end + 4]
    ) and "on" in sentence.folds[thing.end : thing.end + 2]:
        return
    topic = [context.mentions[i].feature for i in context.topic]
    if (
        feature in ("belly", "water-level")
        and "house-trap" in topic
        and sentence.start_ms - context.topic_ms <= TOPIC_MS
    ):
        echo(view, context, context.topic[-1:], {}, "water in a trap")
        return
    if (
        "nothing" in verdicts
        and "reported" not in verdicts
        and not ("denied" in verdicts and verdicts["denied"].start > verdicts["nothing"].start)
    ):
        if {"that", "this", "it"} & set(sentence.folds[:4]) and feature in topic:
            echo(view, context, context.topic[-1:], {}, "supposed of the last thing")
        return
    place_use = talk.only_a_place(sentence, thing)
    behind = sentence.folds[max(0, thing.start - 3) : thing.start]
    if (
        place_use
        and {"behind", "past", "before", "beyond", "between"} & set(behind)
        and not thing.entry["place"]
    ):
        context.say(
            replace(base_mention(view, thing.start, feature, "seen", "named as a place", "echo"), place=None)
        )
        return
    if place_use and thing.entry["place"] and feature != "surface-mark" and not _entry_or_home(view, thing):
        return
    standing: Standing = "seen"
    rule = f"{feature}: {thing.phrase}"
    if "reported" in verdicts:
        if "denied" in verdicts and verdicts["denied"].start > verdicts["reported"].start:
            return
        standing, rule = "reported", f"{rule}; reported: {verdicts['reported'].cue}"
    elif "denied" in verdicts and not (
        "affirmed" in verdicts and "doubt" in (verdicts["affirmed"].cue or "")
    ):
        standing, rule = "not-seen", f"{rule}; denied: {verdicts['denied'].cue}"
    elif (
        "hedged" in verdicts
        and (
            feature not in ("surface-mark", "city-connection", "manhole")
            or thing.start - verdicts["hedged"].start in range(6)
        )
        and not ("affirmed" in verdicts and "doubt" in (verdicts["affirmed"].cue or ""))
    ):
        standing, rule = "possible", f"{rule}; hedged: {verdicts['hedged'].cue}"
    relation = _relation(view, thing)
    values = last_value(view, attributes_of(view, thing))
    if sentence.index - context.pending[0] <= 3 and standing in ("possible", "not-seen", "seen"):
        values = {**context.pending[1], **values}
        context.pending = (-9, {})
    if standing == "not-seen":
        values = {k: v for k, v in values.items() if k.startswith("clock")}
    above = (
        [w for w in sentence.folds[thing.start : thing.end] if w in context.marks]
        if feature == "surface-mark"
        else []
    )
    base = replace(
        base_mention(view, thing.start, feature, standing, rule, relation),
        sense=above[-1] if above else None,
        sure="affirmed" in verdicts,
        home=context.back and feature in ("cleanout", "manhole", "tank") and not _MOVED & set(sentence.folds),
        fields=to_fields(values),
        place=pick_place(view, thing.start),
        corrects=corrects(view),
    )
    stated = sentence.folds[:2] in _STATED or _tag_question(sentence, thing)
    if sentence.asks and standing != "reported" and not stated:
        if (
            sentence.folds[0] in ASKING
            and sentence.folds[:3]
            not in (("could", "that", "be"), ("could", "it", "be"), ("would", "that", "be"))
            and not (sentence.folds[:2] in (("do", "you"), ("can", "you")) and "see" in sentence.folds[:3])
            and (sentence.folds[0] in ("how", "what") or feature not in topic)
        ):
            return
        context.asked.append(
            context.say(replace(base, standing="possible", doubts=("asked, and no answer heard",)))
        )
        context.asked_sentence = sentence.index
        context.questioned = True
        return
    if standing == "not-seen":
        pointing = sentence.folds[max(0, thing.start - 4) : thing.start]
        same = (bool({"that", "it", "this"} & set(pointing)) and "is" in pointing) or sentence.folds[:2] in (
            ("not", "a"),
            ("not", "an"),
        )
        general = _general(view, thing, False)
        base = replace(base, relation="same" if same else relation, general=general, placed=not general)
    if standing == "reported":
        base = replace(base, placed=base.place is not None)
    begins = any(hit.start <= thing.end + 3 for hit in sentence.cues("extent.toml", "begins"))
    ends = standing == "seen" and _ends_here(view, thing)
    base = _with_extent(view, base, thing, begins, ends, context)
    if any(
        m.sentence == sentence.index
        and m.feature == feature
        and m.standing == standing
        and relation != "another"
        for m in context.mentions[-8:]
    ):
        _pool(context, sentence.index, base)
        return
    index = context.say(base)
    if standing == "reported" and any(
        h.start >= thing.end and h.entry["reach"] == "backward"
        for h in sentence.cues("standing.toml", "denied")
    ):
        denied = replace(
            base,
            standing="not-seen",
            general=True,
            placed=False,
            fields=Fields(),
            rule=f"{feature}: told, and not met",
        )
        context.say(denied)
    if standing == "possible":
        context.asked = [index]
        context.asked_sentence = sentence.index
        context.questioned = False
    if thing.entry["extent"] and standing in SIGHT and not context.back:
        if ends:
            context.open = [i for i in context.open if context.mentions[i].feature != feature]
        elif index not in context.open and (feature != "crack" or begins):
            context.open = [i for i in context.open if context.mentions[i].feature != feature] + [index]


def _pool(context: Context, sentence: int, extra: Mention) -> None:
    """A thing named twice in one sentence is one mention with what both places say of it."""
    for i in range(len(context.mentions) - 1, -1, -1):
        m = context.mentions[i]
        if m.sentence == sentence and m.feature == extra.feature and m.standing == extra.standing:
            values = {
                name: getattr(extra.fields, name)
                if getattr(extra.fields, name) is not None
                else getattr(m.fields, name)
                for name in Fields.__slots__
            }
            context.mentions[i] = replace(
                m, fields=Fields(**values), ends=m.ends or extra.ends, begins=m.begins or extra.begins
            )
            return


def _entry_or_home(view: View, thing: Thing) -> bool:
    folds = view.sentence.folds
    before = folds[max(0, thing.start - 6) : thing.start]
    if thing.feature in ("cleanout", "manhole", "tank", "house-trap"):
        return bool(
            {"in", "into", "back", "out", "at", "am", "using", "through", "down", "on", "are", "via"}
            & set(before)
        ) and not {"past", "before", "from", "beyond", "behind"} & set(before)
    return (
        thing.feature == "city-connection"
        and bool({"are", "am", "is", "here", "hit", "reached", "got"} & set(before))
        and "at" in before
    )


def _ends_here(view: View, thing: Thing) -> bool:
    clauses = view.sentence.clauses
    return any(
        abs(clauses[hit.start] - clauses[thing.start]) <= 1 and -6 <= hit.start - thing.end <= 5
        for hit in view.sentence.cues("extent.toml", "ends")
    )


def _with_extent(
    view: View, base: Mention, thing: Thing, begins: bool, ends: bool, context: Context
) -> Mention:
    far = [s for s in view.said if s.what == "end"]
    length = [s for s in view.said if s.what == "length"]
    changes: dict[str, object] = {"begins": begins, "ends": ends}
    if far and base.standing in SIGHT:
        changes["end_place"] = far[-1].place
    if (
        length
        and base.standing in SIGHT
        and (thing.entry["extent"] or thing.feature in ("crack", "fracture", "roots"))
    ):
        changes["length_mm"] = (length[-1].place.low_mm + length[-1].place.high_mm) // 2
    if thing.entry["extent"]:
        if view.sentence.cues("extent.toml", "until-material"):
            changes["until"] = "material"
        elif view.sentence.cues("extent.toml", "rest"):
            iron = (
                any(t.material for t in view.things) or {"iron", "clay", "concrete", "plastic"} & view.words()
            )
            changes["until"] = "material" if iron else "end"
        places = [s for s in view.said if s.what == "place"]
        later = [h for h in view.sentence.cues("extent.toml", "ends") if places and h.start > places[0].start]
        if len(places) > 1 and (ends or later) and not far:
            changes["ends"] = True
            # "a low spot at twenty eight, and I come back out at thirty three"
            changes["place"], changes["end_place"] = places[0].place, places[-1].place
    return replace(base, **changes)  # type: ignore[arg-type]
