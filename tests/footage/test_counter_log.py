from pathlib import Path

import pytest

from narrate2log.errors import UnusableSource
from narrate2log.footage.counter_log import read_counter_log
from narrate2log.records import CounterReading

READINGS = (CounterReading(30_200, 0), CounterReading(31_200, 152), CounterReading(32_200, 457))


def log(folder: Path, text: str | bytes) -> Path:
    path = folder / "counter.csv"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


@pytest.mark.parametrize(
    "text",
    [
        "time_s,distance\n30.2,0\n31.2,0.5\n32.2,1.5\n",
        "time_s,distance\r\n30.2,0\r\n31.2,0.5\r\n32.2,1.5",
        b"\xef\xbb\xbftime_s,distance\n30.2,0\n31.2,0.5\n32.2,1.5\n",
        "\n  \ntime_s,distance\n\n30.2,0\n31.2,0.5\n\n32.2,1.5\n\n\n",
        " time_s , distance \n 30.2 , 0 \n 31.2 , 0.5 \n 32.2 , 1.5 \n",
        '"time_s","distance"\n"30.2","0"\n"31.2","0.5"\n"32.2","1.5"\n',
        "time_s;distance\n30,2;0\n31,2;0,5\n32,2;1,5\n",
        "time_s\tdistance\n30.2\t0\n31.2\t0.5\n32.2\t1.5\n",
        "time_s  distance\n 30.2  0\n 31.2  0.5\n 32.2  1.5\n",
        "Time_s,Distance\n30.2,0\n31.2,0.5\n32.2,1.5\n",
        b"clip,distance,\xb0C,time_s\na,0,12\xb0,30.2\na,0.5,12,31.2\na,1.5,12,32.2\n",
    ],
    ids=[
        "plain",
        "windows line ends",
        "byte-order mark",
        "blank lines",
        "spaces about cells",
        "quotes",
        "semicolons and decimal commas",
        "tabs",
        "spaces",
        "capitals",
        "other columns and stray bytes",
    ],
)
def test_one_log_in_many_dresses(tmp_path: Path, text: str | bytes) -> None:
    assert read_counter_log(log(tmp_path, text), "ft") == (READINGS, ())


def test_distance_is_in_the_unit_of_the_run(tmp_path: Path) -> None:
    readings, _ = read_counter_log(log(tmp_path, "time_s,distance\n1,2.5\n"), "m")
    assert readings == (CounterReading(1_000, 2_500),)


def test_the_cable_may_go_back_and_below_zero(tmp_path: Path) -> None:
    readings, problems = read_counter_log(log(tmp_path, "time_s,distance\n-1,2\n0,1\n1,-0.5\n"), "m")
    assert readings == (CounterReading(-1_000, 2_000), CounterReading(0, 1_000), CounterReading(1_000, -500))
    assert problems == ()


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "time_s,distance\n5,0\n4,1\n3,2\n2,3\n",
            "line 2: the time runs backward here and at 2 more lines; give the log of one run in order of"
            " time, or leave out --counter.",
        ),
        (
            "\nseconds,feet\n1,0\n",
            "line 2: this is no heading with the columns time_s and distance; name them so, or leave out"
            " --counter.",
        ),
        (
            "1,0\n2,1\n",
            "line 1: this is no heading with the columns time_s and distance; name them so, or leave out"
            " --counter.",
        ),
        (
            b"OggS\x00\x02\x00\xff\xfe\n\x80\x81",
            "line 1: this is no heading with the columns time_s and distance; name them so, or leave out"
            " --counter.",
        ),
        (
            "",
            "line 1: this is no heading with the columns time_s and distance; name them so, or leave out"
            " --counter.",
        ),
    ],
)
def test_a_refusal_names_the_line(tmp_path: Path, text: str | bytes, sentence: str) -> None:
    path = log(tmp_path, text)
    with pytest.raises(UnusableSource) as refusal:
        read_counter_log(path, "ft")
    assert str(refusal.value) == f"{path}, {sentence}"


@pytest.mark.parametrize("value", ["twelve", "0:02", "nan", "1e300"])
def test_a_line_with_text_for_a_number_is_left_out_and_told(tmp_path: Path, value: str) -> None:
    readings, problems = read_counter_log(log(tmp_path, f"time_s,distance\n1,0\n2,{value}\n3,1\n"), "m")
    assert readings == (CounterReading(1_000, 0), CounterReading(3_000, 1_000))
    assert problems == ("counter.csv: line 3 left out, because something else stands where a number should.",)


@pytest.mark.parametrize(
    ("times", "kept", "named"),
    [
        ([1, 2, 900, 3, 4], [1, 2, 3, 4], "line 4"),
        ([5, 6, 2, 7, 8], [5, 6, 7, 8], "line 4"),
        ([1, 2, 3, 2.5, 2.6, 4, 5], [1, 2, 2.5, 2.6, 4, 5], "line 4"),
    ],
    ids=["a time far ahead", "a time long past", "a step back"],
)
def test_where_time_runs_backward_the_fewest_lines_are_left_out(
    tmp_path: Path, times: list[float], kept: list[float], named: str
) -> None:
    text = "time_s,distance\n" + "".join(f"{time},1\n" for time in times)
    readings, problems = read_counter_log(log(tmp_path, text), "ft")
    assert [r.time_ms / 1000 for r in readings] == kept
    assert problems[0] == f"counter.csv: {named} left out, because the time runs backward there."


@pytest.mark.parametrize("lines", ["", "1,x\n", "1,\n,2\n3\n"])
def test_a_log_without_a_usable_line_is_refused(tmp_path: Path, lines: str) -> None:
    path = log(tmp_path, f"time_s,distance\n{lines}")
    with pytest.raises(UnusableSource) as refusal:
        read_counter_log(path, "ft")
    assert str(refusal.value) == (
        f"{path}: no line has both a time and a distance; give the log of this run, or leave out --counter."
    )


@pytest.mark.parametrize(
    ("name", "reason"), [("absent.csv", "No such file or directory"), (".", "Is a directory")]
)
def test_a_log_that_cannot_be_opened_is_refused(tmp_path: Path, name: str, reason: str) -> None:
    path = tmp_path / name
    with pytest.raises(UnusableSource) as refusal:
        read_counter_log(path, "ft")
    assert str(refusal.value) == (
        f"{path}: this counter log cannot be opened ({reason}); check its name and permissions, or leave out"
        " --counter."
    )


def test_lines_that_lack_a_number_are_left_out_and_told(tmp_path: Path) -> None:
    lines = ["time_s,distance", "1,0", "2,", ",3", "3,1", *["4,"] * 5]
    readings, problems = read_counter_log(log(tmp_path, "\n".join(lines)), "m")
    assert readings == (CounterReading(1_000, 0), CounterReading(3_000, 1_000))
    assert problems == (
        "counter.csv: lines 3, 4, 6, 7, 8 and 2 more left out for want of a time or a distance.",
    )


def test_the_later_of_two_lines_for_one_moment_counts(tmp_path: Path) -> None:
    readings, problems = read_counter_log(log(tmp_path, "time_s,distance\n1,0\n2,1\n2,1.5\n3,2\n"), "m")
    assert readings == (CounterReading(1_000, 0), CounterReading(2_000, 1_500), CounterReading(3_000, 2_000))
    assert problems == ("counter.csv: line 4 taken in place of the line before, which has the same time.",)


def test_a_gap_in_which_the_cable_moved_is_told(tmp_path: Path) -> None:
    times = [0, 1, 2, 3, 45, 46, 47, 60, 61]
    text = "time_s,distance\n" + "".join(f"{time},{time / 2}\n" for time in times)
    readings, problems = read_counter_log(log(tmp_path, text), "ft")
    assert len(readings) == len(times)
    assert problems == (
        "counter.csv: 2 gaps in the counter log, the longest 42.0 s from 3.0 s on; distances there are"
        " worked out between its ends.",
    )


@pytest.mark.parametrize(
    "text",
    ["0,0\n1,5\n2,6\n60,6\n61,6\n", "0,0\n30,5\n60,9\n90,12\n", "5,1\n"],
    ids=["standing still", "read every half minute", "one reading"],
)
def test_no_gap(tmp_path: Path, text: str) -> None:
    assert read_counter_log(log(tmp_path, f"time_s,distance\n{text}"), "ft")[1] == ()
