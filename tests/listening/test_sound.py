"""Sound sources, with a microphone that is made up: there is none where tests run."""

import io
import sys
import time
from itertools import islice
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from narrate2log.errors import UnusableCommand, UnusableSource
from narrate2log.listening import sound
from narrate2log.listening.sound import (
    Microphone,
    RecordingSound,
    StreamSound,
    describe_devices,
    load_sounddevice,
    open_sound,
    resampler,
)

RATE = 16_000
SAMPLE = Path(__file__).parents[2] / "samples" / "narration.ogg"


class Trickle(io.RawIOBase):
    """A stream that hands on a few bytes at a time, as a pipe may."""

    def __init__(self, content, size):
        self._content, self._size = content, size

    def read(self, _=-1):
        piece, self._content = self._content[: self._size], self._content[self._size :]
        return piece


@pytest.mark.parametrize("size", [1, 2, 3, 1601, 10**6])
def test_a_stream_of_samples(size):
    values = np.arange(-4000, 4000, dtype="<i2")
    told = []
    blocks = list(StreamSound(Trickle(values.tobytes(), size)).blocks(told.append))
    assert np.allclose(np.concatenate(blocks) * 32767, values, atol=0.01)
    assert all(block.dtype == np.float32 for block in blocks)
    assert told == []


def test_a_stream_that_ends_in_the_middle_of_a_sample_keeps_all_before_it():
    told = []
    blocks = list(StreamSound(Trickle(b"\x01\x00\x02\x00\x03", 10)).blocks(told.append))
    assert sum(map(len, blocks)) == 2
    assert told == ["The stream ended in the middle of a sample; all before it is kept."]


@pytest.mark.parametrize(("head", "named"), [(b"RIFF", "WAV"), (b"OggS", "Ogg"), (b"fLaC", "FLAC")])
def test_a_file_in_place_of_samples_is_refused(head, named):
    with pytest.raises(UnusableSource, match=f"this is an? {named} file, not a stream of samples"):
        list(StreamSound(Trickle(head + bytes(100), 3)).blocks(print))


@pytest.mark.parametrize("pace", [20.0, 100.0])
def test_a_recording_comes_at_its_pace_and_not_before(pace):
    begin = time.monotonic()
    blocks = list(islice(RecordingSound(SAMPLE, pace).blocks(print), 200))
    seconds = sum(map(len, blocks)) / RATE
    assert seconds / pace <= time.monotonic() - begin < seconds / pace + 1


def test_what_is_no_recording_is_refused_at_once(tmp_path):
    (tmp_path / "notes.ogg").write_text("roots at forty")
    with (
        pytest.raises(UnusableSource, match="no recording that can be read"),
        open_sound(str(tmp_path / "notes.ogg"), 1.0, None),
    ):
        pass


class PortAudioError(Exception):
    pass


class MadeUpDevice:
    """The module sounddevice with one microphone in it, which may be pulled out."""

    PortAudioError = PortAudioError

    def __init__(self, rate=RATE, rates=(RATE,)):
        self.rate, self.rates, self.plugged, self.opened = rate, rates, True, []
        self.initialized = 0

    def check_input_settings(self, device, channels, dtype, samplerate):
        if not self.plugged or samplerate not in self.rates:
            raise PortAudioError("Invalid sample rate [PaErrorCode -9997]")

    def _terminate(self):
        self.running = None

    def _initialize(self):
        self.initialized += 1

    def query_devices(self, device=None, kind=None):
        if not self.plugged:
            raise PortAudioError("Error querying device -1")
        if kind is None:
            return [
                {"name": "Loudspeaker", "max_input_channels": 0},
                {"name": "Lapel", "max_input_channels": 1},
            ]
        return {"default_samplerate": float(self.rate)}

    def InputStream(self, **options):  # noqa: N802
        if not self.plugged:
            raise PortAudioError("Device unavailable [PaErrorCode -9985]")
        self.opened.append(options)
        return MadeUpStream(self, options["callback"], options["blocksize"])


class MadeUpStream:
    def __init__(self, device, callback, size):
        self.device, self.callback, self.size = device, callback, size

    def start(self):
        self.device.running = self

    def close(self):
        self.device.running = None

    def speak(self, value, status=None):
        self.callback(np.full((self.size, 1), value, np.float32), self.size, None, status)


def test_the_microphone_hands_on_what_it_hears():
    device = MadeUpDevice()
    microphone = Microphone("1", device)
    device.running.speak(0.25)
    block = next(microphone.blocks(print))
    assert np.array_equal(block, np.full(800, 0.25, np.float32))
    assert device.opened[0]["device"] == 1


def test_what_is_no_number_is_silence():
    device = MadeUpDevice()
    microphone = Microphone(None, device)
    device.running.speak(np.nan)
    assert not np.any(next(microphone.blocks(print)))


def test_sound_that_the_machine_was_too_busy_for_is_told():
    device = MadeUpDevice()
    told = []
    blocks = Microphone(None, device).blocks(told.append)
    device.running.speak(0.25, SimpleNamespace(input_overflow=True))
    device.running.speak(0.25, SimpleNamespace(input_overflow=False))
    next(blocks), next(blocks)
    assert told == ["The machine was too busy to take in all of the sound; end other programs."]


def test_a_microphone_of_another_rate_is_resampled():
    device = MadeUpDevice(rate=48_000, rates=(48_000,))
    microphone = Microphone(None, device)
    assert device.opened[0]["samplerate"] == 48_000
    for _ in range(20):
        device.running.speak(0.25)
    heard = np.concatenate(list(islice(microphone.blocks(print), 18)))
    assert 14_000 < len(heard) <= 16_000
    assert np.allclose(heard[2000:-2000], 0.25, atol=0.01)


def test_resampling_keeps_the_length_and_the_pitch():
    resample = resampler(44_100)
    tone = np.sin(2 * np.pi * 440 * np.arange(44_100 * 4) / 44_100).astype(np.float32)
    heard = np.concatenate([resample(tone[at : at + 2205]) for at in range(0, len(tone), 2205)])
    assert abs(len(heard) - 64_000) < 200
    spectrum = np.abs(np.fft.rfft(heard[8_000:24_000] * np.hanning(16_000)))
    assert np.argmax(spectrum) == 440


def test_a_microphone_that_vanishes_is_told_and_its_time_is_silence(monkeypatch):
    monkeypatch.setattr(sound, "GONE_S", 0.05)
    monkeypatch.setattr(sound, "AGAIN_S", 0.05)
    device = MadeUpDevice()
    told = []
    begin = time.monotonic()
    blocks = Microphone(None, device).blocks(told.append)
    device.running.speak(0.5)
    heard = [next(blocks)]
    device.plugged = False
    while sum(map(len, heard)) < 8_000:
        heard.append(next(blocks))
    assert told == ["The microphone hands on no sound any more; plug it in again."]
    assert not np.any(np.concatenate(heard[1:]))

    device.plugged = True
    while device.running is None:
        next(blocks)
    device.running.speak(0.5)
    while not np.any(heard[-1]) or len(heard) == 1:
        heard.append(next(blocks))
    passed = time.monotonic() - begin
    assert told[1:] == ["The microphone is back."]
    # What was plugged in since is found only by looking anew.
    assert device.initialized > 0
    assert sum(map(len, heard)) / RATE == pytest.approx(passed, abs=0.2)


@pytest.mark.parametrize("device", [None, "7", "Lapel"])
def test_no_microphone_is_one_sentence(device):
    missing = MadeUpDevice()
    missing.plugged = False
    with pytest.raises(UnusableSource, match=r"cannot be listened to \(.+\); plug one in, or choose another"):
        Microphone(device, missing)


def test_microphones_are_listed_by_number():
    assert describe_devices(MadeUpDevice()) == ["  1  Lapel"]


def test_without_what_the_microphone_needs_the_way_to_it_is_told(monkeypatch):
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    with pytest.raises(UnusableCommand, match=r"pip install 'narrate2log\[microphone\]'"):
        load_sounddevice()
