"""Rows that the tilt readings bear out or contradict, and what follows from the readings alone."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import replace
from statistics import median

from narrate2log.records import (
    Derived,
    GradeStretch,
    Observation,
    ProfilePoint,
    SlopeProfile,
    SlopeReading,
)
from narrate2log.slope.minimums import NO_CODE_TEST, Table, verdict
from narrate2log.units import MM_PER_FOOT, LengthUnit, mm_to_length

BORNE_OUT = "borne out by the tilt readings"
CONTRADICTED = "the tilt readings there fall as a pipe should"
WORKED_OUT = "worked out from tilt readings; nobody said it"
# Rows that a tilt reading can speak for or against.
OF_THE_GRADE = frozenset({"belly", "backfall", "low-slope"})
# A row's place and a reading's may differ by this.
BESIDE_MM = round(2 * MM_PER_FOOT)
# So much flatter than the rest of the leg a dip reads, percent: half a degree.
DIP_PCT = 1.0
# A grade this steep for certain is no flat or uphill piece, percent: 1/8 in/ft.
FALLS_WELL_PCT = 1.04


def weigh(
    observations: Sequence[Observation], profiles: Sequence[SlopeProfile], readings: Sequence[SlopeReading]
) -> tuple[Observation, ...]:
    """The rows, those of the grade with what the readings say to them.

    Agreement goes into `rules`, disagreement into `check`; no field that was said is changed.
    """
    # where it is not known which sign falls, a dip may be a drop
    points = {profile.leg: profile.points for profile in profiles if profile.sign_known}
    by_leg: dict[int, list[SlopeReading]] = {}
    for reading in readings:
        known = reading.placement.leg in points and reading.placement.distance_mm is not None
        if known and reading.of == "pipe":
            by_leg.setdefault(reading.placement.leg, []).append(reading)
    return tuple(
        _weighed(row, points.get(row.placement.leg, ()), by_leg.get(row.placement.leg, []))
        for row in observations
    )


def _weighed(
    row: Observation, points: Sequence[ProfilePoint], readings: Sequence[SlopeReading]
) -> Observation:
    begin = row.placement.distance_mm
    if row.feature not in OF_THE_GRADE or row.standing not in ("seen", "possible") or begin is None:
        return row
    end = row.end_distance_mm if row.end_distance_mm is not None else begin
    if _dips(begin - BESIDE_MM, end + BESIDE_MM, readings):
        return replace(row, rules=(*row.rules, BORNE_OUT))
    near = [p for p in points if begin - BESIDE_MM <= p.at_mm <= end + BESIDE_MM]
    inside = [p for p in near if begin <= p.at_mm <= end] or near
    if inside and min(p.grade_pct.low for p in inside) >= FALLS_WELL_PCT:
        return replace(row, check=(*row.check, CONTRADICTED))
    return row


def _dips(begin: float, end: float, readings: Sequence[SlopeReading]) -> bool:
    """Whether the readings of a place run level or uphill, clearly below those of the whole leg.

    However far the head rides up, it does so all along, so the difference is of the pipe.
    """
    here = [r.grade_pct for r in readings if begin <= (r.placement.distance_mm or 0) <= end]
    return bool(here) and min(here) <= min(0.0, median(r.grade_pct for r in readings) - DIP_PCT)


def derive(profiles: Sequence[SlopeProfile], table: Table, units: LengthUnit) -> tuple[Derived, ...]:
    """Stretches that run uphill, or below the minimum of a code, where the numbers leave no other reading."""
    found = []
    for profile in profiles:
        row = table.row(profile.size_in) if profile.size_in else None
        for stretch in profile.stretches:
            if stretch.holds_water:
                continue
            if stretch.shape == "uphill":
                found.append(_derived("backfall", "runs uphill", profile, stretch, units))
            elif row is not None and verdict(stretch, row.in_per_ft) == "below":
                size = f"{profile.size_in:g} in"
                told = f"falls less than the {row.in_per_ft:g} in/ft that {table.name} asks of {size}"
                found.append(_derived("low-slope", told, profile, stretch, units))
    return tuple(found)


def _derived(
    feature: str, told: str, profile: SlopeProfile, stretch: GradeStretch, units: LengthUnit
) -> Derived:
    begin, end = (mm_to_length(mm, units) for mm in (stretch.from_mm, stretch.to_mm))
    band = stretch.grade_pct
    digest = hashlib.sha256(f"{feature}|{profile.leg}|{stretch.from_mm}".encode()).hexdigest()[:10]
    return Derived(
        id=digest,
        feature=feature,  # type: ignore[arg-type]
        leg=profile.leg,
        from_mm=stretch.from_mm,
        to_mm=stretch.to_mm,
        grade_pct=band,
        remark=f"From {begin:g} to {end:g} {units} the pipe, by the tilt readings, {told}:"
        f" {band.value:.1f} percent ({band.low:.1f} to {band.high:.1f}). {NO_CODE_TEST}",
        check=(WORKED_OUT, *profile.lacks),
    )
