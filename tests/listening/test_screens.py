"""What is seen and heard of a run, read off the text of the screen."""

import io
from types import SimpleNamespace

import pytest
from rich.console import Console

from narrate2log.listening.listener import Heard
from narrate2log.listening.rows import LiveRow, RowChange, told_row
from narrate2log.listening.run import State
from narrate2log.listening.screens import (
    GLYPHS,
    LargeScreen,
    PlainScreen,
    change_text,
    large,
    level_bar,
    place_text,
    tone_for,
)
from narrate2log.records import Caution, Mark, Placement

from .test_rows import row

AT = Placement(1, "out", 12_500, 12_000, 13_000, "interpolated")
ROOTS = LiveRow(3, told_row(row("roots", 10, remark="Roots at about 41 ft, called moderate.")))
CRACK = LiveRow(
    4, told_row(row("crack", 20, remark="Possible crack at 43 ft.", check=("said to be unsure",)))
)


class Ear:
    def __init__(self):
        self.played = []

    def play(self, kind):
        self.played.append(kind)


GAS = Caution("cross-bore", "Stop all cutting and jetting.", "the gas utility", True, (None,))


def heard(*changes, marks=(), cautions=(), understood=True, kept=True, text="roots here"):
    return Heard(text, 61_000, 63_000, changes, marks, cautions, understood, kept)


def listener(*rows, place=AT, cautions=()):
    known = {caution.key: caution for caution in cautions}
    return SimpleNamespace(place=place, rows=SimpleNamespace(standing=rows), cautions=known)


def test_a_line_for_each_thing():
    lines, ear = [], Ear()
    screen = PlainScreen(lines.append, ear)
    screen.heard(heard(RowChange("taken", ROOTS), RowChange("taken", CRACK)), listener())
    screen.heard(heard(RowChange("changed", ROOTS), kept=False), listener())
    screen.heard(heard(RowChange("joined", LiveRow(5, CRACK.told, True, 4))), listener())
    screen.heard(heard(RowChange("gone", ROOTS)), listener())
    screen.heard(heard(marks=(Mark("note", 0, 1, 0, 0, "bill the second visit"),)), listener())
    screen.heard(heard(understood=False, text="mumble mumble"), listener())
    screen.trouble("The microphone is back.")
    screen.show(State(1, 0, -20.0, 0), listener())
    assert lines == [
        "1:01  3 Roots at about 41 ft, called moderate.",
        "1:01  4 Possible crack at 43 ft.  [look: said to be unsure]",
        "1:01  3 now Roots at about 41 ft, called moderate.  (not on the disk yet)",
        "1:01  5 is row 4, told again.",
        "1:01  3 taken back: Roots at about 41 ft, called moderate.",
        "1:01  Office note: bill the second visit",
        "1:01  Not understood: mumble mumble",
        "TROUBLE  The microphone is back.",
    ]
    assert ear.played == ["look", "taken", "lost", "trouble"]


@pytest.mark.parametrize(
    ("told", "tone"),
    [
        (heard(), None),
        (heard(RowChange("changed", CRACK)), None),
        (heard(RowChange("taken", ROOTS)), "taken"),
        (heard(RowChange("taken", ROOTS), RowChange("taken", CRACK)), "look"),
        (heard(marks=(Mark("look", 0, 1, 0, 0),)), "taken"),
        (heard(cautions=(GAS,)), "look"),
        (heard(understood=False), "lost"),
    ],
)
def test_each_outcome_has_its_tone(told, tone):
    assert tone_for(told) == tone


@pytest.mark.parametrize(
    ("at", "units", "told"),
    [
        (AT, "ft", ("41", "ft, give or take 2")),
        (
            Placement(2, "back", 12_500, 12_480, 12_520, "spoken"),
            "m",
            ("12.50", "m, give or take 0.02, on the way home, leg 2"),
        ),
        (None, "ft", ("?", "no footage yet to tell where the camera is")),
        (
            Placement(1, "out", None, None, None, "none"),
            "ft",
            ("?", "no footage yet to tell where the camera is"),
        ),
    ],
)
def test_where_the_camera_is_and_how_sure(at, units, told):
    assert place_text(at, units) == told


def test_digits_are_all_of_one_height_and_told_apart():
    assert all(len(glyph.split("|")) == 5 for glyph in GLYPHS.values())
    assert len(set(GLYPHS.values())) == len(GLYPHS)
    assert all(len({len(line) for line in glyph.split("|")}) == 1 for glyph in GLYPHS.values())
    assert large("41.5").plain.count("\n") == 4


@pytest.mark.parametrize(("db", "cells"), [(-90.0, 0), (-45.0, 12), (0.0, 24)])
def test_the_level_bar(db, cells):
    bar = level_bar(db).plain
    assert (bar.count("▮"), bar.count("▯")) == (cells, 24 - cells)


@pytest.mark.parametrize("size", [(80, 24), (40, 30), (160, 50)])
def test_the_large_screen_shows_it_all(size):
    width, height = size
    console = Console(file=io.StringIO(), width=width, height=height, force_terminal=True, color_system=None)
    ear = Ear()
    with LargeScreen(console, "ft", ear, "q ends the run") as screen:
        live = listener(ROOTS, CRACK)
        screen.heard(heard(RowChange("taken", ROOTS)), live)
        screen.heard(heard(RowChange("taken", CRACK), marks=(Mark("look", 0, 1, 0, 0),)), live)
        screen.trouble("The microphone is gone.")
        screen.trouble("The voice is very low.")
        screen.show(State(75_000, 3_000, -20.0, 0), live)
    seen = " ".join(console.file.getvalue().split())
    for text in (
        "1:15",
        "2 rows",
        "3 s behind",
        "Possible crack",
        "said to be",
        "Roots at about 41",
        "The voice is",
        "is gone",
    ):
        assert text in seen, text
    assert "Marked: look here again" in seen
    assert "q ends the run" in seen
    assert " ".join(large("41").plain.splitlines()[0].split()) in seen
    assert seen.index("Possible crack") < seen.index("Roots at about 41")
    assert ear.played == ["taken", "look", "trouble", "trouble"]


def test_the_same_trouble_again_is_told_again():
    console = Console(file=io.StringIO(), width=80, height=24, force_terminal=True, color_system=None)
    ear = Ear()
    with LargeScreen(console, "ft", ear, "q") as screen:
        for sentence in ("It is gone.", "It is back.", "It is gone."):
            screen.trouble(sentence)
        screen.show(State(75_000, 0, -20.0, 0), listener())
    seen = console.file.getvalue()
    assert seen.index("It is back.") < seen.index("It is gone.")
    assert len(ear.played) == 3


def test_the_rows_of_before_stand_on_the_screen_of_a_run_that_is_taken_up():
    console = Console(file=io.StringIO(), width=80, height=24, force_terminal=True, color_system=None)
    with LargeScreen(console, "ft", Ear(), "q") as screen:
        screen.show(State(75_000, 0, -20.0, 0), listener(ROOTS, CRACK))
    assert "Roots at about 41" in console.file.getvalue()


def test_a_danger_stays_in_sight():
    console = Console(file=io.StringIO(), width=80, height=24, force_terminal=True, color_system=None)
    lines = []
    PlainScreen(lines.append, Ear()).heard(heard(cautions=(GAS,)), listener())
    with LargeScreen(console, "ft", Ear(), "q") as screen:
        screen.show(State(75_000, 0, -20.0, 0), listener(cautions=(GAS,)))
    assert lines == ["CAUTION  Stop all cutting and jetting. Defer to the gas utility."]
    assert lines[0] in " ".join(console.file.getvalue().split()).replace("CAUTION ", "CAUTION  ")


def test_that_it_ends_and_what_the_disk_lacks_are_shown():
    console = Console(file=io.StringIO(), width=80, height=24, force_terminal=True, color_system=None)
    with LargeScreen(console, "ft", Ear(), "q ends the run") as screen:
        screen.show(State(75_000, 0, -20.0, 4_000, ending=True), listener())
    seen = console.file.getvalue()
    assert "4 s not on the disk" in seen
    assert "Ending" in seen
    assert "q ends the run" not in seen


def test_rows_that_are_gone_leave_the_screen():
    console = Console(file=io.StringIO(), width=80, height=24, force_terminal=True, color_system=None)
    with LargeScreen(console, "ft", Ear(), "q") as screen:
        screen.heard(heard(RowChange("taken", ROOTS)), listener(ROOTS))
        screen.heard(heard(RowChange("gone", ROOTS)), listener())
        screen.show(State(75_000, 0, -20.0, 0), listener())
    assert "Roots at" not in console.file.getvalue()


def test_a_changed_row_says_so():
    assert change_text(RowChange("changed", CRACK)).startswith("4 now Possible crack")
