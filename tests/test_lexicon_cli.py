"""`narrate2log lexicon`: seen, taught, taken back and carried."""

from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from narrate2log.cli import app

LESSON = '[[correction]]\nheard = "why settle"\nread_as = "wye saddle"\ncount = 1'


@pytest.fixture(autouse=True)
def home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    monkeypatch.setenv("NARRATE2LOG_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


def run(*arguments: str) -> Result:
    return CliRunner().invoke(app, ["lexicon", *arguments])


def test_why_shows_what_a_phrase_becomes_and_each_candidate_with_its_reason() -> None:
    result = run("why", "there's a why settle at sixty two")
    assert result.exit_code == 0
    first, corrected, *more = result.output.splitlines()
    assert first == "read as: there's a wye saddle at sixty two"
    assert corrected.startswith("corrected: 'why settle' to 'wye saddle' (known mis-hearing")
    assert any("'why' as 'wye': sounds the same;" in line for line in more)


def test_why_shows_a_number_that_may_be_another_one() -> None:
    by_words = run("why", "roots at for feet").output.splitlines()
    assert by_words[:2] == [
        "read as: roots at for feet",
        "offered: 'for' may be 'four' 0.50 (sounds like it; the words around count something)",
    ]
    by_footage = run(
        "why", "at eighty feet, at eighty one feet, crack at eight two five, eighty three feet"
    ).output
    assert "offered: 'eight two five' may be '82.5'" in by_footage
    assert "the others put the camera near 8" in by_footage


def test_why_says_when_there_is_nothing() -> None:
    assert run("why", "Wednesday").output == "read as: Wednesday\nby sound: no candidate\n"


def test_check_lists_terms_that_sound_alike(tmp_path: Path) -> None:
    mine = tmp_path / "mine"
    mine.mkdir()
    (mine / "defects.toml").write_text(
        '[[feature]]\nkey = "crack"\nkind = "defect"\nlabel = "Crack"\nsay = ["bally"]\n', encoding="utf-8"
    )
    result = run("check", "--lexicon", str(mine))
    assert result.exit_code == 0
    assert "'wye' (branch) sounds like everyday 'why': 0.0 phones apart" in result.output
    assert "'bally' (crack) sounds like" in result.output or "sounds like 'bally' (crack)" in result.output


def test_check_refuses_a_broken_lexicon(tmp_path: Path) -> None:
    (tmp_path / "x.toml").write_text("[[feature", encoding="utf-8")
    result = run("check", "--lexicon", str(tmp_path))
    assert result.exit_code == 5
    assert "is not TOML" in result.stderr


def test_a_lesson_is_taught_listed_used_and_forgotten(home: Path) -> None:
    assert run("add", "sadle", "saddle").output == "'sadle' is read as 'saddle' (confirmed once).\n"
    assert run("add", "sadle", "saddle").output.endswith("(confirmed 2 times).\n")
    assert run("add", "wise choice").output == "'wise choice' is left as heard (confirmed once).\n"
    assert run("list").output == "   2  'sadle': 'saddle'\n   1  'wise choice': left as heard\n"
    assert "read as: saddle here" in run("why", "sadle here").output
    assert run("forget", "sadle").output == "'sadle' is forgotten.\n"
    assert "sadle" not in (home / "learned.toml").read_text(encoding="utf-8")


def test_lessons_are_carried(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    run("add", "why settle", "wye saddle")
    carried = tmp_path / "carried.toml"
    assert run("export", str(carried)).output == f"{carried}: 1 lesson written.\n"
    assert LESSON in carried.read_text(encoding="utf-8")
    monkeypatch.setenv("NARRATE2LOG_HOME", str(tmp_path / "other"))
    assert run("import", str(carried)).exit_code == 0
    assert run("list").output == "   1  'why settle': 'wye saddle'\n"


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (["forget", "never"], 2, "was never taught"),
        (["add", "", "x"], 2, "need words"),
        (["why", "..."], 2, "no words"),
        (["import", "missing.toml"], 2, "is not there"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(arguments: list[str], code: int, says: str) -> None:
    result = run(*arguments)
    assert result.exit_code == code
    assert says in result.stderr
    assert result.stderr.count("\n") == 1


def test_nothing_is_written_over(tmp_path: Path) -> None:
    (tmp_path / "there.toml").write_text("mine", encoding="utf-8")
    assert run("export", str(tmp_path / "there.toml")).exit_code == 2
    assert (tmp_path / "there.toml").read_text(encoding="utf-8") == "mine"


def test_damaged_lessons_are_set_aside_and_said(home: Path) -> None:
    home.mkdir()
    (home / "learned.toml").write_text("[[oops", encoding="utf-8")
    result = run("list")
    assert result.exit_code == 0
    assert "is kept as" in result.stderr
    # one sentence: what, where, what to do
    assert result.stderr.count("\n") == 1
    assert result.stderr.endswith("and not applied until you mend it and `lexicon import` it.\n")
    assert (home / "learned.toml.damaged").read_text(encoding="utf-8") == "[[oops"


def test_mended_lessons_are_taken_back(home: Path) -> None:
    home.mkdir()
    (home / "learned.toml").write_text("[[oops\n" + LESSON, encoding="utf-8")
    run("list")
    kept = home / "learned.toml.damaged"
    kept.write_text(LESSON, encoding="utf-8")
    assert run("import", str(kept)).output == f"{kept}: 1 lesson read.\n"
    assert run("list").output == "   1  'why settle': 'wye saddle'\n"


def test_a_file_where_the_folder_should_be(home: Path) -> None:
    home.write_text("not a folder", encoding="utf-8")
    result = run("add", "sadle", "saddle")
    assert result.exit_code == 5
    cannot_read, cannot_write = result.stderr.splitlines()
    assert cannot_read.endswith("; nothing learned is applied until it is mended or taken away.")
    assert f"{home / 'learned.toml'} cannot be written ({home} is a file); allow it, or name" in cannot_write
    assert "Errno" not in result.stderr
    assert home.read_text(encoding="utf-8") == "not a folder"


@pytest.mark.parametrize("content", [b"\xff\xfe[[", b"[[oops", b"x = 1"])
def test_what_is_no_export_is_not_read_in(tmp_path: Path, content: bytes) -> None:
    run("add", "sadle", "saddle")
    (tmp_path / "odd.toml").write_bytes(content)
    result = run("import", str(tmp_path / "odd.toml"))
    assert result.exit_code == 5
    assert result.stderr.endswith("; mend it, or give a file that `lexicon export` wrote.\n")
    assert run("list").output == "   1  'sadle': 'saddle'\n"


def test_lessons_that_were_set_aside_are_not_called_none(home: Path) -> None:
    run("add", "sadle", "saddle")
    (home / "learned.toml").write_text("[[correction]\n", encoding="utf-8")
    said = run("list")
    assert "it is kept as" in said.stderr
    assert "Nothing was taught yet" not in said.output
    assert "None of what was taught is in use." in said.output
