"""The recordings of a draft as the page plays them: found by name and hash, their peaks, a playable copy."""

from __future__ import annotations

import contextlib
import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from narrate2log.errors import Refusal, UnusableFolder, UnusableSource
from narrate2log.hearing.hear import is_timed_text
from narrate2log.hearing.media import check_readable, file_to_sha256
from narrate2log.recordings import read_recordings, write_recordings
from narrate2log.review.peaks import PEAKS_PER_S, write_peaks
from narrate2log.review.playable import has_picture, write_playable

logger = logging.getLogger(__name__)

# What the page's server made once and may make again; nothing of it is needed elsewhere.
MADE = ".review"

# text: timed text, nothing to play. looking: not checked yet. here: may be played. missing: ask where.
Where = Literal["text", "looking", "here", "missing"]
Copy = Literal["none", "sound", "picture", "failed"]


@dataclass
class Recording:
    """One source of a run, as far as it is known by now."""

    file: str
    sha256: str
    duration: float
    offset: float
    where: Where
    path: Path | None = None
    picture: bool = False
    peaks: bool = False
    copy: Copy = "none"
    making: bool = False
    # Part of the picture's copy that is made, 0 to 1.
    made: float = 0.0
    problem: str = ""


class Recordings:
    """The recordings of the draft in a folder. Safe to call from any thread."""

    def __init__(self, folder: Path, sources: list[dict[str, Any]]) -> None:
        self._folder = folder
        self._lock = threading.Lock()
        # One after the other: two decodings at once would starve what the person waits for.
        self._work = threading.Lock()
        self.all = [
            Recording(
                source["file"],
                source["sha256"],
                source["duration"],
                source["offset"],
                "text" if is_timed_text(Path(source["file"])) else "looking",
            )
            for source in sources
        ]

    def start(self) -> None:
        """Look for every recording, then for its peaks, without keeping the caller."""
        self._aside(self._look_for_all)

    def told(self) -> list[dict[str, Any]]:
        """What the page needs to know of each recording."""
        with self._lock:
            return [
                {
                    "file": one.file,
                    "duration": one.duration,
                    "offset": one.offset,
                    "where": one.where,
                    "picture": one.picture,
                    "peaks": PEAKS_PER_S if one.peaks else None,
                    "copy": one.copy,
                    "making": one.making,
                    "made": round(one.made, 2),
                    "problem": one.problem,
                }
                for one in self.all
            ]

    def settled(self) -> bool:
        """Whether nothing is looked for or made any more."""
        with self._lock:
            return not any(one.where == "looking" or one.making for one in self.all)

    def tell(self, index: int, told: str) -> None:
        """Take a recording from where a person says that it is: a file, or the folder it lies in.

        Raises UnusableSource: no such file, or another recording.
        """
        one = self._one(index)
        if one.where == "text":
            raise UnusableSource(f"{one.file}: this is timed text, which has no sound to look for.")
        path = Path(told.strip().strip("\"'")).expanduser()
        if path.is_dir():
            path = path / one.file
        check_readable(path)
        if file_to_sha256(path) != one.sha256:
            raise UnusableSource(
                f"{path}: this is another recording than the {one.file} of the draft; give the file that was"
                " drafted, unchanged."
            )
        # It plays all the same if where it lies cannot be kept.
        with contextlib.suppress(UnusableFolder):
            write_recordings(self._folder, {one.sha256: path})
        self._found(one, path)
        self._aside(lambda: self._peaks(one))

    def convert(self, index: int) -> None:
        """Begin to make the copy of a recording that the browser cannot play, the sound of it first."""
        one = self._one(index)
        with self._lock:
            if one.path is None or one.copy != "none" or one.making:
                return
            one.making = True
        self._aside(lambda: self._convert(one))

    def original(self, index: int) -> Path | None:
        """The file itself, None while it is not found."""
        return self._one(index).path

    def copied(self, index: int) -> Path | None:
        """The best copy made so far, None if there is none."""
        one = self._one(index)
        made = {"sound": self._made(one, "sound.webm"), "picture": self._made(one, "picture.webm")}
        return made.get(one.copy)

    def drawn(self, index: int) -> Path | None:
        """The file of the peaks, None while they are not known."""
        one = self._one(index)
        return self._made(one, "peaks") if one.peaks else None

    def _one(self, index: int) -> Recording:
        if not 0 <= index < len(self.all):
            raise UnusableSource(f"There is no source {index} in this draft; open the page again.")
        return self.all[index]

    def _made(self, one: Recording, what: str) -> Path:
        return self._folder / MADE / f"{one.sha256[:16]}.{what}"

    def _aside(self, work: Callable[[], None]) -> None:
        def run() -> None:
            with self._work:
                work()

        threading.Thread(target=run, daemon=True).start()

    def _look_for_all(self) -> None:
        known = read_recordings(self._folder)
        for one in self.all:
            if one.where == "looking":
                self._look_for(one, known.get(one.sha256))
        for one in self.all:
            self._peaks(one)

    def _look_for(self, one: Recording, known: Path | None) -> None:
        here = self._folder.absolute()
        places = [place / one.file for place in (here, here.parent, Path.cwd())]
        tried = dict.fromkeys([known, *places] if known else places)
        for path in tried:
            try:
                if path.is_file() and file_to_sha256(path) == one.sha256:
                    break
            except OSError as error:
                logger.info("%s: %s", path, error.strerror)
        else:
            with self._lock:
                one.where = "missing"
                one.problem = f"{one.file}: this recording is not beside the draft any more; say where it is."
            return
        if path != known:
            with contextlib.suppress(UnusableFolder):
                write_recordings(self._folder, {one.sha256: path})
        self._found(one, path)

    def _found(self, one: Recording, path: Path) -> None:
        try:
            picture = has_picture(path)
        except (OSError, ValueError):
            picture = False
        with self._lock:
            one.path, one.picture, one.where, one.problem = path, picture, "here", ""
            for copy in ("picture", "sound"):
                if self._made(one, f"{copy}.webm").is_file():
                    one.copy = copy
                    break

    def _peaks(self, one: Recording) -> None:
        file = self._made(one, "peaks")
        if one.path is None:
            return
        try:
            if not file.is_file():
                file.parent.mkdir(exist_ok=True)
                write_peaks(one.path, file)
        except (Refusal, OSError, ValueError) as error:
            with self._lock:
                one.problem = (
                    f"{one.file}: its wave cannot be drawn ({_reason(error)}); the rest works without."
                )
            return
        with self._lock:
            one.peaks = True

    def _convert(self, one: Recording) -> None:
        assert one.path is not None

        def progress(part: float) -> None:
            one.made = min(1.0, part)

        kinds: tuple[Copy, ...] = ("sound", "picture") if one.picture else ("sound",)
        problem = ""
        for kind in kinds:
            file = self._made(one, f"{kind}.webm")
            try:
                file.parent.mkdir(exist_ok=True)
                write_playable(one.path, file, picture=kind == "picture", progress=progress)
                one.copy = kind
            except (Refusal, OSError, ValueError) as error:
                problem = (
                    f"{one.file}: no copy of its {kind} that a browser plays can be made"
                    f" ({_reason(error)}); the words and the table work without."
                )
                break
        with self._lock:
            if one.copy == "none":
                one.copy = "failed"
            one.making, one.problem = False, problem


def _reason(error: Exception) -> str:
    return getattr(error, "strerror", None) or str(error)
