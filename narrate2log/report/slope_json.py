"""What the tilt readings tell, for observations.json and back: `slope_profiles`, `flush_tests`, `derived`."""

from __future__ import annotations

from typing import Any

from narrate2log.records import (
    Band,
    Derived,
    FlushTest,
    GradeStretch,
    HeadTilt,
    Pond,
    ProfilePoint,
    SlopeProfile,
)
from narrate2log.report.field_types import check_types
from narrate2log.report.row import length
from narrate2log.units import LengthUnit, length_to_mm

# A smaller pipe is none, inches.
SMALLEST_IN = 0.1


def profile_to_json(profile: SlopeProfile, units: LengthUnit) -> dict[str, Any]:
    """One leg: distances in `units`, heights and falls in mm, grades in percent, angles in degrees."""
    head = profile.head
    return {
        "leg": profile.leg,
        "direction": profile.direction,
        "size_in": profile.size_in,
        "material": profile.material,
        "sign_known": profile.sign_known,
        "display_step_in_per_ft": _rounded(profile.step_in_per_ft),
        "head": head
        and {
            "pushed_up_deg": _band(head.pushed_up_deg),
            "pushed_measured": head.pushed_measured,
            "always_up_deg": _band(head.always_up_deg),
            "always_from": head.always_from,
        },
        "stretches": [
            {
                "from": length(s.from_mm, units),
                "to": length(s.to_mm, units),
                "readings": s.readings,
                "raw_pct": s.raw_pct,
                "grade_pct": _band(s.grade_pct),
                "surely_low_pct": s.surely_low_pct,
                "surely_high_pct": s.surely_high_pct,
                "shape": s.shape,
                "holds_water": s.holds_water,
            }
            for s in profile.stretches
        ],
        "points": [
            {
                "at": length(p.at_mm, units),
                "height_mm": _band(p.height_mm),
                "grade_pct": _band(p.grade_pct),
                "uphill": p.uphill,
            }
            for p in profile.points
        ],
        "ponds": [
            {"from": length(p.from_mm, units), "to": length(p.to_mm, units), "amount_pct": p.amount_pct}
            for p in profile.ponds
        ],
        "fall_mm": profile.fall_mm and _band(profile.fall_mm),
        "lacks": list(profile.lacks),
    }


def profile_from_json(told: dict[str, Any], units: LengthUnit) -> SlopeProfile:
    """The profile that `profile_to_json` wrote. Raises as `flush_from_json` does."""
    head = told["head"]
    profile = SlopeProfile(
        leg=told["leg"],
        direction=told["direction"],
        size_in=told["size_in"],
        material=told["material"],
        sign_known=told["sign_known"],
        step_in_per_ft=told["display_step_in_per_ft"],
        head=head
        and HeadTilt(
            Band(**head["pushed_up_deg"]),
            head["pushed_measured"],
            Band(**head["always_up_deg"]),
            head["always_from"],
        ),
        stretches=tuple(
            GradeStretch(
                length_to_mm(s["from"], units),
                length_to_mm(s["to"], units),
                s["readings"],
                s["raw_pct"],
                Band(**s["grade_pct"]),
                s["surely_low_pct"],
                s["surely_high_pct"],
                s["shape"],
                s["holds_water"],
            )
            for s in told["stretches"]
        ),
        points=tuple(
            ProfilePoint(
                length_to_mm(p["at"], units), Band(**p["height_mm"]), Band(**p["grade_pct"]), p["uphill"]
            )
            for p in told["points"]
        ),
        ponds=tuple(
            Pond(
                length_to_mm(p["from"], units),
                None if p["to"] is None else length_to_mm(p["to"], units),
                p["amount_pct"],
            )
            for p in told["ponds"]
        ),
        fall_mm=told["fall_mm"] and Band(**told["fall_mm"]),
        lacks=tuple(told["lacks"]),
    )
    check_types(profile)
    if profile.size_in is not None and profile.size_in < SMALLEST_IN:
        raise ValueError(profile.size_in)
    if profile.fall_mm and len({point.at_mm for point in profile.points}) < 2:
        raise ValueError(profile.points)
    return profile


def flush_to_json(test: FlushTest, units: LengthUnit) -> dict[str, Any]:
    """One flush test: seconds, distance in `units`, velocity in ft/s."""
    return {
        "leg": test.leg,
        "seconds": test.seconds,
        "as_said": test.as_said,
        "distance": length(test.distance_mm, units),
        "velocity_ft_s": test.velocity_ft_s and _band(test.velocity_ft_s),
        "lacks": list(test.lacks),
    }


def flush_from_json(told: dict[str, Any], units: LengthUnit) -> FlushTest:
    """The test that `flush_to_json` wrote. Raises LookupError, TypeError or ValueError where it is none."""
    at, velocity = told["distance"], told["velocity_ft_s"]
    test = FlushTest(
        told["leg"],
        told["seconds"],
        None if at is None else length_to_mm(at, units),
        velocity and Band(**velocity),
        tuple(told["lacks"]),
        told["as_said"],
    )
    check_types(test)
    return test


def derived_to_json(row: Derived, units: LengthUnit) -> dict[str, Any]:
    """One row that was worked out, marked so: distances in `units`, grades in percent."""
    return {
        "id": row.id,
        "kind": "defect",
        "feature": row.feature,
        "derived": True,
        "leg": row.leg,
        "distance": length(row.from_mm, units),
        "end_distance": length(row.to_mm, units),
        "grade_pct": _band(row.grade_pct),
        "remark": row.remark,
        "check": list(row.check),
    }


def _band(band: Band) -> dict[str, float]:
    return {"value": band.value, "low": band.low, "high": band.high}


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 4)
