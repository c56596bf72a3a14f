"""`narrate2log review --text` and `narrate2log log`, from a shell."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner

from narrate2log import errors
from narrate2log.cli import app
from narrate2log.log.journal import Journal

VTT = """WEBVTT

00:00:10.000 --> 00:00:15.000
Zero the counter at the cleanout.

00:00:20.000 --> 00:00:25.000
Starting out.

00:00:40.000 --> 00:00:45.000
Ten feet. There's a belly here, about two inches deep.

00:01:00.000 --> 00:01:05.000
Twenty feet. Might be a root here, not sure.
"""


@pytest.fixture(scope="module")
def drafted_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("cli")
    (place / "run.vtt").write_text(VTT, encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("NARRATE2LOG_HOME", str(place / "home"))
        drafted = CliRunner().invoke(app, ["draft", str(place / "run.vtt"), "--out", str(place / "run")])
    assert drafted.exit_code == 0, drafted.output
    return place / "run"


@pytest.fixture
def run(drafted_once: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., str]:
    """Run a command in a folder whose `run` holds a draft; what it prints."""
    (tmp_path / "run").mkdir()
    for file in drafted_once.iterdir():
        (tmp_path / "run" / file.name).write_bytes(file.read_bytes())
    monkeypatch.chdir(tmp_path)

    def run(*arguments: str, keys: str = "", code: int = 0) -> str:
        result = CliRunner().invoke(app, arguments, input=keys)
        assert result.exit_code == code, result.output
        return result.output

    return run


def test_a_log_before_any_review(run: Callable[..., str]) -> None:
    assert run("log", "run") == (
        "run: 5 rows: 5 not looked at; 2 still wait.\n"
        "Not reviewed.\n"
        "Next: run `narrate2log review run` to settle the rest.\n"
    )
    log = json.loads(Path("run/log.json").read_bytes())
    assert log["schema"] == "narrate2log/log/1"
    draft = json.loads(Path("run/observations.json").read_bytes())
    for row in log["observations"]:
        assert row.pop("review")["state"] == "unseen"
    shared = draft.keys() - {"schema", "offers", "cautions"}
    assert {name: log[name] for name in shared} == {name: draft[name] for name in shared}


def test_reviewed_in_the_terminal(run: Callable[..., str]) -> None:
    shown = run("review", "run", "--text", "--by", "Kim", keys="1\nq")
    assert "run.vtt is timed text, so there is nothing to hear." in shown
    assert shown.splitlines()[-3] == (
        "run: 5 rows: 1 right as drafted, 1 changed, 3 not looked at; nothing waits any more."
    )
    assert "Reviewed by Kim, last at 20" in shown
    assert [decision.by for decision in Journal(Path("run")).decisions] == ["Kim", "Kim"]
    with Path("run/log.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = {row["feature"]: row for row in csv.DictReader(file)}
    assert (rows["roots"]["reviewed"], rows["roots"]["reviewed_by"]) == ("changed", "Kim")
    assert rows["roots"]["changes"] == "standing: possible > seen"
    assert rows["start"]["reviewed"] == "unseen"


def test_a_new_draft_keeps_every_decision(run: Callable[..., str]) -> None:
    run("review", "run", "--text", "--by", "Kim", keys="x\nq")
    kept = Path("run/decisions.jsonl").read_bytes()
    Path("run.vtt").write_text(VTT, encoding="utf-8")
    run("draft", "run.vtt", "--out", "run", "--force", "--quiet")
    assert Path("run/decisions.jsonl").read_bytes() == kept
    assert "4 rows: 1 right as drafted, 1 taken out or joined, 3 not looked at" in run("log", "run")


def test_where_the_recordings_lie_is_kept(run: Callable[..., str]) -> None:
    told = json.loads(Path("run/recordings.json").read_bytes())
    draft = json.loads(Path("run/observations.json").read_bytes())
    assert told["schema"] == "narrate2log/recordings/1"
    (path,) = told["recordings"].values()
    assert list(told["recordings"]) == [draft["sources"][0]["sha256"]]
    assert Path(path).is_absolute()
    assert Path(path).name == "run.vtt"


@pytest.mark.parametrize("command", [["log"], ["review", "--text"]])
def test_what_holds_no_draft_is_refused(run: Callable[..., str], command: list[str]) -> None:
    told = run(*command, "nowhere", code=errors.UnusableFolder.exit_code)
    assert told == (
        "narrate2log: nowhere: no draft to read here (No such file or directory); name a folder that"
        " `narrate2log draft` has written.\n"
    )


def test_a_decision_that_was_never_finished_is_said(run: Callable[..., str]) -> None:
    run("review", "run", "--text", "--by", "Kim", keys="1\nq")
    with Path("run/decisions.jsonl").open("ab") as file:
        file.write(b'{"n": 3, "id"')
    told = run("log", "run")
    assert "Note: run/decisions.jsonl: its end is a decision that was never finished" in told
    assert "1 right as drafted, 1 changed" in told


def test_a_bad_line_in_the_journal_is_refused(run: Callable[..., str]) -> None:
    run("review", "run", "--text", "--by", "Kim", keys="1\nq")
    path = Path("run/decisions.jsonl")
    path.write_text("{}\n" + path.read_text(encoding="utf-8"), encoding="utf-8")
    assert "decisions.jsonl, line 1: this is no decision" in run("log", "run", code=6)
