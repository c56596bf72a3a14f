"""Defects, landmarks and water: what is named, how it stands, where it begins and ends."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from narrate2log.reading import talk
from narrate2log.reading.context import SIGHT, TOPIC_MS, Context, View
from narrate2log.reading.events import ASKING
from narrate2log.reading.extents import with_extent
from narrate2log.reading.language import Sentence
from narrate2log.reading.making import (
    attributes_of,
    base_mention,
    corrects,
    echo,
    last_value,
    only_clock,
    pick_offset,
    pick_place,
    to_fields,
)
from narrate2log.reading.standing import Verdict, judge
from narrate2log.reading.things import Thing
from narrate2log.records import Fields, Mention, Standing

# A position said of "a dark spot" holds for what it is called within so many sentences.
PENDING_SENTENCES = 3


# How a pattern of a branch begins that names what drains into it.
_SOURCES = frozenset({"<source>", "bathroom"})


# So near after a thing it is told that it was met before ("the tap we saw on the way in").
MET_REACH = 4
_DEFINITE = frozenset({"the", "that", "those", "these", "our", "same", "your", "my", "this"})
_INDEFINITE = frozenset({"a", "an", "another", "more", "new", "some"})


def _met_before(view: View, thing: Thing, context: Context) -> bool:
    """Whether words after the thing tell that it is one from before: "offset again", "the wye we passed".

    On the way out a name with "again" and nothing before it is the next of its kind.
    """
    folds, clauses = view.sentence.folds, view.sentence.clauses
    near = set(folds[max(0, thing.start - 2) : thing.end])
    if near & _INDEFINITE:
        return False
    known = context.back or bool(near & _DEFINITE)
    return any(
        thing.start < hit.start <= thing.end + MET_REACH
        and clauses[hit.start] - clauses[thing.start] <= 1
        and (known or folds[hit.start] != "again")
        and not any(thing.start < other.start < hit.start for other in view.things)
        for hit in view.sentence.cues("relation.toml", "met")
    )


def _relation(view: View, thing: Thing, context: Context) -> Literal["new", "another", "same", "echo"]:
    if _met_before(view, thing, context):
        return "same"
    clauses = view.sentence.clauses
    mass = thing.feature in ("grease", "scale", "corrosion", "belly", "flow", "deposit")
    for hit in view.sentence.cues("relation.toml", "another"):
        if mass and "more" in hit.phrase.split():
            continue
        if hit.end == thing.start and _SOURCES & set(thing.phrase.split()[0].split("|")):
            continue  # another bathroom, not another branch
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
        if view.sentence.folds[i] in _DEFINITE:
            return "same"
        if view.sentence.folds[i] in ("a", "an", "some", "is", "are", "got", "have", ","):
            break
        i -= 1
    return "new"


_SPOT = frozenset({"here", "there", "this", "that", "at", "it", "one"})


def _general(view: View, thing: Thing) -> bool:
    """Whether a denial is of the whole run so far rather than of this spot."""
    folds = view.sentence.folds
    if any(s.what == "place" for s in view.said):
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
    verdicts = judge(view.sentence, thing.start, thing.end, view.things)
    if _only_talk(view, thing, verdicts, context):
        return
    stands = _how_it_stands(thing, verdicts)
    if stands is None:
        return
    standing, rule = stands
    mention = _mention(view, thing, standing, rule, "affirmed" in verdicts, context)
    if _asked(view, thing, mention, context):
        return
    if standing == "not-seen":
        mention = _denial(view, thing, mention)
    elif standing == "reported":
        mention = replace(mention, placed=mention.place is not None)
    mention = with_extent(view, mention, thing)
    if mention.relation != "another" and _named_before(mention, context):
        _pool(context, mention)
        return
    _keep(view, thing, mention, context)


def _only_talk(view: View, thing: Thing, verdicts: dict[str, Verdict], context: Context) -> bool:
    """Whether nothing is found: teaching, a supposition, a place only, dirt on the lens, water in a trap.

    What is told of the last thing in passing is kept as an echo of it.
    """
    sentence, feature = view.sentence, thing.feature
    silent = talk.silenced(sentence, thing.start, thing.end)
    told = "reported" in verdicts and verdicts["reported"].start < thing.start
    if silent and not (told and silent in ("elsewhere", "bystander", "ahead")):
        return True
    if talk.is_general(sentence, thing.start, thing.end):
        return True
    after = sentence.folds[thing.end : thing.end + 4]
    if {"lens", "glass", "screen"} & set(after) and "on" in after[:2]:
        return True
    topic = [context.mentions[i].feature for i in context.topic]
    recent = sentence.start_ms - context.topic_ms <= TOPIC_MS
    if feature in ("belly", "water-level") and "house-trap" in topic and recent:
        echo(view, context, context.topic[-1:], {}, "water in a trap")
        return True
    supposed, denied = verdicts.get("nothing"), verdicts.get("denied")
    if supposed and "reported" not in verdicts and not (denied and denied.start > supposed.start):
        if {"that", "this", "it"} & set(sentence.folds[:4]) and feature in topic:
            echo(view, context, context.topic[-1:], {}, "supposed of the last thing")
        return True
    between = denied and any(denied.start < t.start < thing.start for t in view.things)
    if feature == "surface-mark" and between:
        # "no crack under the slab" denies the crack, and says where
        return True
    if not talk.only_a_place(sentence, thing):
        return False
    if thing.entry["place"]:
        return feature != "surface-mark" and not _entry_or_home(view, thing)
    if {"behind", "past", "before", "beyond", "between"} & set(
        sentence.folds[max(0, thing.start - 3) : thing.start]
    ):
        context.say(base_mention(view, thing.start, feature, "seen", "named as a place", "echo"))
        return True
    return False


# Of these a doubt is of the place unless it stands right before them ("that might be a manhole").
_SURELY_THERE = frozenset({"surface-mark", "city-connection", "manhole"})
_RIGHT_BEFORE = 5


def _how_it_stands(thing: Thing, verdicts: dict[str, Verdict]) -> tuple[Standing, str] | None:
    """The standing and the rule that gave it, or None for hearsay that denies."""
    rule = f"{thing.feature}: {thing.phrase}"
    told, denied, hedged = (verdicts.get(effect) for effect in ("reported", "denied", "hedged"))
    undoubted = "affirmed" in verdicts and "doubt" in (verdicts["affirmed"].cue or "")
    if told:
        if denied and denied.start > told.start:
            return None
        return "reported", f"{rule}; reported: {told.cue}"
    if denied and not undoubted:
        return "not-seen", f"{rule}; denied: {denied.cue}"
    near = hedged is not None and 0 <= thing.start - hedged.start <= _RIGHT_BEFORE
    if hedged and not undoubted and (near or thing.feature not in _SURELY_THERE):
        return "possible", f"{rule}; hedged: {hedged.cue}"
    return "seen", rule


# Kinds that share a name: people call a branch, one that sticks in and the city connection a tap, with no
# more words than these.
_SHARING = ("branch", "intruding-connection", "city-connection")
_PLAIN = _DEFINITE | frozenset("tap again there here is back to at by past old".split())


def _meant(view: View, thing: Thing, context: Context) -> str:
    """The feature of a thing; of a name that two kinds share, met again, the one that was called so.

    If neither was, the one that is passed next on the way home: the last told that is not met yet.
    """
    named = set(view.sentence.folds[thing.start : thing.end])
    if thing.feature not in _SHARING or "tap" not in named or not named <= _PLAIN:
        return thing.feature
    if not context.back and not _met_before(view, thing, context):
        return thing.feature
    began_ms = max((m.time_ms for m in context.motions if m.what in ("start", "zero")), default=0)
    turns = (m.time_ms for m in context.motions if m.what == "pull-back" and m.time_ms > began_ms)
    turn_ms = next(turns, view.sentence.end_ms)
    told = [m for m in context.mentions if m.feature in _SHARING and m.standing in SIGHT]
    out = [m for m in told if m.start_ms < turn_ms]
    met = {m.feature for m in told if m.start_ms >= turn_ms}
    called = [m.feature for m in out if "tap" in m.rule]
    if called:
        return thing.feature if thing.feature in called else called[-1]
    return next((m.feature for m in reversed(out) if m.feature not in met), thing.feature)


def _mention(
    view: View, thing: Thing, standing: Standing, rule: str, sure: bool, context: Context
) -> Mention:
    """The mention with what the sentence, or a vague one just before it, says of the thing."""
    sentence, feature = view.sentence, thing.feature
    values = last_value(view, attributes_of(view, thing))
    if sentence.index - context.pending[0] <= PENDING_SENTENCES and standing != "reported":
        values = {**context.pending[1], **values}
        context.pending = (-9, {})
    if standing == "not-seen":
        values = {k: v for k, v in values.items() if k.startswith("clock") and _placed_by_hour(view, thing)}
    above = [w for w in sentence.folds[thing.start : thing.end] if w in context.marks]
    at_entry = context.back and feature in ("cleanout", "manhole", "tank")
    relation, meant = _relation(view, thing, context), _meant(view, thing, context)
    return replace(
        base_mention(view, thing.start, meant, standing, rule, relation),
        sense=above[-1] if above and feature == "surface-mark" else None,
        sure=sure,
        home=at_entry and not _MOVED & set(sentence.folds),
        fields=to_fields(values),
        ordinal=_number_of(view, thing) if context.back else None,
        place=pick_place(view, thing.start),
        offset=pick_offset(view, thing),
        corrects=corrects(view),
    )


def _number_of(view: View, thing: Thing) -> int | None:
    """Which of its kind a thing is said to be: "the first wye"."""
    told = [q for q in view.quantities if q.kind == "ordinal" and q.end == thing.start]
    return int(told[0].value) if told else None


# More words than these before an hour tell of something else there ("goes soft up top, no holes").
_LEADS_TO_AN_HOUR = 2


def _placed_by_hour(view: View, thing: Thing) -> bool:
    """Whether an hour of the sentence is where the denied thing was looked for."""
    lowers = view.sentence.lowers

    def tells_of_another(start: int, end: int) -> bool:
        apart = end <= thing.start and "," in lowers[end : thing.start]
        begin = max((i + 1 for i in range(start) if lowers[i] == ","), default=0)
        return apart and start - begin > _LEADS_TO_AN_HOUR

    return not all(tells_of_another(a.start, a.end) for a in view.attributes if a.name == "clock")


# Questions that begin like a request and still ask what is there.
_STILL_ASKS = (
    ("would", "i", "call"),
    ("could", "that", "be"),
    ("could", "it", "be"),
    ("would", "that", "be"),
)


def _asked(view: View, thing: Thing, mention: Mention, context: Context) -> bool:
    """Keep a thing that is asked about until the answer; True where the sentence asks."""
    sentence = view.sentence
    stated = sentence.folds[:2] in _STATED or _tag_question(sentence, thing)
    if not sentence.asks or mention.standing == "reported" or stated:
        return False
    do_you_see = sentence.folds[:2] in (("do", "you"), ("can", "you")) and "see" in sentence.folds[:3]
    request = sentence.folds[0] in ASKING and sentence.folds[:3] not in _STILL_ASKS and not do_you_see
    talked_of = thing.feature in {context.mentions[i].feature for i in context.topic}
    if request and (sentence.folds[0] in ("how", "what") or not talked_of):
        return True
    doubt = ("asked, and no answer heard",)
    context.asked.append(context.say(replace(mention, standing="possible", doubts=doubt)))
    context.asked_sentence = sentence.index
    context.questioned = True
    return True


def _denial(view: View, thing: Thing, mention: Mention) -> Mention:
    """A denial bound to what was claimed ("that's not a crack"), to this spot, or to the whole run."""
    folds = view.sentence.folds
    before = folds[max(0, thing.start - 4) : thing.start]
    pointing = bool({"that", "it", "this"} & set(before)) and "is" in before
    same = pointing or folds[:2] in (("not", "a"), ("not", "an"))
    general = _general(view, thing)
    return replace(
        mention,
        relation="same" if same else mention.relation,
        general=general,
        placed=not general,
        fields=only_clock(mention.fields),
    )


def _named_before(mention: Mention, context: Context) -> bool:
    """Whether the same sentence has named the same thing, standing alike, already."""
    return any(
        m.sentence == mention.sentence and m.feature == mention.feature and m.standing == mention.standing
        for m in context.mentions[-8:]
    )


def _keep(view: View, thing: Thing, mention: Mention, context: Context) -> None:
    """Say the mention, with what it leaves open: a doubt, hearsay not met, a stretch not ended."""
    index = context.say(mention)
    cues = view.sentence.cues("standing.toml", "denied")
    not_met = any(hit.start >= thing.end and hit.entry["reach"] == "backward" for hit in cues)
    if mention.standing == "reported" and not_met:
        rule = f"{mention.feature}: told, and not met"
        context.say(
            replace(mention, standing="not-seen", general=True, placed=False, fields=Fields(), rule=rule)
        )
    if mention.standing == "possible":
        context.asked = [index]
        context.asked_sentence = mention.sentence
        context.questioned = False
    if (thing.entry["extent"] or mention.several) and mention.standing in SIGHT and not context.back:
        others = [i for i in context.open if context.mentions[i].feature != mention.feature]
        if mention.ends:
            context.open = others
        elif mention.feature != "crack" or mention.begins or mention.several:
            context.open = [*others, index]


def _pool(context: Context, extra: Mention) -> None:
    """A thing named twice in one sentence is one mention with what both places say of it."""
    for i in range(len(context.mentions) - 1, -1, -1):
        m = context.mentions[i]
        if m.sentence == extra.sentence and m.feature == extra.feature and m.standing == extra.standing:
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
        if any(t.feature == "start" and t.start <= thing.start < t.end for t in view.things):
            return True
        return bool(
            {"in", "into", "back", "out", "at", "am", "using", "through", "down", "on", "are", "via"}
            & set(before)
        ) and not {"past", "before", "from", "beyond", "behind"} & set(before)
    if thing.feature != "city-connection" or "at" not in before:
        return False
    # "we're right at the saddle", but not "there is no root at the saddle"
    led = [w for w in before[: before.index("at")] if w not in ("right", "now", "already", "just", "about")]
    return led[-1:] != [] and led[-1] in ("are", "am", "is", "here", "us", "me", "got")
