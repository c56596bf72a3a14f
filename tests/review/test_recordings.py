"""A recording is taken by what is in it, wherever it lies; its peaks and its copy are in step with it."""

from __future__ import annotations

import hashlib
import io
import time
import wave
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from narrate2log.errors import UnusableSource
from narrate2log.hearing.media import SAMPLE_RATE, decode
from narrate2log.recordings import read_recordings, write_recordings
from narrate2log.review.peaks import PEAKS_PER_S, peaks
from narrate2log.review.playable import has_picture, write_playable
from narrate2log.review.recordings import Recordings

SECONDS = 12


def bursts() -> bytes:
    """A WAV of noise that comes and goes like words, each at a moment of its own."""
    rng = np.random.default_rng(6)
    loud = np.repeat(rng.random(SECONDS * 10) ** 3, SAMPLE_RATE // 10)
    samples = (rng.uniform(-1, 1, SECONDS * SAMPLE_RATE) * loud * 30_000).astype("<i2")
    file = io.BytesIO()
    with wave.open(file, "wb") as sound:
        sound.setnchannels(1)
        sound.setsampwidth(2)
        sound.setframerate(SAMPLE_RATE)
        sound.writeframes(samples.tobytes())
    return file.getvalue()


SOUND = bursts()
SHA256 = hashlib.sha256(SOUND).hexdigest()
SOURCE = {"file": "push.wav", "sha256": SHA256, "duration": float(SECONDS), "offset": 0.0}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "evening" / "run"
    made.mkdir(parents=True)
    return made


def looked(folder: Path) -> Recordings:
    """The recordings after they were looked for."""
    recordings = Recordings(folder, [SOURCE])
    recordings.start()
    while recordings.told()[0]["where"] == "looking":
        time.sleep(0.01)
    return recordings


def known(folder: Path, away: Path) -> Path:
    away.write_bytes(SOUND)
    write_recordings(folder, {SHA256: away})
    return away


PLACES: dict[str, Callable[[Path], Path]] = {
    "in the folder": lambda folder: folder / "push.wav",
    "beside the folder": lambda folder: folder.parent / "push.wav",
    "where one works": lambda folder: folder.parents[1] / "push.wav",
}


@pytest.mark.parametrize("place", PLACES)
def test_found_by_its_name(folder: Path, monkeypatch: pytest.MonkeyPatch, place: str) -> None:
    monkeypatch.chdir(folder.parents[1])
    path = PLACES[place](folder)
    path.write_bytes(SOUND)
    assert looked(folder).original(0) == path
    assert read_recordings(folder) == {SHA256: path}


def test_found_where_it_was_drafted_from_under_any_name(folder: Path, tmp_path: Path) -> None:
    away = known(folder, tmp_path / "REC001.ogg")
    assert looked(folder).original(0) == away


def test_another_recording_of_the_same_name_is_not_taken(folder: Path, tmp_path: Path) -> None:
    away = known(folder, tmp_path / "REC001.ogg")
    # A card that was used again: the same path, another push.
    away.write_bytes(SOUND + b"\0")
    (folder / "push.wav").write_bytes(b"another")
    recordings = looked(folder)
    assert recordings.original(0) is None
    assert recordings.told()[0]["where"] == "missing"
    with pytest.raises(UnusableSource, match="another recording"):
        recordings.tell(0, str(away))
    with pytest.raises(UnusableSource, match="no such file"):
        recordings.tell(0, str(tmp_path / "nothing.ogg"))
    (tmp_path / "push.wav").write_bytes(SOUND)
    recordings.tell(0, f'"{tmp_path}"')
    assert recordings.original(0) == tmp_path / "push.wav"


def test_timed_text_is_not_looked_for(folder: Path) -> None:
    recordings = Recordings(folder, [{**SOURCE, "file": "narration.vtt"}])
    assert recordings.settled()
    with pytest.raises(UnusableSource, match="timed text"):
        recordings.tell(0, str(folder))


@given(st.lists(st.floats(-1, 1, width=32), max_size=3000))
def test_peaks_are_the_loudest_of_each_fiftieth(values: list[float]) -> None:
    samples = np.array(values, dtype=np.float32)
    step = SAMPLE_RATE // PEAKS_PER_S
    expected = [
        round(float(np.abs(samples[at : at + step]).max()) * 255) for at in range(0, len(samples), step)
    ]
    assert peaks(samples).tolist() == pytest.approx(expected, abs=1)
    assert len(peaks(samples)) == -(-len(samples) // step)


def test_peaks_are_made_once_and_kept_in_the_folder(folder: Path, tmp_path: Path) -> None:
    known(folder, tmp_path / "REC001.ogg")
    recordings = looked(folder)
    while (file := recordings.drawn(0)) is None:
        time.sleep(0.05)
    assert file.is_relative_to(folder)
    assert len(file.read_bytes()) == pytest.approx(SOURCE["duration"] * PEAKS_PER_S, abs=PEAKS_PER_S)
    before = file.stat().st_mtime_ns
    again = looked(folder)
    while again.drawn(0) is None:
        time.sleep(0.05)
    assert file.stat().st_mtime_ns == before


def test_a_copy_is_in_step_with_the_recording(tmp_path: Path) -> None:
    sound, copy = tmp_path / "push.wav", tmp_path / "copy.webm"
    sound.write_bytes(SOUND)
    write_playable(sound, copy, picture=False, progress=lambda part: None)
    assert not has_picture(copy)
    was, now = peaks(decode(sound)).astype(float), peaks(decode(copy)).astype(float)
    length = min(len(was), len(now))
    assert abs(len(was) - len(now)) <= 5
    # By how many fiftieths the copy has to be moved to fit best.
    spectrum = np.fft.rfft(was[:length] - was.mean()) * np.conj(np.fft.rfft(now[:length] - now.mean()))
    assert np.argmax(np.fft.irfft(spectrum)) in (0, 1, length - 1)
    assert not list(tmp_path.glob("*.part"))


def test_a_copy_that_cannot_be_made_is_told_and_leaves_nothing(folder: Path, tmp_path: Path) -> None:
    broken = folder / "push.wav"
    broken.write_bytes(SOUND[:80_000] + b"\0" * 1000)
    sha256 = hashlib.sha256(broken.read_bytes()).hexdigest()
    recordings = Recordings(folder, [{**SOURCE, "sha256": sha256}])
    recordings.start()
    while recordings.told()[0]["where"] == "looking":
        time.sleep(0.01)
    broken.write_bytes(b"no recording any more")
    recordings.convert(0)
    while not recordings.settled():
        time.sleep(0.01)
    assert recordings.told()[0]["copy"] == "failed"
    assert "no copy of its sound" in recordings.told()[0]["problem"]
    assert not list((folder / ".review").glob("*webm*"))
