"""What the user taught: counted, carried, taken back, never lost."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from narrate2log.errors import UnusableLexicon
from narrate2log.records import Transcript, Word
from narrate2log.wording.folding import fold_phrase
from narrate2log.wording.learned import (
    Learned,
    Lesson,
    apply_lessons,
    learned_path,
    load_learned,
    merged,
    read_lessons,
    write_lessons,
)

TAUGHT = Learned().taught("why settle", "wye saddle").taught("a wise choice", None)


def words(text: str) -> Transcript:
    return Transcript(tuple(Word(one, 0, 1) for one in text.split()), ())


def test_the_same_lesson_again_counts_up() -> None:
    again = TAUGHT.taught("Why settle", "wye saddle")
    assert again.get("why settle") == Lesson("why settle", "wye saddle", 2)


def test_another_lesson_for_the_same_words_replaces() -> None:
    assert TAUGHT.taught("why settle", None).get("why settle") == Lesson("why settle", None, 1)


def test_a_lesson_is_taken_back() -> None:
    assert TAUGHT.without("WHY SETTLE").lessons == (Lesson("a wise choice", None),)


def test_lessons_are_applied_the_longest_first() -> None:
    learned = TAUGHT.taught("why", "wye")
    changes, left = apply_lessons(words("There's a why settle, so why not make a wise choice?"), learned)
    assert [(one.first, one.last, one.heard, one.read_as) for one in changes] == [
        (2, 3, "why settle", "wye saddle"),
        (5, 5, "why", "wye"),
    ]
    assert changes[0].reason == "taught: confirmed once"
    assert left == {8, 9, 10}


def test_no_file_is_no_lessons(tmp_path: Path) -> None:
    assert load_learned(tmp_path / "learned.toml") == (Learned(), ())


@settings(max_examples=40)
@given(
    st.lists(
        st.tuples(
            st.text(min_size=1, max_size=8).filter(lambda text: bool(fold_phrase(text))),
            st.none() | st.text(min_size=1, max_size=8),
            st.integers(1, 99),
        ),
        max_size=5,
    )
)
def test_what_is_written_is_read(
    tmp_path_factory: pytest.TempPathFactory, lessons: list[tuple[str, str | None, int]]
) -> None:
    path = tmp_path_factory.mktemp("home") / "learned.toml"
    learned = Learned()
    for heard, read_as, count in lessons:
        learned = learned.taught(heard, read_as, count)
    write_lessons(learned, path)
    assert set(read_lessons(path).lessons) == set(learned.lessons)


@pytest.mark.parametrize(
    "text",
    [
        "[[correction",
        '[[correction]]\nheard = "x"\n',
        '[[lesson]]\nheard = "x"\n',
        '[[leave]]\nheard = ""\n',
        '[[leave]]\nheard = "x"\ncount = 0\n',
        "heard = 3\n",
    ],
)
def test_a_damaged_file_is_set_aside_and_said(tmp_path: Path, text: str) -> None:
    path = tmp_path / "learned.toml"
    path.write_text(text, encoding="utf-8")
    learned, (problem,) = load_learned(path)
    assert learned == Learned()
    assert problem
    assert str(tmp_path / "learned.toml.damaged") in problem
    assert not path.exists()
    assert (tmp_path / "learned.toml.damaged").read_text(encoding="utf-8") == text


def test_a_second_damaged_file_does_not_replace_the_first(tmp_path: Path) -> None:
    for text in ("[[one", "[[two"):
        (tmp_path / "learned.toml").write_text(text, encoding="utf-8")
        load_learned(tmp_path / "learned.toml")
    kept = sorted(path.read_text(encoding="utf-8") for path in tmp_path.iterdir())
    assert kept == ["[[one", "[[two"]


def test_a_file_that_is_no_text_is_set_aside(tmp_path: Path) -> None:
    path = tmp_path / "learned.toml"
    path.write_bytes(b"\xff\xfe\x00")
    assert load_learned(path)[1]
    assert (tmp_path / "learned.toml.damaged").read_bytes() == b"\xff\xfe\x00"


def test_a_folder_that_cannot_be_written_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(UnusableLexicon, match="cannot be written"):
        write_lessons(TAUGHT, tmp_path / "file" / "learned.toml")


def test_two_machines_are_merged() -> None:
    theirs = Learned().taught("why settle", "wye settle", 5).taught("fine routes", "fine roots", 2)
    both = merged(TAUGHT, theirs)
    assert both.get("why settle") == Lesson("why settle", "wye settle", 5)
    assert both.get("fine routes") == Lesson("fine routes", "fine roots", 2)
    assert both.get("a wise choice") == Lesson("a wise choice", None, 1)


def test_merging_the_same_twice_changes_nothing() -> None:
    assert merged(merged(TAUGHT, TAUGHT), TAUGHT) == TAUGHT


def test_the_users_folder_can_be_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("NARRATE2LOG_HOME", str(tmp_path))
    assert learned_path() == tmp_path / "learned.toml"
    monkeypatch.delenv("NARRATE2LOG_HOME")
    assert learned_path() == Path.home() / ".config" / "narrate2log" / "learned.toml"
