"""Rows that the tilt readings bear out or contradict, and what follows from the readings alone."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import replace

from narrate2log.records import Derived, GradeStretch, Observation, ProfilePoint, SlopeProfile
from narrate2log.slope.minimums import NO_CODE_TEST, Table, verdict
from narrate2log.units import MM_PER_FOOT, LengthUnit, mm_to_length

BORNE_OUT = "borne out by the tilt readings"
CONTRADICTED = "the tilt readings there fall as a pipe should"
WORKED_OUT = "worked out from tilt readings; nobody said it"
# Rows that a tilt reading can speak for or against.
OF_THE_GRADE = frozenset({"belly", "backfall", "low-slope"})
# A row's place and a reading's may differ by this.
BESIDE_MM = round(2 * MM_PER_FOOT)
# Chance of an uphill piece from which it bears a row out.
LIKELY = 0.8
# A grade this steep for certain is no flat or uphill piece, percent: 1/8 in/ft.
FALLS_WELL_PCT = 1.04


def weigh(observations: Sequence[Observation], profiles: Sequence[SlopeProfile]) -> tuple[Observation, ...]:
    """The rows, those of the grade with what the readings say to them.

    Agreement goes into `rules`, disagreement into `check`; no field that was said is changed.
    """
    points = {profile.leg: profile.points for profile in profiles}
    return tuple(_weighed(row, points.get(row.placement.leg, ())) for row in observations)


def _weighed(row: Observation, points: Sequence[ProfilePoint]) -> Observation:
    begin = row.placement.distance_mm
    if row.feature not in OF_THE_GRADE or row.standing not in ("seen", "possible") or begin is None:
        return row
    end = row.end_distance_mm if row.end_distance_mm is not None else begin
    near = [p for p in points if begin - BESIDE_MM <= p.at_mm <= end + BESIDE_MM]
    if not near:
        return row
    if max(p.uphill for p in near) >= LIKELY:
        return replace(row, rules=(*row.rules, BORNE_OUT))
    inside = [p for p in near if begin <= p.at_mm <= end] or near
    if min(p.grade_pct.low for p in inside) >= FALLS_WELL_PCT:
        return replace(row, check=(*row.check, CONTRADICTED))
    return row


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
