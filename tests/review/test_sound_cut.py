"""A stretch of sound cut out of a recording, and what is said where nothing can be heard."""

from __future__ import annotations

import io
import sys
import time
import wave
from pathlib import Path

import numpy as np
import pytest

from narrate2log.review.sound import RATE, Player, cut

SECONDS = 12


@pytest.fixture
def rising(tmp_path: Path) -> Path:
    """A tone that steps up each second: second n sounds at 200 + 100 n Hz."""
    times = np.arange(RATE) / RATE
    sound = np.concatenate([np.sin(2 * np.pi * (200 + 100 * n) * times) for n in range(SECONDS)])
    path = tmp_path / "rising.wav"
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes((20_000 * sound).astype("<i2").tobytes())
    return path


def samples(content: bytes) -> np.ndarray:
    with wave.open(io.BytesIO(content)) as file:
        return np.frombuffer(file.readframes(file.getnframes()), dtype="<i2").astype(float)


def pitch(sound: np.ndarray) -> float:
    return float(np.argmax(np.abs(np.fft.rfft(sound))) * RATE / len(sound))


@pytest.mark.parametrize("second", [0, 5, 11])
def test_the_stretch_asked_for_is_cut(rising: Path, second: int) -> None:
    sound = samples(cut(rising, second, second + 1))
    assert len(sound) == pytest.approx(RATE, abs=RATE * 0.01)
    assert pitch(sound) == pytest.approx(200 + 100 * second, abs=5)


def test_past_the_end_there_is_what_there_is(rising: Path) -> None:
    assert len(samples(cut(rising, SECONDS - 1, SECONDS + 5))) == pytest.approx(RATE, abs=RATE * 0.01)


@pytest.mark.parametrize("speed", [0.5, 0.7])
def test_slower_is_longer_at_the_same_pitch(rising: Path, speed: float) -> None:
    sound = samples(cut(rising, 3, 4, speed))
    assert len(sound) == pytest.approx(RATE / speed, rel=0.05)
    assert pitch(sound) == pytest.approx(500, abs=10)


def test_what_is_no_recording_is_told_in_a_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shutil.which", lambda name: f"/bin/{name}")
    (tmp_path / "a.wav").write_text("no sound")
    player = Player([source("a.wav")], {"ab": tmp_path / "a.wav"})
    told = player.play(0, 1)
    assert told is not None
    assert "a.wav: no sound can be taken from it" in told


@pytest.mark.skipif(sys.platform == "win32", reason="the player is a shell script")
def test_the_player_is_given_the_stretch_of_the_right_clip(
    rising: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    script = tmp_path / "aplay"
    script.write_text(f'#!/bin/sh\ncp "$2" "{tmp_path}/played.wav"\n', encoding="utf-8")
    script.chmod(0o755)
    monkeypatch.setattr("shutil.which", lambda name: str(script) if name == "aplay" else None)
    clips = [{**source("a.wav"), "sha256": "a", "duration": 100.0}, {**source("b.wav"), "offset": 100.0}]
    clips[1]["duration"] = float(SECONDS)
    player = Player(clips, {"a": tmp_path / "aplay", "ab": rising})
    assert player.play(104, 105) is None
    wait_for(tmp_path / "played.wav")
    assert pitch(samples((tmp_path / "played.wav").read_bytes())) == pytest.approx(600, abs=5)
    player.stop()


def wait_for(path: Path) -> None:
    ends = time.monotonic() + 20
    while not (path.exists() and path.stat().st_size > 2 * RATE) and time.monotonic() < ends:
        time.sleep(0.01)


def source(name: str) -> dict[str, object]:
    return {"file": name, "sha256": "ab", "duration": 3.0, "offset": 0.0}


@pytest.mark.parametrize(
    ("name", "is_there", "players", "told"),
    [
        ("a.vtt", False, True, "a.vtt is timed text, so there is nothing to hear."),
        ("a.wav", False, True, "a.wav is not where it was"),
        ("a.wav", True, False, "No player is here to be heard by"),
        ("a.wav", True, True, None),
    ],
)
def test_why_nothing_can_be_heard(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    name: str,
    is_there: bool,
    players: bool,
    told: str | None,
) -> None:
    monkeypatch.setattr("shutil.which", lambda program: f"/bin/{program}" if players else None)
    if is_there:
        (tmp_path / name).write_bytes(b"")
    said = Player([source(name)], {"ab": tmp_path / name}).why_silent()
    assert said == told or (told is not None and said is not None and said.startswith(told))
