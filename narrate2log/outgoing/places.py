"""Distances, clock hours and amounts of a row as text, with no digit that their uncertainty makes idle."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from narrate2log.units import LengthUnit, decimals_told

Row = Mapping[str, Any]


def decimals_of(row: Row, units: LengthUnit) -> int:
    """Decimals that the distance of this row is told with."""
    low, high = row.get("distance_low"), row.get("distance_high")
    return (
        decimals_told(low, high, units)
        if low is not None and high is not None
        else decimals_told(0, 0, units)
    )


def distance(row: Row, units: LengthUnit) -> str:
    """'41.0', or nothing where the row has no distance."""
    return "" if row["distance"] is None else f"{row['distance']:.{decimals_of(row, units)}f}"


def end_distance(row: Row, units: LengthUnit) -> str:
    """Where it ends, as text."""
    end = row.get("end_distance")
    return "" if end is None else f"{end:.{decimals_of(row, units)}f}"


def between(row: Row, units: LengthUnit) -> str:
    """'40.5 to 41.5': the interval, rounded outwards so that it still holds what it held."""
    low, high = row.get("distance_low"), row.get("distance_high")
    if row["distance"] is None or low is None or high is None or low == high:
        return ""
    decimals = decimals_of(row, units)
    step = 10**decimals
    # the hundredths of the log are exact only as decimals, so a hair is allowed for
    return (
        f"{math.floor(low * step + 1e-6) / step + 0.0:.{decimals}f} to"
        f" {math.ceil(high * step - 1e-6) / step + 0.0:.{decimals}f}"
    )


def where(row: Row, units: LengthUnit) -> str:
    """'at 41.0 ft', 'from 29.0 to 36.0 ft', or 'no place told'."""
    if row["distance"] is None:
        return "no place told"
    at, end = distance(row, units), end_distance(row, units)
    return f"from {at} to {end} {units}" if end else f"at {at} {units}"


def clock(row: Row) -> str:
    """'9' or '3 to 5', nothing where no hour was told."""
    first, last = row["clock_from"], row["clock_to"]
    if first is None:
        return ""
    return f"{first}" if last in (None, first) else f"{first} to {last}"


def amounts(row: Row) -> list[str]:
    """What was told of amounts, sizes and depth, each with its unit."""
    told = []
    if row["amount_pct"] is not None:
        told.append(f"{row['amount_pct']:g} %")
    if row["amount_in"] is not None:
        told.append(f"{row['amount_in']:g} in")
    if row["size_in"] is not None:
        told.append(f"{row['size_in']:g} in pipe")
    if row["depth_ft"] is not None:
        told.append(f"{row['depth_ft']:g} ft deep")
    return told
