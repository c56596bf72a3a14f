"""report.json and report.schema.json: what goes out, for programs, with its JSON Schema (2020-12)."""

from __future__ import annotations

import json
from typing import Any

from narrate2log.outgoing.columns import columns_for, record
from narrate2log.outgoing.content import Wanted
from narrate2log.outgoing.parcel import Made, Parcel

NAME, SCHEMA_NAME = "report.json", "report.schema.json"
SCHEMA = "narrate2log/report/1"
DIALECT = "https://json-schema.org/draft/2020-12/schema"


def rows_json(parcel: Parcel) -> Made:
    """The rows, the slope, cautions and limits as one JSON object in UTF-8."""
    log, report = parcel.log, parcel.report
    columns = columns_for(parcel.wanted)
    document = {
        "schema": SCHEMA,
        "units": log.units,
        "made": report.made,
        "draft": report.stamp is not None,
        "amended": report.amended
        and {"since": report.amended.since, "changes": list(report.amended.changes)},
        "particulars": dict(report.particulars),
        "record": report.record,
        "conclusion": report.conclusion,
        "legs": log.legs,
        "rows": [record(row, columns) for row in log.rows],
        "slope_readings": [
            {name: value for name, value in reading.items() if name != "heard" or parcel.wanted.words}
            for reading in log.slope_readings
        ],
        "slope_profiles": log.slope_profiles,
        "flush_tests": log.flush_tests,
        "derived": [{name: value for name, value in row.items() if name != "review"} for row in log.derived],
        "cautions": [
            {
                "text": caution.text,
                "defer_to": caution.defer_to,
                "where": caution.where,
                "first": caution.first,
            }
            for caution in report.cautions
        ],
        "limits": [line.text for line in report.limits_told] + list(report.limits_shown),
        "missing": list(report.missing),
    }
    return Made({NAME: _bytes(document), SCHEMA_NAME: _bytes(json_schema())})


def json_schema() -> dict[str, Any]:
    """The JSON Schema of report.json, whatever was wanted of it."""
    every = columns_for(Wanted(words=True))
    needed = [c.name for c in every if not c.words and not c.personal]
    texts = {"type": "array", "items": {"type": "string"}}
    objects = {"type": "array", "items": {"type": "object"}}
    row = {
        "type": "object",
        "properties": {
            c.name: {**c.schema, "description": c.about + (f" ({c.unit})" if c.unit else "")} for c in every
        },
        "required": needed,
        "additionalProperties": False,
    }
    caution = {
        "type": "object",
        "properties": {
            "text": {"type": "string"},
            "defer_to": {"type": "string"},
            "where": {"type": "string"},
            "first": {"type": "boolean"},
        },
        "required": ["text", "defer_to", "where", "first"],
        "additionalProperties": False,
    }
    leg = {
        "type": "object",
        "properties": {
            "leg": {"type": "integer", "minimum": 1},
            "direction": {"enum": ["downstream", "upstream"]},
            "entry": {"type": ["string", "null"]},
        },
        "required": ["leg", "direction", "entry"],
    }
    amended = {
        "type": ["object", "null"],
        "properties": {"since": {"type": "string"}, "changes": texts},
        "required": ["since", "changes"],
    }
    properties: dict[str, Any] = {
        "schema": {"const": SCHEMA},
        "units": {"enum": ["ft", "m"], "description": "the unit of every distance"},
        "made": {"type": "string", "format": "date"},
        "draft": {"type": "boolean", "description": "true as long as a person has not reviewed all of it"},
        "amended": amended,
        "particulars": {"type": "object", "additionalProperties": {"type": "string"}},
        "record": {"type": "string", "description": "what the report is, and what it is not"},
        "conclusion": {"type": ["string", "null"], "description": "as the inspector wrote it"},
        "legs": {"type": "array", "items": leg},
        "rows": {"type": "array", "items": row},
        "slope_readings": objects,
        "slope_profiles": objects,
        "flush_tests": objects,
        "derived": {**objects, "description": "worked out from tilt readings, said by nobody"},
        "cautions": {"type": "array", "items": caution},
        "limits": texts,
        "missing": texts,
    }
    return {
        "$schema": DIALECT,
        "title": "Report of a sewer lateral inspection",
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def _bytes(document: dict[str, Any]) -> bytes:
    return (json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode(
        "utf-8", "replace"
    )
