"""The profile of one leg: what it tells, and what it says it lacks."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from slope.pipes import other as pipe
from slope.pipes import profile_of, row

from narrate2log.records import Direction, Leg, Placement, SlopeOf, SlopeProfile, SlopeReading
from narrate2log.slope.profile import build_profiles
from narrate2log.slope.readings import SIGN_OPEN
from narrate2log.units import SlopeUnit, slope_to_percent


def reading(
    at_ft: float | None,
    value: float,
    unit: SlopeUnit = "deg",
    *,
    going: str = "out",
    of: SlopeOf = "pipe",
    check: tuple[str, ...] = (),
    wide_ft: float = 1.0,
) -> SlopeReading:
    """A reading of so much fall; a minus sign would be the narrator's."""
    mm = None if at_ft is None else round(at_ft * 304.8)
    half = round(wide_ft / 2 * 304.8)
    place = Placement(
        1,
        "out" if going == "out" else "back",
        mm,
        None if mm is None else mm - half,
        None if mm is None else mm + half,
        "none" if mm is None else "spoken",
    )
    return SlopeReading(0, place, value, unit, slope_to_percent(value, unit), "", check, of)


def both_ways(values: dict[float, float], pushed_up: float, unit: SlopeUnit = "deg") -> list[SlopeReading]:
    """Readings at the same places on both passes, the pushed ones too flat by `pushed_up`."""
    out = [reading(at, v - pushed_up, unit) for at, v in values.items()]
    return out + [reading(at, v, unit, going="back") for at, v in values.items()]


def profile(
    readings: list[SlopeReading], *rows: object, direction: Direction = "downstream", head_up: bool = False
) -> SlopeProfile:
    (made,) = build_profiles(readings, [Leg(1, direction, None)], rows, head_up=head_up)  # type: ignore[arg-type]
    return made


def lacking(made: SlopeProfile, words: str) -> bool:
    return any(words in lack for lack in made.lacks)


EVEN = {float(at): 1.0 for at in range(2, 42, 3)}
SIZE = row("pipe-size", 0, size_in=4)


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ([reading(None, 1.0) for _ in range(9)], "9 of 9 readings"),
        ([reading(float(at), 1.0, wide_ft=40) for at in range(9)], "9 of 9 readings"),
        ([reading(5, 1.0), reading(30, 1.0)], "only 2 placed readings over 25 ft, too few for a profile"),
        ([reading(5, 1.0)], "only 1 placed reading over 0 ft, too few for a profile"),
        ([reading(5 + i / 10, 1.0) for i in range(9)], "too few for a profile"),
    ],
)
def test_too_little_makes_no_claim(readings: list[SlopeReading], words: str) -> None:
    made = profile(readings, SIZE)
    assert lacking(made, words)
    assert (made.stretches, made.points, made.fall_mm, made.head) == ((), (), None, None)


def test_no_readings_no_profile() -> None:
    assert build_profiles([], [Leg(1, "downstream", None)], [], head_up=False) == ()


def test_one_pass_and_no_size_are_told() -> None:
    made = profile([reading(at, v) for at, v in EVEN.items()])
    assert lacking(made, "one pass only")
    assert lacking(made, "no pipe size")
    assert made.head is not None
    assert not made.head.pushed_measured
    assert made.size_in is None


def test_both_passes_at_the_same_places_tell_the_pushed_head() -> None:
    made = profile(both_ways(EVEN, 0.8), SIZE)
    assert made.head is not None
    assert made.head.pushed_measured
    assert made.head.pushed_up_deg.value == pytest.approx(0.8, abs=0.2)
    # and not the bias that both passes share
    assert made.head.always_from == "prior"
    assert made.head.always_up_deg.high - made.head.always_up_deg.low > 2


def test_a_bias_of_both_passes_shifts_nothing_but_the_profile() -> None:
    """Readings alone cannot tell a head that always rides up from a flatter pipe."""
    here, higher = (profile(both_ways({at: v + b for at, v in EVEN.items()}, 0.8), SIZE) for b in (0, 0.5))
    assert here.head
    assert higher.head
    assert higher.head.pushed_up_deg.value == pytest.approx(here.head.pushed_up_deg.value, abs=0.1)
    moved = higher.stretches[0].grade_pct.value - here.stretches[0].grade_pct.value
    assert moved == pytest.approx(100 * math.tan(math.radians(0.5)), abs=0.25)


def test_a_coarse_display_leaves_a_wider_interval() -> None:
    """Ten readings of 1 on a display of whole degrees do not make 1.0 of it."""
    level = reading(None, 0.0, of="level")
    widths = []
    for fine in (0.0, 0.1):
        values = {at: v + fine * (i % 2) for i, (at, v) in enumerate(EVEN.items())}
        (stretch, *_) = profile([*both_ways(values, 0.0), level], SIZE).stretches
        widths.append(stretch.grade_pct.high - stretch.grade_pct.low)
    assert widths[0] > widths[1] + 0.3


@pytest.mark.parametrize("direction", ["downstream", "upstream"])
def test_the_way_of_the_push_turns_what_the_head_does(direction: Direction) -> None:
    """A nose that rides up by 0.8 shows too little fall going down, too much going up: geometry."""
    side = 1 if direction == "downstream" else -1
    made = profile(both_ways(EVEN, side * 0.8), SIZE, direction=direction)
    assert made.head is not None
    assert made.head.pushed_up_deg.value == pytest.approx(0.8, abs=0.2)
    assert made.fall_mm is not None
    last = made.points[-1].height_mm.value
    assert last == pytest.approx(-side * made.fall_mm.value, abs=2)


def test_a_spike_at_a_joint_is_no_slope() -> None:
    readings = both_ways(EVEN, 0.0)
    spiked = [*readings, reading(20.0, -5.0), reading(20.0, -5.0, going="back")]
    plain, with_spike = (profile(r, SIZE) for r in (readings, spiked))
    assert plain.fall_mm
    assert with_spike.fall_mm
    assert with_spike.fall_mm.value == pytest.approx(plain.fall_mm.value, abs=40)
    assert [s.shape for s in with_spike.stretches] == [s.shape for s in plain.stretches]


def test_what_is_of_the_head_stays_out() -> None:
    readings = both_ways(EVEN, 0.0)
    assert profile([*readings, reading(20.0, -9.0, of="head")], SIZE) == profile(readings, SIZE)


def test_a_sign_that_stays_open_leaves_no_claim() -> None:
    steep = dict.fromkeys(EVEN, -4.0)
    level = [reading(None, 0.0, of="level")]
    known = profile([*both_ways(steep, 0.0), *level], SIZE)
    assert [s.shape for s in known.stretches] == ["uphill"]
    doubted = profile([*(replace(r, check=(SIGN_OPEN,)) for r in both_ways(steep, 0.0)), *level], SIZE)
    assert not doubted.sign_known
    assert lacking(doubted, "which sign falls")
    assert [s.shape for s in doubted.stretches] == ["cannot tell"]
    assert all(s.surely_low_pct < 0 < s.surely_high_pct for s in doubted.stretches)


def test_a_sag_is_a_stretch_of_its_own_and_holds_its_water() -> None:
    values = {float(at): -2.0 if 24 <= at < 32 else 1.5 for at in range(2, 60, 2)}
    made = profile(both_ways(values, 0.5), SIZE, row("belly", 20, 32, amount_pct=30))
    (uphill,) = [s for s in made.stretches if s.raw_pct is not None and s.raw_pct < -1]
    assert uphill.from_mm / 304.8 == pytest.approx(24, abs=2)
    assert uphill.to_mm / 304.8 == pytest.approx(32, abs=2)
    assert uphill.holds_water
    assert made.ponds[0].amount_pct == 30


def test_water_held_back_by_a_blockage_is_not_level_of_itself() -> None:
    values = {float(at): 1.0 for at in range(2, 60, 2)}
    pond = row("belly", 20, 32)
    assert profile(both_ways(values, 0.5), SIZE, pond).head.always_from == "still water"  # type: ignore[union-attr]
    blocked = profile(both_ways(values, 0.5), SIZE, pond, row("blockage", 33))
    assert blocked.head is not None
    assert blocked.head.always_from == "prior"


def test_stretches_follow_each_other_without_gaps() -> None:
    for seed in range(5):
        made = profile_of(pipe(seed))
        edges = [(s.from_mm, s.to_mm) for s in made.stretches]
        assert [end for _, end in edges[:-1]] == [begin for begin, _ in edges[1:]]
        assert (edges[0][0], edges[-1][1]) == (made.points[0].at_mm, made.points[-1].at_mm)
        assert made.points[0].height_mm.value == 0


def test_the_same_readings_give_the_same_profile() -> None:
    assert profile_of(pipe(3)) == profile_of(pipe(3))


@pytest.mark.parametrize(
    ("pond", "wet"),
    [
        ((20.0, 30.0), True),
        ((20.0, None), True),
        ((0.0, 2.4), False),
        ((40.6, 60.0), False),
        ((60.0, 70.0), False),
        ((60.0, None), False),
        ((20.0, 20.5), True),
    ],
)
def test_water_that_only_touches_a_stretch_does_not_stand_in_it(
    pond: tuple[float, float | None], wet: bool
) -> None:
    # a place that is called is good to half a foot or so: common practice, no published source
    made = profile(both_ways(EVEN, 0.5), SIZE, row("belly", *pond, amount_pct=30))
    assert any(s.holds_water for s in made.stretches) == wet


def test_water_crossed_without_readings_in_it_is_not_denied() -> None:
    made = profile(both_ways(EVEN, 0.5), SIZE, row("belly", 20, 22, amount_pct=30))
    assert lacking(made, "no still water was crossed with 3 readings or more in it")
