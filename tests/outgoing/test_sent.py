"""A report sent again says that it is amended, when, and what changed."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path

import pytest
from outgoing.folders import NOW, decide, made, report_of, row, run

from narrate2log.errors import UnusableCommand, UnusableFolder

LATER = NOW + timedelta(days=2)


def sent(folder: Path) -> list[dict[str, object]]:
    return [json.loads(line) for line in (folder / "sent.jsonl").read_text(encoding="utf-8").splitlines()]


def test_nothing_is_amended_the_first_time_nor_by_the_same_again(tmp_path: Path) -> None:
    run(tmp_path, row(), reviewed=True)
    assert made(tmp_path).report.amended is None
    assert made(tmp_path, now=LATER).report.amended is None
    assert len(sent(tmp_path)) == 1


def test_a_draft_is_not_remembered(tmp_path: Path) -> None:
    made(run(tmp_path, row()))
    assert not (tmp_path / "sent.jsonl").exists()


def test_what_changed_since_is_told_row_by_row(tmp_path: Path) -> None:
    run(tmp_path, row("roots"), row("crack", at=10), row("hole", at=20), reviewed=True)
    made(tmp_path)
    decide(tmp_path, "changed", "roots-41.0", {"severity": "severe"})
    decide(tmp_path, "dropped", "crack-10", {})
    decide(tmp_path, "moved", "hole-20", {"distance": 22.0, "distance_low": 21.6, "distance_high": 22.4})
    amended = made(tmp_path, now=LATER).report.amended
    assert amended is not None
    assert amended.since == NOW.isoformat(timespec="seconds")
    assert amended.changes == (
        "Changed: it said “Hole at 20.0 ft.” and says “Hole at 22.0 ft.”",
        "Changed: it said “Roots at 41.0 ft.” and says “Roots at 41.0 ft, called severe.”",
        "Taken out: Crack at 10.0 ft.",
    )
    # made once more it still says so
    assert report_of(tmp_path).amended == amended


def test_a_change_back_is_a_change(tmp_path: Path) -> None:
    run(tmp_path, row(), reviewed=True)
    made(tmp_path)
    decide(tmp_path, "changed", "roots-41.0", {"severity": "severe"})
    made(tmp_path, now=LATER)
    decide(tmp_path, "changed", "roots-41.0", {"severity": None})
    amended = made(tmp_path, now=LATER + timedelta(days=1)).report.amended
    assert amended is not None
    assert amended.since == LATER.isoformat(timespec="seconds")


def test_a_report_that_never_left_is_not_amended(tmp_path: Path) -> None:
    run(tmp_path, row(), reviewed=True)
    made(tmp_path)
    decide(tmp_path, "changed", "roots-41.0", {"severity": "severe"})
    assert made(tmp_path, unsent=True).report.amended is None
    assert made(tmp_path).report.amended is None


def test_one_that_left_before_is_still_amended(tmp_path: Path) -> None:
    run(tmp_path, row(), reviewed=True)
    for number, severity in enumerate(("minor", "moderate", "severe")):
        made(tmp_path, now=NOW + timedelta(days=number))
        decide(tmp_path, "changed", "roots-41.0", {"severity": severity})
    made(tmp_path)
    # the last but one was only looked at
    amended = made(tmp_path, unsent=True).report.amended
    assert amended is not None
    assert amended.since == (NOW + timedelta(days=1)).isoformat(timespec="seconds")


def test_unsent_needs_something_that_was_sent(tmp_path: Path) -> None:
    with pytest.raises(UnusableCommand, match=r"^--unsent: no report"):
        made(run(tmp_path, row(), reviewed=True), unsent=True)


def test_changed_particulars_are_named_and_not_kept(tmp_path: Path) -> None:
    run(tmp_path, row(), reviewed=True)
    (tmp_path / "job.toml").write_text('client = "Zounds"\n', encoding="utf-8")
    made(tmp_path)
    (tmp_path / "job.toml").write_text('client = "Gadzooks"\nplace = "There"\n', encoding="utf-8")
    amended = made(tmp_path).report.amended
    assert amended is not None
    assert amended.changes == ("Particulars changed: client, place.",)
    assert "Zounds" not in (tmp_path / "sent.jsonl").read_text(encoding="utf-8")


def test_a_torn_line_is_cut_off_and_a_bad_one_refused(tmp_path: Path) -> None:
    run(tmp_path, row(), reviewed=True)
    made(tmp_path)
    path = tmp_path / "sent.jsonl"
    whole = path.read_bytes()
    path.write_bytes(whole + b'{"schema": "narr')
    decide(tmp_path, "changed", "roots-41.0", {"severity": "severe"})
    made(tmp_path)
    assert path.read_bytes().startswith(whole)
    assert len(sent(tmp_path)) == 2
    path.write_bytes(b"nonsense\n" + whole)
    with pytest.raises(UnusableFolder, match=r"sent\.jsonl, line 1: this is no record"):
        made(tmp_path)
