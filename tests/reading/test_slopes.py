"""Which numbers are tilt readings, with what sign and unit, and which are none."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from num2words import num2words

from reading.heard import narration, readings

NO_UNIT = ("unit of the tilt reading not said",)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Minus one degree.", [(-1, "deg")]),
        ("Negative two degrees.", [(-2, "deg")]),
        ("Plus two percent.", [(2, "pct")]),
        ("Reading -0.5 percent.", [(-0.5, "pct")]),
        ("Slope is one point five degrees.", [(1.5, "deg")]),
        ("Grade one percent.", [(1, "pct")]),
        ("A quarter inch per foot here.", [(0.25, "in/ft")]),
        ("Three sixteenths per foot.", [(0.1875, "in/ft")]),
        ("Tilt. Minus one point one degrees.", [(-1.1, "deg")]),
    ],
)
def test_a_reading_has_its_sign_and_unit(text: str, found: list[tuple[float, str]]) -> None:
    assert readings(text) == found
    assert all(slope.doubts == () for slope in narration(text).slopes)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("One degree, one point two, one point four.", [1, 1.2, 1.4]),
        ("Tilt reads minus one degree, minus two, minus three.", [-1, -2, -3]),
        ("Minus one degree, then minus one again, and minus two.", [-1, -1, -2]),
        ("One degree. One point one, one point two, one point three.", [1, 1.1, 1.2, 1.3]),
    ],
)
def test_a_running_series_is_read_to_its_end(text: str, found: list[float]) -> None:
    assert readings(text) == [(value, "deg") for value in found]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Minus one degree. Minus one point five.", [(-1, "deg"), (-1.5, "deg")]),
        ("Plus two percent. Minus three.", [(2, "pct"), (-3, "pct")]),
        ("Minus one degree. Grade two percent. Plus one.", [(-1, "deg"), (2, "pct"), (1, "pct")]),
        # said after its numbers, the unit is theirs too
        ("Minus one, minus two percent.", [(-1, "pct"), (-2, "pct")]),
    ],
)
def test_a_bare_number_has_the_unit_of_the_run(text: str, found: list[tuple[float, str]]) -> None:
    assert readings(text) == found


@pytest.mark.parametrize("text", ["Starting. Minus one point two.", "Inclinometer says two."])
def test_a_unit_never_said_is_doubted(text: str) -> None:
    (slope,) = narration(text).slopes
    assert slope.unit == "deg"
    assert slope.doubts == NO_UNIT


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("Minus one, no, minus two degrees.", -2),
        ("Minus one degree, scratch that, minus two degrees.", -2),
        ("Minus one, correction, minus three degrees.", -3),
        ("Minus one, sorry, plus one degree.", 1),
        ("Minus one, make that minus two degrees.", -2),
    ],
)
def test_of_a_corrected_reading_the_last_word_counts(text: str, value: float) -> None:
    assert readings(text) == [(value, "deg")]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Grade is flat, zero degrees.", [0]),
        ("Slope is zero degrees.", [0]),
        ("Minus one degree. Zero.", [-1, 0]),
        ("It is flat here, zero.", [0]),
        ("Zero the counter.", []),
        ("Setting the counter to zero.", []),
        ("Minus one degree. Counter is set to zero.", [-1]),
        ("Minus one degree. Counter reads zero.", [-1]),
        ("Minus one degree. Zero on the counter.", [-1]),
        ("Zero.", []),
    ],
)
def test_a_flat_zero_is_a_reading_and_a_zero_of_the_counter_none(text: str, found: list[float]) -> None:
    assert [value for value, _ in readings(text)] == found


@pytest.mark.parametrize(
    "text",
    [
        # fittings
        "We have a forty five here.",
        "A forty five degree bend.",
        "It goes round a ninety.",
        # too steep for a pushed pipe
        "Minus thirty degrees.",
        "Plus twenty five degrees.",
        "Slope is forty five degrees.",
        # weather
        "It's ninety degrees outside.",
        "It is two degrees outside.",
        # how much of the bore
        "Forty percent roots.",
        "Roots at forty percent.",
        "Five percent grease.",
        # ratios
        "One in fifty.",
        "Fall of one in fifty.",
        "Grade is one in 64.",
        "Slope is two in seventy.",
        # teaching
        "Normally a quarter inch per foot is what you want.",
        "You want two percent fall.",
        "Slope should be two percent.",
        "Code says a quarter inch per foot minimum.",
        "Anything under one percent is bad.",
        # places, positions, sizes, years
        "At ten feet, crack at three o'clock.",
        "Six inch clay from nineteen fifty eight.",
        "The second joint.",
    ],
)
def test_what_is_no_reading(text: str) -> None:
    assert readings(text) == []
    # nor after a reading has shown that this run is read aloud
    assert readings(f"Minus one degree. {text}") == [(-1, "deg")]


def test_a_reading_points_at_its_own_words() -> None:
    (slope,) = narration("Roots here. Then minus one point two degrees now.").slopes
    assert (slope.first_word, slope.last_word) == (3, 7)
    assert slope.time_ms == 10_000 + 3 * 300
    assert slope.sentence == 1


def test_a_footage_is_not_taken_for_a_reading_in_a_run_of_readings() -> None:
    text = "Minus one degree at ten feet. Minus two at twenty feet. Plus one at thirty feet."
    assert readings(text) == [(-1, "deg"), (-2, "deg"), (1, "deg")]
    assert [round(p.low_mm / 304.8) for p in narration(text).places] == [10, 20, 30]


@pytest.mark.parametrize(
    ("text", "sign"),
    [
        ("Minus means it's falling.", -1),
        ("Plus is downhill.", 1),
        ("Negative is falling.", -1),
        ("Roots here.", None),
    ],
)
def test_the_sign_that_falls_is_taken_from_the_narrator_alone(text: str, sign: int | None) -> None:
    assert narration(text).falling_sign == sign


@settings(deadline=None)
@given(
    st.sampled_from((("minus", -1), ("negative", -1), ("plus", 1), ("positive", 1))),
    st.integers(0, 15),
    st.integers(0, 9),
    st.sampled_from((("degrees", "deg"), ("percent", "pct"))),
)
def test_a_signed_reading_keeps_its_value(
    sign: tuple[str, int], whole: int, tenth: int, unit: tuple[str, str]
) -> None:
    said = f"Now {sign[0]} {num2words(whole)} point {num2words(tenth)} {unit[0]}."
    assert readings(said) == [(sign[1] * float(f"{whole}.{tenth}"), unit[1])]


@settings(deadline=None)
@given(st.integers(21, 400))
def test_nothing_steeper_than_a_pushed_pipe_is_a_reading(value: int) -> None:
    assert readings(f"Slope is minus {value} degrees.") == []


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Minus one, I mean minus two degrees.", [-2]),
        ("Minus one to two degrees.", [-1, -2]),
        ("Minus one or two degrees.", [-1, -2]),
        ("Minus two, see that?", [-2]),
        # the point left out, put right in the next breath
        ("Slope is two inches per foot. Look at the dot, point two.", [0.2]),
        # by itself between commas, far beyond the first foot
        ("Plus one percent, plus one percent. Twenty feet. We are in a lawn, point nine, okay.", [1, 1, 0.9]),
        ("Reads zero here, the head rides flat on the pull, plus one.", [0, 1]),
    ],
)
def test_what_was_said_about_a_reading(text: str, found: list[float]) -> None:
    assert [value for value, _ in readings(text)] == found


@pytest.mark.parametrize(
    "text",
    [
        "Half a foot of water.",
        "Half a foot past the joint.",
        "Counter reading zero.",
        "Zero the counter. Reads zero.",
        "Is it two degrees?",
        "Wet or dry, fourteen degrees.",
        "The 8th joint.",
    ],
)
def test_what_only_sounds_like_a_reading(text: str) -> None:
    assert readings(text) == []


def test_half_a_foot_of_water_is_six_inches() -> None:
    (belly,) = narration("Belly here, half a foot of water.").mentions
    assert belly.fields.amount_in == 6


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("3 16ths to the foot.", [3 / 16]),
        ("3 16 to the foot.", [3 / 16]),
        ("Slope, and 8th of an inch per foot.", [1 / 8]),
        ("A 16th of an inch to the foot.", [1 / 16]),
    ],
)
def test_fractions_as_a_recogniser_writes_them(text: str, found: list[float]) -> None:
    assert readings(text) == [(value, "in/ft") for value in found]


def test_a_number_taken_by_its_sound_asks() -> None:
    said = narration("Minus one degree. Minus free, minus 1, 1, free.").slopes
    assert [s.value for s in said] == [-1, -3, -1, 1, 3]
    asks = [s.value for s in said if "number taken by its sound" in s.doubts]
    assert asks == [-3, 3]


@pytest.mark.parametrize("text", ["Free, one, free.", "12, 14, for.", "Go to, one, to."])
def test_without_a_sign_no_word_is_a_number_by_its_sound(text: str) -> None:
    values = [s.value for s in narration(f"Minus one degree. {text}").slopes]
    assert not {2, 3, 4} & set(values)


def of(text: str) -> list[tuple[float, str]]:
    """The numbers of a text with what each tells of."""
    return [(s.value, s.of) for s in narration(text).slopes]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Minus one degree. Minus two.", [(-1, "pipe"), (-2, "pipe")]),
        # the head and not the pipe
        ("Minus four degrees, that's the skid dropping off it.", [(-4, "head")]),
        (
            "Minus one degree. Plus four. That's the skid lifting the head, ignore that.",
            [(-1, "pipe"), (4, "head")],
        ),
        ("Plus six degrees. There's the head lifting over it, then minus one.", [(6, "head"), (-1, "pipe")]),
        ("Plus eight degrees, plus six, don't trust those.", [(8, "head"), (6, "head")]),
        # the gauge on a level
        ("Level check, plus one degree.", [(1, "level")]),
        ("On the bench it reads plus two degrees. Minus one.", [(2, "level"), (-1, "pipe")]),
        # how far the head always rides up
        ("Plus one degree, but the skid has the head up two degrees.", [(1, "pipe"), (2, "lift")]),
    ],
)
def test_what_a_number_tells_of(text: str, found: list[tuple[float, str]]) -> None:
    assert of(text) == found


@pytest.mark.parametrize(
    ("text", "up"),
    [
        ("Reading plus one degree but the skid has the head up.", True),
        ("The nose rides high on this skid.", True),
        ("The head rides flat on the pull, plus one degree.", False),
        ("The skid has the head up over the joint.", False),
        ("Heading up to the house.", False),
    ],
)
def test_a_head_that_always_rides_up(text: str, up: bool) -> None:
    assert narration(text).head_up == up


@pytest.mark.parametrize(
    ("text", "direction"),
    [
        ("Water's running away from me.", "downstream"),
        ("The flow is with us.", "downstream"),
        ("Water is coming right at me.", "upstream"),
        ("Flow is running towards us.", "upstream"),
    ],
)
def test_the_flow_tells_the_way_of_the_push(text: str, direction: str) -> None:
    assert [d for _, d in narration(text).direction] == [direction]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Minus two degrees. No, minus one point two.", [-1.2]),
        ("Minus two degrees. No roots here. Minus one.", [-2, -1]),
        ("The grade is one point four percent, and, a moment later, one point three.", [1.4, 1.3]),
        ("Plus nought point five percent.", [0.5]),
        ("The tilt is in percent. One long bend at the bottom.", []),
        ("Zero percent, half a percent, so it's pretty flat.", [0, 0.5]),
        ("The instrument says nine percent, to be disregarded.", [9]),
    ],
)
def test_ways_that_other_narrators_read_it_out(text: str, found: list[float]) -> None:
    assert [value for value, _ in readings(text)] == found


def test_an_announced_decimal_by_itself_is_a_reading_once_no_footage_is_so_small() -> None:
    announced = "The gradient is in percent."
    talk = "We had the same van last year and it was no better, but who would listen to the two of us. " * 2
    assert readings(f"{announced} {talk} Twenty feet. Point nine.") == [(0.9, "pct")]
    assert readings(f"{talk} Twenty feet. Point nine.") == []
    assert readings(f"{announced} {talk} Point nine.") == []
