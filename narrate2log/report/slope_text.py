"""What `narrate2log slope` prints: the stretches against a chosen code, and what is not known of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from narrate2log.records import Band, FlushTest, Pond, SlopeProfile
from narrate2log.slope.flow import (
    ROUGHNESS,
    SELF_CLEANSING_FT_S,
    USUAL_ROUGHNESS,
    manning,
    self_cleansing_pct,
    standing_depth_in,
)
from narrate2log.slope.flush import expected_ft_s
from narrate2log.slope.minimums import NO_CODE_TEST, SizeRow, Table, verdict
from narrate2log.units import MM_PER_INCH, LengthUnit, mm_to_length, percent_to_slope

COLUMNS = (
    f"{'from':>8}{'to':>8}{'readings':>10}{'as read':>9}{'percent, 9 in 10':>22}{'in/ft, 9 in 10':>22}  "
)
# A display coarser than this cannot tell 1/8 in/ft from 1/4.
COARSE_IN_PER_FT = 0.125


def slope_text(
    profiles: Sequence[SlopeProfile],
    flushes: Sequence[FlushTest],
    units: LengthUnit,
    *,
    code: Table,
    size_in: float | None,
    material: str | None,
    labels: Mapping[str, str] | None = None,
) -> str:
    """The profiles as plain text. `size_in` and `material` go before what was said in the run.

    `labels` are the words for the keys of materials.
    """
    parts = []
    for profile in profiles:
        size = size_in or profile.size_in
        kind = material or profile.material
        parts.append(_leg(profile, units, code, size, kind, (labels or {}).get(kind or "", kind)))
        parts += [flush_note(test, profile, units, size, kind) for test in flushes if test.leg == profile.leg]
    if not parts:
        parts = ["No tilt readings in this draft, so nothing is said of the slope."]
    return "\n\n".join([*parts, NO_CODE_TEST])


def _leg(
    profile: SlopeProfile,
    units: LengthUnit,
    code: Table,
    size: float | None,
    material: str | None,
    label: str | None,
) -> str:
    row = code.row(size) if size else None
    named = f"{size:g} in {label or 'pipe'}" if size else "pipe of unknown size"
    lines = [f"Leg {profile.leg}, pushed {profile.direction}, {named}"]
    if profile.stretches:
        lines += [COLUMNS + (f"against {row.in_per_ft:g} in/ft" if row else "")]
    for s in profile.stretches:
        begin, end = (mm_to_length(mm, units) for mm in (s.from_mm, s.to_mm))
        inches = Band(*(percent_to_slope(p, "in/ft") for p in _three(s.grade_pct)))
        as_read = "-" if s.raw_pct is None else f"{s.raw_pct:.1f}"
        told: list[str] = [verdict(s, row.in_per_ft)] if row else []
        told += [s.shape] if s.shape != "cannot tell" else []
        told += ["holds water"] if s.holds_water else []
        grades = f"{as_read:>9}{_told(s.grade_pct, 1):>22}{_told(inches, 2):>22}"
        lines.append(f"{begin:8.1f}{end:8.1f}{s.readings:10}{grades}  {', '.join(told)}")
    lines += leg_notes(profile, units, code, size, material)
    if row:
        lines += [f"The source of that minimum: {code.source}.", *([code.note] if code.note else [])]
    return "\n".join(line.rstrip() for line in lines)


def leg_notes(
    profile: SlopeProfile, units: LengthUnit, code: Table, size: float | None, material: str | None
) -> list[str]:
    """What is told of a leg beside its stretches: fall, head, minimum, water, and what is open."""
    notes = _notes(profile, code, code.row(size) if size else None, size)
    notes += [_pond(pond, units, size) for pond in profile.ponds if pond.amount_pct]
    if size and profile.sign_known and profile.fall_mm:
        notes.append(_flow(profile, profile.fall_mm, size, material))
    return notes


def _three(band: Band) -> tuple[float, float, float]:
    return band.value, band.low, band.high


def _told(band: Band, decimals: int) -> str:
    return f"{band.value:.{decimals}f} ({band.low:.{decimals}f} to {band.high:.{decimals}f})"


def _notes(profile: SlopeProfile, code: Table, row: SizeRow | None, size: float | None) -> list[str]:
    notes = []
    if profile.fall_mm:
        inches = Band(*(mm / MM_PER_INCH for mm in _three(profile.fall_mm)))
        notes.append(f"Fall from the first reading to the last: {_told(inches, 1)} in.")
    head = profile.head
    if head:
        measured = "measured" if head.pushed_measured else "assumed"
        always = "assumed" if head.always_from == "prior" else f"from {head.always_from}"
        notes.append(
            f"Head rides up {_told(head.pushed_up_deg, 1)} degrees more while pushed ({measured}), and"
            f" {_told(head.always_up_deg, 1)} always ({always})."
        )
    if profile.step_in_per_ft and profile.step_in_per_ft > COARSE_IN_PER_FT:
        notes.append(
            f"The display showed steps of {profile.step_in_per_ft:.2f} in/ft, so one reading cannot tell 1/8"
            " from 1/4 in/ft."
        )
    if row:
        approval = f", or {row.with_approval:g} with approval" if row.with_approval is not None else ""
        notes.append(f"Minimum for {size:g} in: {row.in_per_ft:g} in/ft{approval}, {code.name}.")
    elif size:
        notes.append(f"{code.name} has no minimum for {size:g} in.")
    lacks = [lack for lack in profile.lacks if not (size and lack.startswith("no pipe size"))]
    return notes + [f"Open: {lack}." for lack in lacks]


def _pond(pond: Pond, units: LengthUnit, size: float | None) -> str:
    """How deep the water stands. Percents told by eye are rough: 10 points either way, common practice."""
    percent = pond.amount_pct or 0.0
    told = f"Water stands at {mm_to_length(pond.from_mm, units):.1f} {units}, {percent:g} percent of the bore"
    if size is None:
        return f"{told}."
    least, most = max(0.0, percent - 10), min(100.0, percent + 10)
    depth = Band(*(standing_depth_in(p, size) for p in (percent, least, most)))
    return f"{told}: about {_told(depth, 1)} in deep in {size:g} in."


def _mean_grade(profile: SlopeProfile, fall_mm: Band) -> Band:
    """The grade of a whole leg in percent, from its fall."""
    span = abs(profile.points[-1].at_mm - profile.points[0].at_mm)
    return Band(*(100 * mm / span for mm in _three(fall_mm)))


def _flow(profile: SlopeProfile, fall_mm: Band, size: float, material: str | None) -> str:
    """Capacity over the steadiest claim there is: the mean grade of the leg, and its low and high."""
    roughness = ROUGHNESS.get(material or "", USUAL_ROUGHNESS)
    mean = _mean_grade(profile, fall_mm)
    full = [manning(size, p, roughness) for p in _three(mean)]
    low = [manning(size, p, roughness, depth=0.25) for p in _three(mean)]
    gallons = Band(*(flow.discharge_gpm for flow in full))
    return (
        f"By Manning's formula (n {roughness:g}), at the mean grade: {_told(gallons, 0)} gal/min full,"
        f" {_told(Band(*(f.velocity_ft_s for f in full)), 1)} ft/s; a quarter full"
        f" {_told(Band(*(f.velocity_ft_s for f in low)), 1)} ft/s. The {SELF_CLEANSING_FT_S:g} ft/s that"
        f" keep solids moving need a grade of {self_cleansing_pct(size, roughness):.1f} percent in a full"
        f" pipe, {self_cleansing_pct(size, roughness, depth=0.25):.1f} in one a quarter full."
    )


def flush_note(
    test: FlushTest, profile: SlopeProfile, units: LengthUnit, size: float | None, material: str | None
) -> str:
    """A flush in a sentence: when its water came, how fast it ran, and what the grade lets expect."""
    at = "" if test.distance_mm is None else f" at {mm_to_length(test.distance_mm, units):.1f} {units}"
    told = (
        f"Flush: water{at} {test.seconds:.0f} s after {'the flush, as told' if test.as_said else 'the call'}"
    )
    if test.velocity_ft_s is None:
        return f"{told}; {'; '.join(test.lacks)}."
    told += f", so it ran at {_told(test.velocity_ft_s, 1)} ft/s"
    if size is None or profile.fall_mm is None or not profile.sign_known:
        return f"{told}."
    mean = _mean_grade(profile, profile.fall_mm)
    wanted = expected_ft_s(size, mean, ROUGHNESS.get(material or "", USUAL_ROUGHNESS))
    told += f"; the grade lets expect {_told(wanted, 1)}"
    if test.velocity_ft_s.high < wanted.low:
        told += ". Slower than that: look for a flat or obstructed piece"
    if test.velocity_ft_s.low > wanted.high:
        told += ". Faster than the grade allows, so the water likely ran before the call"
    return f"{told}."
