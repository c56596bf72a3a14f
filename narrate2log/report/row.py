"""One observation as a row of named columns, the same in every table of the draft."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from narrate2log.records import Observation
from narrate2log.units import LengthUnit, Millimetres, mm_to_length, ms_to_seconds

# Said numbers can be quotients (a third of the bore); nobody says more than three decimals.
DECIMALS = 3

COLUMNS: dict[str, Callable[[Observation, LengthUnit], Any]] = {
    "id": lambda seen, units: seen.id,
    "row": lambda seen, units: seen.row,
    "kind": lambda seen, units: seen.kind,
    "feature": lambda seen, units: seen.feature,
    "standing": lambda seen, units: seen.standing,
    "distance": lambda seen, units: length(seen.placement.distance_mm, units),
    "end_distance": lambda seen, units: length(seen.end_distance_mm, units),
    "distance_low": lambda seen, units: length(seen.placement.low_mm, units),
    "distance_high": lambda seen, units: length(seen.placement.high_mm, units),
    "distance_basis": lambda seen, units: seen.placement.basis,
    "leg": lambda seen, units: seen.placement.leg,
    "severity": lambda seen, units: seen.fields.severity,
    "clock_from": lambda seen, units: seen.fields.clock_from,
    "clock_to": lambda seen, units: seen.fields.clock_to,
    "amount_pct": lambda seen, units: number(seen.fields.amount_pct),
    "amount_in": lambda seen, units: number(seen.fields.amount_in),
    "material": lambda seen, units: seen.fields.material,
    "size_in": lambda seen, units: number(seen.fields.size_in),
    "depth_ft": lambda seen, units: number(seen.fields.depth_ft),
    "pass": lambda seen, units: seen.placement.going,
    "time": lambda seen, units: ms_to_seconds(seen.time_ms),
    "time_end": lambda seen, units: ms_to_seconds(seen.time_end_ms),
    "sightings": lambda seen, units: [ms_to_seconds(ms) for ms in seen.sightings_ms],
    "heard": lambda seen, units: seen.heard,
    "read_as": lambda seen, units: seen.read_as,
    "remark": lambda seen, units: seen.remark,
    "confidence": lambda seen, units: number(seen.confidence),
    "check": lambda seen, units: list(seen.check),
    "rules": lambda seen, units: list(seen.rules),
}

# What the remark is made of besides, for programs that make it anew: a spreadsheet has the remark itself.
ONLY_IN_JSON: dict[str, Callable[[Observation, LengthUnit], Any]] = {
    "general": lambda seen, units: seen.general,
    "sense": lambda seen, units: seen.sense,
    "about": lambda seen, units: list(seen.about),
}


def row(observation: Observation, units: LengthUnit) -> dict[str, Any]:
    """All fields of one observation: distances in `units`, times in seconds, None where none applies."""
    return {name: value_of(observation, units) for name, value_of in {**COLUMNS, **ONLY_IN_JSON}.items()}


def length(mm: Millimetres | None, units: LengthUnit) -> float | None:
    """A distance in `units`, or None where there is none."""
    return None if mm is None else mm_to_length(mm, units)


def number(value: float | None) -> float | None:
    """A said or derived number without the tail of a division, or None where there is none."""
    return None if value is None else round(value, DECIMALS)
