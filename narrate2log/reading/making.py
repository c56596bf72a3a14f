"""Mentions made: the common parts of a row-to-be, and the values said of it."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from narrate2log.reading.attributes import Attribute
from narrate2log.reading.context import Context, View
from narrate2log.reading.language import Sentence
from narrate2log.reading.things import Thing
from narrate2log.records import Fields, Mention, SpokenOffset, SpokenPlace, Standing

NO_CLOCK = frozenset(
    (
        "cleanout bend house-trap pipe-size flow surface-mark manhole tank test-tee material city-connection"
    ).split()
)

CORRECTS = frozenset({"scratch", "sorry", "correction", "strike", "mean"})


def base_mention(
    view: View,
    start: int,
    feature: str,
    standing: Standing,
    rule: str,
    relation: Literal["new", "another", "same", "echo"] = "new",
) -> Mention:
    """A mention of a feature said at token `start`, with nothing said of it yet."""
    sentence = view.sentence
    return Mention(
        feature, standing, relation, sentence.index, view.token_ms(start), sentence.end_ms,
        sentence.first_word, sentence.last_word, rule,
    )  # fmt: skip


def pick_place(view: View, start: int) -> SpokenPlace | None:
    """The footage of the sentence that belongs to token `start`: in its clause, else the nearest."""
    told = [s for s in view.said if s.what == "place"]
    places = [s for s in told if s.place.relation != "behind"] or told
    if not places:
        return None
    clauses = view.sentence.clauses
    return min(places, key=lambda s: (clauses[s.start] != clauses[start], abs(s.start - start))).place


def pick_offset(view: View, thing: Thing) -> SpokenOffset | None:
    """The offset of the sentence that a thing is told at, the nearest one; none for what it is told from."""
    when = view.token_ms(thing.start)
    others = [o for o in view.offsets if o.feature != thing.feature]
    return min(others, key=lambda o: abs(o.time_ms - when), default=None)


def attributes_of(view: View, thing: Thing) -> dict[str, object]:
    """The attributes nearer to this thing than to any other that could take them."""
    clauses = view.sentence.clauses
    values: dict[str, object] = {}
    takers = [
        t
        for t in view.things
        if t.entry["kind"] in ("defect", "pipe", "water", "landmark") and not t.material
    ]
    for a in view.attributes:
        if a.name == "size_in":
            continue
        if a.name == "depth_ft" and thing.feature != "locate":
            continue
        if a.name == "clock" and thing.feature in NO_CLOCK:
            continue
        if a.name in ("severity", "amount_pct", "amount_in") and thing.entry["kind"] in (
            "landmark",
            "event",
            "note",
        ):
            continue
        able = [
            t
            for t in takers
            if not (a.name == "clock" and t.feature in NO_CLOCK)
            and not (a.name != "clock" and t.entry["kind"] == "landmark")
        ]

        def far(t: Thing, a: Attribute = a) -> tuple[bool, bool, int, int]:
            gap = t.start - a.end if t.start >= a.end else a.start - t.end
            if a.name == "clock" and t.start < a.start:
                # a position follows what it places
                gap = gap // 3
            # an adjective goes with the noun after it, "a medium one" with what was named before
            named_after = view.sentence.folds[a.end : a.end + 1] == ("one",) and t.start >= a.end
            return (
                named_after,
                clauses[t.start] != clauses[a.start],
                max(0, gap),
                0 if t.start >= a.end else 1,
            )

        if able and min(able, key=far).feature != thing.feature:
            continue
        put(values, a)
    return values


def put(values: dict[str, object], a: Attribute) -> None:
    """Put an attribute into row values; of several amounts the larger stays."""
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
        values[a.name] = (
            number if old is None else max(number, old) if isinstance(old, float | int) else number
        )
    else:
        values[a.name] = a.value


def free_values(view: View) -> dict[str, object]:
    """Every value the sentence says, whatever thing it is of."""
    values: dict[str, object] = {}
    for a in view.attributes:
        if a.name not in ("size_in", "depth_ft"):
            put(values, a)
    return values


def corrects(view: View) -> bool:
    """Whether the sentence takes back or corrects what was said before."""
    lowers = view.sentence.lowers
    if view.correcting:
        return True
    return (
        bool(CORRECTS & set(lowers))
        or ("make" in lowers and "that" in lowers)
        or (lowers[0] == "no" and len(lowers) > 2)
    )


def last_value(view: View, values: dict[str, object]) -> dict[str, object]:
    """With a correction in the sentence ("severe, strike that, moderate") the last value said stands."""
    lowers = view.sentence.lowers
    marks = [i for i, w in enumerate(lowers) if w in CORRECTS or w in ("no", "nope")]
    marks += [
        i
        for i, w in enumerate(lowers[:-1])
        if (w, lowers[i + 1]) in (("make", "that"), ("call", "it"), ("strike", "that"), ("more", "like"))
    ]
    for name in ("severity", "amount_pct", "amount_in", "clock"):
        mine = [a for a in view.attributes if a.name == name]
        if len(mine) > 1 and any(mine[-2].end <= m < mine[-1].start for m in marks):
            for key in ("clock_from", "clock_to") if name == "clock" else (name,):
                values.pop(key, None)
            put(values, mine[-1])
    return values


def to_fields(values: dict[str, object]) -> Fields:
    """Row values as a record."""
    return Fields(**values)  # type: ignore[arg-type]


def only_clock(fields: Fields) -> Fields:
    """What a denied thing keeps of what was said of it: its position."""
    return Fields(clock_from=fields.clock_from, clock_to=fields.clock_to)


def echo(
    view: View,
    context: Context,
    about: list[int],
    values: dict[str, object],
    rule: str,
    ends: bool = False,
    standing: Standing | None = None,
    corrects: bool = False,
) -> None:
    """Mentions that tell of earlier ones again, with what the sentence says of them."""
    for i in about:
        target = context.mentions[i]
        while target.about is not None:
            i = target.about
            target = context.mentions[i]
        if target.feature in NO_CLOCK:
            values = {k: v for k, v in values.items() if not k.startswith("clock")}
        if target.feature in context.above_ground:
            values = {k: v for k, v in values.items() if k.startswith("clock") or k == "depth_ft"}
        fields = to_fields(values)
        if target.standing == "not-seen":
            fields = only_clock(fields)
        echo = base_mention(view, 0, target.feature, standing or target.standing, rule, "echo")
        far = [s for s in view.said if s.what == "end"]
        length = [s for s in view.said if s.what == "length"]
        context.say(
            replace(
                echo,
                about=i,
                fields=fields,
                ends=ends,
                corrects=corrects,
                place=pick_place(view, 0),
                end_place=far[-1].place if far else None,
                length_mm=(length[-1].place.low_mm + length[-1].place.high_mm) // 2 if length else None,
                general=target.general,
                placed=target.placed,
                sense=target.sense,
            )
        )


def keep_topic(context: Context, about: list[int], sentence: Sentence) -> None:
    """What is talked of goes on being it."""
    context.topic, context.topic_ms = list(about), sentence.end_ms
