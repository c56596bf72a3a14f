"""How loud a recording is from moment to moment: what the page draws its wave from."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import numpy.typing as npt

from narrate2log.files import write_whole
from narrate2log.hearing.media import SAMPLE_RATE, Samples, decode

# So many loudest samples a second: a word of a fifth of a second is ten of them, an hour 180 kB.
PEAKS_PER_S = 50


def peaks(samples: Samples) -> npt.NDArray[np.uint8]:
    """The loudest sample of every fiftieth of a second, 0 to 255 where 255 is full scale.

    samples: shape (n,), at SAMPLE_RATE. Returns shape (ceil(n / (SAMPLE_RATE / PEAKS_PER_S)),).
    """
    step = SAMPLE_RATE // PEAKS_PER_S
    starts = np.arange(0, len(samples), step)
    if not len(starts):
        return np.zeros(0, dtype=np.uint8)
    loudest = np.maximum(np.maximum.reduceat(samples, starts), -np.minimum.reduceat(samples, starts))
    return np.asarray(np.rint(np.clip(loudest, 0, 1) * 255), dtype=np.uint8)


def write_peaks(recording: Path, file: Path) -> None:
    """Write a recording's peaks, a byte each. Raises UnusableSource, or OSError if the disk refuses."""
    write_whole(file, peaks(decode(recording)).tobytes())
