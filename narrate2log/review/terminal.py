"""The review in a terminal: one item a screen, one key an answer, heard through the system's player."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from typing import Any, TextIO

from rich.console import Console
from rich.table import Table
from rich.text import Text

from narrate2log.drawing.axes import clock_text
from narrate2log.errors import Refusal
from narrate2log.review.answers import FIELDS, VALUES, Unanswerable, place_of
from narrate2log.review.session import Conflict, Session
from narrate2log.review.sound import Player
from narrate2log.review.teaching import put

# Played before and after the words, and what `wider` adds, in seconds.
MARGIN_S = 1.0
WIDER_S = 4.0
SLOWER = 0.7
SHOWN = (
    "feature standing severity clock_from clock_to amount_pct amount_in material size_in depth_ft leg pass"
).split()
KEYS = (
    "Enter stands  1-4 choice  e type over  x not a finding  m move  j join  p part  space play  w wider"
    "  s slower  u undo  U redo  n next  b back  q leave"
)
HOW_TO_TYPE = "heard word > right word, or field = value (several with ;)"


class Leave(Exception):
    """The person is done."""


class Keys:
    """Single keys and lines, from a keyboard or, for scripts, from any text: a line feed is Enter."""

    def __init__(self, stream: TextIO, console: Console) -> None:
        self._stream = stream
        self._console = console

    def key(self) -> str:
        """The next key; "\\n" for Enter. Raises Leave at the end of a script, and for Ctrl-C or Ctrl-D."""
        if not self._stream.isatty():
            key = self._stream.read(1)
        else:
            import typer

            try:
                key = typer.getchar()
            except (EOFError, KeyboardInterrupt) as error:
                raise Leave from error
        if key in ("", "\x03", "\x04"):
            raise Leave
        return "\n" if key == "\r" else key

    def line(self, question: str) -> str:
        """What is typed up to Enter."""
        self._console.print(Text(question + " "), end="")
        line = self._stream.readline()
        if not line:
            raise Leave
        return line.strip()


class Terminal:
    """Goes through the queue of a session."""

    def __init__(self, session: Session, keys: Keys, console: Console, player: Player) -> None:
        self._session = session
        self._keys = keys
        self._console = console
        self._player = player
        self._state = session.state()
        self._at = 0
        self._margin = MARGIN_S
        self._speed = 1.0
        self._answers: dict[str, Callable[[dict[str, Any]], None]] = {
            "\n": self._stands,
            "1": lambda item: self._choose(item, 0),
            "2": lambda item: self._choose(item, 1),
            "3": lambda item: self._choose(item, 2),
            "4": lambda item: self._choose(item, 3),
            "e": self._type_over,
            "x": self._drop,
            "m": self._move,
            "j": self._join,
            "p": self._part,
            " ": self._play,
            "w": self._wider,
            "s": self._slower,
            "n": lambda item: self._go(1),
            "b": lambda item: self._go(-1),
        }

    def run(self) -> None:
        """Until nothing waits and the person leaves. Whatever was decided is kept."""
        silent = self._player.why_silent()
        if silent:
            self._say(silent)
        try:
            while True:
                self._one()
        except Leave:
            pass
        finally:
            self._player.stop()
        review = self._state["review"]
        self._say(f"{review['waiting']} still to look at; every decision is kept.")

    def _one(self) -> None:
        """Show the item that is due, and take keys until another one is."""
        queue = self._state["queue"]
        item = queue[self._at % len(queue)] if queue else None
        if item is None:
            self._say("Nothing waits any more. u takes back the last decision, q leaves.")
        else:
            self._at %= len(queue)
            self._margin, self._speed = MARGIN_S, 1.0
            self._show(item)
            self._play(item)
        while True:
            key = self._keys.key()
            if key == "q":
                raise Leave
            try:
                if key in "uU":
                    reverse = self._session.undo if key == "u" else self._session.redo
                    self._take(reverse(revision=self._state["revision"], token=str(uuid.uuid4())))
                    return
                if item is None or key not in self._answers:
                    continue
                shown = self._state["revision"], self._at
                self._answers[key](item)
                if (self._state["revision"], self._at) != shown:
                    return
            except Conflict as conflict:
                self._say(str(conflict))
                self._state = conflict.state
                return
            except Refusal as refusal:
                self._say(str(refusal))

    # --- shown ------------------------------------------------------------------------------------

    def _say(self, sentence: str) -> None:
        self._console.print(Text(sentence))

    def _show(self, item: dict[str, Any]) -> None:
        queue = self._state["queue"]
        self._console.rule(f"{self._at + 1} of {len(queue)}")
        self._console.print(Text(item["title"], style="bold"))
        row = self._row(item)
        if row is not None:
            place = (
                "no distance" if row["distance"] is None else f"{row['distance']:g} {self._state['units']}"
            )
            if row["distance_low"] is not None and row["distance_high"] is not None:
                place += f", between {row['distance_low']:g} and {row['distance_high']:g}"
            told = [f"{name.replace('_', ' ')} {row[name]}" for name in SHOWN if row[name] is not None]
            self._say(f"row {row['row']}: {place}; {', '.join(told)}")
        for why in item["why"]:
            self._say(f"  ? {why}")
        if item["heard"]:
            self._say(f"heard:   {self._marked(item)}")
        if item["read_as"] != item["heard"]:
            self._say(f"read as: {item['read_as']}")
        for number, choice in enumerate(item["choices"], 1):
            self._say(f"  {number}  {choice['label']} ({choice['why']})")
        self._console.print(Text(KEYS, style="dim"))

    def _marked(self, item: dict[str, Any]) -> str:
        """The words as heard; (?) stands before each that the recogniser was unsure of."""
        if not item["doubtful"]:
            return str(item["heard"])
        first, last = item["words"]
        words = self._state["words"]
        return " ".join(
            ("(?)" if at in item["doubtful"] else "") + words[at]["text"] for at in range(first, last + 1)
        )

    def _row(self, item: dict[str, Any]) -> dict[str, Any] | None:
        return next((row for row in self._state["rows"] if row["id"] == item["id"]), None)

    # --- answers ----------------------------------------------------------------------------------

    def _take(self, answer: dict[str, Any]) -> None:
        self._state = answer["state"]
        lesson = answer["always"]
        if lesson is None:
            return
        leave = lesson["read_as"] is None
        meaning = (
            f"leave {lesson['heard']!r}" if leave else f"read {lesson['heard']!r} as {lesson['read_as']!r}"
        )
        self._say(f"Always {meaning}? y, or any other key")
        if self._keys.key() in "yY":
            self._decide("taught", answer["row"], lesson)

    def _decide(self, kind: str, row: str | None, after: dict[str, Any]) -> None:
        revision, token = self._state["revision"], str(uuid.uuid4())
        self._take(self._session.decide(kind, row, after, revision=revision, token=token))

    def _stands(self, item: dict[str, Any]) -> None:
        self._decide("stands", item["id"], {})

    def _choose(self, item: dict[str, Any], number: int) -> None:
        if number < len(item["choices"]):
            choice = item["choices"][number]
            self._decide(choice["kind"], choice["row"], choice["after"])

    def _drop(self, item: dict[str, Any]) -> None:
        self._decide("stands" if item["of"] in ("offer", "gone") else "dropped", item["id"], {})

    def _type_over(self, item: dict[str, Any]) -> None:
        row = self._need_row(item)
        typed = self._keys.line(HOW_TO_TYPE + ":")
        if typed:
            self._decide("changed", row["id"], typed_over(typed, row["read_as"]))

    def _move(self, item: dict[str, Any]) -> None:
        row = self._need_row(item)
        typed = self._keys.line("where (30, 29-31, 30 to 36, - for no distance):")
        if typed:
            self._decide("moved", row["id"], place_of(typed))

    def _join(self, item: dict[str, Any]) -> None:
        row = self._need_row(item)
        table = Table("row", "", box=None)
        for other in self._state["rows"]:
            if other["id"] != row["id"]:
                table.add_row(str(other["row"]), Text(other["remark"]))
        self._console.print(table)
        typed = self._keys.line("which row is it the same as:")
        into = next((r for r in self._state["rows"] if str(r["row"]) == typed and r is not row), None)
        if typed and into is None:
            raise Unanswerable(f"{typed!r} is no other row; give one of the numbers shown.")
        if into is not None:
            self._decide("joined", row["id"], {"into": into["id"]})

    def _part(self, item: dict[str, Any]) -> None:
        row = self._need_row(item)
        times = row["sightings"]
        told = "  ".join(f"{n}: {clock_text(t)}" for n, t in enumerate(times, 1))
        typed = self._keys.line(f"tellings of the second ({told}; Enter for none):").split()
        if not all(number.isdigit() and 0 < int(number) <= len(times) for number in typed):
            raise Unanswerable(f"{' '.join(typed)!r} are no tellings; give numbers from 1 to {len(times)}.")
        second = self._keys.line("what the second is (field = value, several with ;):")
        after = {
            "sightings": [times[int(number) - 1] for number in typed],
            "second": typed_over(second, row["read_as"]) if second else {},
        }
        self._decide("parted", row["id"], after)

    def _need_row(self, item: dict[str, Any]) -> dict[str, Any]:
        row = self._row(item)
        if row is None:
            raise Unanswerable("There is no row to do this to; take a choice, or Enter.")
        return row

    def _go(self, step: int) -> None:
        self._at = (self._at + step) % len(self._state["queue"])

    # --- heard ------------------------------------------------------------------------------------

    def _play(self, item: dict[str, Any]) -> None:
        if item["play"] is not None and self._player.why_silent() is None:
            start, end = item["play"]
            problem = self._player.play(start - self._margin, end + self._margin, self._speed)
            if problem:
                self._say(problem)

    def _wider(self, item: dict[str, Any]) -> None:
        self._margin += WIDER_S
        self._play(item)

    def _slower(self, item: dict[str, Any]) -> None:
        self._speed = SLOWER if self._speed == 1 else 1.0
        self._play(item)


def typed_over(typed: str, read_as: str) -> dict[str, Any]:
    """What was typed over as fields: "cuddle > puddle" in the words, or "severity = minor; clock_from = 3".

    "none" is no value. Raises Unanswerable.
    """
    if ">" in typed:
        heard, _, right = (part.strip() for part in typed.partition(">"))
        words = put(read_as, heard, right) if heard and right else None
        if words is None:
            raise Unanswerable(
                f"{heard!r} does not stand in the words; give words that do, then > and theirs."
            )
        return {"read_as": words}
    after: dict[str, Any] = {}
    for part in typed.split(";"):
        name, equals, value = (piece.strip() for piece in part.partition("="))
        if not equals or name not in FIELDS:
            raise Unanswerable(
                f"{part.strip()!r} is not understood; give {HOW_TO_TYPE} of {', '.join(FIELDS)}."
            )
        after[name] = _value(name, value)
    return after


def _value(name: str, value: str) -> Any:
    if value in ("", "none"):
        return None
    is_number = name == "leg" or (name in VALUES and VALUES[name][0](1))
    if not is_number:
        return value
    try:
        return int(value) if value.lstrip("-").isdigit() else float(value)
    except ValueError:
        return value
