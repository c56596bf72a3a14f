"""The folder of a run: begun, broken off, taken up."""

import errno

import numpy as np
import pytest

from narrate2log.errors import UnusableFolder
from narrate2log.listening import folder as folder_module
from narrate2log.listening.folder import begin, check_new, clip_files, go_on, only_here, tail, take_up


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


def test_a_run_is_taken_up_where_its_sound_ends(tmp_path, monkeypatch):
    clock = [1000.0]
    monkeypatch.setattr(folder_module.time, "time", lambda: clock[0])
    journal, recording, _ = begin(tmp_path, "m")
    write(recording, 2.0, 0.1)
    clock[0] += 300
    journal, run, length_ms = take_up(tmp_path)
    assert (run.units, length_ms) == ("m", 2000)
    _, _, run = go_on(tmp_path, journal, run, length_ms)
    (_, first), (name, clip) = run.clips
    assert (first.clock_ms, first.sound_ms) == (0, 0)
    assert (name, clip.sound_ms) == ("sound-2.wav", 2000)
    # The journal's own clock is not the one that was set here.
    assert clip.clock_ms >= 2000


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
