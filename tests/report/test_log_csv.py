"""log.csv: every row with how it was reviewed, inert in a spreadsheet."""

from __future__ import annotations

import csv
import io
import json
from typing import Any

import pytest

from narrate2log.log.decisions import apply
from narrate2log.log.document import DraftFile, Log, make_log
from narrate2log.records import Decision
from narrate2log.report.log_csv import log_csv
from narrate2log.report.log_json import log_json
from narrate2log.report.row import COLUMNS
from narrate2log.wording.lexicon import load_lexicon

ROW: dict[str, Any] = dict.fromkeys(COLUMNS) | {
    "id": "r1", "row": 1, "kind": "defect", "feature": "crack", "standing": "seen", "distance": 12.5,
    "distance_low": 12.0, "distance_high": 13.0, "distance_basis": "spoken", "leg": 1, "pass": "out",
    "time": 4.0, "time_end": 5.0, "sightings": [4.0, 9.0], "heard": "=2+2", "read_as": " -crack",
    "remark": "@crack", "confidence": 0.9, "check": ["look"], "rules": ["crack"],
}  # fmt: skip
EMPTY = "sources legs slope_readings slope_profiles flush_tests corrections offers problems derived cautions"
DRAFT = DraftFile(
    {
        "units": "ft",
        "observations": [ROW, {**ROW, "id": "r2", "distance": -3.0}],
        **{name: [] for name in EMPTY.split()},
    },
    "ab" * 32,
)


def decided(kind: str, after: dict[str, Any]) -> Log:
    decision = Decision(1, "t", "2026-11-25T18:03:11Z", "+Kim", "ab" * 32, kind, "r1", {}, after)  # type: ignore[arg-type]
    return make_log(DRAFT, [decision], load_lexicon)[0]


def cells(log: Log) -> dict[str, dict[str, str]]:
    text = log_csv(log).decode("utf-8-sig")
    return {row["id"]: row for row in csv.DictReader(io.StringIO(text, newline=""))}


@pytest.fixture(scope="module")
def changed() -> Log:
    return decided("changed", {"severity": "minor", "distance": 14.0})


def test_who_changed_what_and_when(changed: Log) -> None:
    row = cells(changed)["r1"]
    told = [row[name] for name in ("reviewed", "reviewed_at", "changes", "severity", "distance", "sightings")]
    assert told == [
        "changed", "2026-11-25T18:03:11Z", "severity: none > minor; distance: 12.5 > 14.0", "minor", "14.0",
        "4.0; 9.0",
    ] or told[2] == "distance: 12.5 > 14.0; severity: none > minor"  # fmt: skip
    assert row["remark"] == "Crack at 14.0 ft, called minor."


def test_no_text_is_run_by_a_spreadsheet_and_numbers_stay_numbers(changed: Log) -> None:
    rows = cells(changed)
    assert [rows["r2"][name] for name in ("heard", "read_as", "remark")] == ["'=2+2", "' -crack", "'@crack"]
    assert rows["r1"]["reviewed_by"] == "'+Kim"
    assert rows["r2"]["distance"] == "-3.0"


def test_rows_taken_out_are_at_the_end_and_say_so() -> None:
    log = decided("dropped", {})
    assert [(name, row["reviewed"]) for name, row in cells(log).items()] == [
        ("r2", "unseen"),
        ("r1", "dropped"),
    ]
    joined = cells(decided("joined", {"into": "r2"}))
    assert (joined["r1"]["reviewed"], joined["r1"]["joined_to"]) == ("joined", "r2")


def test_json_is_the_document(changed: Log) -> None:
    told = json.loads(log_json(changed))
    assert told == changed.document()
    assert told["review"] == {
        "by": ["+Kim"], "first": "2026-11-25T18:03:11Z", "last": "2026-11-25T18:03:11Z", "decisions": 1,
        "waiting": 1, "unseen": 1, "complete": False,
    }  # fmt: skip


def test_a_dropped_danger_calls_up_no_caution() -> None:
    rows = [{**ROW, "feature": "cross-bore"}]
    draft = DraftFile(
        {**DRAFT.document, "observations": rows, "cautions": [{"key": "mine", "text": "t", "defer_to": "d"}]},
        "ab" * 32,
    )
    kept = Decision(1, "t", "", "Kim", "ab" * 32, "stands", "r1", {}, {})
    assert [c["key"] for c in make_log(draft, [kept], load_lexicon)[0].cautions] == ["cross-bore", "mine"]
    out = Decision(1, "t", "", "Kim", "ab" * 32, "dropped", "r1", {}, {})
    assert [c["key"] for c in make_log(draft, [out], load_lexicon)[0].cautions] == ["mine"]
    assert apply(rows, (), [out], "ab" * 32).rows == {}
