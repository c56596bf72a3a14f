"""A flush timed from its call: 60 ft at 2 to 3 ft/s takes 20 to 30 s in the pipe (arithmetic)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from slope.pipes import row

from narrate2log.records import Band, Direction, FlushTest, Leg, Observation, SaidTime
from narrate2log.slope.flush import expected_ft_s, flush_tests


def told(feature: str, seconds: float, at_ft: float | None = None) -> Observation:
    made = row(feature, at_ft)
    return replace(made, time_ms=round(1000 * seconds), sightings_ms=(round(1000 * seconds),))


def found_in(
    *rows: Observation, direction: Direction = "downstream", said: tuple[SaidTime, ...] = ()
) -> tuple[FlushTest, ...]:
    return flush_tests(rows, [Leg(1, direction, None)], said)


@pytest.mark.parametrize("ft_s", [1.0, 2.0, 3.0])
@pytest.mark.parametrize("on_its_way_s", [4, 11])
@pytest.mark.parametrize("before_ft", [0, 14])
def test_the_interval_holds_what_nobody_times(ft_s: float, on_its_way_s: float, before_ft: float) -> None:
    seconds = on_its_way_s + (60 + before_ft) / ft_s
    (test,) = found_in(told("flush", 100), told("flush-arrival", 100 + seconds, 60))
    assert test.velocity_ft_s is not None
    assert test.velocity_ft_s.low <= ft_s <= test.velocity_ft_s.high
    assert test.velocity_ft_s.low < test.velocity_ft_s.value < test.velocity_ft_s.high


def test_the_last_call_before_the_water_counts() -> None:
    (test,) = found_in(told("flush", 10), told("flush", 100), told("flush-arrival", 140, 60))
    assert test.seconds == 40


@pytest.mark.parametrize("ft_s", [1.0, 2.0, 3.0])
@pytest.mark.parametrize("on_its_way_s", [1.5, 11])
@pytest.mark.parametrize("before_ft", [0, 14])
@pytest.mark.parametrize("felt", [0.85, 1.0, 1.15])
def test_seconds_that_were_said(ft_s: float, on_its_way_s: float, before_ft: float, felt: float) -> None:
    # counted from the call or from the flush itself, and guessed a seventh too short or too long
    seconds = felt * (on_its_way_s + (60 + before_ft) / ft_s)
    rows = told("flush", 100), told("flush-arrival", 101, 60)
    (test,) = found_in(*rows, said=(SaidTime(seconds, seconds, 101_000),))
    assert test.as_said
    assert test.seconds == pytest.approx(seconds)
    if test.velocity_ft_s is None:
        assert "too soon" in test.lacks[0]
    else:
        assert test.velocity_ft_s.low <= ft_s <= test.velocity_ft_s.high


def test_said_seconds_tell_less_than_timed_ones() -> None:
    (timed,) = found_in(told("flush", 100), told("flush-arrival", 140, 60))
    (said,) = found_in(told("flush-arrival", 140, 60), said=(SaidTime(40, 40, 140_000),))
    assert timed.velocity_ft_s
    assert said.velocity_ft_s
    assert (
        said.velocity_ft_s.low < timed.velocity_ft_s.low < timed.velocity_ft_s.high < said.velocity_ft_s.high
    )


def test_a_range_that_was_said_widens_the_interval() -> None:
    one, two = (
        found_in(told("flush-arrival", 140, 60), said=(SaidTime(low, high, 140_000),))[0].velocity_ft_s
        for low, high in ((40, 40), (35, 45))
    )
    assert one
    assert two
    assert two.low < one.low < one.high < two.high


@pytest.mark.parametrize(
    ("call", "seconds", "as_said"),
    [(100, 40, False), (100, 25, False), (139, 40, True), (0, 40, True), (100, 90, True)],
)
def test_the_recording_goes_before_what_was_said_where_both_can_be(
    call: float, seconds: float, as_said: bool
) -> None:
    # the call may be heard up to some seconds late, so the recording may show less or more than was counted
    rows = told("flush", call), told("flush-arrival", 140, 60)
    (test,) = found_in(*rows, said=(SaidTime(seconds, seconds, 140_000),))
    assert test.as_said == as_said


def test_what_was_said_of_another_flush_is_not_used() -> None:
    (test,) = found_in(told("flush", 100), told("flush-arrival", 140, 60), said=(SaidTime(90, 90, 7_000),))
    assert not test.as_said
    assert test.seconds == 40


@pytest.mark.parametrize(
    ("rows", "direction", "words"),
    [
        ((told("flush", 0), told("flush-arrival", 40)), "downstream", "not known"),
        ((told("flush", 0), told("flush-arrival", 40, 60)), "upstream", "from below"),
        ((told("flush", 0), told("flush-arrival", 6, 60)), "downstream", "too soon"),
    ],
)
def test_what_makes_no_velocity(rows: tuple[Observation, ...], direction: Direction, words: str) -> None:
    (test,) = found_in(*rows, direction=direction)
    assert test.velocity_ft_s is None
    assert words in "; ".join(test.lacks)


@pytest.mark.parametrize(
    "rows",
    [
        (told("flush", 0),),
        (told("flush-arrival", 40, 60),),
        (told("flush", 100), told("flush-arrival", 40, 60)),
        (told("flush", 0), told("flush-arrival", 600, 60)),
        (replace(told("flush", 0), standing="reported"), told("flush-arrival", 40, 60)),
    ],
)
def test_what_is_no_test(rows: tuple[Observation, ...]) -> None:
    assert found_in(*rows) == ()


def test_a_flush_in_a_pipe_that_falls_a_quarter_inch() -> None:
    """At 1/4 in/ft a 4 in pipe runs 1 to 3 ft/s between a tenth and four tenths full: Manning, n = 0.013."""
    band = expected_ft_s(4, Band(2.08, 2.0, 2.2), 0.013)
    assert 1.0 <= band.low < band.value < band.high <= 3.1
    assert expected_ft_s(4, Band(0.5, -1.0, 1.0), 0.013).low == 0
