"""`narrate2log report` at the keyboard."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from outgoing.folders import decide, row, run
from typer.testing import CliRunner

from narrate2log.cli import app
from narrate2log.outgoing.pdf import TEMPLATE

CROSS_BORE = {"key": "cross-bore", "text": "Stop.", "defer_to": "the gas utility", "first": True}


def call(*arguments: object) -> tuple[int, str, str]:
    result = CliRunner().invoke(app, ["report", *map(str, arguments)])
    return result.exit_code, result.stdout, result.stderr


def test_by_default_a_pdf_and_the_page_go_into_the_folder(tmp_path: Path) -> None:
    code, out, err = call(run(tmp_path, row()))
    assert (code, err) == (0, "")
    assert (tmp_path / "report.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "report.html").read_bytes().startswith(b"<!DOCTYPE html>")
    assert f"Written: {tmp_path / 'report.pdf'}" in out
    assert "stamped 'Draft: written by a program, not reviewed by a person'" in out


def test_what_cannot_wait_is_said_at_once_even_if_quiet(tmp_path: Path) -> None:
    run(tmp_path, row("cross-bore", at=20.0, standing="possible"), cautions=[CROSS_BORE])
    code, out, err = call(tmp_path, "--format", "json", "--quiet")
    assert (code, out) == (0, "")
    assert err == "CAUTION, at 20.0 ft: Stop. Defer to the gas utility.\n"


def test_the_outcome_as_json(tmp_path: Path) -> None:
    run(tmp_path / "run", row(), reviewed=True)
    _, out, _ = call(tmp_path / "run", "--format", "csv", "--out", tmp_path / "out", "--json")
    told = json.loads(out)
    assert told["files"] == [str(tmp_path / "out" / name) for name in ("rows.csv", "rows.schema.json")]
    assert (told["draft"], told["amends"]) == (False, None)
    assert len(told["missing"]) == 1


def test_that_it_amends_is_said_with_the_way_out(tmp_path: Path) -> None:
    run(tmp_path, row(), reviewed=True)
    call(tmp_path, "--format", "json")
    decide(tmp_path, "changed", "roots-41.0", {"severity": "minor"})
    assert "--unsent" in call(tmp_path, "--format", "json")[1]
    assert "--unsent" not in call(tmp_path, "--format", "json", "--unsent")[1]


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (["--format", "docx"], 2, "--format: unknown format 'docx'; use one of pdf, html"),
        (["--redact", "--words"], 2, "--words: what was said cannot go out with --redact"),
        (["--redact", "--format", "vtt"], 2, "--redact: vtt is made of what was said when"),
        (["--unsent"], 2, "--unsent: no report of"),
        (["--video", "a.mp4", "--video", "b.mp4"], 2, "--video: the run has 1 clip and 2 are named"),
        (["--lexicon", "gone"], 5, "gone is no folder"),
        (["--out", "run/observations.json"], 6, "the report cannot be written here"),
    ],
)
def test_refusals(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str], code: int, said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    run(tmp_path / "run", row())
    exit_code, _, err = call("run", *arguments)
    assert exit_code == code
    assert said in err
    assert err.count("\n") == 1


def test_a_folder_without_a_draft_is_refused(tmp_path: Path) -> None:
    code, _, err = call(tmp_path)
    assert code == 6
    assert "no draft to read here" in err


def test_the_template_can_be_had(tmp_path: Path) -> None:
    assert call(tmp_path, "--show-template")[1] == TEMPLATE.read_text(encoding="utf-8")


def test_file_names_hold_nothing_personal(tmp_path: Path) -> None:
    run(tmp_path, row())
    (tmp_path / "job.toml").write_text('client = "Zounds"\nplace = "Zounds"\n', encoding="utf-8")
    formats = "pdf html xlsx csv json vtt srt chapters".split()
    call(tmp_path, *(word for name in formats for word in ("--format", name)))
    assert not [path.name for path in tmp_path.rglob("*") if "zounds" in path.name.lower()]
