"""Small videos whose every frame is known."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np

Picture = Callable[[int], Any]
RATE = 10


def chequers(shift: int = 0, size: int = 8) -> Any:
    """Sharp squares."""
    y, x = np.mgrid[0:96, 0:128]
    return np.repeat(((((x + shift) // size + y // size) % 2) * 255).astype(np.uint8)[..., None], 3, axis=2)


def blurred(picture: Any, times: int = 6) -> Any:
    """The same out of focus."""
    soft = picture.astype(np.float32)
    for _ in range(times):
        soft = (
            soft + np.roll(soft, 1, 0) + np.roll(soft, -1, 0) + np.roll(soft, 1, 1) + np.roll(soft, -1, 1)
        ) / 5
    return soft.astype(np.uint8)


def video(path: Path, seconds: float, picture: Picture, rate: int = RATE, first_s: float = 0.0) -> Path:
    """Frame after frame of what `picture` gives for its number; its first frame is at `first_s`."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream("mpeg4", rate=rate)
        stream.width, stream.height, stream.pix_fmt = 128, 96, "yuv420p"
        stream.gop_size = 30
        for number in range(round(seconds * rate)):
            frame = av.VideoFrame.from_ndarray(picture(number), format="rgb24")
            frame.pts, frame.time_base = number + round(first_s * rate), Fraction(1, rate)
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return path


def sound(path: Path) -> Path:
    """A second of silence."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream("pcm_s16le", rate=16_000, layout="mono")
        frame = av.AudioFrame.from_ndarray(np.zeros((1, 16_000), np.int16), format="s16", layout="mono")
        frame.sample_rate = 16_000
        container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return path
