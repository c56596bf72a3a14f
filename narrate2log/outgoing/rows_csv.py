"""rows.csv and rows.schema.json: the rows for any spreadsheet, described as a Table Schema.

The description follows Frictionless Table Schema, version 1
(https://specs.frictionlessdata.io/table-schema/).
"""

from __future__ import annotations

import json
from typing import Any

from narrate2log.outgoing.columns import Column, columns_for, record
from narrate2log.outgoing.parcel import Made, Parcel
from narrate2log.report.observations_csv import cell
from narrate2log.units import LengthUnit

NAME, SCHEMA_NAME = "rows.csv", "rows.schema.json"


def rows_csv(parcel: Parcel) -> Made:
    """The rows, lists joined by "; ", and what each column means."""
    import pandas as pd

    columns = columns_for(parcel.wanted)
    cells = [{name: cell(value) for name, value in record(row, columns).items()} for row in parcel.log.rows]
    # dtype object keeps 3 from becoming 3.0 in a column that has empty cells.
    table = pd.DataFrame(cells, columns=[column.name for column in columns], dtype=object)
    text: str = table.to_csv(index=False, lineterminator="\r\n")
    schema = json.dumps(_schema(columns, parcel.log.units), ensure_ascii=False, indent=1) + "\n"
    return Made({NAME: text.encode("utf-8-sig", "replace"), SCHEMA_NAME: schema.encode()})


def _schema(columns: list[Column], units: LengthUnit) -> dict[str, Any]:
    return {
        "fields": [_field(column, units) for column in columns],
        "missingValues": [""],
        "primaryKey": "id",
    }


def _field(column: Column, units: LengthUnit) -> dict[str, Any]:
    kind = column.schema.get("type", "string")
    if isinstance(kind, list):
        kind = kind[0]
    told: dict[str, Any] = {
        "name": column.name,
        # a list is one text cell
        "type": "string" if kind == "array" else kind,
        "description": column.about,
    }
    unit = column.unit_in(units)
    if unit:
        told["unit"] = unit
    limits = {name: column.schema[name] for name in ("minimum", "maximum") if name in column.schema}
    if "enum" in column.schema:
        limits["enum"] = [value for value in column.schema["enum"] if value is not None]
    if "null" not in column.schema.get("type", ()) and None not in column.schema.get("enum", ()):
        limits["required"] = kind not in ("array", "string") or column.name in ("id", "feature")
    told["constraints"] = {name: value for name, value in limits.items() if value is not False}
    return told
