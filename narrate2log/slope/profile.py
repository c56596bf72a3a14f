"""The profile of a leg: grade by stretch and height along the run, with what the readings cannot tell."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from statistics import median

import numpy as np

from narrate2log.records import (
    Band,
    Direction,
    GradeStretch,
    HeadTilt,
    Leg,
    Observation,
    Pond,
    ProfilePoint,
    SlopeProfile,
    SlopeReading,
)
from narrate2log.slope.display import display_step, step_in_degrees
from narrate2log.slope.estimate import Draws, Floats, Tilt, estimate
from narrate2log.slope.head import FEWEST_IN_POND, LEVEL_SD_DEG, TOLD_SD_DEG, Seen, always_up, prior
from narrate2log.slope.readings import SIGN_OPEN
from narrate2log.units import MM_PER_FOOT, percent_to_slope, slope_to_percent

# Fewer placed readings, or a shorter piece between the first and the last, make no profile.
FEWEST = 4
# A reading placed no better than this would smear the profile and spoil what both passes tell of the head.
WIDE_FT = 25.0
SHORTEST_FT = 5.0
# A pond that reaches less far into a stretch may end before it: common practice, no published source.
POND_EDGE_FT = 1.0
# A stretch is at least so long, and a cut is worth it where it takes away this much of the squared
# difference from the mean, percent squared times feet: 1 percent more over 6 ft than over the next 6.
LEAST_FT = 4.0
WORTH_A_CUT = 3.0
# Nine in ten, as quantiles; tests/fitting/fit_slope_priors.py shows what they hold on simulated pipes.
NINE_IN_TEN = (0.045, 0.955)
# What carries a claim lies this many standard deviations out: one in two thousand of a normal.
SURELY = 3.3
# Within this of level a stretch is flat; 1/16 in/ft is the least that any table of minimums allows.
FLAT_PCT = 0.5
PONDS = frozenset({"belly"})
STOPPED_UP = frozenset({"blockage"})


def build_profiles(
    readings: Sequence[SlopeReading],
    legs: Sequence[Leg],
    observations: Sequence[Observation],
    *,
    head_up: bool,
) -> tuple[SlopeProfile, ...]:
    """One profile for each leg that has readings; what is missing for it stands in its `lacks`."""
    profiles = []
    for leg in legs:
        told = [r for r in readings if r.placement.leg == leg.leg]
        if told:
            rows = [o for o in observations if o.placement.leg == leg.leg]
            # how the head sits does not change from one leg to the next
            gauge = [r for r in readings if r.of in ("level", "lift")]
            profiles.append(_profile(leg, told, gauge, rows, head_up=head_up))
    return tuple(profiles)


def _profile(
    leg: Leg,
    told: Sequence[SlopeReading],
    gauge: Sequence[SlopeReading],
    rows: Sequence[Observation],
    *,
    head_up: bool,
) -> SlopeProfile:
    of_pipe = [r for r in told if r.of == "pipe"]
    placed = [r for r in of_pipe if _is_placed(r)]
    lacks = []
    if len(placed) < len(of_pipe):
        lacks.append(
            f"where {len(of_pipe) - len(placed)} of {len(of_pipe)} readings were taken, or only within"
            f" {WIDE_FT:g} ft; they are left out"
        )
    if len({r.placement.going for r in placed}) == 1:
        lacks.append("readings from one pass only, so how far the pushed head rides up is assumed")
    open_sign = any(SIGN_OPEN in r.check for r in of_pipe)
    if open_sign:
        lacks.append("which sign falls is not known, so every fall here may be a rise")
    if any(r.check and "unit of the tilt reading not said" in r.check for r in of_pipe):
        lacks.append("the unit of the readings was not said; degrees are assumed")
    size, material = _said_most(rows)
    ponds = _ponds(rows)
    if size is None:
        lacks.append("no pipe size was said, so no minimum slope and no flow")
    told_in = {r.unit for r in of_pipe}
    steps = {u: display_step((r.reading for r in of_pipe if r.unit == u), u) for u in told_in}
    coarsest = max(
        (
            percent_to_slope(slope_to_percent(step_in_degrees(0, s, u), "deg"), "in/ft")
            for u, s in steps.items()
        ),
        default=None,
    )
    empty = SlopeProfile(
        leg.leg,
        leg.direction,
        size,
        material,
        not open_sign,
        coarsest,
        None,
        (),
        (),
        ponds,
        None,
        tuple(lacks),
    )
    tilts = [
        Tilt(
            (r.placement.distance_mm or 0) / MM_PER_FOOT,
            percent_to_slope(r.grade_pct, "deg"),
            step_in_degrees(r.reading, steps[r.unit], r.unit),
            r.placement.going == "out",
            _width_mm(r) / 2 / MM_PER_FOOT,
        )
        for r in placed
    ]
    span = max((t.at_ft for t in tilts), default=0.0) - min((t.at_ft for t in tilts), default=0.0)
    if len(tilts) < FEWEST or span < SHORTEST_FT:
        readings = f"{len(tilts)} placed reading{'s' * (len(tilts) != 1)}"
        few = f"only {readings} over {span:.0f} ft, too few for a profile"
        return replace(empty, lacks=(*lacks, few))

    downstream = leg.direction == "downstream"
    before = prior(head_up)
    still = [edges for pond in ponds if (edges := _still_ft(pond, rows))]
    draws = estimate(
        tilts,
        downstream=downstream,
        always_up_sd_deg=before.sd_deg,
        breaks_ft=[edge for edges in still for edge in edges],
    )
    seen = [_seen(r, steps.get(r.unit, 1.0), downstream=downstream) for r in gauge]
    crossed = [p for p in still if sum(p[0] <= t.at_ft <= p[1] for t in tilts) >= FEWEST_IN_POND]
    draws, lift, source = always_up(draws, before, seen, crossed, downstream=downstream)
    if source == "prior":
        lacks.append(
            "how far the head always rides up was not said, and no still water was crossed with"
            f" {FEWEST_IN_POND} readings or more in it, so it is assumed"
        )
    grade = draws.grade_deg + (1.0 if downstream else -1.0) * lift[:, None]
    percent = 100 * np.tan(np.radians(grade))
    head = HeadTilt(
        _band(draws.pushed_up_deg),
        len({r.placement.going for r in placed}) == 2,
        _band(lift),
        source,
    )
    points, fall = _heights(draws.edges_ft, percent, leg.direction)
    stretches = tuple(
        _stretch(draws, percent[:, a:b], a, b, placed, ponds, open_sign=open_sign)
        for a, b in _split(np.median(percent, axis=0), draws.edges_ft)
    )
    return replace(empty, head=head, stretches=stretches, points=points, fall_mm=fall, lacks=tuple(lacks))


def _is_placed(reading: SlopeReading) -> bool:
    return reading.placement.distance_mm is not None and _width_mm(reading) <= WIDE_FT * MM_PER_FOOT


def _width_mm(reading: SlopeReading) -> float:
    at = reading.placement
    return math.inf if at.low_mm is None or at.high_mm is None else at.high_mm - at.low_mm


def _bands(draws: Floats) -> list[Band]:
    """A band for each column of draws."""
    low, middle, high = np.quantile(draws, (NINE_IN_TEN[0], 0.5, NINE_IN_TEN[1]), axis=0).round(3)
    return [Band(float(m), float(a), float(b)) for m, a, b in zip(middle, low, high, strict=True)]


def _band(draws: Floats) -> Band:
    return _bands(draws[:, None])[0]


def _seen(reading: SlopeReading, step: float, *, downstream: bool) -> Seen:
    """What a reading on a level, or a lift told in degrees, says of the head."""
    if reading.of == "lift":
        return Seen("words", abs(percent_to_slope(reading.grade_pct, "deg")), TOLD_SD_DEG)
    # on a level the nose's own lift is all that is shown: as a rise going down, as a fall going up
    shown = percent_to_slope(reading.grade_pct, "deg") * (-1 if downstream else 1)
    rounding = step_in_degrees(reading.reading, step, reading.unit) / np.sqrt(12)
    return Seen("level check", shown, float(np.hypot(LEVEL_SD_DEG, rounding)))


def _ponds(rows: Sequence[Observation]) -> tuple[Pond, ...]:
    return tuple(
        Pond(row.placement.distance_mm, row.end_distance_mm, row.fields.amount_pct)
        for row in rows
        if row.feature in PONDS and row.standing == "seen" and row.placement.distance_mm is not None
    )


def _still_ft(pond: Pond, rows: Sequence[Observation]) -> tuple[float, float] | None:
    """The two edges of water that stands level of itself, in feet; not what a blockage holds back."""
    if pond.to_mm is None or pond.to_mm <= pond.from_mm:
        return None
    held_back = any(
        row.feature in STOPPED_UP
        and row.standing in ("seen", "possible")
        and row.placement.distance_mm is not None
        and pond.from_mm - MM_PER_FOOT <= row.placement.distance_mm <= pond.to_mm + 5 * MM_PER_FOOT
        for row in rows
    )
    return None if held_back else (pond.from_mm / MM_PER_FOOT, pond.to_mm / MM_PER_FOOT)


def _said_most(rows: Sequence[Observation]) -> tuple[float | None, str | None]:
    """Size and material of the leg: the ones said of it most, the first at a tie, or None."""
    sizes = Counter(
        o.fields.size_in
        for o in rows
        if o.feature == "pipe-size" and o.fields.size_in and o.standing == "seen"
    )
    materials = Counter(
        o.fields.material
        for o in rows
        if o.feature == "material" and o.fields.material and o.standing == "seen"
    )
    size = sizes.most_common(1)[0][0] if sizes else None
    return size, materials.most_common(1)[0][0] if materials else None


def _split(middle: Floats, edges_ft: Floats) -> list[tuple[int, int]]:
    """Stretches of one grade as (first cell, past the last), the least squares of all ways to cut the run.

    Each further stretch has to pay for itself; a stretch is never shorter than the least.
    """
    cells = len(middle)
    cell_ft = float(edges_ft[1] - edges_ft[0])
    least = min(cells, max(1, int(np.ceil(LEAST_FT / cell_ft))))
    sums, squares = (np.concatenate([[0.0], np.cumsum(v)]) for v in (middle, middle**2))
    cost, cut = np.full(cells + 1, np.inf), np.zeros(cells + 1, dtype=int)
    cost[0] = 0.0
    for end in range(least, cells + 1):
        begins = np.arange(0, end - least + 1)
        total = sums[end] - sums[begins]
        spread = squares[end] - squares[begins] - total**2 / (end - begins)
        paid = cost[begins] + spread * cell_ft + WORTH_A_CUT
        cut[end] = begins[int(paid.argmin())]
        cost[end] = paid.min()
    stretches = []
    at = cells
    while at > 0:
        stretches.append((int(cut[at]), at))
        at = int(cut[at])
    return stretches[::-1]


def _stretch(
    draws: Draws,
    percent: Floats,
    first: int,
    past: int,
    placed: Sequence[SlopeReading],
    ponds: Sequence[Pond],
    *,
    open_sign: bool,
) -> GradeStretch:
    begin, end = (round(float(draws.edges_ft[i]) * MM_PER_FOOT) for i in (first, past))
    mean = percent.mean(axis=1)
    band = _band(mean)
    low, high = (float(mean.mean() + side * SURELY * mean.std()) for side in (-1, 1))
    if open_sign:
        low, high = min(low, -high), max(high, -low)
    inside = [r.grade_pct for r in placed if begin <= (r.placement.distance_mm or 0) <= end]
    water = any(_reaches_into(pond, begin, end) for pond in ponds)
    shape = "cannot tell" if open_sign or not inside else _shape(band, high)
    return GradeStretch(
        begin,
        end,
        len(inside),
        round(median(inside), 3) if inside else None,
        band,
        round(low, 3),
        round(high, 3),
        shape,  # type: ignore[arg-type]
        water,
    )


def _reaches_into(pond: Pond, begin: int, end: int) -> bool:
    """Whether water stands in a stretch, not only up to it as well as one can tell."""
    pond_end = pond.from_mm if pond.to_mm is None else pond.to_mm
    shared = min(end, pond_end) - max(begin, pond.from_mm)
    return shared >= min(POND_EDGE_FT * MM_PER_FOOT, pond_end - pond.from_mm, end - begin)


def _shape(band: Band, surely_high: float) -> str:
    if surely_high < 0:
        return "uphill"
    if band.low >= -FLAT_PCT and band.high <= FLAT_PCT:
        return "flat"
    return "falls" if band.low > 0 else "cannot tell"


def _heights(
    edges_ft: Floats, percent: Floats, direction: Direction
) -> tuple[tuple[ProfilePoint, ...], Band]:
    """The invert at every edge of a cell against the first, and the whole fall, in millimetres."""
    cell_mm = float(edges_ft[1] - edges_ft[0]) * MM_PER_FOOT
    fallen = np.cumsum(percent / 100 * cell_mm, axis=1)
    fallen = np.concatenate([np.zeros((len(fallen), 1)), fallen], axis=1)
    height = fallen * (-1.0 if direction == "downstream" else 1.0)
    near = np.concatenate([percent[:, :1], (percent[:, 1:] + percent[:, :-1]) / 2, percent[:, -1:]], axis=1)
    uphill = (near < 0).mean(axis=0).round(2)
    points = tuple(
        ProfilePoint(round(float(edge) * MM_PER_FOOT), height_band, grade_band, float(chance))
        for edge, height_band, grade_band, chance in zip(
            edges_ft, _bands(height), _bands(near), uphill, strict=True
        )
    )
    return points, _band(fallen[:, -1])
