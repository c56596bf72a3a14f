"""From sentences to mentions: what each names, how it stands, and what it says of it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal

from narrate2log.reading import talk
from narrate2log.reading.attributes import Attribute, find_attributes
from narrate2log.reading.language import Sentence
from narrate2log.reading.places import Said, find_places
from narrate2log.reading.quantities import Quantity, find_quantities
from narrate2log.reading.slopes import SlopeState, find_slopes
from narrate2log.reading.standing import judge
from narrate2log.reading.things import Thing, name_things
from narrate2log.records import TAKEN_BACK, Direction, Fields, Mention, Motion, SaidSlope, SpokenPlace, Standing
from narrate2log.units import LengthUnit, Milliseconds
from narrate2log.wording.folding import fold
from narrate2log.wording.lexicon import Hit, Lexicon

# A remark without a thing of its own still speaks of the last one for this long.
TOPIC_MS = 10_000
# A question waits this many sentences, and this long, for its answer.
ANSWER_SENTENCES = 4
ANSWER_MS = 15_000
PHONE_SENTENCES = 8
NO_CLOCK = frozenset({"bend", "material", "pipe-size", "surface-mark", "city-connection", "cleanout", "manhole", "tank", "house-trap", "test-tee", "flow"})
REQUESTS = frozenset({"flush", "water-on", "water-off"})
ASKING = frozenset("how what where why who when which did do does can could would have has will should was were".split())
CORRECTS = frozenset({"scratch", "sorry", "correction", "strike", "mean"})
SIGHT = frozenset({"seen", "possible"})


@dataclass
class Context:
    """What has been said so far that the next sentence may lean on."""

    unit: LengthUnit
    mentions: list[Mention] = field(default_factory=list)
    places: list[SpokenPlace] = field(default_factory=list)
    motions: list[Motion] = field(default_factory=list)
    slopes: list[SaidSlope] = field(default_factory=list)
    directions: list[tuple[Milliseconds, Direction]] = field(default_factory=list)
    falling_sign: int | None = None
    slope: SlopeState = field(default_factory=SlopeState)
    topic: list[int] = field(default_factory=list)
    topic_ms: Milliseconds = -TOPIC_MS
    open: list[int] = field(default_factory=list)
    asked: list[int] = field(default_factory=list)
    asked_sentence: int = -ANSWER_SENTENCES
    material: str | None = None
    material_ms: Milliseconds = -TOPIC_MS
    back: bool = False
    flushed: bool = False
    phone_until: int = -1
    repeated: str | None = None
    above_ground: frozenset[str] = frozenset()
    countable: frozenset[str] = frozenset()
    families: dict[str, frozenset[str]] = field(default_factory=dict)
    correcting: int = -1
    struck: tuple[int, list[int]] = (-9, [])
    pending: tuple[int, dict[str, object]] = (-9, {})
    questioned: bool = False
    summing_up: bool = False

    def told_amounts(self) -> list[int]:
        """The last mentions, of which an amount may have been told just before."""
        return [i for i in range(max(0, len(self.mentions) - 3), len(self.mentions))]

    def open_at_back(self, sentence: Sentence) -> bool:
        """Whether "out" may be out of a belly on the way home rather than out of the pipe."""
        near = [m for m in self.mentions[-4:] if sentence.start_ms - m.end_ms <= TOPIC_MS]
        return any(m.feature == "belly" for m in near)

    def say(self, mention: Mention) -> int:
        self.mentions.append(mention)
        return len(self.mentions) - 1


@dataclass
class View:
    """One sentence with all that was found in it."""

    sentence: Sentence
    quantities: list[Quantity]
    attributes: list[Attribute]
    said: list[Said]
    things: list[Thing]
    correcting: bool = False

    def token_ms(self, i: int) -> Milliseconds:
        return self.sentence.times[min(i, len(self.sentence.times) - 1)][0]

    def names_a_defect(self) -> bool:
        return any(t.entry["kind"] in ("defect", "pipe") for t in self.things)

    def quantities_elsewhere(self) -> bool:
        """Whether a number of the sentence counts years, people or money."""
        return any(q.kind in ("other", "year") for q in self.quantities)

    def words(self) -> set[str]:
        return set(self.sentence.folds)


def read_sentences(sentences: list[Sentence], lexicon: Lexicon, unit: LengthUnit) -> Context:
    """Read every sentence in order. `sentences` carry their lexicon hits."""
    context = Context(unit)
    context.above_ground = frozenset(k for k, e in lexicon.features.items() if e["kind"] in ("landmark", "note"))
    context.countable = frozenset(k for k, e in lexicon.features.items() if e["kind"] == "defect") | {"branch"}
    for key, entry in lexicon.materials.items():
        context.families[entry["family"] or key] = context.families.get(entry["family"] or key, frozenset()) | {key}
    for sentence in sentences:
        if not _on_the_phone(sentence, context):
            _read(_view(sentence, lexicon, context), lexicon, context)
    _drop_before_start(context, sentences)
    return context


# Only what the camera sees needs the camera in the pipe.
IN_THE_PIPE = frozenset({"defect", "pipe", "water"})


def _drop_before_start(context: Context, sentences: list[Sentence]) -> None:
    """Take out sightings from before the camera went in: until then the talk is of the job.

    Only where the start was said early on; a note dictated after the job has none.
    """
    first = next((m.time_ms for m in context.motions if m.what in ("start", "zero")), None)
    if first is None or not sentences or first - sentences[0].start_ms > 0.4 * (sentences[-1].end_ms - sentences[0].start_ms):
        return
    for i, m in enumerate(context.mentions):
        if m.start_ms < first and m.standing in SIGHT and m.feature not in EVENTS and m.feature not in context.above_ground:
            context.mentions[i] = replace(m, relation="echo", about=None, all_of_kind=False, rule="before the start")


def _on_the_phone(sentence: Sentence, context: Context) -> bool:
    kinds = talk.kinds(sentence)
    if sentence.index <= context.phone_until:
        if "phone-ends" in kinds:
            context.phone_until = -1
        return True
    greeting = "hello" in sentence.folds
    if "phone-begins" in kinds and sentence.index > 2 and not (greeting and not sentence.asks and len(sentence.tokens) > 3):
        context.phone_until = sentence.index + PHONE_SENTENCES if {"hello", "take", "answer"} & set(sentence.folds) else -1
        return True
    return False


def _view(sentence: Sentence, lexicon: Lexicon, context: Context) -> View:
    quantities = find_quantities(sentence)
    things = name_things(sentence, lexicon)
    if {"worst", "deepest"} & set(sentence.folds) and any(context.mentions[i].fields.amount_pct for i in context.told_amounts()):
        quantities = [replace(q, kind="percent") if q.kind == "bare" and not q.signed and 5 <= q.value <= 100 else q for q in quantities]
    quantities = _corrected_percents(sentence, quantities)
    zeroing = any(thing.feature == "counter-reset" for thing in things)
    kinds = talk.kinds(sentence)
    if any(hit.entry["kind"] == "summary" for hit in sentence.cues("relation.toml", "summary")):
        context.summing_up = context.back or bool(context.mentions)
    quiet = bool(kinds & {"teaching", "hypothetical", "looking-for", "elsewhere", "owner-advice", "ahead"})
    slopes, used = find_slopes(sentence, quantities, context.slope, quiet, zeroing)
    context.slopes += slopes
    attributes = [
        a
        for a in find_attributes(sentence, quantities)
        if not any(quantities[i].start < a.end and a.start < quantities[i].end for i in used)
    ]
    used |= {
        i
        for i, q in enumerate(quantities)
        if any(a.start < q.end and q.start < a.end for a in attributes if a.name != "severity")
    }
    # a number inside a thing's own words ("one of the", "forty five bend") is no footage
    used |= {i for i, q in enumerate(quantities) if any(t.start <= q.start and q.end <= t.end for t in things)}
    advising = any(thing.feature == "recommendation" for thing in things)
    told = any(
        hit.entry["effect"] in ("reported", "nothing") for hit in sentence.cues("standing.toml", "reported", "nothing")
    )
    elsewhere = advising or told or bool(kinds - {"bystander", "ahead", "phone-ends"})
    said = find_places(sentence, quantities, used, context.unit, elsewhere, {t.start for t in things})
    correcting = context.correcting == sentence.index
    if {"strike", "scratch", "correction"} & set(sentence.folds[-4:]) or sentence.lowers[0] in ("no", "well") and len(sentence.tokens) <= 3:
        context.correcting = sentence.index + 1
    return View(sentence, quantities, attributes, said, things, correcting)


def _corrected_percents(sentence: Sentence, quantities: list[Quantity]) -> list[Quantity]:
    """ "Thirty percent, no, call it forty": the bare number after the correction is percent as well."""
    fixed = list(quantities)
    for i in range(1, len(fixed)):
        a, b = fixed[i - 1], fixed[i]
        between = set(sentence.folds[a.end : b.start])
        if a.kind == "percent" and b.kind == "bare" and b.start - a.end <= 8 and (between & {"no", "call", "make", "sorry", "now", "rather"}):
            fixed[i] = replace(b, kind="percent")
    return fixed


# --- one sentence ----------------------------------------------------------------------------


def _read(view: View, lexicon: Lexicon, context: Context) -> None:
    sentence = view.sentence
    _directions(sentence, context)
    if context.back and len(sentence.tokens) <= 12 and sentence.cues("relation.toml", "home") and not context.open_at_back(sentence):
        context.summing_up = True
        context.motions.append(Motion("home", sentence.start_ms, sentence.index))
    context.places += [s.place for s in view.said if s.what == "place"]
    here = [s for s in view.said if s.what == "place" and s.place.relation == "here"]
    if here:
        context.slope.last_footage = max(context.slope.last_footage, here[-1].place.low_mm / 304.8)
    _answer(view, context)
    if _strikes(sentence):
        context.struck = (sentence.index, list(context.topic))
        return
    before = len(context.mentions)
    if sentence.folds[0] == "same" and len(sentence.tokens) > 2 and sentence.tokens[1].is_punct and view.things:
        _ditto(view, context, ["same"])
    notes = [t for t in view.things if t.entry["kind"] == "note" and talk.silenced(sentence, t.start, t.end) not in NOT_ADVICE]
    notes = [t for t in notes if "money" not in talk.kinds(sentence) or t.feature == "limitation" or view.names_a_defect()]
    notes = [t for t in notes if t.feature != "limitation" or not sentence.asks]
    notes = [t for t in notes if t.feature != "limitation" or not any(e.feature in ("pull-back", "end-of-run") for e in view.things) or "past" in sentence.folds or "further" in sentence.folds]
    if not notes and context.summing_up and not sentence.asks and not talk.kinds(sentence) & {"owner-advice", "money", "elsewhere", "bystander", "looking-for"}:
        order = _order(sentence)
        if order is not None:
            notes = [Thing("recommendation", order, order + 1, "an order in the summing up", lexicon.features["recommendation"])]
    if notes:
        _note(view, notes, context)
    else:
        for thing in view.things:
            if thing.entry["kind"] == "event":
                _event(view, thing, context)
            elif thing.material:
                _material(view, thing, context)
            elif thing.entry["kind"] != "note":
                _finding(view, thing, context)
                context.summing_up |= context.back and thing.feature in ("cleanout", "manhole")
        _sizes(view, context)
        if len(context.mentions) == before or all(
            context.mentions[i].feature in ("material", "pipe-size") for i in range(before, len(context.mentions))
        ):
            _remark(view, lexicon, context)
    _strike_out(context, sentence.index, before)
    made = [i for i in range(before, len(context.mentions)) if context.mentions[i].feature not in ("recommendation",)]
    findings = [i for i in made if _is_thing(context.mentions[i])]
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


def _strikes(sentence: Sentence) -> bool:
    """ "Strike that." by itself: what was said before is taken back, unless it is corrected next."""
    words = [f for f in sentence.folds if f.isalnum() and f not in ("no", "oh", "okay", "wait", "sorry", "actually")]
    return words in (["strike", "that"], ["scratch", "that"], ["forget", "that"], ["strike", "that", "one"], ["delete", "that"])


def _strike_out(context: Context, index: int, before: int) -> None:
    """Drop what was struck out in the sentence before, unless this one tells of it again."""
    at, struck = context.struck
    if at != index - 1:
        return
    again = {m.feature for m in context.mentions[before:]}
    for i in struck:
        if context.mentions[i].feature not in again:
            context.mentions[i] = replace(context.mentions[i], relation="echo", about=None, rule=TAKEN_BACK)
    context.struck = (-9, [])


EVENTS = frozenset("start counter-reset pull-back end-of-run flush flush-arrival locate water-on water-off".split())


def _is_thing(mention: Mention) -> bool:
    return mention.feature not in EVENTS and mention.feature not in ("material", "pipe-size", "flow")


def _directions(sentence: Sentence, context: Context) -> None:
    for hit in sentence.cues("slope.toml", "upstream", "downstream", "plus-falls", "minus-falls"):
        kind = hit.entry["kind"]
        if kind in ("upstream", "downstream"):
            context.directions.append((sentence.start_ms, kind))
        else:
            context.falling_sign = 1 if kind == "plus-falls" else -1


def _base(view: View, start: int, feature: str, standing: Standing, rule: str, relation: Literal["new", "another", "same", "echo"] = "new") -> Mention:
    sentence = view.sentence
    return Mention(
        feature, standing, relation, sentence.index, view.token_ms(start), sentence.end_ms,
        sentence.first_word, sentence.last_word, rule,
    )  # fmt: skip


def _pick_place(view: View, start: int) -> SpokenPlace | None:
    """The footage of the sentence that belongs to token `start`: in its clause, else the nearest."""
    places = [s for s in view.said if s.what == "place" and s.place.relation != "behind"]
    if not places:
        return None
    clauses = view.sentence.clauses
    return min(places, key=lambda s: (clauses[s.start] != clauses[start], abs(s.start - start))).place


def _attributes_of(view: View, thing: Thing) -> dict[str, object]:
    """The attributes nearer to this thing than to any other that could take them."""
    clauses = view.sentence.clauses
    values: dict[str, object] = {}
    takers = [t for t in view.things if t.entry["kind"] in ("defect", "pipe", "water", "landmark") and not t.material]
    for a in view.attributes:
        if a.name == "size_in":
            continue
        if a.name == "depth_ft" and thing.feature != "locate":
            continue
        if a.name == "clock" and thing.feature in NO_CLOCK:
            continue
        if a.name in ("severity", "amount_pct", "amount_in") and thing.entry["kind"] in ("landmark", "event", "note"):
            continue
        able = [t for t in takers if not (a.name == "clock" and t.feature in NO_CLOCK) and not (a.name != "clock" and t.entry["kind"] == "landmark")]

        def far(t: Thing, a: Attribute = a) -> tuple[bool, int, int]:
            gap = t.start - a.end if t.start >= a.end else a.start - t.end
            if a.name == "clock" and t.start < a.start:
                # a position follows what it places
                gap = gap // 3
            # an adjective goes with the noun after it
            return (clauses[t.start] != clauses[a.start], max(0, gap), 0 if t.start >= a.end else 1)

        if able and min(able, key=far).feature != thing.feature:
            continue
        _put(values, a)
    return values


SEVERITY_ORDER = {"minor": 0, "moderate": 1, "severe": 2}


def _put(values: dict[str, object], a: Attribute) -> None:
    if a.name == "clock":
        hours = a.value if isinstance(a.value, tuple) else ()
        if hours:
            values["clock_from"] = hours[0]
            values["clock_to"] = hours[1] if len(hours) > 1 else None
    elif a.name == "severity":
        values["severity"] = a.value
    elif a.name in ("amount_pct", "amount_in"):
        old = values.get(a.name)
        number = a.value if isinstance(a.value, float | int) else 0.0
        values[a.name] = number if old is None else max(number, old) if isinstance(old, float | int) else number
    else:
        values[a.name] = a.value


def _corrects(view: View) -> bool:
    lowers = view.sentence.lowers
    if view.correcting:
        return True
    return bool(CORRECTS & set(lowers)) or ("make" in lowers and "that" in lowers) or (lowers[0] == "no" and len(lowers) > 2)


def _last_value(view: View, values: dict[str, object]) -> dict[str, object]:
    """With a correction in the sentence ("severe, strike that, moderate") the last value said stands."""
    lowers = view.sentence.lowers
    marks = [i for i, w in enumerate(lowers) if w in CORRECTS or w in ("no", "nope")]
    marks += [i for i, w in enumerate(lowers[:-1]) if (w, lowers[i + 1]) in (("make", "that"), ("call", "it"), ("strike", "that"), ("more", "like"))]
    for name in ("severity", "amount_pct", "amount_in", "clock"):
        mine = [a for a in view.attributes if a.name == name]
        if len(mine) > 1 and any(mine[-2].end <= m < mine[-1].start for m in marks):
            for key in ("clock_from", "clock_to") if name == "clock" else (name,):
                values.pop(key, None)
            _put(values, mine[-1])
    return values


def _fields(values: dict[str, object]) -> Fields:
    return Fields(**values)  # type: ignore[arg-type]


# --- notes and events ------------------------------------------------------------------------


# Of several causes named in one limitation the first of these is meant.
# Talk that is no advice about this pipe, whatever it says should be done.
NOT_ADVICE = frozenset({"owner-advice", "elsewhere", "hypothetical", "looking-for", "money", "bystander"})


def _order(sentence: Sentence) -> int | None:
    """Where a clause begins with what should be done: "dig it", "fracture at seventeen, excavate and replace"."""
    for hit in sentence.cues("relation.toml", "order"):
        before = sentence.tokens[hit.start - 1] if hit.start else None
        if before is None or before.is_punct or before.lower in ("and", "please", "then", "so", "just", "to"):
            return hit.start
    return None


CAUSES = ["lens", "bend", "head", "gauge", "house", "water", "reach"]


def _note(view: View, notes: list[Thing], context: Context) -> None:
    """One note row for the sentence; the defects it names are told again at most."""
    note = next((t for t in notes if t.feature == "recommendation"), notes[0])
    place = _pick_place(view, note.start)
    causes = sorted((hit.entry["kind"] for hit in view.sentence.cues("limits.toml")), key=CAUSES.index)
    mention = _base(view, note.start, note.feature, "seen", f"notes: {note.phrase}")
    mention = replace(mention, place=place, placed=note.feature == "limitation" or place is not None)
    if note.feature == "limitation":
        mention = replace(mention, sense=causes[0] if causes else "view")
    context.say(mention)
    named = False
    for thing in view.things:
        if thing.entry["kind"] in ("defect", "pipe", "landmark") and not thing.material and thing.feature != "surface-mark":
            if talk.only_a_place(view.sentence, thing) and thing.entry["kind"] == "landmark":
                continue
            named = True
            echo = _base(view, thing.start, thing.feature, "seen", f"named in advice: {thing.phrase}", "echo")
            fields = _fields(_attributes_of(view, thing)) if note.feature == "limitation" else Fields()
            context.say(replace(echo, place=place, all_of_kind=True, fields=fields))
    pointing = {"it", "that", "those", "them", "this", "these"} & view.words()
    amounts = {k: v for k, v in _free(view).items() if k == "amount_pct"}
    bellies = [i for i in context.open if context.mentions[i].feature == "belly"]
    if amounts and bellies and not named and note.feature == "limitation":
        _echo(view, context, bellies[-1:], amounts, "amount said with a limit")
        named = True
    if not named and pointing and view.sentence.start_ms - context.topic_ms <= TOPIC_MS // 2 and context.topic:
        _echo(view, context, context.topic[-1:], {}, "pronoun in advice")


def _event(view: View, thing: Thing, context: Context) -> None:
    sentence, feature = view.sentence, thing.feature
    kind = talk.silenced(sentence, thing.start, thing.end)
    if kind and kind not in ("bystander", "teaching") and not (kind == "ahead" and feature in (*REQUESTS, "locate", "counter-reset", "flush-arrival")):
        return
    if sentence.asks and feature not in REQUESTS and feature not in ("counter-reset", "pull-back", "start", "flush-arrival"):
        return
    if sentence.asks and sentence.folds[0] in ASKING and feature in ("counter-reset", "pull-back", "start", "end-of-run"):
        return
    verdicts = judge(sentence, thing, view.things)
    if "reported" in verdicts and feature not in REQUESTS and feature not in ("locate", "pull-back", "end-of-run"):
        return
    if "nothing" in verdicts and feature not in ("end-of-run", "pull-back") and verdicts["nothing"].start < thing.start:
        return
    if "denied" in verdicts and feature not in ("end-of-run", "locate") and verdicts["denied"].start < thing.start:
        return
    if feature == "flush-arrival" and not context.flushed:
        return
    if any(m.feature == feature and m.sentence == sentence.index for m in context.mentions[-6:]):
        return
    values = {a.name: a.value for a in view.attributes if a.name == "depth_ft"} if feature == "locate" else {}
    mention = _base(view, thing.start, feature, "seen", f"events: {thing.phrase}")
    placed = feature not in ("flush", "water-on", "water-off")
    place = _pick_place(view, thing.start) if placed else None
    context.say(replace(mention, fields=_fields(values), place=place, placed=placed))
    context.flushed = context.flushed or feature == "flush"
    motion: str | None = thing.entry["motion"]
    if motion:
        context.motions.append(Motion(motion, view.token_ms(thing.start), sentence.index))  # type: ignore[arg-type]
        if motion == "pull-back":
            context.back = True
            context.open = []
        elif motion in ("zero", "start"):
            context.back = context.summing_up = False


# --- what the pipe is ------------------------------------------------------------------------

_ASSERTS = frozenset(
    fold(word)
    for word in "is change changed changes changing transition transitions switch switched becomes become turn goes go going into"
    " start starts first piece here now from to got have have pipe run quits back line was".split()
)


def _material(view: View, thing: Thing, context: Context) -> None:
    sentence = view.sentence
    silent = talk.silenced(sentence, thing.start, thing.end)
    verdicts = judge(sentence, thing, view.things)
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
    opening = not [f for f in folds[: thing.start] if f.isalnum() and f not in ("so", "okay", "and", "now", "well", "good", "a", "the", "old", "just", "plain", "still", "that", "again", "all", "more", "back", "in")]
    asserted = any(w in _ASSERTS for w in near) or sized or alone or (opening and bool(after) and not after[0].isalpha()) or "pipe" in after or "here" in after or "from" in after
    asserted = asserted or "hedged" in verdicts or (not definite and bool(after) and not after[0].isalpha())
    if thing.loose:
        thing = replace(thing, material=_of_the_family(thing, context))
    values = _fields({"material": thing.material})
    if "reported" in verdicts:
        told = _base(view, thing.start, "material", "reported", f"materials: {thing.phrase}")
        context.say(replace(told, fields=values, placed=False))
        return
    base = replace(_base(view, thing.start, "material", "seen", f"materials: {thing.phrase}"), fields=values, place=_pick_place(view, thing.start))
    if context.back:
        if definite or inside or alone or asserted or near[-1:] in (("to",), ("in",), ("into",)):
            context.say(replace(base, relation="echo"))
        return
    if thing.material == context.material:
        context.say(replace(base, relation="echo"))
        return
    if not asserted:
        return
    if any(m.feature == "material" and m.sentence == sentence.index and m.fields.material == thing.material for m in context.mentions[-6:]):
        return
    if definite and near[-1] in ("the", "that", "this") and "to" not in near and "into" not in near and not sized and context.material:
        # "in the iron" before any iron was told: a place, not a change
        if any(m.feature == "material" and m.fields.material == thing.material for m in context.mentions):
            context.say(replace(base, relation="echo"))
        return
    doubts: tuple[str, ...] = ()
    standing: Standing = "seen"
    hedge = verdicts.get("hedged")
    if hedge and hedge.cue and any(word in hedge.cue for word in ("might", "maybe", "not sure", "can not", "possibl")):
        standing = "possible"
    unsaid = {"then", "no", "actually", "sorry", "mean", "wait"} & set(folds) or view.correcting
    quick = sentence.start_ms - context.material_ms <= TOPIC_MS and bool(unsaid)
    context.say(replace(base, standing=standing, corrects=quick and context.material is not None, doubts=doubts))
    context.material = thing.material
    context.material_ms = sentence.end_ms


def _of_the_family(thing: Thing, context: Context) -> str | None:
    """ "Plastic" after black plastic is that same plastic: the last material told of the family."""
    family = thing.entry["family"]
    for m in reversed(context.mentions):
        if m.feature == "material" and m.fields.material in context.families.get(family, ()):
            return m.fields.material
    return thing.material


def _sizes(view: View, context: Context) -> None:
    sentence = view.sentence
    sizes = [a for a in view.attributes if a.name == "size_in"]
    if not sizes or sentence.asks or talk.silenced(sentence, sizes[-1].start, sizes[-1].end) in ("elsewhere", "owner-advice", "money", "hypothetical"):
        return
    verdicts = judge(sentence, Thing("pipe-size", sizes[-1].start, sizes[-1].end, "", view.things[0].entry if view.things else _NOTHING), view.things)
    if {"nothing", "denied"} & set(verdicts):
        return
    hedged = "hedged" in verdicts or any(
        hit.start >= sizes[-1].end and not any(t.material and sizes[-1].end < t.start < hit.start for t in view.things)
        for hit in sentence.cues("standing.toml", "hedged")
    )
    standing: Standing = "reported" if "reported" in verdicts else "possible" if hedged else "seen"
    base = replace(_base(view, sizes[-1].start, "pipe-size", standing, "size said"), placed=standing != "reported")
    context.say(
        replace(base, fields=Fields(size_in=float(sizes[-1].value)), place=_pick_place(view, sizes[-1].start), corrects=len(sizes) > 1)  # type: ignore[arg-type]
    )


class _Nothing(dict):  # type: ignore[type-arg]
    """An entry that says nothing, for a size that no thing stands beside."""

    def __missing__(self, key: str) -> None:
        return None


_NOTHING = _Nothing()


# --- findings --------------------------------------------------------------------------------


def _relation(view: View, thing: Thing) -> Literal["new", "another", "same", "echo"]:
    clauses = view.sentence.clauses
    mass = thing.feature in ("grease", "scale", "corrosion", "belly", "flow", "deposit")
    for hit in view.sentence.cues("relation.toml", "another"):
        if mass and "more" in hit.phrase.split():
            continue
        if (clauses[hit.start] == clauses[thing.start] or hit.start <= 1) and hit.end <= thing.start + 1 and thing.start - hit.end <= 3:
            return "another"
        if hit.start >= thing.end and hit.start - thing.end <= 2 and hit.phrase.split()[0] in ("also", "too", "again"):
            return "another"
    for hit in view.sentence.cues("relation.toml", "same"):
        if hit.end <= thing.start and thing.start - hit.end <= 3 and clauses[hit.start] == clauses[thing.start]:
            return "same"
    i = thing.start - 1
    while i >= 0 and i > thing.start - 4:
        if view.sentence.folds[i] in ("the", "that", "those", "these", "our", "same", "your", "my", "this"):
            return "same"
        if view.sentence.folds[i] in ("a", "an", "some", "is", "are", "got", "have", ","):
            break
        i -= 1
    return "new"


_GENERAL = frozenset({"so_far", "anywhere", "yet", "any", "all", "whole", "either", "sign", "evidence", "run", "far", "nowhere", "anything", "mind"})
_SPOT = frozenset({"here", "there", "this", "that", "at", "it", "one"})


def _general(view: View, thing: Thing, answered: bool) -> bool:
    """Whether a denial is of the whole run so far rather than of this spot."""
    folds = view.sentence.folds
    if answered or any(s.what == "place" for s in view.said):
        return False
    if {"far", "anywhere", "yet", "all", "whole", "nowhere", "anyway", "one"} & set(folds) and "this" not in folds and "that" not in folds and "there" not in folds[thing.end:]:
        return True
    if {"any", "see", "saw", "sign", "found", "either", "no"} & set(folds[: thing.start]) and not (_SPOT & set(folds)):
        plural = view.sentence.lowers[thing.end - 1].endswith("s") or thing.feature in ("grease", "scale", "infiltration", "corrosion", "deposit")
        return plural or "any" in folds
    if "in" in folds[thing.end :] and "here" in folds[thing.end :]:
        return True
    return False


# A question that begins so is a statement with a rising voice.
_STATED = frozenset({("there", "is"), ("there", "are"), ("i", "have"), ("we", "have"), ("i", "got"), ("we", "got"), ("it", "is"), ("you", "see"), ("see", "that"), ("see", "the"), ("see", "this"), ("see", "how"), ("you", "can")})
_TAGS = frozenset({"see", "right", "okay", "huh", "yeah", "you"})


def _tag_question(sentence: Sentence, thing: Thing) -> bool:
    """ "The water's moving along, see it go by?": said before the comma, only then asked."""
    commas = [i for i, word in enumerate(sentence.lowers) if word == "," and i >= thing.end]
    return bool(commas) and sentence.folds[commas[-1] + 1 : commas[-1] + 2] != () and sentence.folds[commas[-1] + 1] in _TAGS


# Words that make an entry named after the way home a new entry, and no coming home.
_MOVED = frozenset({"second", "other", "now", "next", "try", "front", "moved", "different"})


def _finding(view: View, thing: Thing, context: Context) -> None:
    sentence, feature = view.sentence, thing.feature
    verdicts = judge(sentence, thing, view.things)
    silent = talk.silenced(sentence, thing.start, thing.end)
    told = "reported" in verdicts and verdicts["reported"].start < thing.start
    if silent and not (told and silent in ("elsewhere", "bystander", "ahead")):
        return
    if talk.is_general(sentence, thing.start, thing.end):
        return
    if {"lens", "glass", "screen"} & set(sentence.folds[thing.end : thing.end + 4]) and "on" in sentence.folds[thing.end : thing.end + 2]:
        return
    topic = [context.mentions[i].feature for i in context.topic]
    if feature in ("belly", "water-level") and "house-trap" in topic and sentence.start_ms - context.topic_ms <= TOPIC_MS:
        _echo(view, context, context.topic[-1:], {}, "water in a trap")
        return
    if "nothing" in verdicts and "reported" not in verdicts and not ("denied" in verdicts and verdicts["denied"].start > verdicts["nothing"].start):
        if {"that", "this", "it"} & set(sentence.folds[:4]) and feature in topic:
            _echo(view, context, context.topic[-1:], {}, "supposed of the last thing")
        return
    place_use = talk.only_a_place(sentence, thing)
    behind = sentence.folds[max(0, thing.start - 3) : thing.start]
    if place_use and {"behind", "past", "before", "beyond", "between"} & set(behind) and not thing.entry["place"]:
        context.say(replace(_base(view, thing.start, feature, "seen", "named as a place", "echo"), place=None))
        return
    if place_use and thing.entry["place"] and feature != "surface-mark" and not _entry_or_home(view, thing):
        return
    standing: Standing = "seen"
    rule = f"{feature}: {thing.phrase}"
    if "reported" in verdicts:
        if "denied" in verdicts and verdicts["denied"].start > verdicts["reported"].start:
            return
        standing, rule = "reported", f"{rule}; reported: {verdicts['reported'].cue}"
    elif "denied" in verdicts and not ("affirmed" in verdicts and "doubt" in (verdicts["affirmed"].cue or "")):
        standing, rule = "not-seen", f"{rule}; denied: {verdicts['denied'].cue}"
    elif "hedged" in verdicts and feature not in ("surface-mark", "city-connection", "manhole") and not (
        "affirmed" in verdicts and "doubt" in (verdicts["affirmed"].cue or "")
    ):
        standing, rule = "possible", f"{rule}; hedged: {verdicts['hedged'].cue}"
    relation = _relation(view, thing)
    values = _last_value(view, _attributes_of(view, thing))
    if sentence.index - context.pending[0] <= 3 and standing in ("possible", "not-seen", "seen"):
        values = {**context.pending[1], **values}
        context.pending = (-9, {})
    if standing == "not-seen":
        values = {k: v for k, v in values.items() if k.startswith("clock")}
    base = replace(
        _base(view, thing.start, feature, standing, rule, relation),
        sure="affirmed" in verdicts,
        home=context.back and feature in ("cleanout", "manhole", "tank") and not _MOVED & set(sentence.folds),
        fields=_fields(values),
        place=_pick_place(view, thing.start),
        corrects=_corrects(view),
    )
    stated = sentence.folds[:2] in _STATED or _tag_question(sentence, thing)
    if sentence.asks and standing != "reported" and not stated:
        if sentence.folds[0] in ASKING and sentence.folds[:3] not in (("could", "that", "be"), ("could", "it", "be"), ("would", "that", "be")) and not (sentence.folds[:2] in (("do", "you"), ("can", "you")) and "see" in sentence.folds[:3]):
            if sentence.folds[0] in ("how", "what") or feature not in topic:
                return
        if _answer_inside(sentence, thing):
            return
        context.asked.append(context.say(replace(base, standing="possible", doubts=("asked, and no answer heard",))))
        context.asked_sentence = sentence.index
        context.questioned = True
        return
    if standing == "not-seen":
        pointing = sentence.folds[max(0, thing.start - 4) : thing.start]
        same = (bool({"that", "it", "this"} & set(pointing)) and "is" in pointing) or sentence.folds[:2] in (("not", "a"), ("not", "an"))
        general = _general(view, thing, False)
        base = replace(base, relation="same" if same else relation, general=general, placed=not general)
    if standing == "reported":
        base = replace(base, placed=base.place is not None)
    begins = any(hit.start <= thing.end + 3 for hit in sentence.cues("extent.toml", "begins"))
    ends = standing == "seen" and _ends_here(view, thing)
    base = _with_extent(view, base, thing, begins, ends, context)
    if any(m.sentence == sentence.index and m.feature == feature and m.standing == standing and relation != "another" for m in context.mentions[-8:]):
        _pool(context, sentence.index, base)
        return
    index = context.say(base)
    if standing == "reported" and any(h.start >= thing.end and h.entry["reach"] == "backward" for h in sentence.cues("standing.toml", "denied")):
        denied = replace(base, standing="not-seen", general=True, placed=False, fields=Fields(), rule=f"{feature}: told, and not met")
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
                name: getattr(extra.fields, name) if getattr(extra.fields, name) is not None else getattr(m.fields, name)
                for name in Fields.__slots__
            }
            context.mentions[i] = replace(m, fields=Fields(**values), ends=m.ends or extra.ends, begins=m.begins or extra.begins)
            return


def _entry_or_home(view: View, thing: Thing) -> bool:
    folds = view.sentence.folds
    before = folds[max(0, thing.start - 6) : thing.start]
    if thing.feature in ("cleanout", "manhole", "tank", "house-trap"):
        return bool({"in", "into", "back", "out", "at", "am", "using", "through", "down", "on", "are", "via"} & set(before)) and not {"past", "before", "from", "beyond", "behind"} & set(before)
    return thing.feature == "city-connection" and bool({"are", "am", "is", "here", "hit", "reached", "got"} & set(before)) and "at" in before


def _answer_inside(sentence: Sentence, thing: Thing) -> bool:
    """A question that the same sentence answers with something else is no question."""
    return False


def _ends_here(view: View, thing: Thing) -> bool:
    clauses = view.sentence.clauses
    return any(
        abs(clauses[hit.start] - clauses[thing.start]) <= 1 and -6 <= hit.start - thing.end <= 5
        for hit in view.sentence.cues("extent.toml", "ends")
    )


def _with_extent(view: View, base: Mention, thing: Thing, begins: bool, ends: bool, context: Context) -> Mention:
    far = [s for s in view.said if s.what == "end"]
    length = [s for s in view.said if s.what == "length"]
    changes: dict[str, object] = {"begins": begins, "ends": ends}
    if far and base.standing in SIGHT:
        changes["end_place"] = far[-1].place
    if length and base.standing in SIGHT and (thing.entry["extent"] or thing.feature in ("crack", "fracture", "roots")):
        changes["length_mm"] = (length[-1].place.low_mm + length[-1].place.high_mm) // 2
    if thing.entry["extent"]:
        if view.sentence.cues("extent.toml", "until-material"):
            changes["until"] = "material"
        elif view.sentence.cues("extent.toml", "rest"):
            iron = any(t.material for t in view.things) or {"iron", "clay", "concrete", "plastic"} & view.words()
            changes["until"] = "material" if iron else "end"
        places = [s for s in view.said if s.what == "place"]
        later = [h for h in view.sentence.cues("extent.toml", "ends") if places and h.start > places[0].start]
        if len(places) > 1 and (ends or later) and not far:
            changes["ends"] = True
            # "a low spot at twenty eight, and I come back out at thirty three"
            changes["place"], changes["end_place"] = places[0].place, places[-1].place
    return replace(base, **changes)  # type: ignore[arg-type]


# --- remarks that name nothing ---------------------------------------------------------------


def _echo(view: View, context: Context, about: list[int], values: dict[str, object], rule: str, ends: bool = False, standing: Standing | None = None, corrects: bool = False) -> None:
    for i in about:
        target = context.mentions[i]
        while target.about is not None:
            i = target.about
            target = context.mentions[i]
        if target.feature in NO_CLOCK:
            values = {k: v for k, v in values.items() if not k.startswith("clock")}
        if target.feature in context.above_ground:
            values = {k: v for k, v in values.items() if k.startswith("clock") or k == "depth_ft"}
        echo = _base(view, 0, target.feature, standing or target.standing, rule, "echo")
        far = [s for s in view.said if s.what == "end"]
        length = [s for s in view.said if s.what == "length"]
        context.say(
            replace(
                echo,
                about=i,
                fields=_fields(values),
                ends=ends,
                corrects=corrects,
                place=_pick_place(view, 0),
                end_place=far[-1].place if far else None,
                length_mm=(length[-1].place.low_mm + length[-1].place.high_mm) // 2 if length else None,
                general=target.general,
                placed=target.placed,
                sense=target.sense,
            )
        )


def _remark(view: View, lexicon: Lexicon, context: Context) -> None:
    """A sentence that names no thing: it may end, size, judge, doubt or repeat the last one."""
    sentence = view.sentence
    if talk.kinds(sentence) & {"elsewhere", "owner-advice", "bystander", "money", "looking-for", "hypothetical"} or sentence.asks:
        return
    words = [f for f in sentence.folds if f.isalnum()]
    fresh = sentence.start_ms - context.topic_ms <= TOPIC_MS and bool(context.topic)
    ends = [hit for hit in sentence.cues("extent.toml", "ends") if len(words) <= 16]
    last = _ended(view, context, ends, words) if ends and not context.back else None
    if last is not None:
        _echo(view, context, [last], _last_value(view, _free(view)), "ends", ends=True)
        context.open.remove(last)
        context.topic, context.topic_ms = [last], sentence.end_ms
        return
    _take_back(view, context, words)
    if words[:1] in (["same"], ["another"]) and _ditto(view, context, words):
        return
    values = _last_value(view, _free(view))
    vague = bool(sentence.cues("relation.toml", "vague"))
    depths = [a for a in view.attributes if a.name == "depth_ft"]
    if depths and fresh and context.mentions[context.topic[-1]].feature == "locate":
        _echo(view, context, context.topic[-1:], {"depth_ft": depths[0].value}, "its depth")
        return
    open_water = [i for i in context.open if context.mentions[i].feature in ("belly", "deposit", "grease", "corrosion", "scale")]
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
        context.pending = (sentence.index, {k: v for k, v in values.items() if k.startswith("clock") or k.startswith("amount")})
        return
    if graded and values and (fresh or open_water) and len(words) <= 25:
        unsure = len(context.topic) > 1 and all(context.mentions[i].standing == "possible" for i in context.topic)
        about = (context.topic[:1] if unsure else context.topic[-1:]) if fresh else open_water[-1:]
        if open_water and "amount_pct" in values and context.mentions[about[0]].feature not in ("roots", "grease", "deposit", "belly", "scale", "corrosion"):
            about = open_water[-1:]
        _echo(view, context, about, values, "what was said of it", corrects=_corrects(view), standing=_hedge_standing(view))
        _keep_topic(context, about, sentence)
        return
    if sentence.cues("extent.toml", "rest") and context.open and len(words) <= 16 and not context.back:
        _echo(view, context, context.open[-1:], values, "the rest of the way")
        iron = {"iron", "clay", "concrete", "plastic"} & view.words()
        context.mentions[-1] = replace(context.mentions[-1], until="material" if iron else "end")
        return
    inside = sentence.cues("extent.toml", "inside")
    if inside and context.open and len(words) <= 12 and not context.back:
        _echo(view, context, context.open[-1:], {}, "still in it")
        _keep_topic(context, context.open[-1:], sentence)
        return
    if _ditto(view, context, words):
        return
    if _numbered(view, context, words):
        return
    near = sentence.start_ms - context.topic_ms <= TOPIC_MS // 2
    judged = sentence.cues("relation.toml", "evaluation", "pronoun")
    if fresh and near and judged and len(words) <= 22 and not view.quantities_elsewhere():
        _echo(view, context, context.topic[-1:], {}, "a remark on it", standing=_hedge_standing(view))
        _keep_topic(context, context.topic[-1:], sentence)


_INSTEAD = ({"wait"}, {"sorry"}, {"nothing"}, {"scratch"}, {"hang"})


def _take_back(view: View, context: Context, words: list[str]) -> None:
    """ "No, sorry, it's a scratch": what was claimed a moment ago is denied.

    Only where the sentence names none of the tool's things and sets something in its place.
    """
    lowers = view.sentence.lowers
    if lowers[0] not in _NO or len(lowers) < 2 or not (view.sentence.tokens[1].is_punct or lowers[1] in ("it", "that", "wait", "sorry")):
        return
    if view.quantities or not any(w <= set(words) for w in _INSTEAD) or not context.topic:
        return
    if view.sentence.start_ms - context.topic_ms > TOPIC_MS // 2:
        return
    for i in context.topic:
        m = context.mentions[i]
        if m.standing in SIGHT and m.about is None and m.sentence >= view.sentence.index - 2 and m.feature not in context.above_ground:
            context.mentions[i] = replace(m, standing="not-seen", fields=_only_clock(m.fields))


def _ended(view: View, context: Context, ends: list[Hit], words: list[str]) -> int | None:
    """Which open stretch a remark ends: water first, else the one still talked of."""
    bellies = [i for i in context.open if context.mentions[i].feature == "belly"]
    if bellies and ({"water", "out", "up"} & set(words) or len(words) <= 6):
        return bellies[-1]
    firm = [h for h in ends if h.end - h.start > 1 or h.phrase.split("|")[0] in ("ends", "cleans")]
    talked = [i for i in context.open if context.mentions[i].feature in {context.mentions[t].feature for t in context.topic}]
    if firm and talked and "through" not in words:
        return talked[-1]
    return None


def _hedge_standing(view: View) -> Standing | None:
    strong = [hit for hit in view.sentence.cues("standing.toml", "hedged") if hit.entry["reach"] == "sentence"]
    return "possible" if strong else None


def _keep_topic(context: Context, about: list[int], sentence: Sentence) -> None:
    context.topic, context.topic_ms = list(about), sentence.end_ms


def _free(view: View) -> dict[str, object]:
    values: dict[str, object] = {}
    for a in view.attributes:
        if a.name not in ("size_in", "depth_ft"):
            _put(values, a)
    return values


def _ditto(view: View, context: Context, words: list[str]) -> bool:
    """ "Another one", "same again", "and another one, and another one": further things of the last kind."""
    sentence = view.sentence
    again = [hit for hit in sentence.cues("relation.toml", "another")]
    same = words[:1] == ["same"] and words[1:2] != ["one"]
    kind = context.repeated
    if kind is None or len(words) > 12 or context.back or not (again or same):
        return False
    if not same and not any(w in ("another", "more", "ditto") for w in words[:6]):
        return False
    if len(words) > 18 or words[:2] == ["same", "difference"] or kind not in context.countable:
        return False
    times = max(1, sum(hit.phrase in ("another one", "and another") for hit in again if hit.phrase == "another one"))
    values = _free(view)
    starts = [hit.start for hit in again if hit.phrase == "another one"] or [0]
    for start in starts[:times]:
        base = _base(view, start, kind, "seen", "another one", "another")
        context.topic = [context.say(replace(base, fields=_fields(values), place=_pick_place(view, start), doubts=()))]
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
    for k, s in enumerate(places):
        base = _base(view, s.start, target.feature, target.standing, "one of several", "another" if k else "same")
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
        ordinal = next((q for q in view.quantities if q.start and view.sentence.folds[q.start - 1] == "number"), None)
    if ordinal is None:
        return False
    base = _base(view, 0, context.repeated, "seen", "by its number", "echo")
    context.topic = [context.say(replace(base, ordinal=int(ordinal.value)))]
    context.topic_ms = view.sentence.end_ms
    return True


# --- answers ---------------------------------------------------------------------------------

_NO = frozenset({"no", "nope", "nah", "naw", "negative", "none", "not"})
_YES = frozenset({"yes", "sure", "correct", "definitely", "absolutely", "aye", "yeah"})
_WAIT = frozenset({"hold", "hang", "wait", "let", "okay", "well", "look", "oh", "ha", "hmm", "on", "ah"})


def _stands_alone(sentence: Sentence, word: str) -> bool:
    """Whether a "no" answers by itself rather than denying the thing named after it."""
    i = sentence.folds.index(word)
    return i + 1 >= len(sentence.tokens) or sentence.tokens[i + 1].is_punct or sentence.folds[i + 1] in ("it", "that", "wait", "sorry", "a", "ma'am", "sir", "nothing", "i", "there")


def _answer(view: View, context: Context) -> None:
    """Settle what was asked before by how this sentence begins."""
    if not context.asked:
        return
    sentence = view.sentence
    late = sentence.index - context.asked_sentence > ANSWER_SENTENCES or (
        sentence.start_ms - context.mentions[context.asked[0]].end_ms > ANSWER_MS
    )
    words = [f for f in sentence.folds if f.isalnum()]
    if not words:
        return
    opens = next((j for j, w in enumerate(words[:3]) if w in _NO and (j == 0 or words[j - 1] in _WAIT)), None)
    stands = opens is not None and _stands_alone(sentence, words[opens])
    denied = stands or words[:3] in (["it", "is", "not"], ["that", "is", "not"], ["not", "a"])
    denied = denied or ("just" in words[:4] and words[0] in ("it", "that") and not view.things)
    affirmed = words[0] in _YES or words in (["it", "is"], ["they", "are"], ["it", "be"], ["it", "is", "yes"]) or words[:3] in (["it", "is", "a"], ["that", "is", "a"])
    doubted = bool([h for h in sentence.cues("standing.toml", "hedged")]) or ("tell" in words and "not" in words)
    if late:
        context.asked = []
        return
    if not context.questioned:
        # a doubt needs a plain yes or no
        denied, affirmed, doubted = stands, words[0] in _YES and words[1:2] != ["but"], False
    if words[0] in _YES and "not" not in words:
        denied = False
    if denied:
        for i in context.asked:
            context.mentions[i] = replace(context.mentions[i], standing="not-seen", doubts=(), fields=_only_clock(context.mentions[i].fields))
        context.asked = []
    elif affirmed:
        named = {t.feature for t in view.things}
        if words[0] in _YES or len(words) <= 3 or named & {context.mentions[i].feature for i in context.asked}:
            for i in context.asked:
                context.mentions[i] = replace(context.mentions[i], standing="seen", doubts=())
        else:
            for i in context.asked:
                context.mentions[i] = replace(context.mentions[i], standing="not-seen", doubts=("asked; answered with something else",), fields=_only_clock(context.mentions[i].fields))
        context.asked = []
    elif doubted:
        for i in context.asked:
            context.mentions[i] = replace(context.mentions[i], doubts=())
        context.asked = []


def _only_clock(fields: Fields) -> Fields:
    return Fields(clock_from=fields.clock_from, clock_to=fields.clock_to)
