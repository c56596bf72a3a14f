"""A stretch of a run's sound, cut out and played by whatever player this machine has."""

from __future__ import annotations

import io
import shutil
import subprocess
import tempfile
import wave
from collections.abc import Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

from narrate2log.hearing.hear import is_timed_text

# The first of these that is there plays; each is told a file and to show nothing.
PLAYERS: dict[str, tuple[str, ...]] = {
    "ffplay": ("-nodisp", "-autoexit", "-loglevel", "quiet"),
    "afplay": (),
    "pw-play": (),
    "paplay": (),
    "aplay": ("-q",),
}
RATE = 16_000


def cut(path: Path, start: float, end: float, speed: float = 1.0) -> bytes:
    """The sound of a recording from `start` to `end` (s, from its first moment on) as WAV, mono, 16 kHz.

    `speed` 0.5 to 2 makes it slower or faster at the same pitch. Raises OSError or ValueError (FFmpeg's
    errors are both or either) where there is no such sound.
    """
    import av
    import numpy as np

    chunks = []
    with av.open(str(path)) as container:
        stream = container.streams.audio[0]
        begin = (container.start_time or 0) / av.time_base
        container.seek(int((begin + start) * av.time_base))
        resampler = av.AudioResampler(format="s16", layout="mono", rate=RATE)
        first: float | None = None
        for frame in container.decode(stream):
            at = (frame.time or 0.0) - begin
            if at > end:
                break
            first = at if first is None else first
            frame.pts = None
            chunks += [sound.to_ndarray().reshape(-1) for sound in resampler.resample(frame)]
    if first is None:
        raise ValueError("there is no sound at that time")
    samples = np.concatenate(chunks)[max(0, round((start - first) * RATE)) : round((end - first) * RATE)]
    file = io.BytesIO()
    with wave.open(file, "wb") as sound:
        sound.setnchannels(1)
        sound.setsampwidth(2)
        sound.setframerate(RATE)
        sound.writeframes((_at_speed(samples, speed) if speed != 1 else samples).tobytes())
    return file.getvalue()


def _at_speed(samples: Any, speed: float) -> Any:
    """16-bit samples stretched without a change of pitch, by FFmpeg's atempo."""
    import av
    import numpy as np

    graph = av.filter.Graph()
    source = graph.add_abuffer(format="s16", sample_rate=RATE, layout="mono", time_base=Fraction(1, RATE))
    tempo, sink = graph.add("atempo", str(speed)), graph.add("abuffersink")
    source.link_to(tempo)
    tempo.link_to(sink)
    graph.configure()
    frame = av.AudioFrame.from_ndarray(samples.reshape(1, -1), format="s16", layout="mono")
    frame.sample_rate = RATE
    frame.pts = 0
    source.push(frame)
    source.push(None)
    stretched = []
    while True:
        try:
            pulled: Any = sink.pull()
            stretched.append(pulled.to_ndarray().reshape(-1))
        except (av.EOFError, av.BlockingIOError):
            return np.concatenate(stretched) if stretched else samples


class Player:
    """Plays stretches of a run, one at a time, without waiting for the end."""

    def __init__(self, sources: Sequence[Mapping[str, Any]], recordings: Mapping[str, Path]) -> None:
        self._sources = sources
        self._recordings = recordings
        self._program = next((found for name in PLAYERS if (found := shutil.which(name))), None)
        self._playing: subprocess.Popen[bytes] | None = None
        self._file: Path | None = None

    def why_silent(self) -> str | None:
        """Why nothing can be heard, in a sentence, or None if something can."""
        for source in self._sources:
            if is_timed_text(Path(source["file"])):
                return f"{source['file']} is timed text, so there is nothing to hear."
            path = self._recordings.get(source["sha256"])
            if path is None or not path.exists():
                return (
                    f"{source['file']} is not where it was, so it is not heard; put it back, or open the page"
                    " and show it there."
                )
        if self._program is None:
            return f"No player is here to be heard by; install one of {', '.join(PLAYERS)}."
        return None

    def play(self, start: float, end: float, speed: float = 1.0) -> str | None:
        """Begin to play a stretch of the run, `start` to `end` in seconds; why not, or None."""
        self.stop()
        last = max((source["offset"] + source["duration"] for source in self._sources), default=0)
        start, end = max(0.0, start), min(end, last)
        source = next((s for s in reversed(self._sources) if s["offset"] <= start), None)
        silent = self.why_silent()
        if silent or source is None or self._program is None:
            return silent
        path, offset = self._recordings[source["sha256"]], source["offset"]
        try:
            sound = cut(path, start - offset, end - offset, speed)
        except (OSError, ValueError, IndexError) as error:
            return f"{path}: no sound can be taken from it ({error})."
        with tempfile.NamedTemporaryFile(suffix=".wav", delete=False) as file:
            file.write(sound)
            self._file = Path(file.name)
        command = [self._program, *PLAYERS[Path(self._program).stem], file.name]
        self._playing = subprocess.Popen(
            command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        return None

    def stop(self) -> None:
        """Be silent."""
        if self._playing is not None:
            self._playing.terminate()
            self._playing.wait()
        if self._file is not None:
            self._file.unlink(missing_ok=True)
        self._playing = self._file = None
