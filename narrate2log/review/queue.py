"""What asks for a person, in the order of how much it matters, each with the answers that are at hand."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from narrate2log.log.decisions import Applied, LogRow
from narrate2log.log.document import Log, asks, gone_id, offer_id
from narrate2log.records import Decision
from narrate2log.review.additions import Additions
from narrate2log.review.rereading import Rereader
from narrate2log.review.teaching import elsewhere, put

MOST_CHOICES = 4
# How a draft words that heard words may be others.
MAY_BE = " may be "
# The recogniser's doubt from which a word is shown as doubtful.
DOUBTFUL = 0.5
# A word said so long before or after a thing is named, in seconds, may be of its telling.
TELLING_S = 15.0
# No more of a long phrase than this is played before and after what matters, in seconds.
AROUND_S = 6.0
# A footage put aside, said within this time of a row, in seconds, may be the row's.
SAID_NEAR_S = 6.0

# What matters first. A danger cannot wait, and a decision that lost its row was settled once already.
BY_KIND = {"defect": 2, "landmark": 3, "pipe": 4, "water": 6, "note": 7, "event": 8}
URGENT, GONE, OFFER = 0, 1, 5
# Of one kind: first whether it is there, then where, then how far it runs, then the rest.
BY_REASON = (
    ("struck by voice", 0),
    ("marked by voice", 0),
    ("said to be unsure", 0),
    ("asked", 0),
    ("let stand", 0),
    ("a mis-heard word", 0),
    ("the words were hard", 0),
    ("only told as if", 0),
    ("no footage near", 1),
    ("its place", 1),
    ("the footage said", 1),
    ("the feet told", 1),
    ("told again on the way home", 1),
    ("where it begins", 2),
)


@dataclass
class Item:
    """One thing to settle."""

    id: str
    of: str
    title: str
    why: list[str]
    play: tuple[float, float] | None
    rank: tuple[int, int, float]
    heard: str = ""
    read_as: str = ""
    choices: list[dict[str, Any]] = field(default_factory=list)


class Queue:
    """Makes the queue of a run from its log; knows its words and what was put aside of its footages."""

    def __init__(
        self, additions: Additions, rereader: Rereader, anchors: list[dict[str, Any]], urgent: frozenset[str]
    ) -> None:
        self._additions = additions
        self._rereader = rereader
        self._aside = [a for a in anchors if not a["used"] and a["source"] == "footage"]
        self._urgent = urgent
        self._found: dict[tuple[str, str], list[tuple[int, int, str]]] = {}
        self._starts = [word.start_ms / 1000 for word in additions.words]

    def items(self, log: Log, done: Applied) -> list[dict[str, Any]]:
        """Everything that waits, what matters most first."""
        found = [self._row(row, log, done) for row in log.rows if asks(row, done)]
        found += [self._derived(row) for row in log.derived if asks(row, done)]
        found += [self._gone(d, log) for d in done.gone if gone_id(d) not in done.settled]
        found += self._offers(log, done)
        found.sort(key=lambda item: item.rank)
        return [self._told(item) for item in found]

    def _told(self, item: Item) -> dict[str, Any]:
        words = self._between(item.play) if item.play else None
        doubtful = (
            [
                at
                for at in range(words[0], words[1] + 1)
                if (probability := self._additions.words[at].probability) is not None
                and probability < DOUBTFUL
            ]
            if words
            else []
        )
        return {
            "id": item.id,
            "of": item.of,
            "title": item.title,
            "why": item.why,
            "play": item.play and list(item.play),
            "words": words and list(words),
            "doubtful": doubtful,
            "heard": item.heard,
            "read_as": item.read_as,
            "choices": item.choices[:MOST_CHOICES],
        }

    def _phrases(self, time: float, time_end: float) -> tuple[float, float]:
        """The phrases that these moments are in, for a thing may be one word of a long sentence."""
        words = self._between((time, time_end))
        if words is None:
            return time, time_end
        first, last = self._additions.phrase(*words)
        start = self._additions.words[first].start_ms / 1000
        end = self._additions.words[last].end_ms / 1000
        return max(start, time - AROUND_S), min(end, time_end + AROUND_S)

    def _between(self, play: tuple[float, float]) -> tuple[int, int] | None:
        first = bisect_left(self._starts, play[0] - 0.001)
        last = bisect_left(self._starts, play[1]) - 1
        return (first, last) if first <= last else None

    def _row(self, row: LogRow, log: Log, done: Applied) -> Item:
        why = list(row["check"])
        if row["id"] in done.outdated:
            why.insert(0, f"it was let stand before a new draft: {', '.join(done.outdated[row['id']])}")
        group = URGENT if row["feature"] in self._urgent else BY_KIND.get(row["kind"], 9)
        return Item(
            row["id"],
            "row",
            row["remark"],
            why,
            self._phrases(row["time"], row["time_end"]),
            (group, min((_reason_rank(reason) for reason in why), default=3), row["time"]),
            row["heard"],
            row["read_as"],
            list(self._choices(row, why, log)),
        )

    def _choices(self, row: LogRow, why: list[str], log: Log) -> Iterator[dict[str, Any]]:
        for reason in why:
            if MAY_BE in reason:
                yield from self._of_offer(row, reason, log)
            elif reason.startswith("a mis-heard word"):
                for change in _corrected(reason, log):
                    yield self._as_heard(row, change["heard"], change["read_as"])
            elif reason == "said to be unsure" or reason.startswith("asked"):
                yield _choice("it is there", reason, "changed", row["id"], {"standing": "seen"})
                yield _choice("it is not there", reason, "changed", row["id"], {"standing": "not-seen"})
            elif reason.startswith("the footage said"):
                for anchor in self._aside:
                    if row["time"] - SAID_NEAR_S <= anchor["time"] <= row["time_end"] + SAID_NEAR_S:
                        label = f"at {anchor['distance']:g} {log.units}, as said"
                        after = {"distance": anchor["distance"]}
                        yield _choice(label, anchor.get("why") or reason, "moved", row["id"], after)

    def _of_offer(self, row: LogRow, reason: str, log: Log) -> Iterator[dict[str, Any]]:
        offers = [offer for offer in log.offers if _is_told(offer, reason)]
        if not offers:
            return
        offer = min(offers, key=lambda one: min(abs(one["time"] - t) for t in row["sightings"]))
        heard = offer["heard"]
        for choice in offer["choices"]:
            text = put(row["read_as"], heard, choice["read_as"])
            if text is None:
                continue
            after = self._rereader.follow(row, text) or {"read_as": text}
            label = f"{heard!r} is {choice['read_as']!r}"
            if "feature" in after:
                label += f": {after['feature']}"
            yield _choice(label, choice["reason"], "changed", row["id"], after)

    def _as_heard(self, row: LogRow, heard: str, read_as: str) -> dict[str, Any]:
        text = put(row["read_as"], read_as, heard) or row["heard"]
        after = self._rereader.follow(row, text)
        if after is None:
            label = f"{heard!r} was right as heard, so it is not a finding"
            return _choice(label, "without the correction no rule takes it", "dropped", row["id"], {})
        return _choice(f"{heard!r} was right as heard", "as transcribed", "changed", row["id"], after)

    def _derived(self, row: LogRow) -> Item:
        rank = (BY_KIND["defect"], 3, float(row["distance"] or 0))
        return Item(row["id"], "derived", row["remark"], list(row["check"]), None, rank)

    def _gone(self, decision: Decision, log: Log) -> Item:
        before, after = decision.before, dict(decision.after)
        time = before.get("time")
        title = f"{decision.kind} by {decision.by}: {before.get('remark') or before.get('feature')}"
        choices = []
        if time is not None and decision.kind in ("changed", "moved", "dropped", "stands"):
            near = [row for row in log.rows if abs(row["time"] - time) <= TELLING_S]
            near.sort(key=lambda row: (row["feature"] != before.get("feature"), abs(row["time"] - time)))
            after.pop("lesson", None)
            for row in near:
                label = f"it holds for row {row['row']}: {row['remark']}"
                choices.append(
                    _choice(
                        label,
                        "told at the same time",
                        decision.kind,
                        row["id"],
                        {**after, "settles": gone_id(decision)},
                    )
                )
        told = ", ".join(f"{name.replace('_', ' ')} {value}" for name, value in after.items())
        return Item(
            gone_id(decision),
            "gone",
            title,
            ["this was decided on a row that the new draft does not have" + (f": {told}" if told else "")],
            None if time is None else self._phrases(time, before.get("time_end", time)),
            (GONE, 0, float(decision.n)),
            str(before.get("heard", "")),
            str(before.get("read_as", "")),
            choices,
        )

    def _offers(self, log: Log, done: Applied) -> Iterator[Item]:
        left = {
            d.after["heard"].casefold()
            for d in done.lessons
            if d.kind == "taught" and d.after["read_as"] is None
        }
        given: set[str] = set()
        asked = [
            (row, reason) for row in (*log.rows, *log.dropped) for reason in row["check"] if MAY_BE in reason
        ]
        for offer in log.offers:
            in_a_row = any(_is_told(offer, reason) and _tells(row, offer["time"]) for row, reason in asked)
            if in_a_row or offer["id"] in done.settled or offer["heard"].casefold() in left:
                continue
            words = self._between((offer["time"], offer["time_end"]))
            choices = [(choice["read_as"], choice["reason"]) for choice in offer["choices"]]
            given.add(offer["id"])
            why = f"{offer['heard']!r} may be {' or '.join(repr(read_as) for read_as, _ in choices)}"
            yield self._offer(offer["id"], offer["heard"], words, choices, why, log)
        for decision in done.lessons:
            lesson = decision.after if decision.kind == "taught" else decision.after["lesson"]
            if lesson["read_as"] is None or lesson["heard"].casefold() in left:
                continue
            for first, last, heard in self._elsewhere(lesson["heard"], lesson["read_as"]):
                start = self._additions.words[first].start_ms / 1000
                name = offer_id({"time": start, "heard": heard})
                if (
                    name in given
                    or name in done.settled
                    or self._is_read(first, last, lesson["read_as"], log)
                ):
                    continue
                given.add(name)
                why = f"{heard!r} was read as {lesson['read_as']!r} elsewhere in this run"
                yield self._offer(name, heard, (first, last), [(lesson["read_as"], why)], why, log)

    def _is_read(self, first: int, last: int, read_as: str, log: Log) -> bool:
        """Whether a row that tells these words has them read so already."""
        return any(read_as in row["read_as"] for row in self._rows_of((*log.rows, *log.dropped), first, last))

    def _rows_of(self, rows: Iterable[LogRow], first: int, last: int) -> list[LogRow]:
        """The rows that words `first` to `last` are told of: with the rest of their sentence."""
        start = self._additions.words[first].start_ms / 1000
        near = [row for row in rows if _tells(row, start)]
        rest = [self._additions.words[first].text]
        for word in self._additions.words[first + 1 : self._additions.phrase(first, last)[1] + 1]:
            if rest[-1].endswith((".", "?", "!")):
                break
            rest.append(word.text)
        said = " ".join(rest)
        return [row for row in near if said in row["heard"]]

    def _elsewhere(self, heard: str, read_as: str) -> list[tuple[int, int, str]]:
        """Where these words were heard; the words of a run stay, so they are looked through once."""
        if (heard, read_as) not in self._found:
            self._found[heard, read_as] = elsewhere(self._additions.words, heard, read_as)
        return self._found[heard, read_as]

    def _offer(
        self,
        name: str,
        heard: str,
        words: tuple[int, int] | None,
        readings: list[tuple[str, str]],
        why: str,
        log: Log,
    ) -> Item:
        choices, play, phrase = [], None, heard
        if words is not None:
            first, last = self._additions.phrase(*words)
            phrase = " ".join(word.text for word in self._additions.words[first : last + 1])
            play = (
                self._additions.words[first].start_ms / 1000,
                self._additions.words[last].end_ms / 1000,
            )
            choices = [self._reading(name, heard, words, *reading, log) for reading in readings]
            leave = {"heard": heard, "read_as": None}
            choices.append(
                _choice(f"never ask about {heard!r} again", "right as heard", "taught", name, leave)
            )
        return Item(
            name,
            "offer",
            f"heard {heard!r}",
            [why],
            play,
            (OFFER, 0, play[0] if play else 0.0),
            phrase,
            phrase,
            choices,
        )

    def _reading(
        self, name: str, heard: str, words: tuple[int, int], read_as: str, reason: str, log: Log
    ) -> dict[str, Any]:
        lesson = {"heard": heard, "read_as": read_as}
        told = ((row, put(row["read_as"], heard, read_as)) for row in self._rows_of(log.rows, *words))
        row, text = next((both for both in told if both[1] is not None), (None, None))
        if row is not None and text is not None:
            after = self._rereader.follow(row, text) or {"read_as": text}
            label = f"{read_as!r}, in row {row['row']}"
            return _choice(label, reason, "changed", row["id"], {**after, "settles": name, "lesson": lesson})
        made = self._additions.around(*words, read_as)
        if made["feature"] is None:
            label = f"{read_as!r}; no row comes of it, but it is remembered"
            return _choice(label, reason, "taught", name, lesson)
        after = {key: made[key] for key in ("words", "feature", "read_as")}
        return _choice(
            f"{read_as!r}: a new row, {made['feature']}", reason, "added", name, {**after, "lesson": lesson}
        )


def _tells(row: LogRow, start: float) -> bool:
    """Whether a word that starts then is likely of a telling of the row."""
    if row["time"] <= start <= row["time_end"]:
        return True
    sightings = row["sightings"]
    at = bisect_left(sightings, start - TELLING_S)
    return at < len(sightings) and sightings[at] <= start + TELLING_S


def _is_told(offer: dict[str, Any], reason: str) -> bool:
    """Whether a reason to look is this offer, as the draft words it."""
    return reason.startswith(f"{offer['heard']!r}{MAY_BE}")


def _corrected(reason: str, log: Log) -> list[dict[str, Any]]:
    """The corrections that a reason to look names, each once."""
    named = {
        (c["heard"], c["read_as"]): c
        for c in log.corrections
        if f"{c['heard']!r} read as {c['read_as']!r}" in reason
    }
    return list(named.values())


def _choice(label: str, why: str, kind: str, row: str, after: dict[str, Any]) -> dict[str, Any]:
    return {"label": label, "why": why, "kind": kind, "row": row, "after": after}


def _reason_rank(reason: str) -> int:
    if MAY_BE in reason:
        return 0
    return next((rank for begin, rank in BY_REASON if begin in reason), 3)
