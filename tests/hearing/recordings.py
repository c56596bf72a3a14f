"""Recordings of a tone, made for a test with PyAV in any container that a recorder may write."""

from fractions import Fraction
from pathlib import Path

import av
import numpy as np

RATE = 48_000
TONE_HZ = 440

# Container to the coder of its sound; those with a picture get a still one too.
CODERS = {
    "wav": "pcm_s16le",
    "mp3": "mp3",
    "m4a": "aac",
    "ogg": "libopus",
    "flac": "flac",
    "mp4": "aac",
    "mov": "aac",
    "mkv": "flac",
    "avi": "mp3",
}
VIDEOS = {"mp4", "mov", "mkv", "avi"}


def tone(seconds, rate=RATE):
    """A tone at half of full scale, float32, shape (n,)."""
    return (0.5 * np.sin(2 * np.pi * TONE_HZ * np.arange(int(seconds * rate)) / rate)).astype(np.float32)


def write_recording(path: Path, seconds=2.0, *, sound=True, sound_starts_s=0.0, channels=2):
    """A recording of a tone in the container that the file's name says."""
    container_name = path.suffix[1:]
    with av.open(str(path), "w") as container:
        picture = container.add_stream("mpeg4", rate=10) if container_name in VIDEOS else None
        if picture is not None:
            picture.width, picture.height, picture.pix_fmt = 64, 48, "yuv420p"
        layout = "stereo" if channels == 2 else "mono"
        voice = container.add_stream(CODERS[container_name], rate=RATE, layout=layout) if sound else None
        if picture is not None:
            for number in range(int((seconds + sound_starts_s) * 10)):
                frame = av.VideoFrame(64, 48, "yuv420p")
                for plane in frame.planes:
                    plane.update(bytes(plane.buffer_size))
                frame.pts, frame.time_base = number, Fraction(1, 10)
                container.mux(picture.encode(frame))
            container.mux(picture.encode())
        if voice is not None:
            encode_tone(container, voice, seconds, sound_starts_s, layout)


def encode_tone(container, voice, seconds, starts_s, layout):
    samples = (tone(seconds) * 32767).astype(np.int16)
    resampler = av.AudioResampler(format=voice.format, layout=layout, rate=RATE)
    for begin in range(0, len(samples), 1024):
        frame = av.AudioFrame.from_ndarray(samples[None, begin : begin + 1024], format="s16", layout="mono")
        frame.sample_rate, frame.time_base = RATE, Fraction(1, RATE)
        frame.pts = begin + round(starts_s * RATE)
        for converted in resampler.resample(frame):
            container.mux(voice.encode(converted))
    container.mux(voice.encode())
