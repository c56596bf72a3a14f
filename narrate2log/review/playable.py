"""A copy of a recording that any browser plays: Opus sound and VP8 picture in WebM, both royalty-free."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from narrate2log.hearing.media import SAMPLE_RATE, Samples, decode

if TYPE_CHECKING:
    import av

# Speech stays clear at this rate, in bits a second.
SOUND_RATE = 32_000
PICTURE_RATE = 1_200_000
# A camera of a drain shows no more than this, and the copy has to be made while someone waits.
WIDEST = 640
# A push goes slowly: pictures nearer to each other than this, in ms, are left out.
NEAREST_MS = 90
# Opus takes whole 20 ms at a time.
CHUNK = SAMPLE_RATE // 50
# The realtime mode of the encoder, at its quickest.
QUICK = {"deadline": "realtime", "cpu-used": "8", "lag-in-frames": "0"}
CLOCK = Fraction(1, 1000)


def has_picture(path: Path) -> bool:
    """Whether a recording has moving pictures; a cover picture of a sound file is none."""
    import av

    with av.open(str(path)) as container:
        return _moving(container) is not None


def write_playable(recording: Path, file: Path, *, picture: bool, progress: Callable[[float], None]) -> None:
    """Write the copy beside its place, then rename it. Times are those of the words: 0 is the first moment.

    picture: the picture too, which takes far longer. progress: called with the part done, 0 to 1.
    Raises UnusableSource, ValueError or OSError (FFmpeg's errors are both or either).
    """
    import av

    samples = decode(recording)
    beside = file.with_name(f"{file.name}.part")
    try:
        with av.open(str(beside), "w", format="webm") as out:
            sound = out.add_stream("libopus", rate=SAMPLE_RATE, layout="mono")
            sound.bit_rate = SOUND_RATE
            spoken = _sound(samples)
            if picture:
                for time, packets in _pictures(recording, out):
                    _sound_until(out, sound, spoken, time)
                    out.mux(packets)
                    progress(time * SAMPLE_RATE / max(1, len(samples)))
            _sound_until(out, sound, spoken, None)
            out.mux(sound.encode(None))
        beside.replace(file)
    finally:
        beside.unlink(missing_ok=True)


def _sound(samples: Samples) -> Iterator[av.AudioFrame]:
    import av

    for at in range(0, len(samples), CHUNK):
        chunk = np.zeros(CHUNK, dtype=np.float32)
        chunk[: len(samples) - at] = samples[at : at + CHUNK]
        frame = av.AudioFrame.from_ndarray(chunk.reshape(1, -1), format="flt", layout="mono")
        frame.sample_rate = SAMPLE_RATE
        frame.pts = at
        frame.time_base = Fraction(1, SAMPLE_RATE)
        yield frame


def _sound_until(
    out: av.container.OutputContainer,
    stream: av.AudioStream,
    frames: Iterator[av.AudioFrame],
    time: float | None,
) -> None:
    """Write the sound up to a time (all of it if None): a player wants both side by side in the file."""
    for frame in frames:
        out.mux(stream.encode(frame))
        if time is not None and frame.time is not None and frame.time > time:
            return


def _pictures(
    recording: Path, out: av.container.OutputContainer
) -> Iterator[tuple[float, list[av.Packet[av.VideoStream]]]]:
    import av

    with av.open(str(recording)) as container:
        source = _moving(container)
        if source is None:
            return
        begin = (container.start_time or 0) / av.time_base
        source.thread_type = "AUTO"
        width = min(WIDEST, source.width) // 2 * 2
        height = max(2, round(source.height * width / source.width / 2) * 2)
        shown = out.add_stream("libvpx", rate=source.average_rate or 25, options=QUICK)
        shown.width, shown.height, shown.pix_fmt = width, height, "yuv420p"
        shown.bit_rate = PICTURE_RATE
        shown.codec_context.time_base = CLOCK
        # More threads only wait for one another here: they made it twenty times slower.
        shown.codec_context.thread_count = 1
        latest = -NEAREST_MS
        for frame in container.decode(source):
            at = round(((frame.time or 0.0) - begin) / CLOCK)
            if at < latest + NEAREST_MS:
                continue
            latest = at
            small = frame.reformat(width=width, height=height, format="yuv420p")
            small.pts, small.time_base = at, CLOCK
            yield at * float(CLOCK), shown.encode(small)
        yield max(latest, 0) * float(CLOCK), shown.encode(None)


def _moving(container: av.container.InputContainer) -> av.VideoStream | None:
    import av

    cover = av.stream.Disposition.attached_pic
    return next((stream for stream in container.streams.video if not stream.disposition & cover), None)
