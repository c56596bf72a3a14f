"""What the report says: as it was called, as it was seen, and no more."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Any

import pytest
from outgoing.folders import decide, report_of, row, run

from narrate2log.outgoing.content import Report


def lines(report: Report) -> dict[str, list[str]]:
    return {group.heading: [line.text for line in group.lines] for group in report.groups}


def everything(report: Report) -> str:
    """All words of a report, without its drawings."""
    told = asdict(report)
    for drawing in (*told["pipe"], *told["fall"]):
        drawing["svg"] = drawing["svg"].decode()
    return str(told)


def test_findings_stand_under_what_they_were_called(tmp_path: Path) -> None:
    run(
        tmp_path,
        row("crack", at=10, severity="minor"),
        row("roots", at=20, severity="severe"),
        row("belly", at=30),
        row("hole", at=40, standing="possible", severity="severe"),
        row("break", at=None, standing="reported"),
        row("grease", at=None, standing="not-seen"),
        row("cleanout", at=0, kind="landmark"),
    )
    report = report_of(tmp_path)
    assert lines(report) == {
        "Called severe": ["Roots at 20.0 ft."],
        "Called minor": ["Crack at 10.0 ft."],
        "Seen, severity not told": ["Belly at 30.0 ft."],
        "Possible, not certain from the picture": ["Hole at 40.0 ft."],
        "Told by others, not seen by the camera": ["Break."],
    }
    assert [line.text for line in report.not_seen] == ["Grease."]
    assert [finding.title for finding in report.findings] == [
        "Crack, at 10.0 ft",
        "Roots, at 20.0 ft",
        "Belly, at 30.0 ft",
        "Possible hole, at 40.0 ft",
    ]


def test_what_was_worked_out_is_told_apart_from_what_was_said(tmp_path: Path) -> None:
    derived = {
        "id": "low-1", "kind": "defect", "feature": "low-slope", "derived": True, "leg": 1, "distance": 30.0,
        "end_distance": 36.0, "grade_pct": {"value": 0.1, "low": 0.0, "high": 0.2},
        "remark": "The pipe is nearly flat from 30.0 to 36.0 ft.", "check": [],
    }  # fmt: skip
    report = report_of(run(tmp_path, row(), derived=[derived]))
    heading = "Worked out from the tilt that was read, not said by anybody"
    assert lines(report)[heading] == [derived["remark"]]
    assert all(derived["remark"] not in lines for key, lines in lines(report).items() if key != heading)


def test_no_words_as_heard_without_asking(tmp_path: Path) -> None:
    run(tmp_path, row(), row("recommendation", at=None, kind="note", remark="Advice given on roots."))
    assert "Zounds" not in everything(report_of(tmp_path))
    with_words = report_of(tmp_path, words=True)
    assert with_words.findings[0].words == "old Zounds says roots at forty one"
    assert "Zounds" in with_words.advice[0].text


def test_a_conclusion_is_only_what_the_reviewer_wrote(tmp_path: Path) -> None:
    run(tmp_path, row(severity="severe"))
    assert report_of(tmp_path).conclusion is None
    (tmp_path / "job.toml").write_text('conclusion = "Cut the roots this year."\n', encoding="utf-8")
    assert report_of(tmp_path).conclusion == "Cut the roots this year."


def test_a_draft_is_called_one_until_a_person_settled_what_asks(tmp_path: Path) -> None:
    run(tmp_path, row("crack", at=10, check=["where it is"]), row("roots", at=20, check=["how much"]))
    assert report_of(tmp_path).stamp == "Draft: written by a program, not reviewed by a person"
    decide(tmp_path, "stands", "crack-10")
    assert report_of(tmp_path).stamp == "Draft: 1 row still to be looked at"
    decide(tmp_path, "stands", "roots-20")
    report = report_of(tmp_path)
    assert report.stamp is None
    assert dict(report.particulars)["Reviewed"] == "Ada Reviewer, 2026-03-03"


def test_a_draft_without_questions_is_still_a_draft(tmp_path: Path) -> None:
    assert report_of(run(tmp_path, row())).stamp == "Draft: written by a program, not reviewed by a person"


def test_unknown_particulars_are_blank(tmp_path: Path) -> None:
    told = dict(
        report_of(run(tmp_path, legs=[{"leg": 1, "direction": "upstream", "entry": None}])).particulars
    )
    blank = {label for label, value in told.items() if not value}
    assert blank == {
        "Client", "Place", "Inspector", "Licence", "Date of the inspection", "Camera went in at",
        "Furthest place told of", "Pipe", "Water running",
    }  # fmt: skip
    assert told["Pushed"] == "upstream"


def test_particulars_come_from_the_log_and_the_job_file(tmp_path: Path) -> None:
    run(
        tmp_path,
        row("material", at=2, kind="pipe", material="abs"),
        row("pipe-size", at=2, kind="pipe", size_in=4.0),
        row("water-on", at=None, kind="event", time=20.0),
        row("city-connection", at=57.5, kind="landmark"),
        said="It is the third of March, twenty twenty six, and off we go.",
    )
    (tmp_path / "job.toml").write_text(
        'client = "A. Client"\nplace = "Nowhere 1"\ninspector = "I. Spector"\n'
        'licence = "12-B"\ncompany = "Drains"\n',
        encoding="utf-8",
    )
    report = report_of(tmp_path)
    told = dict(report.particulars)
    assert told["Client"] == "A. Client"
    assert told["Date of the inspection"] == "2026-03-03"
    assert told["Camera went in at"] == "cleanout"
    assert told["Furthest place told of"] == "57.5 ft, city connection"
    assert set(told["Pipe"].split("; ")) == {"ABS plastic from 2.0 ft", "4 in"}
    assert told["Water running"] == "on at 0:20 of the recording"
    assert report.company == "Drains"


def test_redacted_has_no_names_no_place_and_no_words(tmp_path: Path) -> None:
    run(tmp_path, row(), reviewed=True)
    (tmp_path / "job.toml").write_text(
        'client = "Zounds"\nplace = "Zounds"\ninspector = "Zounds"\nlicence = "Zounds"\ncompany = "Zounds"\n'
        'access = "Zounds"\nconclusion = "Zounds"\nreference = "Zounds"\nlogo = "zounds.png"\n',
        encoding="utf-8",
    )
    told = everything(report_of(tmp_path, redacted=True))
    assert "zounds" not in told.lower()
    assert "Ada" not in told
    assert "Roots at 41.0 ft." in told


CROSS_BORE = {"key": "cross-bore", "text": "Stop.", "defer_to": "the gas utility", "first": True}
MANHOLE = {"key": "manhole", "text": "Never enter it.", "defer_to": "a trained crew", "first": False}


def test_cautions_tell_where_and_whom_to_defer_to_the_urgent_one_first(tmp_path: Path) -> None:
    rows = row("manhole", at=50, kind="landmark"), row("cross-bore", at=20, standing="possible")
    report = report_of(run(tmp_path, *rows, cautions=[MANHOLE, CROSS_BORE]))
    assert [(c.text, c.where, c.first) for c in report.cautions] == [
        ("Stop.", "at 20.0 ft", True),
        ("Never enter it.", "at 50.0 ft", False),
    ]


# Each hazard with the one to defer to: 811 practice, 29 CFR 1910.146, CDC on sewage, 29 CFR 1926.404.
@pytest.mark.parametrize(
    ("hazard", "deferred_to"),
    [("cutter", "gas utility"), ("dig", "811"), ("manhole", "permit-trained"), ("Sewage", "physician"),
     ("wet pipes", "electrician")],
)  # fmt: skip
def test_every_report_tells_the_usual_cautions(tmp_path: Path, hazard: str, deferred_to: str) -> None:
    cautions = report_of(run(tmp_path)).standing_cautions
    assert any(hazard in text and deferred_to in defer_to for text, defer_to in cautions)


@pytest.mark.parametrize(
    ("rows", "more", "limit"),
    [
        ([row()], {}, "The log does not tell that the public sewer was reached. The furthest place told of"
         " going downstream lies at 41.0 ft; what lies beyond was not seen."),
        ([row()], {"legs": [{"leg": 1, "direction": "upstream", "entry": None}]}, "!public sewer"),
        ([row(), row("city-connection", at=30, leg=2, kind="landmark")],
         {"legs": [{"leg": n, "direction": "downstream", "entry": None} for n in (1, 2)]}, "!public sewer"),
        ([row(), row("counter-reset", at=0, leg=2, kind="event")],
         {"legs": [{"leg": n, "direction": "downstream", "entry": None} for n in (1, 2)]}, "ft of leg 1"),
        ([row(at=40), row("city-connection", at=41, kind="landmark")], {}, "!public sewer"),
        ([row(at=60), row("city-connection", at=41, kind="landmark")], {}, "public sewer was reached"),
        ([row(at=40), row("city-connection", at=41, kind="landmark", standing="possible")], {}, "sewer was"),
        ([], {}, "it is not known how far the camera went"),
        ([row("belly", at=29, end_distance=36.0, amount_pct=40.0)], {}, "Under the water from 29.0 to 36.0"
         " ft, about 40 percent of the bore, the wall of the pipe could not be seen."),
        ([row("belly", standing="not-seen")], {}, "!Under the water"),
        ([row()], {}, "Nothing was told on the way back"),
        ([row(), row("crack", **{"pass": "back"})], {}, "!on the way back"),
        ([row(), row("crack", at=7, distance_basis="interpolated")], {}, "Of the 2 distances, 1 was not"),
        ([row()], {}, "!worked out"),
        ([row(at=None)], {}, "1 finding has no place"),
        ([row()], {"legs": [{"leg": n, "direction": "downstream", "entry": None} for n in (1, 2)]}, "2 legs"),
    ],
)  # fmt: skip
def test_limits_that_the_run_itself_shows(
    tmp_path: Path, rows: list[dict[str, Any]], more: dict[str, Any], limit: str
) -> None:
    told = " ".join(report_of(run(tmp_path, *rows, **more)).limits_shown)
    assert (limit[1:] not in told) if limit.startswith("!") else (limit in told)


def test_of_several_legs_each_place_tells_which(tmp_path: Path) -> None:
    legs = [{"leg": n, "direction": "downstream", "entry": None} for n in (1, 2)]
    bore = row("cross-bore", at=20.0, leg=2, standing="possible")
    pvc = row("material", at=0.0, leg=2, kind="pipe", material="pvc")
    report = report_of(run(tmp_path, row(), bore, pvc, legs=legs, cautions=[CROSS_BORE]))
    assert [line.leg for group in report.groups for line in group.lines] == [1, 2]
    assert [finding.title for finding in report.findings] == [
        "Roots, at 41.0 ft, leg 1",
        "Possible suspected cross bore, at 20.0 ft, leg 2",
    ]
    assert report.cautions[0].where == "at 20.0 ft, leg 2"
    assert dict(report.particulars)["Pipe"] == "leg 2 PVC from 0.0 ft"
    assert [cells[0] for cells in report.table.rows] == ["1", "2", "2"]


def test_limits_are_told_as_said(tmp_path: Path) -> None:
    limit = row("limitation", at=None, kind="note", remark="Limit of the inspection: the lens was not clear.")
    assert [line.text for line in report_of(run(tmp_path, limit)).limits_told] == [limit["remark"]]


@pytest.mark.parametrize(
    "words", ["no code test", "no engineering opinion", "Local code", "visual record of that day"]
)
def test_the_report_says_what_it_is_not(tmp_path: Path, words: str) -> None:
    assert words in report_of(run(tmp_path)).record


def test_things_are_called_as_in_the_users_own_lexicon(tmp_path: Path) -> None:
    mine = '[[feature]]\nkey = "zig"\nkind = "defect"\nlabel = "Zig-zag wear"\nsay = ["zig in the pipe"]\n'
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "defects.toml").write_text(mine, encoding="utf-8")
    folder = run(tmp_path / "run", row("zig"))
    assert report_of(folder, lexicon=tmp_path / "mine").findings[0].title == "Zig-zag wear, at 41.0 ft"
    # a lexicon that is not at hand leaves the key in words
    assert report_of(folder).findings[0].title == "Zig, at 41.0 ft"
