"""Answers, doubts settled, and words taken back."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from narrate2log.reading.context import SIGHT, TOPIC_MS, Context, View
from narrate2log.reading.language import Sentence
from narrate2log.reading.making import base_mention, only_clock
from narrate2log.records import TAKEN_BACK

# A question waits this many sentences, and this long, for its answer.
ANSWER_SENTENCES = 4

ANSWER_MS = 15_000

_NO = frozenset({"no", "nope", "nah", "naw", "negative", "none", "not"})

_YES = frozenset({"yes", "sure", "correct", "definitely", "absolutely", "aye", "yeah"})

_WAIT = frozenset({"hold", "hang", "wait", "let", "okay", "well", "look", "oh", "ha", "hmm", "on", "ah"})


def _stands_alone(sentence: Sentence, word: str) -> bool:
    """Whether a "no" answers by itself rather than denying the thing named after it."""
    i = sentence.folds.index(word)
    return (
        i + 1 >= len(sentence.tokens)
        or sentence.tokens[i + 1].is_punct
        or sentence.folds[i + 1]
        in ("it", "that", "wait", "sorry", "a", "ma'am", "sir", "nothing", "i", "there")
    )


def settle(view: View, context: Context) -> None:
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
    # "I think that's a, no."
    stands = stands or (words[-1] in _NO and 1 < len(words) <= 8 and not view.things)
    denied = stands or words[:3] in (["it", "is", "not"], ["that", "is", "not"], ["not", "a"])
    denied = denied or ("just" in words[:4] and words[0] in ("it", "that") and not view.things)
    affirmed = (
        words[0] in _YES
        or words in (["it", "is"], ["they", "are"], ["it", "be"], ["it", "is", "yes"])
        or words[:3] in (["it", "is", "a"], ["that", "is", "a"])
    )
    doubted = bool(sentence.cues("standing.toml", "hedged")) or ("tell" in words and "not" in words)
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
            context.mentions[i] = replace(
                context.mentions[i],
                standing="not-seen",
                doubts=(),
                fields=only_clock(context.mentions[i].fields),
            )
        context.asked = []
    elif affirmed:
        named = {t.feature for t in view.things}
        if (
            words[0] in _YES
            or len(words) <= 3
            or named & {context.mentions[i].feature for i in context.asked}
        ):
            for i in context.asked:
                context.mentions[i] = replace(context.mentions[i], standing="seen", doubts=())
        else:
            for i in context.asked:
                context.mentions[i] = replace(
                    context.mentions[i],
                    standing="not-seen",
                    doubts=("asked; answered with something else",),
                    fields=only_clock(context.mentions[i].fields),
                )
        context.asked = []
    elif doubted:
        for i in context.asked:
            context.mentions[i] = replace(context.mentions[i], doubts=())
        context.asked = []


_INSTEAD = ({"wait"}, {"sorry"}, {"nothing"}, {"scratch"}, {"hang"})


def take_back(view: View, context: Context, words: list[str]) -> None:
    """ "No, sorry, it's a scratch": what was claimed a moment ago is denied.

    Only where the sentence names none of the tool's things and sets something in its place.
    """
    lowers = view.sentence.lowers
    if (
        lowers[0] not in _NO
        or len(lowers) < 2
        or not (view.sentence.tokens[1].is_punct or lowers[1] in ("it", "that", "wait", "sorry"))
    ):
        return
    if view.quantities or not any(w <= set(words) for w in _INSTEAD) or not context.topic:
        return
    if view.sentence.start_ms - context.topic_ms > TOPIC_MS // 2:
        return
    for i in context.topic:
        m = context.mentions[i]
        if (
            m.standing in SIGHT
            and m.about is None
            and m.sentence >= view.sentence.index - 2
            and m.feature not in context.above_ground
        ):
            context.mentions[i] = replace(m, standing="not-seen", fields=only_clock(m.fields))


def strikes(sentence: Sentence) -> bool:
    """ "Strike that." by itself: what was said before is taken back, unless it is corrected next."""
    words = [
        f
        for f in sentence.folds
        if f.isalnum() and f not in ("no", "oh", "okay", "wait", "sorry", "actually")
    ]
    return words in (
        ["strike", "that"],
        ["scratch", "that"],
        ["forget", "that"],
        ["strike", "that", "one"],
        ["delete", "that"],
    )


def strike_out(context: Context, index: int, before: int) -> None:
    """Drop what was struck out in the sentence before, unless this one tells of it again."""
    at, struck = context.struck
    if at != index - 1:
        return
    again = {m.feature for m in context.mentions[before:]}
    for i in struck:
        if context.mentions[i].feature not in again:
            context.mentions[i] = replace(context.mentions[i], relation="echo", about=None, rule=TAKEN_BACK)
    context.struck = (-9, [])


# What dims the lens for no longer than this limits nothing.
CLEARED_MS = 15_000


def clear_lens(sentence: Sentence, context: Context) -> None:
    """Take back a dirty lens that came clear at once ("lens is smeared. Nope, it cleared")."""
    if not sentence.cues("relation.toml", "cleared"):
        return
    for i in range(len(context.mentions) - 1, -1, -1):
        m = context.mentions[i]
        if sentence.start_ms - m.end_ms > CLEARED_MS:
            return
        if m.feature == "limitation" and m.sense == "lens":
            context.mentions[i] = replace(m, relation="echo", about=None, rule=TAKEN_BACK)


def remember_alternative(view: View, context: Context, found: list[int]) -> None:
    """Keep what else a doubted thing might be: "might be a crack, or it might be a seam"."""
    folds = view.sentence.folds
    doubted = [i for i in found if context.mentions[i].standing == "possible"]
    if not doubted or "or" not in folds:
        return
    after = folds.index("or") + 1
    end = next((j for j in range(after, len(folds)) if not folds[j][:1].isalpha()), len(folds))
    named = any(t.start < end and after < t.end for t in view.things)
    if end - after >= 2 and not named:
        context.alternatives[folds[end - 1]] = doubted[-1]


def settle_alternative(view: View, context: Context) -> None:
    """ "It's a seam", once that was what the crack might be: there is no crack."""
    sentence = view.sentence
    if sentence.asks or view.things or sentence.cues("standing.toml", "hedged", "denied"):
        return
    folds = sentence.folds
    for word, i in list(context.alternatives.items()):
        if word not in folds:
            continue
        before = folds[max(0, folds.index(word) - 4) : folds.index(word)]
        if ("it", "is") in pairwise(before) or ("that", "is") in pairwise(before):
            m = context.mentions[i]
            context.say(
                replace(
                    base_mention(view, 0, m.feature, "not-seen", f"it is the {word}", "echo"),
                    about=i,
                    fields=only_clock(m.fields),
                )
            )
            del context.alternatives[word]
