"""Workbook, CSV and JSON, reopened by other libraries, equal the log; no spreadsheet runs what is in them."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator, FormatChecker
from jsonschema.exceptions import ValidationError
from openpyxl import load_workbook
from outgoing.folders import log_of, made, row, run

ROWS = (
    row("material", at=2.0, kind="pipe", material="pvc"),
    row("crack", at=10.25, clock_from=11, clock_to=1, severity="minor", amount_in=0.25),
    row("belly", at=29.0, end_distance=36.0, amount_pct=40.0, sightings=[60.0, 200.5]),
    row("roots", at=None, standing="not-seen"),
)
READING = {
    "time": 47.1, "distance": 4.94, "distance_low": 4.57, "distance_high": 5.3, "leg": 1, "pass": "out",
    "reading": -1, "unit": "deg", "grade_pct": 1.746, "of": "pipe", "heard": "minus one Zounds", "check": [],
}  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return run(tmp_path, *ROWS, reviewed=True, slope_readings=[READING])


def cells(path: Path, sheet: str) -> list[list[Any]]:
    return [list(line) for line in load_workbook(path)[sheet].iter_rows(values_only=True)]


def test_the_workbook_equals_the_log(folder: Path) -> None:
    made(folder, "xlsx")
    heads, *lines = cells(folder / "report.xlsx", "rows")
    names = [head.split(",")[0] for head in heads]
    for line, told in zip(lines, log_of(folder).rows, strict=True):
        for name, value in zip(names, line, strict=True):
            expected = {"state": "stands", "reviewed_by": "Ada Reviewer"}.get(name, told.get(name))
            if isinstance(expected, list):
                expected = "; ".join(map(str, expected))
            assert (value, type(value)) == (expected, type(expected)) or value == expected


def test_the_workbook_has_units_filters_and_a_head_that_stays(folder: Path) -> None:
    made(folder, "xlsx")
    book = load_workbook(folder / "report.xlsx")
    assert book.sheetnames == ["report", "rows", "slope", "not seen"]
    heads = [cell.value for cell in book["rows"][1]]
    assert {"distance, ft", "amount_pct, %", "amount_in, in", "depth_ft, ft", "time, s", "feature"} <= set(
        heads
    )
    for name in book.sheetnames[1:]:
        assert book[name].freeze_panes == "A2"
        assert book[name].auto_filter.ref.startswith("A1:")
    assert book.properties.title == "Sewer lateral inspection"


def test_the_sheets_beside_the_rows(folder: Path) -> None:
    made(folder, "xlsx", words=True)
    assert cells(folder / "report.xlsx", "slope")[1] == [
        47.1,
        4.94,
        4.57,
        5.3,
        1,
        "out",
        -1,
        "deg",
        1.746,
        "pipe",
    ]
    assert cells(folder / "report.xlsx", "not seen")[1] == [4, "roots", None, 1, "Roots."]
    assert cells(folder / "report.xlsx", "words")[1:] == [[2, 9, "Nothing to be told."]]


def test_the_csv_equals_the_log(folder: Path) -> None:
    made(folder, "csv")
    table = pd.read_csv(folder / "rows.csv", encoding="utf-8-sig")
    for line, told in zip(table.to_dict("records"), log_of(folder).rows, strict=True):
        for name, value in line.items():
            expected = {"state": "stands", "reviewed_by": "Ada Reviewer"}.get(name, told.get(name))
            if expected is None:
                assert pd.isna(value)
            elif isinstance(expected, list):
                assert str(value) == "; ".join(map(str, expected))
            else:
                assert value == expected


# Types and constraints of Frictionless Table Schema, version 1 (specs.frictionlessdata.io/table-schema).
TYPES = {"string", "number", "integer", "boolean", "array", "object", "date", "time", "datetime", "any"}
CONSTRAINTS = {
    "string": {"required", "unique", "minLength", "maxLength", "pattern", "enum"},
    "number": {"required", "unique", "minimum", "maximum", "enum"},
    "integer": {"required", "unique", "minimum", "maximum", "enum"},
}


def test_the_table_schema_describes_every_column_and_every_row_keeps_it(folder: Path) -> None:
    made(folder, "csv", words=True)
    schema = json.loads((folder / "rows.schema.json").read_bytes())
    text = (folder / "rows.csv").read_text(encoding="utf-8-sig")
    lines = list(csv.DictReader(io.StringIO(text, newline="")))
    assert [field["name"] for field in schema["fields"]] == list(lines[0])
    assert schema["missingValues"] == [""]
    assert schema["primaryKey"] == "id"
    for field in schema["fields"]:
        assert field["type"] in TYPES
        limits = field["constraints"]
        assert limits.keys() <= CONSTRAINTS[field["type"]]
        assert field["description"]
        for line in lines:
            value = line[field["name"]]
            if value == "":
                assert not limits.get("required")
                continue
            number = {"number": float, "integer": int}.get(field["type"], str)(value)
            assert number >= limits.get("minimum", number)
            assert number <= limits.get("maximum", number)
            assert value in limits.get("enum", [value])


def document(folder: Path, **asked: Any) -> tuple[dict[str, Any], Draft202012Validator]:
    made(folder, "json", **asked)
    schema = json.loads((folder / "report.schema.json").read_bytes())
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema, format_checker=FormatChecker())
    return json.loads((folder / "report.json").read_bytes()), validator


@pytest.mark.parametrize("asked", [{}, {"words": True}, {"redacted": True}], ids=str)
def test_the_json_keeps_its_schema_and_equals_the_log(folder: Path, asked: dict[str, bool]) -> None:
    told, validator = document(folder, **asked)
    validator.validate(told)
    for sent, kept in zip(told["rows"], log_of(folder).rows, strict=True):
        assert {k: v for k, v in sent.items() if k in kept} == {k: kept[k] for k in sent if k in kept}
        assert sent["state"] == "stands"


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("rows", 0, "standing"), "surely"),
        (("rows", 1, "clock_from"), 13),
        (("rows", 2, "amount_pct"), 140),
        (("rows", 0, "stray"), 1),
        (("units",), "yd"),
        (("draft",), "no"),
        (("stray",), 1),
    ],
)
def test_the_schema_refuses_what_is_wrong(folder: Path, path: tuple[Any, ...], value: object) -> None:
    told, validator = document(folder)
    place = told
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    with pytest.raises(ValidationError):
        validator.validate(told)


@pytest.mark.parametrize("name", ["report.xlsx", "rows.csv", "report.json"])
def test_words_as_heard_and_names_go_out_only_where_they_may(folder: Path, name: str) -> None:
    def everything(**asked: bool) -> str:
        made(folder, "xlsx", "csv", "json", **asked)
        if name == "report.xlsx":
            book = load_workbook(folder / name)
            return str([list(sheet.iter_rows(values_only=True)) for sheet in book])
        return (folder / name).read_text(encoding="utf-8-sig")

    assert "Zounds" not in everything()
    assert "Ada" in everything()
    assert "Zounds" in everything(words=True)
    redacted = everything(redacted=True)
    assert "Zounds" not in redacted
    assert "zounds.mp4" not in redacted
    assert "Ada" not in redacted


# What a spreadsheet takes for a formula: OWASP, "CSV Injection".
FORMULAS = ["=1+1", "+1", "-1+1", "@SUM(A1)", " =1", "=cmd|'/c calc'!A0", "\t=1"]


@pytest.mark.parametrize("text", FORMULAS)
def test_no_text_is_run_by_a_spreadsheet(tmp_path: Path, text: str) -> None:
    run(tmp_path, row(remark=text, read_as=text, heard=text), row("crack", at=-0.5, remark="ok"))
    made(tmp_path, "csv", "xlsx", words=True)
    with (tmp_path / "rows.csv").open(encoding="utf-8-sig", newline="") as file:
        lines = list(csv.DictReader(file))
    for line in lines:
        for name, value in line.items():
            begins = value.lstrip()[:1]
            assert begins not in ("=", "+", "@")
            assert begins != "-" or name.startswith("distance")
    # numbers stay numbers
    assert float(lines[0]["distance"]) == -0.5
    for sheet in load_workbook(tmp_path / "report.xlsx"):
        for line in sheet.iter_rows():
            for cell in line:
                assert cell.data_type != "f"
    (found,) = (
        cell
        for line in load_workbook(tmp_path / "report.xlsx")["rows"].iter_rows()
        for cell in line
        if cell.column == 24 and cell.value == text
    )
    assert found.quotePrefix
    assert found.data_type == "s"


texts = st.text(max_size=40).map(str.strip).filter(bool)


@settings(max_examples=25, deadline=None)
@given(texts)
def test_any_remark_comes_back_from_the_tables(tmp_path_factory: object, remark: str) -> None:
    folder = run(tmp_path_factory.mktemp("run"), row(remark=remark))  # type: ignore[attr-defined]
    made(folder, "csv", "xlsx", "json")
    lone = remark.encode("utf-8", "replace").decode()
    assert json.loads((folder / "report.json").read_bytes())["rows"][0]["remark"] == lone
    with (folder / "rows.csv").open(encoding="utf-8-sig", newline="") as file:
        (line,) = csv.DictReader(file)
    assert line["remark"].removeprefix("'") == lone.removeprefix("'")
