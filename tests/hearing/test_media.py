import hashlib
import logging
import random
import wave
from types import SimpleNamespace

import av
import numpy as np
import pytest

from narrate2log.errors import UnusableSource
from narrate2log.hearing import media
from narrate2log.hearing.media import SAMPLE_RATE, decode, file_to_sha256, samples_to_ms

from .recordings import CODERS, TONE_HZ, write_recording


def loudest_frequency_hz(samples):
    return np.argmax(np.abs(np.fft.rfft(samples))) * SAMPLE_RATE / len(samples)


@pytest.mark.parametrize("container", CODERS)
def test_every_container_gives_its_sound(tmp_path, container):
    path = tmp_path / f"run.{container}"
    write_recording(path, seconds=2.0)

    samples = decode(path)

    assert samples.dtype == np.float32
    assert samples.ndim == 1
    # Encoders pad to whole frames.
    assert len(samples) / SAMPLE_RATE == pytest.approx(2.0, abs=0.1)
    assert loudest_frequency_hz(samples) == pytest.approx(TONE_HZ, abs=2)
    assert np.abs(samples).max() == pytest.approx(0.5, abs=0.05)


def test_a_file_is_known_by_its_content_not_its_name(tmp_path):
    path = tmp_path / "run.wav"
    write_recording(path, seconds=2.0)
    renamed = path.rename(tmp_path / "run of today.bin")

    assert len(decode(renamed)) == 2 * SAMPLE_RATE


def test_sound_that_starts_after_the_picture_keeps_its_place(tmp_path):
    path = tmp_path / "run.mkv"
    write_recording(path, seconds=2.0, sound_starts_s=1.5)

    samples = decode(path)

    assert len(samples) / SAMPLE_RATE == pytest.approx(3.5, abs=0.1)
    begin = np.argmax(np.abs(samples) > 0.1) / SAMPLE_RATE
    assert begin == pytest.approx(1.5, abs=0.05)


def test_a_whole_file_gives_no_warning(tmp_path, caplog):
    path = tmp_path / "run.ogg"
    write_recording(path)

    decode(path)

    assert caplog.records == []


@pytest.mark.parametrize("container", ["wav", "mp3", "ogg", "flac", "mkv", "avi"])
def test_of_a_file_that_breaks_off_the_beginning_is_heard(tmp_path, container):
    path = tmp_path / f"run.{container}"
    write_recording(path, seconds=10.0)
    content = path.read_bytes()
    path.write_bytes(content[: len(content) // 2])

    samples = decode(path)

    assert 2.5 < len(samples) / SAMPLE_RATE < 7.5
    assert loudest_frequency_hz(samples) == pytest.approx(TONE_HZ, abs=2)


def test_a_file_that_breaks_off_is_told(tmp_path, caplog):
    path = tmp_path / "run.flac"
    write_recording(path, seconds=10.0)
    content = path.read_bytes()
    path.write_bytes(content[: len(content) // 2])

    with caplog.at_level(logging.WARNING):
        decode(path)

    (record,) = caplog.records
    assert f"{path}: this recording is damaged or breaks off" in record.getMessage()


def test_a_hole_in_a_file_shifts_nothing_and_is_told(tmp_path, caplog):
    path = tmp_path / "run.m4a"
    write_recording(path, seconds=10.0)
    content = bytearray(path.read_bytes())
    third = len(content) // 3
    content[third : third + 2000] = random.Random(1).randbytes(2000)
    path.write_bytes(content)

    with caplog.at_level(logging.WARNING):
        samples = decode(path)

    assert len(samples) / SAMPLE_RATE == pytest.approx(10, abs=0.1)
    assert [record.levelname for record in caplog.records] == ["WARNING"]


@pytest.mark.parametrize(
    ("time_s", "hole"),
    [
        # The recording begins at 100 s of its clock and lasts 60 s; 10 s of it were heard.
        (110.0, 0),
        (110.1, 0),
        (110.5, SAMPLE_RATE // 2),
        # A time stamp that steps back, is missing, or lies past the end is wrong.
        (105.0, 0),
        (None, 0),
        (161.0, 0),
    ],
)
def test_a_hole_is_what_the_time_stamps_leave_out(time_s, hole):
    heard = 10 * SAMPLE_RATE

    assert media._hole_before(time_s, 100.0, heard, 60.0) == hole


def test_a_file_that_cannot_be_followed_is_left_where_it_breaks():
    def demux(stream):
        yield SimpleNamespace(decode=lambda: ["frame"])
        raise av.InvalidDataError(1, "Invalid data")

    frames = media._decode_frames(SimpleNamespace(demux=demux), None)

    assert list(frames) == ["frame", None]


def test_silence_is_heard_as_silence(tmp_path):
    path = tmp_path / "run.wav"
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, SAMPLE_RATE, 0, "NONE", ""))
        file.writeframes(bytes(2 * SAMPLE_RATE))

    assert np.array_equal(decode(path), np.zeros(SAMPLE_RATE, np.float32))


def cut_short(path):
    write_recording(path, seconds=10.0)
    path.write_bytes(path.read_bytes()[:3000])


def random_bytes(path):
    path.write_bytes(random.Random(1).randbytes(50_000))


def prose(path):
    path.write_text("Roots at the joint.\n" * 200)


REFUSED = [
    ("run.wav", lambda path: None, "there is no such file; check the name and the folder."),
    ("run.wav", lambda path: path.mkdir(), "this is a folder, not a file;"),
    ("run.wav", lambda path: path.touch(), "this file is empty; copy it from the recorder again."),
    ("run.mp4", lambda path: write_recording(path, sound=False), "this file has no sound in it;"),
    ("run.mp4", cut_short, "this is no recording that can be read"),
    ("run.mp3", cut_short, "less than a second of it can be heard"),
    *((f"run.{container}", random_bytes, "") for container in CODERS),
    *((f"run.{container}", prose, "") for container in CODERS),
    ("run.txt", prose, "this file has no sound in it;"),
]


@pytest.mark.parametrize(("name", "make", "problem"), REFUSED)
def test_what_cannot_be_heard_is_refused_in_one_sentence(tmp_path, name, make, problem):
    path = tmp_path / name
    make(path)

    with pytest.raises(UnusableSource) as refusal:
        decode(path)

    sentence = str(refusal.value)
    assert sentence.startswith(f"{path}: ")
    assert problem in sentence
    assert sentence.removeprefix(str(path)).count(".") == 1
    assert sentence.endswith(".")


def test_the_content_hash_is_that_of_hashlib(tmp_path):
    path = tmp_path / "run.wav"
    path.write_bytes(b"roots" * 100_000)

    assert file_to_sha256(path) == hashlib.sha256(b"roots" * 100_000).hexdigest()


@pytest.mark.parametrize(("count", "ms"), [(0, 0), (16_000, 1000), (15_999, 1000), (8, 0), (24, 2)])
def test_samples_to_ms(count, ms):
    assert samples_to_ms(count) == ms
