"""Advice about this pipe, and what limits the inspection."""

from __future__ import annotations

from dataclasses import replace

from narrate2log.reading import talk
from narrate2log.reading.advice import advised
from narrate2log.reading.context import TOPIC_MS, Context, View
from narrate2log.reading.language import Sentence
from narrate2log.reading.making import attributes_of, base_mention, echo, free_values, pick_place, to_fields
from narrate2log.reading.things import Thing
from narrate2log.records import Fields

# Talk that is no advice about this pipe, whatever it says should be done.
NOT_ADVICE = frozenset({"owner-advice", "elsewhere", "hypothetical", "looking-for", "money", "bystander"})
# Of several causes named in one limitation the first of these is meant.
CAUSES = ["lens", "bend", "head", "gauge", "house", "water", "reach"]


def _rank(cause: str) -> int:
    """Where a cause stands among those known; a user's own comes last."""
    return CAUSES.index(cause) if cause in CAUSES else len(CAUSES)


def find_order(sentence: Sentence) -> int | None:
    """Where a clause begins with what should be done: "dig it", "crack at ten, excavate and replace"."""
    for hit in sentence.cues("relation.toml", "order"):
        before = sentence.tokens[hit.start - 1] if hit.start else None
        if before is None or before.is_punct or before.lower in ("and", "please", "then", "so", "just", "to"):
            return hit.start
    return None


def read_note(view: View, notes: list[Thing], context: Context) -> None:
    """One note row for the sentence; the defects it names are told again at most."""
    note = next((t for t in notes if t.feature == "recommendation"), notes[0])
    place = pick_place(view, note.start)
    causes = sorted((hit.entry["kind"] for hit in view.sentence.cues("limits.toml")), key=_rank)
    mention = base_mention(view, note.start, note.feature, "seen", f"notes: {note.phrase}")
    mention = replace(mention, place=place, placed=note.feature == "limitation" or place is not None)
    if note.feature == "limitation":
        mention = replace(mention, sense=causes[0] if causes else "view")
    else:
        mention = replace(mention, sense=advised(view.sentence, view.things))
    context.say(mention)
    named = False
    for thing in view.things:
        if (
            thing.entry["kind"] in ("defect", "pipe", "landmark")
            and not thing.material
            and thing.feature != "surface-mark"
        ):
            if talk.only_a_place(view.sentence, thing) and thing.entry["kind"] == "landmark":
                continue
            named = True
            named_again = base_mention(
                view, thing.start, thing.feature, "seen", f"named in advice: {thing.phrase}", "echo"
            )
            fields = to_fields(attributes_of(view, thing)) if note.feature == "limitation" else Fields()
            context.say(replace(named_again, place=place, all_of_kind=True, fields=fields))
    pointing = {"it", "that", "those", "them", "this", "these"} & view.words()
    amounts = {k: v for k, v in free_values(view).items() if k == "amount_pct"}
    bellies = [i for i in context.open if context.mentions[i].feature == "belly"]
    if amounts and bellies and not named and note.feature == "limitation":
        echo(view, context, bellies[-1:], amounts, "amount said with a limit")
        named = True
    if (
        not named
        and pointing
        and view.sentence.start_ms - context.topic_ms <= TOPIC_MS // 2
        and context.topic
    ):
        echo(view, context, context.topic[-1:], {}, "pronoun in advice")
