"""The WAV file is read back with the standard library's reader and with FFmpeg."""

import errno
import wave

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from narrate2log.hearing.media import decode
from narrate2log.listening.recording import HEADER, Recording, mend, read_samples


def read_back(path):
    with wave.open(str(path)) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, 16_000)
        return np.frombuffer(file.readframes(file.getnframes()), "<i2")


@settings(deadline=None, max_examples=30)
@given(st.lists(st.lists(st.floats(-1.5, 1.5), max_size=40), max_size=6))
def test_what_is_written_is_read_back(tmp_path_factory, pieces):
    path = tmp_path_factory.mktemp("clip") / "sound-1.wav"
    recording = Recording(path)
    for piece in pieces:
        recording.write(np.array(piece, np.float32))
    recording.close()

    sound = np.clip(np.array([sample for piece in pieces for sample in piece], np.float32), -1, 1)
    assert np.abs(read_back(path) / 32767 - sound).max(initial=0) <= 0.51 / 32767
    assert np.array_equal(read_samples(path, 0), (read_back(path) / np.float32(32767)).astype(np.float32))


def begun(path, seconds=2.0):
    recording = Recording(path)
    recording.write(0.5 * np.sin(np.arange(int(seconds * 16_000), dtype=np.float32) / 20))
    return recording


def test_a_clip_that_is_never_closed_can_be_played_by_ffmpeg(tmp_path):
    begun(tmp_path / "sound-1.wav")
    assert len(decode(tmp_path / "sound-1.wav")) == 32_000


@pytest.mark.parametrize("torn", [0, 1, 3])
def test_a_clip_that_was_broken_off_is_mended(tmp_path, torn):
    path = tmp_path / "sound-1.wav"
    begun(path)
    with path.open("ab") as file:
        file.write(b"\x01" * torn)

    assert mend(path) == 2000
    assert len(read_back(path)) == 32_000 + torn // 2
    assert mend(path) == 2000


@pytest.mark.parametrize("size", [0, 20, HEADER])
def test_a_clip_that_was_broken_off_in_its_head_is_empty(tmp_path, size):
    path = tmp_path / "sound-1.wav"
    begun(path)
    with path.open("r+b") as file:
        file.truncate(size)
    assert mend(path) == 0
    assert len(read_back(path)) == 0


def test_sound_from_a_moment_on(tmp_path):
    begun(tmp_path / "sound-1.wav").close()
    assert len(read_samples(tmp_path / "sound-1.wav", 1500)) == 8_000
    assert len(read_samples(tmp_path / "sound-1.wav", 9000)) == 0


class FullDisk:
    """A file on a disk that takes so many bytes and then no more, until `room` is made."""

    def __init__(self, file, room):
        self._file, self.room = file, room

    def write(self, data):
        if not self.room:
            raise OSError(errno.ENOSPC, "No space left on device")
        done = self._file.write(bytes(data[: self.room]))
        self.room -= done
        return done

    def __getattr__(self, name):
        return getattr(self._file, name)


def test_a_full_disk_loses_nothing_once_there_is_room_again(tmp_path):
    path = tmp_path / "sound-1.wav"
    recording = Recording(path)
    disk = recording._file = FullDisk(recording._file, 7001)
    sound = np.sin(np.arange(16_000, dtype=np.float32) / 7)
    for at in range(0, 16_000, 800):
        recording.write(sound[at : at + 800])
    assert recording.trouble is not None
    assert recording.trouble.errno == errno.ENOSPC
    assert recording.lacking_ms == round((32_000 - 7001) / 32)

    disk.room = 10**9
    recording.write(sound[:800])
    assert (recording.trouble, recording.lacking_ms) == (None, 0)
    recording.close()
    assert np.abs(read_back(path) / 32767 - np.concatenate([sound, sound[:800]])).max() < 1e-4


def test_a_disk_that_stays_full_is_told_at_the_end(tmp_path):
    recording = Recording(tmp_path / "sound-1.wav")
    recording._file = FullDisk(recording._file, 1000)
    recording.write(np.zeros(800, np.float32))
    with pytest.raises(OSError, match="No space left"):
        recording.close()
    assert mend(tmp_path / "sound-1.wav") == round(1000 / 32)


def test_no_clip_is_written_over(tmp_path):
    begun(tmp_path / "sound-1.wav").close()
    with pytest.raises(FileExistsError):
        Recording(tmp_path / "sound-1.wav")
