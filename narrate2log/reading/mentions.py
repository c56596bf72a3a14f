"""From sentences to mentions: what each names, how it stands, and what it says of it."""

from __future__ import annotations

from dataclasses import replace

from narrate2log.reading import talk
from narrate2log.reading.answers import (
    clear_lens,
    remember_alternative,
    settle,
    settle_alternative,
    strike_out,
    strikes,
)
from narrate2log.reading.context import EVENTS, SIGHT, TOPIC_MS, Context, View
from narrate2log.reading.echoes import settle_kinds
from narrate2log.reading.events import read_event
from narrate2log.reading.findings import read_finding
from narrate2log.reading.flush_times import flush_time
from narrate2log.reading.language import Sentence
from narrate2log.reading.notes import NOT_ADVICE, find_order, read_note
from narrate2log.reading.pipe import read_material, read_sizes
from narrate2log.reading.remarks import ditto, read_remark
from narrate2log.reading.standing import judge
from narrate2log.reading.things import Thing
from narrate2log.reading.viewing import view_of
from narrate2log.records import Mention, Motion
from narrate2log.units import LengthUnit, mm_to_feet
from narrate2log.wording.folding import fold
from narrate2log.wording.lexicon import Lexicon

PHONE_SENTENCES = 8
# A start told later than this share of the talk is no start of it: a note dictated after the job has none.
EARLY_SHARE = 0.4


def read_sentences(sentences: list[Sentence], lexicon: Lexicon, unit: LengthUnit) -> Context:
    """Read every sentence in order. `sentences` carry their lexicon hits."""
    context = Context(unit)
    context.above_ground = frozenset(
        k for k, e in lexicon.features.items() if e["kind"] in ("landmark", "note") and k != "surface-mark"
    )
    context.marks = frozenset(fold(word) for word in lexicon.sets.get("above", ()))
    context.countable = frozenset(k for k, e in lexicon.features.items() if e["kind"] == "defect") | {
        "branch"
    }
    for key, entry in lexicon.materials.items():
        context.families[entry["family"] or key] = context.families.get(
            entry["family"] or key, frozenset()
        ) | {key}
    for sentence, quantities in zip(sentences, settle_kinds(sentences), strict=True):
        if not _on_the_phone(sentence, context):
            _read(view_of(sentence, quantities, context), lexicon, context)
    if sentences:
        strike_out(context, sentences[-1].index + 1, len(context.mentions))
    _drop_before_start(context, sentences)
    return context


def _drop_before_start(context: Context, sentences: list[Sentence]) -> None:
    """Take out sightings from before the camera went in: until then the talk is of the job.

    Only where the start was said early on; a note dictated after the job has none.
    """
    first = next((m.time_ms for m in context.motions if m.what in ("start", "zero")), None)
    if (
        first is None
        or not sentences
        or first - sentences[0].start_ms > EARLY_SHARE * (sentences[-1].end_ms - sentences[0].start_ms)
    ):
        return
    for i, m in enumerate(context.mentions):
        if (
            m.start_ms < first
            and m.standing in SIGHT
            and m.feature not in EVENTS
            and m.feature not in context.above_ground
        ):
            context.mentions[i] = replace(
                m, relation="echo", about=None, all_of_kind=False, rule="before the start"
            )


def _on_the_phone(sentence: Sentence, context: Context) -> bool:
    kinds = talk.kinds(sentence)
    if sentence.index <= context.phone_until:
        if "phone-ends" in kinds:
            context.phone_until = -1
        return True
    greeting = "hello" in sentence.folds
    if (
        "phone-begins" in kinds
        and sentence.index > 2
        and not (greeting and not sentence.asks and len(sentence.tokens) > 3)
    ):
        context.phone_until = (
            sentence.index + PHONE_SENTENCES if {"hello", "take", "answer"} & set(sentence.folds) else -1
        )
        return True
    return False


def _read(view: View, lexicon: Lexicon, context: Context) -> None:
    sentence = view.sentence
    _directions(sentence, context)
    _moves(sentence, context)
    if (
        context.back
        and len(sentence.tokens) <= 12
        and sentence.cues("relation.toml", "home")
        and not context.open_at_back(sentence)
    ):
        context.summing_up = True
        context.motions.append(Motion("home", sentence.start_ms, sentence.index))
    context.places += [s.place for s in view.said if s.what == "place"]
    here = [s for s in view.said if s.what == "place" and s.place.relation == "here"]
    if here:
        context.slope.last_footage = max(context.slope.last_footage, mm_to_feet(here[-1].place.low_mm))
    settle(view, context)
    clear_lens(sentence, context)
    settle_alternative(view, context)
    if strikes(sentence):
        context.struck = (sentence.index, list(context.topic))
        return
    before = len(context.mentions)
    if (
        sentence.folds[0] == "same"
        and len(sentence.tokens) > 2
        and sentence.tokens[1].is_punct
        and view.things
    ):
        ditto(view, context, ["same"])
    notes = [
        t
        for t in view.things
        if t.entry["kind"] == "note" and talk.silenced(sentence, t.start, t.end) not in NOT_ADVICE
    ]
    notes = [
        t
        for t in notes
        if "money" not in talk.kinds(sentence) or t.feature == "limitation" or view.names_a_defect()
    ]
    notes = [t for t in notes if t.feature != "limitation" or not (sentence.asks or _doubts(view))]
    notes = [
        t
        for t in notes
        if t.feature != "limitation"
        or not any(e.feature in ("pull-back", "end-of-run") for e in view.things)
        or "past" in sentence.folds
        or "further" in sentence.folds
    ]
    if notes and _only_a_heading(sentence):
        context.summing_up = True
        notes = []
    if (
        not notes
        and context.summing_up
        and not sentence.asks
        and not talk.kinds(sentence) & {"owner-advice", "money", "elsewhere", "bystander", "looking-for"}
    ):
        order = find_order(sentence)
        if order is not None:
            notes = [
                Thing(
                    "recommendation",
                    order,
                    order + 1,
                    "an order in the summing up",
                    lexicon.features["recommendation"],
                )
            ]
    if notes:
        read_note(view, notes, context)
        if notes[0].feature == "limitation":
            # "there's roots here and I can't see past them" tells of the roots first
            for thing in view.things:
                ahead = sentence.clauses[thing.start] < sentence.clauses[notes[0].start]
                if thing.entry["kind"] == "defect" and ahead and talk.points_here(sentence, thing.start):
                    read_finding(view, thing, context)
    else:
        for thing in view.things:
            if thing.entry["kind"] == "event":
                read_event(view, thing, context)
            elif thing.material:
                read_material(view, thing, context)
            elif thing.entry["kind"] != "note":
                read_finding(view, thing, context)
                context.summing_up |= context.back and thing.feature in ("cleanout", "manhole")
        read_sizes(view, context)
        if len(context.mentions) == before or all(
            context.mentions[i].feature in ("material", "pipe-size")
            for i in range(before, len(context.mentions))
        ):
            read_remark(view, context)
    told = flush_time(view, context)
    if told is not None:
        context.flush_times.append(told)
    strike_out(context, sentence.index, before)
    made = [
        i
        for i in range(before, len(context.mentions))
        if context.mentions[i].feature not in ("recommendation",)
    ]
    findings = [i for i in made if _is_thing(context.mentions[i])]
    remember_alternative(view, context, findings)
    if not context.back and any(_at_the_main(context.mentions[i]) for i in findings):
        context.motions.append(Motion("main", sentence.end_ms, sentence.index))
    if findings:
        context.topic = findings
        context.topic_ms = sentence.end_ms
        repeated = [context.mentions[i].feature for i in findings if context.mentions[i].standing == "seen"]
        context.repeated = repeated[0] if repeated else context.repeated
    elif any(context.mentions[i].feature == "locate" for i in made):
        context.topic = [i for i in made if context.mentions[i].feature == "locate"]
        context.topic_ms = sentence.end_ms
    elif made and len(context.mentions) > before:
        context.topic_ms = min(context.topic_ms, sentence.start_ms - TOPIC_MS // 2)


# "So my advice." by itself heads the advice that follows.
_HEADING = frozenset("advice recommendation suggestion".split())
_BESIDE_HEADING = frozenset("so okay now then all right well my the our here is are for you and".split())


def _only_a_heading(sentence: Sentence) -> bool:
    words = {f for f in sentence.folds if f.isalnum()}
    return bool(words & _HEADING) and words <= _HEADING | _BESIDE_HEADING


def _doubts(view: View) -> bool:
    """Whether the sentence is unsure of a thing it names, which is no limit of the whole inspection."""
    named = [t for t in view.things if t.entry["kind"] in ("defect", "landmark")]
    return any("hedged" in judge(view.sentence, t.start, t.end, view.things) for t in named)


def _at_the_main(mention: Mention) -> bool:
    return mention.feature == "city-connection" and mention.standing == "seen" and mention.relation != "echo"


def _is_thing(mention: Mention) -> bool:
    return mention.feature not in EVENTS and mention.feature not in ("material", "pipe-size", "flow")


def _moves(sentence: Sentence, context: Context) -> None:
    """Tell the track of standing, backing up and going on, unless the talk is of no camera."""
    if talk.kinds(sentence) & {"teaching", "hypothetical", "elsewhere", "owner-advice"}:
        return
    for kind in ("back-up", "again", "still"):
        hits = sentence.cues("motion.toml", kind)
        if hits and not (context.back and kind == "back-up"):
            context.motions.append(Motion(kind, sentence.times[hits[0].start][0], sentence.index))


def _directions(sentence: Sentence, context: Context) -> None:
    for hit in sentence.cues("slope.toml", "upstream", "downstream", "plus-falls", "minus-falls"):
        kind = hit.entry["kind"]
        if kind in ("upstream", "downstream"):
            context.directions.append((sentence.start_ms, kind))
        else:
            context.falling_sign = 1 if kind == "plus-falls" else -1
