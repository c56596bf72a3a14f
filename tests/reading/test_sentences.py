"""Marked sentences through the whole way after hearing; how to read them is told in marked.py.

`pytest -s` prints every sentence that is read wrong, with what is wrong about it.
"""

import pytest

from reading.marked import BadMark, differences, load, parse

# The least share of the sentences of a file that must be read right. Raise it when the reading gets better.
FLOORS = {"standing.txt": 0.87, "rows.txt": 0.905, "fields.txt": 0.91, "ways.txt": 0.92}


@pytest.mark.parametrize("name", FLOORS)
def test_share_of_sentences_read_right(name: str) -> None:
    marked = load(name)
    wrong = {line: differences(line) for line in marked}
    for line, what in wrong.items():
        if what:
            print(f"{line}: {line.text}\n    {'; '.join(what)}")
    right = sum(not what for what in wrong.values()) / len(marked)
    print(f"{name}: {right:.3f} of {len(marked)}")
    assert right >= FLOORS[name]


def test_enough_sentences() -> None:
    assert len(load("standing.txt")) >= 300


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("There's a [crak|crack here.", "left open"),
        ("There's a crack|crack] here.", "left open"),
        ("There's a [crack] here.", "left open"),
        ("There's a [crack|crack][ here.", "left open"),
        ("There's a [crack|crak] here.", "no feature 'crak'"),
        ("There's a [crack|crack sene] here.", "cannot read 'sene'"),
        ("There's a [crack|crack hour=3] here.", "cannot read 'hour=3'"),
        ("There's a [crack|crack clock=] here.", "cannot read 'clock='"),
        ("There's a [|crack] here.", "left open"),
        ("There's a [crack|] here.", "left open"),
    ],
)
def test_malformed_marks(line: str, why: str) -> None:
    with pytest.raises(BadMark, match=why):
        parse("some.txt", 7, line)


def test_a_malformed_mark_tells_file_and_line() -> None:
    with pytest.raises(BadMark, match=r"^some\.txt:7: "):
        parse("some.txt", 7, "[crack|crak]")


@pytest.mark.parametrize(
    ("line", "wrong"),
    [
        ("Lovely day.", []),
        ("Lovely [day|crack].", ["missed crack seen"]),
        ("There's a crack here.", ["extra crack seen"]),
        (
            "There's a [crack|crack not-seen] here.",
            ["missed crack not-seen (has crack seen)", "extra crack seen"],
        ),
        ("There's a [crack|crack clock=3] here.", ["crack: clock 3 was said, has None"]),
    ],
)
def test_a_wrong_reading_shows(line: str, wrong: list[str]) -> None:
    assert differences(parse("some.txt", 1, line)) == wrong
