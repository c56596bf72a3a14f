"""What is seen while listening: large in a terminal, or a line for each thing where there is none."""

from __future__ import annotations

import re
from collections import deque
from collections.abc import Callable
from contextlib import suppress

from rich.align import Align
from rich.console import Console, Group, RenderableType
from rich.live import Live
from rich.padding import Padding
from rich.panel import Panel
from rich.text import Text

from narrate2log.drawing.axes import clock_text
from narrate2log.listening.level import QUIETEST_DB
from narrate2log.listening.listener import Heard, Listener
from narrate2log.listening.rows import LiveRow, RowChange
from narrate2log.listening.run import State
from narrate2log.listening.tones import Tone, Tones
from narrate2log.records import Caution, Mark, Placement
from narrate2log.table.cautions import warning
from narrate2log.units import LengthUnit, decimals_told, mm_to_length, ms_to_seconds

# Digits that can be read from where the reel stands, five lines high.
GLYPHS = {
    "0": "█▀▀█|█  █|█  █|█  █|█▄▄█",
    "1": " ▄█ |  █ |  █ |  █ | ▄█▄",
    "2": "▀▀▀█|   █|█▀▀▀|█   |█▄▄▄",
    "3": "▀▀▀█|   █| ▀▀█|   █|▄▄▄█",
    "4": "█  █|█  █|▀▀▀█|   █|   █",
    "5": "█▀▀▀|█   |▀▀▀█|   █|▄▄▄█",
    "6": "█▀▀▀|█   |█▀▀█|█  █|█▄▄█",
    "7": "▀▀▀█|   █|   █|   █|   █",
    "8": "█▀▀█|█  █|█▀▀█|█  █|█▄▄█",
    "9": "█▀▀█|█  █|▀▀▀█|   █|▄▄▄█",
    ".": "  |  |  |  |▄ ",
    "-": "    |    |▄▄▄▄|    |    ",
    "?": "▀▀▀█|   █| ▄▄▀| ▀  | ▄  ",
}
ROWS_SHOWN = 5
LEVEL_CELLS = 24
# What is shown of being behind: less is only the phrase that is being spoken.
BEHIND_MS = 2_000
MARKS = {
    "look": "Marked: look here again",
    "strike": "Struck by voice, the row stays until you decide",
    "note": "Office note",
}


def place_text(at: Placement | None, units: LengthUnit) -> tuple[str, str]:
    """Where the camera is, and how sure that is: ("41", "ft, give or take 2")."""
    if at is None or at.distance_mm is None or at.low_mm is None or at.high_mm is None:
        return "?", "no footage yet to tell where the camera is"
    low, high = (mm_to_length(mm, units) for mm in (at.low_mm, at.high_mm))
    digits = decimals_told(low, high, units)
    home = ", on the way home" if at.going == "back" else ""
    leg = f", leg {at.leg}" if at.leg > 1 else ""
    return (
        f"{mm_to_length(at.distance_mm, units):.{digits}f}",
        f"{units}, give or take {(high - low) / 2:.{digits}f}{home}{leg}",
    )


def change_text(change: RowChange) -> str:
    """What became of a row, in a line."""
    row = change.row
    if change.what == "joined":
        return f"{row.number} is row {row.into}, told again."
    if change.what == "gone":
        return f"{row.number} taken back: {row.told.remark}"
    again = "" if change.what == "taken" else " now"
    return f"{row.number}{again} {row_text(row)}"


def row_text(row: LiveRow) -> str:
    """A row for the screen, with what it asks."""
    asks = f"  [look: {'; '.join(row.told.check)}]" if row.told.check else ""
    return f"{row.told.remark}{asks}"


def mark_text(mark: Mark) -> str:
    """A mark for the screen."""
    return MARKS[mark.kind] + (f": {mark.text}" if mark.text else "")


def caution_text(caution: Caution) -> str:
    """A danger for the screen."""
    return f"CAUTION  {warning(caution.text, caution.defer_to)}"


def tone_for(heard: Heard) -> Tone | None:
    """The tone of a phrase: what asks goes before what is taken, and that before what was not understood."""
    taken = [change.row for change in heard.changes if change.what == "taken"]
    if heard.cautions or any(row.told.check for row in taken):
        return "look"
    if taken or heard.marks:
        return "taken"
    return None if heard.understood else "lost"


class PlainScreen:
    """A line for each row, mark and trouble."""

    def __init__(self, write: Callable[[str], None], tones: Tones) -> None:
        self._write = write
        self._tones = tones

    def heard(self, heard: Heard, listener: Listener) -> None:
        """Write what a phrase brought."""
        at = clock_text(ms_to_seconds(heard.start_ms))
        kept = "" if heard.kept else "  (not on the disk yet)"
        for change in heard.changes:
            self._write(f"{at}  {change_text(change)}{kept}")
        for mark in heard.marks:
            self._write(f"{at}  {mark_text(mark)}{kept}")
        for caution in heard.cautions:
            self._write(caution_text(caution))
        if not heard.understood:
            self._write(f"{at}  Not understood: {heard.text}")
        if tone := tone_for(heard):
            self._tones.play(tone)

    def trouble(self, sentence: str) -> None:
        """Write what is wrong."""
        self._write(f"TROUBLE  {sentence}")
        self._tones.play("trouble")

    def show(self, state: State, listener: Listener) -> None:
        """Nothing: lines that were written stay."""


class LargeScreen:
    """The whole terminal, large: where the camera is, the last rows, the level, what is wrong."""

    def __init__(self, console: Console, units: LengthUnit, tones: Tones, how_to_end: str) -> None:
        self._units = units
        self._tones = tones
        self._how_to_end = how_to_end
        self._last: deque[int] = deque(maxlen=ROWS_SHOWN)
        self._said = ""
        self._marks: deque[str] = deque(maxlen=2)
        self._trouble: deque[str] = deque(maxlen=2)
        self._live = Live(console=console, screen=True, auto_refresh=False)

    def __enter__(self) -> LargeScreen:
        self._live.start()
        return self

    def __exit__(self, *_: object) -> None:
        # The terminal may be gone.
        with suppress(OSError):
            self._live.stop()

    def heard(self, heard: Heard, listener: Listener) -> None:
        """Take in what a phrase brought; the next `show` has it."""
        for change in heard.changes:
            number = change.row.number
            if number in self._last:
                self._last.remove(number)
            self._last.append(number)
        self._marks.extend(mark_text(mark) for mark in heard.marks)
        self._said = heard.text if heard.understood else f"Not understood: {heard.text}"
        if not heard.kept:
            self.trouble("The disk takes no more; make room. What was shown last is in memory only.")
        if tone := tone_for(heard):
            self._tones.play(tone)

    def trouble(self, sentence: str) -> None:
        """Keep the last two troubles in sight."""
        if sentence in self._trouble:
            self._trouble.remove(sentence)
        self._trouble.append(sentence)
        self._tones.play("trouble")

    def show(self, state: State, listener: Listener) -> None:
        """Draw it all anew."""
        self._live.update(self._drawn(state, listener), refresh=True)

    def _drawn(self, state: State, listener: Listener) -> RenderableType:
        feet, sure = place_text(listener.place, self._units)
        rows = {row.number: row for row in listener.rows.standing}
        # Of a run that is taken up, the last rows of before stand there until there are new ones.
        last = self._last or list(rows)[-ROWS_SHOWN:]
        shown = [rows[number] for number in reversed(last) if number in rows]
        top = Text.assemble(
            (f" recording {clock_text(ms_to_seconds(state.now_ms))} ", "bold reverse"),
            "  ",
            level_bar(state.level_db),
            f"  {len(rows)} rows",
            f"  {state.behind_ms / 1000:.0f} s behind" if state.behind_ms >= BEHIND_MS else "",
            f"  {state.lacking_ms / 1000:.0f} s not on the disk" if state.lacking_ms else "",
        )
        parts: list[RenderableType] = [top]
        parts += [Text(caution_text(danger), "bold white on red") for danger in listener.cautions.values()]
        parts += [Text(sentence, "bold black on yellow") for sentence in self._trouble]
        parts += [Align.center(large(feet)), Align.center(Text(sure))]
        for index, row in enumerate(shown):
            parts.append(Padding(_row(row, newest=index == 0), (0, 1)))
        parts += [Text(told, "bold cyan") for told in self._marks]
        parts.append(Text(f"“{self._said}”" if self._said else "", "italic"))
        parts.append(Text("Ending: the last words are heard." if state.ending else self._how_to_end, "dim"))
        return Group(*parts)


def _row(row: LiveRow, *, newest: bool) -> RenderableType:
    told = Text(f"{row.number}  {row.told.remark}", "bold" if newest else "")
    if row.told.check:
        told.append(f"\nlook: {'; '.join(row.told.check)}", "yellow")
    if not newest:
        return told
    return Panel(told, border_style="yellow" if row.told.check else "bold green")


def large(text: str) -> Text:
    """Digits five lines high."""
    glyphs = [GLYPHS[letter].split("|") for letter in re.sub(r"[^0-9.?-]", "", text)]
    return Text("\n".join(" ".join(glyph[line] for glyph in glyphs) for line in range(5)), "bold green")


def level_bar(db: float) -> Text:
    """The level as a bar from silence to full scale."""
    cells = round((db - QUIETEST_DB) / -QUIETEST_DB * LEVEL_CELLS)
    style = "red" if db > -3 else "green" if db > -50 else "dim"
    return Text.assemble(("▮" * cells, style), ("▯" * (LEVEL_CELLS - cells), "dim"), f" {db:.0f} dB")
