"""Spoken marks at the rows they are of."""

from narrate2log.records import Fields, Mark, Observation, Placement
from narrate2log.table.marked import AFTER_MS, BEFORE_MS, MARKED, STRUCK, mark_rows


def row(name: str, *sightings_s: float, check: tuple[str, ...] = ()) -> Observation:
    times = tuple(round(1000 * at) for at in sightings_s)
    placement = Placement(0, "out", None, None, None, "none")
    return Observation(
        name, 0, "defect", name, "seen", placement, None, Fields(), times[0], times[0] + 2000, times,
        "", "", "", 1.0, check, (),
    )  # fmt: skip


def mark(kind: str, at_s: float, text: str = "") -> Mark:
    return Mark(kind, round(1000 * at_s), round(1000 * at_s) + 1000, 0, 2, text)  # type: ignore[arg-type]


def checks(rows: tuple[Observation, ...]) -> dict[str, tuple[str, ...]]:
    return {one.id: one.check for one in rows if one.check}


def test_without_marks_nothing_changes() -> None:
    rows = (row("roots", 10, check=("its place is uncertain",)),)
    assert mark_rows(rows, ()) == (rows, ())


def test_a_look_is_of_the_row_told_last_before_it() -> None:
    rows = (row("roots", 10), row("crack", 30), row("hole", 33))
    assert checks(mark_rows(rows, [mark("look", 32)])[0]) == {"crack": (MARKED,)}


def test_a_row_told_again_is_near_again() -> None:
    rows = (row("roots", 10, 100), row("crack", 90))
    assert checks(mark_rows(rows, [mark("look", 102)])[0]) == {"roots": (MARKED,)}


def test_a_look_long_after_a_row_is_of_the_next() -> None:
    rows = (row("roots", 10), row("crack", 10 + BEFORE_MS / 1000 + 6))
    marked = mark_rows(rows, [mark("look", 10 + BEFORE_MS / 1000 + 1)])
    assert (checks(marked[0]), marked[1]) == ({"crack": (MARKED,)}, ())


def test_a_look_far_from_every_row_is_told() -> None:
    at = 752.0
    rows = (row("roots", at - BEFORE_MS / 1000 - 1), row("crack", at + 1 + AFTER_MS / 1000 + 1))
    kept, told = mark_rows(rows, [mark("look", at)])
    assert kept == rows
    assert told == ("Marked by voice at 12:32, where no row was told: listen there.",)


def test_a_struck_row_stays_and_asks() -> None:
    rows = (row("roots", 10, check=("said to be unsure",)), row("crack", 300))
    kept, told = mark_rows(rows, [mark("strike", 200)])
    assert checks(kept) == {"roots": (STRUCK, "said to be unsure")}
    assert [one.id for one in kept] == ["roots", "crack"]
    assert told == ()


def test_two_strikes_are_of_two_rows() -> None:
    rows = (row("roots", 10), row("crack", 20))
    assert set(checks(mark_rows(rows, [mark("strike", 25), mark("strike", 28)])[0])) == {"roots", "crack"}


def test_a_strike_before_every_row_is_told() -> None:
    kept, told = mark_rows((row("roots", 10),), [mark("strike", 5)])
    assert checks(kept) == {}
    assert told == ("Struck by voice at 0:05, but no row was told before: listen there.",)


def test_a_place_marked_twice_asks_once() -> None:
    assert checks(mark_rows((row("roots", 10),), [mark("look", 12), mark("look", 14)])[0]) == {
        "roots": (MARKED,)
    }


def test_notes_are_told() -> None:
    marks = [mark("note", 751, "bill the second visit."), mark("note", 800)]
    assert mark_rows((), marks)[1] == (
        "Office note at 12:31: 'bill the second visit.'",
        "Office note at 13:20: no words were heard after it; listen there.",
    )
