"""What was listened to, on disk."""

import errno
import json

import pytest

from narrate2log.errors import UnusableFolder
from narrate2log.listening.counter import Clip
from narrate2log.listening.live_journal import SCHEMA, LiveJournal
from narrate2log.listening.rows import LiveRow, RowChange, told_row
from narrate2log.records import Mark, Word

from .test_rows import row

WORDS = (Word("Roots", 1000, 1400, 0.875), Word("“here”.", 1400, 1900, None))
MARK = Mark("note", 9000, 9900, 0, 0, "send the drawing")


def taken(number, observation):
    return RowChange("taken", LiveRow(number, told_row(observation)))


def filled(path):
    journal = LiveJournal(path)
    journal.append(
        "begun",
        schema=SCHEMA,
        clip="sound-1.wav",
        units="m",
        clock_ms=0,
        sound_ms=0,
        options={"length": 80.0},
    )
    roots, crack = row("roots", 1, check=("said to be unsure",)), row("crack", 5)
    journal.phrase(WORDS, 2000, (taken(1, roots), taken(2, crack)))
    journal.append("trouble", text="The microphone is back.")
    journal.phrase((), 9000, (RowChange("gone", LiveRow(2, told_row(crack), gone=True)),))
    journal.mark(MARK)
    return journal


def test_a_run_is_read_back_as_it_was(tmp_path):
    filled(tmp_path / "live.jsonl")
    told = LiveJournal(tmp_path / "live.jsonl").told()
    assert told.units == "m"
    assert told.options == {"length": 80.0}
    assert told.clips == (("sound-1.wav", Clip(0, 0)),)
    assert told.words == WORDS
    assert [(r.number, r.gone, r.told.feature) for r in told.rows] == [
        (1, False, "roots"),
        (2, True, "crack"),
    ]
    assert told.rows[0].told == told_row(row("roots", 1, check=("said to be unsure",)))
    assert told.marks == (MARK,)
    assert told.until_ms == 9000
    assert not told.ended


def test_every_entry_is_on_the_disk_when_append_returns(tmp_path):
    journal = filled(tmp_path / "live.jsonl")
    lines = (tmp_path / "live.jsonl").read_bytes().split(b"\n")
    assert [json.loads(line)["n"] for line in lines[:-1]] == [1, 2, 3, 4, 5]
    assert journal.append("ended")
    assert LiveJournal(tmp_path / "live.jsonl").told().ended


@pytest.mark.parametrize("cut", [1, 10, 60])
def test_a_line_that_was_never_finished_does_not_count_and_is_put_aside(tmp_path, cut):
    path = tmp_path / "live.jsonl"
    filled(path)
    path.write_bytes(path.read_bytes()[:-cut])
    journal = LiveJournal(path)
    assert journal.told().marks == ()
    journal.mark(MARK)
    assert LiveJournal(path).told().marks == (MARK,)
    assert b'"what": "mark"'[: 80 - cut] in (tmp_path / "live.torn").read_bytes()


def test_a_last_line_that_a_power_cut_spoiled_is_put_aside(tmp_path):
    path = tmp_path / "live.jsonl"
    filled(path)
    path.write_bytes(path.read_bytes() + b"\0" * 40 + b"\n")
    journal = LiveJournal(path)
    assert journal.told().marks == (MARK,)
    assert journal.append("ended")
    assert LiveJournal(path).told().ended


def test_where_the_clock_and_the_sound_part(tmp_path):
    journal = filled(tmp_path / "live.jsonl")
    journal.append("slept", clock_ms=700_000, sound_ms=100_000)
    again = {"schema": SCHEMA, "clip": "sound-2.wav", "units": "m", "options": {}}
    journal.append("begun", **again, clock_ms=900_000, sound_ms=120_000)
    told = LiveJournal(tmp_path / "live.jsonl").told()
    assert told.times == (Clip(0, 0), Clip(700_000, 100_000), Clip(900_000, 120_000))


def test_what_the_disk_does_not_take_waits_in_order(tmp_path, monkeypatch):
    journal = filled(tmp_path / "live.jsonl")

    def full(file, content):
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("narrate2log.journal_file._write_all", full)
        assert not journal.append("trouble", text="one")
        assert not journal.mark(MARK)
        assert journal.trouble is not None
    assert journal.try_again()
    assert journal.trouble is None
    entries = [json.loads(line) for line in (tmp_path / "live.jsonl").read_bytes().splitlines()]
    assert [entry["what"] for entry in entries[-2:]] == ["trouble", "mark"]
    assert [entry["n"] for entry in entries] == list(range(1, 8))


@pytest.mark.parametrize("line", [b"{", b"{}", b'{"n": 9, "what": "mark"}', b"[]"])
def test_a_spoiled_journal_is_named_by_line(tmp_path, line):
    path = tmp_path / "live.jsonl"
    filled(path)
    lines = path.read_bytes().split(b"\n")
    path.write_bytes(b"\n".join([lines[0], line, *lines[2:]]))
    with pytest.raises(UnusableFolder, match=r"live\.jsonl, line 2: this is no entry of a run"):
        LiveJournal(path)


def test_another_versions_journal_is_refused(tmp_path):
    path = tmp_path / "live.jsonl"
    LiveJournal(path).append("begun", schema="narrate2log/live/9", clip="sound-1.wav")
    with pytest.raises(UnusableFolder, match="another version of narrate2log wrote this"):
        LiveJournal(path).told()
