"""Where the sound comes from: the microphone, a recording played at a pace, or a stream of samples."""

from __future__ import annotations

import queue
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from io import RawIOBase
from pathlib import Path
from typing import Any, Protocol

import numpy as np

from narrate2log.errors import UnusableCommand, UnusableSource
from narrate2log.hearing.media import (
    SAMPLE_RATE,
    Samples,
    check_recording,
    frame_to_samples,
    mono_resampler,
    stream,
)
from narrate2log.listening.recording import BYTES, bytes_to_samples

# Sound is handed on in pieces of 50 ms.
BLOCK = SAMPLE_RATE // 20
# A microphone that hands on nothing for this long is gone; so often it is looked for again.
GONE_S = 1.0
AGAIN_S = 2.0
# What begins like this is a file and no bare samples.
HEAD = 4
FILES = {b"RIFF": "a WAV file", b"OggS": "an Ogg file", b"fLaC": "a FLAC file"}

Tell = Callable[[str], None]


class SoundSource(Protocol):
    """Sound that comes in as time goes by."""

    def blocks(self, tell: Tell) -> Iterator[Samples]:
        """Pieces of sound, float32, shape (n,), 16 kHz, until it ends. `tell` takes a sentence of trouble."""
        ...


class RecordingSound:
    """A recording, handed on `pace` times as fast as it was spoken."""

    def __init__(self, path: Path, pace: float) -> None:
        """Raises UnusableSource: missing, empty, no recording, or without sound."""
        check_recording(path)
        self._path = path
        self._pace = pace

    def blocks(self, tell: Tell) -> Iterator[Samples]:
        """The sound in pieces, none before its time."""
        begin = time.monotonic()
        handed = 0
        for chunk in stream(self._path):
            for at in range(0, len(chunk), BLOCK):
                block = chunk[at : at + BLOCK]
                handed += len(block)
                # A microphone hands on sound once it was spoken.
                ahead = begin + handed / SAMPLE_RATE / self._pace - time.monotonic()
                if ahead > 0:
                    time.sleep(ahead)
                yield block


class StreamSound:
    """Samples as they come in: 16 bit, little-endian, one channel, 16 kHz, and nothing else."""

    def __init__(self, file: RawIOBase) -> None:
        self._file = file

    def blocks(self, tell: Tell) -> Iterator[Samples]:
        """The sound in pieces. Raises UnusableSource: what comes in is no bare samples."""
        rest = b""
        known = False
        while piece := self._file.read(BYTES * BLOCK):
            rest += piece
            if not known and len(rest) < HEAD:
                continue
            if not known and rest[:HEAD] in FILES:
                raise UnusableSource(
                    f"-: this is {FILES[rest[:HEAD]]}, not a stream of samples; send 16 bit samples, one"
                    " channel, 16 kHz, or name the file with --from."
                )
            known = True
            yield bytes_to_samples(rest)
            rest = rest[len(rest) // BYTES * BYTES :]
        if len(rest) >= BYTES:
            yield bytes_to_samples(rest)
        if len(rest) % BYTES:
            tell("The stream ended in the middle of a sample; all before it is kept.")


class Microphone:
    """A microphone by its name or number, or None for the usual one. What it fails to hear is silence."""

    def __init__(self, device: str | None, api: Any = None) -> None:
        """Raises UnusableSource: there is none, or it cannot be opened. `api`: the module sounddevice."""
        self._api = api or load_sounddevice()
        self._device: str | int | None = int(device) if device and device.isdigit() else device
        self._queue: queue.SimpleQueue[Samples] = queue.SimpleQueue()
        self._stream: Any = None
        self._overflowed = False
        self._resample: Callable[[Samples], Samples] = lambda samples: samples
        try:
            self._open()
        except (self._api.PortAudioError, ValueError) as error:
            raise UnusableSource(
                f"{'the microphone' if device is None else device}: it cannot be listened to"
                f" ({_first_line(error)}); plug one in, or choose another of `narrate2log listen --devices`."
            ) from error

    def blocks(self, tell: Tell) -> Iterator[Samples]:
        """Sound without end, as long as time goes by: while the microphone is gone it is silence."""
        begin = time.monotonic()
        handed = 0
        gone = False
        while True:
            try:
                block = self._resample(self._queue.get(timeout=AGAIN_S if gone else GONE_S))
            except queue.Empty:
                if not gone:
                    tell("The microphone hands on no sound any more; plug it in again.")
                gone = True
                self._open_again()
                block = np.zeros(0, np.float32)
            else:
                if gone:
                    tell("The microphone is back.")
            if self._overflowed:
                self._overflowed = False
                tell("The machine was too busy to take in all of the sound; end other programs.")
            if gone:
                # The sound stays as long as the time, so that what is said later keeps its moment.
                missing = round((time.monotonic() - begin) * SAMPLE_RATE) - handed - len(block)
                gone = not len(block)
                block = np.concatenate([np.zeros(max(0, missing), np.float32), block])
            handed += len(block)
            for at in range(0, len(block), BLOCK):
                yield block[at : at + BLOCK]

    def close(self) -> None:
        """Let the microphone go."""
        if self._stream is not None:
            self._stream.close()
            self._stream = None

    def _open_again(self) -> None:
        try:
            self.close()
            # What was plugged in since is found only by looking anew.
            self._api._terminate()
            self._api._initialize()
            self._open()
        except (self._api.PortAudioError, ValueError, OSError):
            self._stream = None

    def _open(self) -> None:
        """Open at the recogniser's rate, or where the device has none such at its own."""
        try:
            self._api.check_input_settings(self._device, 1, "float32", samplerate=SAMPLE_RATE)
            rate = SAMPLE_RATE
        except (self._api.PortAudioError, ValueError):
            rate = round(self._api.query_devices(self._device, "input")["default_samplerate"])
        self._resample = (lambda samples: samples) if rate == SAMPLE_RATE else resampler(rate)
        self._stream = self._api.InputStream(
            samplerate=rate,
            device=self._device,
            channels=1,
            dtype="float32",
            blocksize=rate // 20,
            callback=self._arrived,
        )
        self._stream.start()

    def _arrived(self, data: Any, frames: int, at: Any, status: Any) -> None:
        self._overflowed |= bool(status and status.input_overflow)
        # A driver that is being pulled out may hand on what is no number.
        self._queue.put(np.nan_to_num(np.array(data, np.float32)).reshape(-1))


def resampler(rate: int) -> Callable[[Samples], Samples]:
    """What turns pieces of sound at `rate` into the recogniser's, one after the other."""
    import av

    machine = mono_resampler()

    def resample(samples: Samples) -> Samples:
        frame = av.AudioFrame.from_ndarray(samples.reshape(1, -1), format="flt", layout="mono")
        frame.sample_rate = rate
        return np.concatenate([np.zeros(0, np.float32), *map(frame_to_samples, machine.resample(frame))])

    return resample


def load_sounddevice() -> Any:
    """The module that knows microphones. Raises UnusableCommand: it, or what it needs, is not here."""
    try:
        import sounddevice
    except (ImportError, OSError) as error:
        raise UnusableCommand(
            f"The microphone needs more than is installed ({_first_line(error)}); add it with"
            " `pip install 'narrate2log[microphone]'` and, on Debian, `apt install libportaudio2`, or listen"
            " to a recording with --from."
        ) from error
    return sounddevice


def describe_devices(api: Any) -> list[str]:
    """The microphones of this machine, a line each, with the number that --device takes."""
    try:
        found = [(n, device) for n, device in enumerate(api.query_devices()) if device["max_input_channels"]]
    except api.PortAudioError as error:
        raise UnusableSource(
            f"The microphones of this machine cannot be listed ({_first_line(error)}); restart its sound."
        ) from error
    if not found:
        raise UnusableSource("There is no microphone on this machine; plug one in.")
    return [f"{number:>3}  {device['name']}" for number, device in found]


@contextmanager
def open_sound(source: str | None, pace: float, device: str | None) -> Iterator[SoundSource]:
    """The sound that the command line names. Raises UnusableSource, UnusableCommand."""
    if source == "-":
        # Read past Python's own buffer, whose lock a thread that waits here would hold to the end.
        with open(sys.stdin.fileno(), "rb", buffering=0, closefd=False) as file:
            yield StreamSound(file)
    elif source is not None:
        yield RecordingSound(Path(source), pace)
    else:
        with closing(Microphone(device)) as microphone:
            yield microphone


def _first_line(error: BaseException) -> str:
    return (str(error).splitlines() or [type(error).__name__])[0].rstrip(".")
