"""A counter log that another program appends to."""

from narrate2log.footage.counter_log import read_counter_log
from narrate2log.listening.counter import Clip, FollowedCounter, readings_to_csv, sound_time
from narrate2log.records import CounterReading
from narrate2log.units import length_to_mm

FIRST = [Clip(0, 0)]


def test_a_log_is_followed_line_by_line(tmp_path):
    path = tmp_path / "log.csv"
    counter = FollowedCounter(path, "ft")
    assert counter.readings(FIRST) == ()
    assert counter.problems == (f"{path}: there is no counter log yet.",)

    path.write_text("time_s,distance\n1,0.5\n2,1.2")
    assert [r.distance_mm for r in counter.readings(FIRST)] == [length_to_mm(0.5, "ft")]
    assert counter.problems == ()
    # The half-written 1.2 was 1.25.
    with path.open("a") as file:
        file.write("5\n")
    assert [r.distance_mm for r in counter.readings(FIRST)][-1] == length_to_mm(1.25, "ft")


def test_a_log_that_cannot_be_used_is_told_and_stops_nothing(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text("time_s,distance\n")
    counter = FollowedCounter(path, "ft")
    assert counter.readings(FIRST) == ()
    assert "no line has both a time and a distance" in counter.problems[0]
    path.write_text("seconds;feet\n1;2\n")
    counter.readings(FIRST)
    assert "no heading with the columns" in counter.problems[0]


def test_where_listening_was_broken_off_the_log_goes_on_by_the_clock():
    # Ten minutes were heard, then nothing for five, then the run went on.
    clips = [Clip(0, 0), Clip(900_000, 600_000)]
    assert [sound_time(ms, clips) for ms in (0, 599_000, 700_000, 900_000, 930_000)] == [
        0,
        599_000,
        None,
        600_000,
        630_000,
    ]


def test_what_was_followed_is_written_as_a_log_that_can_be_read(tmp_path):
    readings = (CounterReading(1500, 3048), CounterReading(2750, 6096))
    path = tmp_path / "counter.csv"
    path.write_bytes(readings_to_csv(readings, "ft"))
    assert read_counter_log(path, "ft") == (readings, ())
