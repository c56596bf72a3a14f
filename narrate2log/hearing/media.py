"""Sound out of any recording: PyAV in, samples for the recogniser out."""

from __future__ import annotations

import hashlib
import logging
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from narrate2log.errors import UnusableSource
from narrate2log.units import Milliseconds

if TYPE_CHECKING:
    import av

logger = logging.getLogger(__name__)

# One channel of sound at SAMPLE_RATE, each sample within -1..1. Shape (n,).
Samples = npt.NDArray[np.float32]

# What every Whisper model was trained on.
SAMPLE_RATE = 16_000
# A broken file with less sound than this holds no narration worth drafting from.
LEAST_USEFUL_S = 1.0
# Encoders pad by up to a frame or two; only a longer hole is sound that was never recorded.
LARGEST_JITTER_S = 0.1
# Containers round their length, and sound may end a little before the picture does.
LARGEST_SHORTFALL_S = 2.0


def decode(path: Path) -> Samples:
    """The sound of a recording, or the audio track of a video, from its first moment on.

    Of a file that breaks off, what can be decoded is used, with a warning in the log.

    RETURNS: float32, shape (n,), mono, 16 kHz, within -1..1.
    Raises UnusableSource: missing, empty, no recording, without sound, or broken from the start.
    """
    import av

    damage: list[bool] = []
    with _open(path) as container:
        expected_s = (container.duration or 0) / av.time_base
        chunks = list(_decode_chunks(container, expected_s, damage))
    samples = np.concatenate(chunks) if chunks else np.zeros(0, dtype=np.float32)
    heard_s = len(samples) / SAMPLE_RATE
    broken = bool(damage) or expected_s - heard_s > LARGEST_SHORTFALL_S
    if not chunks or (broken and heard_s < LEAST_USEFUL_S):
        raise UnusableSource(
            f"{path}: this recording is broken and less than a second of it can be heard; "
            "copy it from the recorder again."
        )
    if broken:
        logger.warning(
            "%s: this recording is damaged or breaks off, so %.0f s of it were taken, with silence in its "
            "holes; copy it from the recorder again if more was said.",
            path,
            heard_s,
        )
    return samples


def stream(path: Path) -> Iterator[Samples]:
    """The sound of a recording as `decode` has it, in pieces of no fixed length, decoded one by one.

    Raises UnusableSource: missing, empty, no recording, or without sound.
    """
    import av

    with _open(path) as container:
        yield from _decode_chunks(container, (container.duration or 0) / av.time_base, [])


def check_recording(path: Path) -> None:
    """Refuses what is plainly no recording with sound, without decoding it.

    Raises UnusableSource: missing, empty, no recording, or without sound.
    """
    with _open(path):
        pass


def check_readable(path: Path) -> None:
    """Refuses a path that is no file, holds nothing or may not be read.

    Raises UnusableSource: with what to do about it.
    """
    if not path.exists():
        raise UnusableSource(f"{path}: there is no such file; check the name and the folder.")
    if not path.is_file():
        raise UnusableSource(f"{path}: this is a folder, not a file; name the recordings in it one by one.")
    try:
        with path.open("rb") as file:
            first = file.read(1)
    except OSError as error:
        raise UnusableSource(
            f"{path}: this file cannot be opened ({error.strerror}); check its permissions."
        ) from error
    if not first:
        raise UnusableSource(f"{path}: this file is empty; copy it from the recorder again.")


def file_to_sha256(path: Path) -> str:
    """The content hash of a file, in hexadecimal."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def samples_to_ms(count: int) -> Milliseconds:
    """A number of samples at SAMPLE_RATE to whole milliseconds."""
    return round(count * 1000 / SAMPLE_RATE)


@contextmanager
def _open(path: Path) -> Iterator[av.container.InputContainer]:
    """A recording that has a sound track, open; FFmpeg's errors told in one sentence."""
    check_readable(path)
    import av

    try:
        with av.open(str(path)) as container:
            if not container.streams.audio:
                raise UnusableSource(
                    f"{path}: this file has no sound in it; give the recording that holds the narration."
                )
            yield container
    except av.FFmpegError as error:
        raise UnusableSource(
            f"{path}: this is no recording that can be read ({_reason(error)}); "
            "copy it from the recorder again, or give another file."
        ) from error


def _decode_chunks(
    container: av.container.InputContainer, expected_s: float, damage: list[bool]
) -> Iterator[Samples]:
    """Mono chunks at SAMPLE_RATE in order, holes filled with silence; `damage` grows with what was broken."""
    import av

    track = container.streams.audio[0]
    resampler = mono_resampler()
    begin_s = (container.start_time or 0) / av.time_base
    heard = 0
    for frame in _decode_frames(container, track):
        if frame is None:
            damage.append(True)
            continue
        hole = _hole_before(frame.time, begin_s, heard, expected_s)
        if hole:
            yield np.zeros(hole, dtype=np.float32)
            heard += hole
        # The resampler refuses a time stamp that steps back; the order of the frames says enough.
        frame.pts = None
        for resampled in resampler.resample(frame):
            chunk = frame_to_samples(resampled)
            yield chunk
            heard += len(chunk)
    if heard:
        for resampled in resampler.resample(None):
            yield frame_to_samples(resampled)


def _decode_frames(
    container: av.container.InputContainer, stream: av.audio.stream.AudioStream
) -> Iterator[av.AudioFrame | None]:
    """The frames of a stream in order, with None wherever something could not be decoded."""
    import av

    packets = container.demux(stream)
    while True:
        try:
            packet = next(packets)
        except StopIteration:
            return
        except av.FFmpegError:
            # The file itself cannot be followed any further.
            yield None
            return
        try:
            yield from packet.decode()
        except av.FFmpegError:
            # One damaged packet costs its own sound only.
            yield None


def mono_resampler() -> av.AudioResampler:
    """What turns frames of any sound into those of the recogniser's."""
    import av

    return av.AudioResampler(format="flt", layout="mono", rate=SAMPLE_RATE)


def frame_to_samples(frame: av.AudioFrame) -> Samples:
    """A resampled frame, shape (1, n), to samples, shape (n,)."""
    return np.asarray(frame.to_ndarray(), dtype=np.float32).reshape(-1)


def _hole_before(time_s: float | None, begin_s: float, heard: int, expected_s: float) -> int:
    """How many samples of silence stand between what was heard and a frame that begins at `time_s`.

    A sound track that starts after the picture, or lost packets, must not shift the words.
    """
    if time_s is None or time_s - begin_s > expected_s:
        return 0
    hole_s = time_s - begin_s - heard / SAMPLE_RATE
    return round(hole_s * SAMPLE_RATE) if hole_s > LARGEST_JITTER_S else 0


def _reason(error: av.FFmpegError) -> str:
    """FFmpeg's own words for an error, without the number and the file name around them."""
    return (error.strerror or "unknown format").lower()
