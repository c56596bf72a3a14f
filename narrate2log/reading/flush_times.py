"""How long a flush took to the camera, where the narrator says it: "twenty seconds to show up"."""

from __future__ import annotations

from dataclasses import replace

from narrate2log.reading import talk
from narrate2log.reading.context import TOPIC_MS, Context, View
from narrate2log.records import SaidTime
from narrate2log.units import S_PER_MINUTE

# Between two numbers these make one time of them: "fifteen, twenty seconds".
_TO = {("to",), ("or",), (",",), (",", "maybe"), ("maybe",), (",", "or"), ("-",)}
# A time said in a sentence of its own is that of the flush told so many sentences before.
SENTENCES_AFTER = 2
# No flush is so long on its way to a camera; who says more speaks of something else.
LONGEST_S = 180
# Talk in which seconds are no measured ones.
NO_MEASURE = frozenset({"hypothetical", "teaching", "elsewhere", "owner-advice", "money", "ahead"})


def flush_time(view: View, context: Context) -> SaidTime | None:
    """The time that the sentence gives for the last flush to arrive, or None.

    A sentence without the arrival in it must follow it closely and name nothing else.
    """
    sentence = view.sentence
    arrival = next((m for m in reversed(context.mentions) if m.feature == "flush-arrival"), None)
    said = _seconds(view)
    if arrival is None or said is None or said.high_s > LONGEST_S or talk.kinds(sentence) & NO_MEASURE:
        return None
    if arrival.sentence != sentence.index:
        near = sentence.index - arrival.sentence <= SENTENCES_AFTER
        if not near or sentence.start_ms - arrival.end_ms > TOPIC_MS or view.things or sentence.asks:
            return None
    return replace(said, time_ms=arrival.start_ms)


def _seconds(view: View) -> SaidTime | None:
    """The last time of the sentence, that of a correction; a range keeps its two ends."""
    quantities = view.quantities
    i = next((i for i in range(len(quantities) - 1, -1, -1) if quantities[i].kind == "second"), None)
    if i is None:
        return None
    q = quantities[i]
    before = quantities[i - 1] if i else None
    if before is None:
        return SaidTime(q.value, q.value, 0)
    between = view.sentence.lowers[before.end : q.start]
    if before.kind == "second" and between in ((), ("and",)):
        # "one minute and ten seconds"
        return SaidTime(before.value + q.value, before.value + q.value, 0)
    minutes = before.kind == "bare" and view.sentence.folds[q.end - 1] == "minute"
    low = before.value * (S_PER_MINUTE if minutes else 1)
    return SaidTime(low if between in _TO and low < q.value else q.value, q.value, 0)
