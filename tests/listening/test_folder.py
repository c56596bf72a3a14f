"""The folder of a run: begun, broken off, taken up."""

import errno
import json
import tomllib
from datetime import datetime, timedelta
from types import SimpleNamespace

import numpy as np
import pytest

from narrate2log.errors import UnusableFolder
from narrate2log.listening import folder as folder_module
from narrate2log.listening.counter import Clip, FollowedCounter
from narrate2log.listening.folder import begin, check_new, clip_files, finish, go_on, only_here, tail, take_up
from narrate2log.listening.recording import mend
from narrate2log.listening.rows import LiveRow, told_row
from narrate2log.records import Draft, Source, Transcript

from .test_rows import row


def write(recording, seconds, value):
    recording.write(np.full(int(16_000 * seconds), value, np.float32))


def broken_off(tmp_path, *seconds):
    """A run of clips that were broken off one after the other."""
    journal, recording, run = begin(tmp_path, "m")
    write(recording, seconds[0], 0.1)
    for number, more in enumerate(seconds[1:], 2):
        journal, run, length_ms = take_up(tmp_path)
        journal, recording, run = go_on(tmp_path, journal, run, length_ms)
        write(recording, more, number / 10)
    return journal


def test_a_run_is_taken_up_where_its_sound_ends_and_its_clock_goes_on(tmp_path):
    journal, recording, _ = begin(tmp_path, "m", {"length": 80.0})
    write(recording, 2.0, 0.1)
    path = tmp_path / "live.jsonl"
    entry = json.loads(path.read_bytes())
    begun = datetime.fromisoformat(entry["at"]) - timedelta(seconds=300)
    path.write_bytes(json.dumps({**entry, "at": begun.isoformat()}).encode() + b"\n")

    journal, run, length_ms = take_up(tmp_path)
    assert (run.units, run.options, length_ms) == ("m", {"length": 80.0}, 2000)
    _, _, run = go_on(tmp_path, journal, run, length_ms)
    (_, first), (name, clip) = run.clips
    assert (first.clock_ms, first.sound_ms) == (0, 0)
    assert (name, clip.sound_ms) == ("sound-2.wav", 2000)
    assert clip.clock_ms == pytest.approx(300_000, abs=3_000)


def test_the_report_knows_the_day(tmp_path):
    begin(tmp_path, "ft")
    assert tomllib.loads((tmp_path / "job.toml").read_text()) == {"date": datetime.now().date()}


def test_particulars_that_are_there_stay(tmp_path):
    (tmp_path / "job.toml").write_text('client = "Ours"\n')
    begin(tmp_path, "ft")
    assert (tmp_path / "job.toml").read_text() == 'client = "Ours"\n'


def test_silence_stands_for_sound_that_a_power_cut_took(tmp_path):
    journal = broken_off(tmp_path, 2.0)
    journal.phrase((), 3500, ())
    _, run, length_ms = take_up(tmp_path)
    assert length_ms == 3500
    assert len(tail(tmp_path, run)) == 0
    assert mend(tmp_path / "sound-1.wav") == 3500


@pytest.fixture
def drafted(monkeypatch):
    """What the draft was asked for; it has one row, roots at three seconds."""
    asked = {}

    def draft(sources, **options):
        asked.update(sources=sources, **options)
        observed = SimpleNamespace(feature="roots", sightings_ms=(3000,))
        sources = tuple(Source(path.name, path.name, 1000, 0) for path in sources)
        return Draft("ft", Transcript((), sources), (), (), (observed,), ())

    monkeypatch.setattr(folder_module, "draft", draft)
    monkeypatch.setattr(folder_module, "write_draft", lambda made, *_, **__: asked.update(made=made))
    return asked


def test_the_draft_has_the_counter_log_by_the_sound_and_not_by_the_clock(tmp_path, drafted):
    broken_off(tmp_path, 2.0, 2.0)
    log = tmp_path / "log.csv"
    log.write_text("time_s,distance\n1,10\n50,20\n101,30\nbroken\n")
    _, run, _ = take_up(tmp_path)
    times = [Clip(0, 0), Clip(100_000, 2000)]
    finish(
        tmp_path,
        run,
        counter=FollowedCounter(log, "m"),
        times=times,
        length=None,
        model=None,
        lexicon_folder=None,
        rows=(),
        marks=(),
    )
    assert drafted["counter"] == tmp_path / "counter-heard.csv"
    assert drafted["counter"].read_text().split() == ["time_s,distance", "1.0,10.0", "3.0,30.0"]
    assert log.read_text().startswith("time_s,distance\n1,10\n50")
    assert any("log.csv: line 5 left out" in problem for problem in drafted["made"].problems)


def test_what_was_shown_and_is_not_in_the_draft_is_told(tmp_path, drafted):
    broken_off(tmp_path, 2.0)
    _, run, _ = take_up(tmp_path)
    shown = [
        LiveRow(1, told_row(row("roots", 3.5))),
        LiveRow(2, told_row(row("crack", 65, remark="Crack at 41 ft."))),
    ]
    gone = LiveRow(3, told_row(row("hole", 70)), gone=True)
    finish(
        tmp_path,
        run,
        counter=None,
        times=run.times,
        length=None,
        model=None,
        lexicon_folder=None,
        rows=[*shown, gone],
        marks=(),
    )
    assert drafted["made"].problems == (
        "Shown while listening, and not in the draft: Crack at 41 ft (1:05); listen there.",
    )


def test_only_what_was_never_heard_is_heard_when_it_is_taken_up(tmp_path):
    journal = broken_off(tmp_path, 2.0, 3.0)
    journal.phrase((), 2500, ())
    _, run, length_ms = take_up(tmp_path)
    assert length_ms == 5000
    sound = tail(tmp_path, run)
    assert len(sound) == 2.5 * 16_000
    assert np.allclose(sound, 0.2, atol=1e-4)


def test_all_that_was_never_heard_of_several_clips(tmp_path):
    broken_off(tmp_path, 1.0, 1.0, 1.0)
    _, run, _ = take_up(tmp_path)
    sound = tail(tmp_path, run)
    assert [round(float(sound[int(16_000 * s)]), 1) for s in (0.5, 1.5, 2.5)] == [0.1, 0.2, 0.3]


def test_a_clip_without_sound_is_none(tmp_path):
    broken_off(tmp_path, 2.0, 0.0, 1.0)
    _, run, _ = take_up(tmp_path)
    assert [path.name for path in clip_files(tmp_path, run)] == ["sound-1.wav", "sound-3.wav"]


def test_killed_before_anything_was_kept_it_begins_anew(tmp_path):
    (tmp_path / "live.jsonl").write_bytes(b'{"n": 1, "wh')
    journal, run, length_ms = take_up(tmp_path)
    assert (length_ms, len(tail(tmp_path, run))) == (0, 0)
    _, _, run = go_on(tmp_path, journal, run, length_ms)
    ((name, clip),) = run.clips
    assert (name, clip.sound_ms) == ("sound-1.wav", 0)
    assert clip.clock_ms < 5000


@pytest.mark.parametrize("clips", [0, 1])
def test_killed_between_the_clip_and_its_entry_it_can_be_taken_up(tmp_path, clips):
    if clips:
        broken_off(tmp_path, 1.0)
        (tmp_path / "sound-2.wav").write_bytes(b"RIFF")
        journal, run, length_ms = take_up(tmp_path)
        _, recording, run = go_on(tmp_path, journal, run, length_ms)
        assert recording.path.name == "sound-3.wav"
        assert (tmp_path / "sound-2.wav").read_bytes() == b"RIFF"
    else:
        (tmp_path / "sound-1.wav").write_bytes(b"RIFF")
        check_new(tmp_path)
        assert begin(tmp_path, "ft")[1].path.name == "sound-2.wav"


def test_a_clip_that_is_gone_is_told(tmp_path):
    broken_off(tmp_path, 1.0)
    (tmp_path / "sound-1.wav").unlink()
    with pytest.raises(
        UnusableFolder, match=r"sound-1\.wav: this part of the run cannot be read \(No such file"
    ):
        take_up(tmp_path)


def test_where_no_entry_can_be_kept_no_run_begins(tmp_path, monkeypatch):
    def full(file, content):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("narrate2log.journal_file._write_all", full)
    with pytest.raises(UnusableFolder, match=r"live\.jsonl: nothing can be kept here \(No space left"):
        begin(tmp_path, "ft")


def test_a_folder_that_cannot_be_made_is_told(tmp_path):
    (tmp_path / "file").write_text("")
    with (
        pytest.raises(UnusableFolder, match="nothing can be kept here"),
        only_here(tmp_path / "file" / "run", resumed=False),
    ):
        pass


def test_what_goes_wrong_inside_is_not_taken_for_another_program(tmp_path):
    with pytest.raises(BlockingIOError), only_here(tmp_path, resumed=False):
        raise BlockingIOError
