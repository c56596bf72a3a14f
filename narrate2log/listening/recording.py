"""The sound on disk: a WAV file that is whole enough to be played at any moment, and mended when it ends.

Its header is the 44 bytes of linear PCM (Multimedia Programming Interface and Data Specifications 1.0, IBM
and Microsoft, 1991). While it grows, its lengths say as much as fits, which readers take for "to the end".
"""

from __future__ import annotations

import os
import struct
import time
from pathlib import Path

import numpy as np

from narrate2log.files import sync_folder
from narrate2log.hearing.media import SAMPLE_RATE, Samples, samples_to_ms
from narrate2log.units import Milliseconds

HEADER = 44
BYTES = 2
OPEN_END = 0xFFFFFFFF
# So long a power cut may take, at most; a killed program takes nothing that was written.
SYNC_EVERY_S = 1.0
LOUDEST = 32767


def _header(data: int) -> bytes:
    """The header of `data` bytes of sound."""
    whole = min(OPEN_END, data + HEADER - 8)
    pcm = struct.pack("<HHIIHH", 1, 1, SAMPLE_RATE, SAMPLE_RATE * BYTES, BYTES, 8 * BYTES)
    return (
        b"RIFF" + struct.pack("<I", whole) + b"WAVEfmt \x10\0\0\0" + pcm + b"data" + struct.pack("<I", data)
    )


class Recording:
    """One clip that is being recorded. Raises OSError where it cannot be begun.

    Sound that the disk does not take is held, and tried again with every block.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._file = path.open("xb", buffering=0)
        self._file.write(_header(OPEN_END))
        sync_folder(path.parent)
        self._lacking = bytearray()
        self._synced_s = time.monotonic()
        self.trouble: OSError | None = None

    @property
    def lacking_ms(self) -> Milliseconds:
        """How much sound is held in memory only."""
        return samples_to_ms(len(self._lacking) // BYTES)

    def write(self, samples: Samples) -> None:
        """Append sound. samples: float32, shape (n,), within -1..1.

        A disk that refuses is told in `trouble`; what it lacks is kept and tried again.
        """
        self._lacking += np.rint(np.clip(samples, -1, 1) * LOUDEST).astype("<i2").tobytes()
        try:
            while self._lacking:
                done = self._file.write(self._lacking)
                del self._lacking[:done]
            if time.monotonic() - self._synced_s >= SYNC_EVERY_S:
                os.fsync(self._file.fileno())
                self._synced_s = time.monotonic()
            self.trouble = None
        except OSError as error:
            self.trouble = error

    def close(self) -> None:
        """End the clip: its header says how long it is. Raises OSError; what is written stays."""
        if self._lacking:
            self.write(np.zeros(0, np.float32))
        try:
            os.fsync(self._file.fileno())
        finally:
            self._file.close()
        mend(self.path)
        if self.trouble is not None:
            raise self.trouble


def mend(path: Path) -> Milliseconds:
    """Make a clip whole that was broken off; how long it is. Raises OSError."""
    with path.open("r+b") as file:
        size = max(0, os.fstat(file.fileno()).st_size - HEADER) // BYTES * BYTES
        file.write(_header(size))
        file.truncate(HEADER + size)
        file.flush()
        os.fsync(file.fileno())
    return samples_to_ms(size // BYTES)


def pad(path: Path, by_ms: Milliseconds) -> None:
    """Lengthen a mended clip by silence. Raises OSError."""
    with path.open("ab") as file:
        file.write(bytes(by_ms * SAMPLE_RATE // 1000 * BYTES))
    mend(path)


def read_samples(path: Path, from_ms: Milliseconds) -> Samples:
    """The sound of a mended clip from a moment on: float32, shape (n,). Raises OSError."""
    with path.open("rb") as file:
        file.seek(HEADER + from_ms * SAMPLE_RATE // 1000 * BYTES)
        return bytes_to_samples(file.read())


def bytes_to_samples(content: bytes) -> Samples:
    """Samples of 16 bit as float32, shape (n,); half of one at the end is left out."""
    whole = content[: len(content) // BYTES * BYTES]
    return np.frombuffer(whole, "<i2").astype(np.float32) / np.float32(LOUDEST)
