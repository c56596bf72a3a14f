"""Tables of minimums chosen and changed, and the verdict on a stretch."""

from __future__ import annotations

from pathlib import Path

import pytest

from narrate2log.errors import UnusableCommand, UnusableLexicon
from narrate2log.records import Band, GradeStretch
from narrate2log.slope.minimums import choose, load_tables, verdict

MINE = """
[[table]]
key = "davenmoor"
title = "Davenmoor plumbing bylaw"
section = "12"
year = "2019"
source = "invented"
rows = [{from_in = 4, to_in = 6, in_per_ft = 0.25}]
"""


def stretch(low: float, high: float) -> GradeStretch:
    """A stretch that surely lies between two inches per foot."""
    ends = [100 * inches / 12 for inches in (low, high)]
    return GradeStretch(0, 3000, 9, 1.0, Band(sum(ends) / 2, *ends), *ends, "falls", False)


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (0.05, 0.12, "below"),
        (0.05, 0.125, "cannot tell"),
        (0.125, 0.3, "meets"),
        (0.12, 0.3, "cannot tell"),
        (-0.5, -0.1, "below"),
    ],
)
def test_a_verdict_leaves_no_other_reading(low: float, high: float, said: str) -> None:
    assert verdict(stretch(low, high), 0.125) == said


def test_a_table_of_ones_own_lies_over_the_tools(tmp_path: Path) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text(MINE + MINE.replace("davenmoor", "ipc"), encoding="utf-8")
    tables = load_tables(mine)
    row = choose(tables, "davenmoor").row(4)
    assert row is not None
    assert row.in_per_ft == 0.25
    assert tables["ipc"].title == "Davenmoor plumbing bylaw"
    assert set(tables) == {*load_tables(), "davenmoor"}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[[table]", "cannot be read"),
        ("", "no minimums here"),
        ('table = "x"', "no minimums here"),
        (MINE.replace('year = "2019"', ""), "'year' is missing"),
        (MINE.replace("section", "sektion"), "'section' is missing"),
        (MINE + 'edition = "third"', "unknown key 'edition'"),
        (MINE.replace("in_per_ft", "inches"), "'in_per_ft' is missing"),
        (MINE.replace("0.25}", "-0.25}"), "'in_per_ft' must be a number"),
        (MINE.replace('"12"', "12"), "'section' must be words"),
        (MINE.replace("rows = [", "rows = 4 # ["), "'rows' must be a list"),
    ],
)
def test_a_mistake_in_a_table_is_told_with_its_file(tmp_path: Path, text: str, words: str) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text(text, encoding="utf-8")
    with pytest.raises(UnusableLexicon) as caught:
        load_tables(mine)
    assert words in str(caught.value)
    assert str(mine) in str(caught.value)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(
        UnusableLexicon, match=r"cannot be read \(No such file or directory\); check its name"
    ):
        load_tables(tmp_path / "none.toml")


def test_an_unknown_code_is_told_with_the_known_ones() -> None:
    with pytest.raises(UnusableCommand, match=r"unknown code 'xyz'; use ipc, irc"):
        choose(load_tables(), "xyz")
