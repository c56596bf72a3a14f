"""Pictures of the findings out of the video: the sharpest frame of the second around each, then kept.

A kept picture is `stills/<row>_<source>_<wanted ms>_<frame ms>.jpg`: the name says all there is to know of
it, so a folder with some of its pictures taken away, or another video, does no harm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from narrate2log.drawing.axes import clock_text
from narrate2log.errors import UnusableFolder, UnusableSource
from narrate2log.files import write_whole
from narrate2log.units import Milliseconds, ms_to_seconds, seconds_to_ms

FOLDER = "stills"
# The second around the time that a thing was told.
AROUND_MS: Milliseconds = 500
# Two tellings nearer than this show the same, seconds.
APART_S = 20.0
WIDEST = 960
# Sharpness is judged on a small picture: noise of single pixels is not detail.
JUDGED_AT = 480
# A picture on paper needs no more; 40 of them and the page stay below 5 MB.
MOST_BYTES = 85_000


@dataclass(frozen=True)
class Video:
    """A clip with pictures: where its file is, and when in the run it begins."""

    path: Path
    sha256: str
    offset_ms: Milliseconds
    duration_ms: Milliseconds


@dataclass(frozen=True)
class Wanted:
    """A picture that is looked for: of which row, when in the run, and whether a person chose that moment."""

    row: str
    time_ms: Milliseconds
    chosen: bool


@dataclass(frozen=True)
class Still:
    """A picture that was found: its file, and when in the run the frame is."""

    row: str
    path: Path
    time_ms: Milliseconds


def wanted_of(
    rows: Iterable[Mapping[str, Any]], off_by: Callable[[Mapping[str, Any], float], float | None]
) -> list[Wanted]:
    """The moments to show of these rows: the one a person chose, or the first telling and the nearest later.

    `off_by` says of a row and a time in seconds how far off its place the camera was, None where it was not
    there at all, as in the summing up.
    """
    wanted = []
    for row in rows:
        chosen = row["review"].get("still")
        if chosen is not None:
            wanted.append(Wanted(row["id"], seconds_to_ms(chosen), True))
            continue
        first, *later = sorted(set(row["sightings"]) or {row["time"]})
        again = [(off, t) for t in later if t - first > APART_S and (off := off_by(row, t)) is not None]
        shown = (first, min(again)[1]) if again else (first,)
        wanted += [Wanted(row["id"], seconds_to_ms(t), False) for t in shown]
    return wanted


def find_stills(
    wanted: Sequence[Wanted],
    videos: Sequence[Video],
    folder: Path,
    progress: Callable[[float], None] | None = None,
) -> tuple[list[Still], list[str]]:
    """The pictures wanted, as far as there are any, and a sentence for each way in which some are missing.

    `folder` is the run's; pictures found are kept below it. Raises UnusableFolder where they cannot be.
    """
    kept = _kept(folder / FOLDER)
    found: list[Still] = []
    late: list[Wanted] = []
    broken: dict[Path, str] = {}
    for done, want in enumerate(wanted):
        if progress:
            progress(done / len(wanted))
        video = next((v for v in videos if 0 <= want.time_ms - v.offset_ms < v.duration_ms), None)
        if video is None:
            late.append(want)
            continue
        still = kept.get((want.row, video.sha256[:8], want.time_ms))
        if still is None and video.path not in broken:
            try:
                still = _find(want, video, folder / FOLDER)
            except UnusableSource as error:
                broken[video.path] = str(error)
            else:
                if still is None:
                    late.append(want)
        if still:
            found.append(still)
    problems = list(broken.values())
    if late and videos:
        end = max(ms_to_seconds(v.offset_ms + v.duration_ms) for v in videos)
        count = len({want.row for want in late})
        problems.append(
            f"The video has no picture for {count} finding{'s' * (count != 1)} at the time told; it ends at"
            f" {clock_text(end)} of the run."
        )
    return found, problems


def _kept(folder: Path) -> dict[tuple[str, str, Milliseconds], Still]:
    kept = {}
    for path in folder.glob("*_*_*_*.jpg"):
        row, source, wanted, frame = path.stem.rsplit("_", 3)
        if wanted.isdigit() and frame.isdigit():
            kept[row, source, int(wanted)] = Still(row, path, int(frame))
    return kept


def open_videos(clips: Sequence[tuple[Path, str, Milliseconds]]) -> tuple[list[Video], list[str]]:
    """Those of the clips (file, hash, begin in the run) that have pictures, and what cannot be read."""
    import av

    videos, problems = [], []
    for path, sha256, offset_ms in clips:
        try:
            with av.open(str(path)) as container:
                # a cover picture in a sound file is one frame long
                streams = [
                    s for s in container.streams.video if not s.disposition & s.disposition.attached_pic
                ]
                if not streams:
                    continue
                duration_ms = _duration_ms(container, streams[0])
        except (av.FFmpegError, OSError, ValueError) as error:
            problems.append(
                f"{path.name}: its video cannot be read ({error}), so there are no pictures from it."
            )
            continue
        videos.append(Video(path, sha256, offset_ms, duration_ms))
    return videos, problems


def _duration_ms(container: Any, stream: Any) -> Milliseconds:
    if stream.duration:
        return seconds_to_ms(float(stream.duration * stream.time_base))
    return int(container.duration or 0) // 1000


def _find(want: Wanted, video: Video, folder: Path) -> Still | None:
    """The sharpest frame around a moment, or the one nearest to a moment that a person chose."""
    import av

    at_ms = want.time_ms - video.offset_ms
    best: tuple[float, Any, Milliseconds] | None = None
    try:
        with av.open(str(video.path)) as container:
            stream = next(
                s for s in container.streams.video if not s.disposition & s.disposition.attached_pic
            )
            stream.thread_type = "AUTO"
            base = stream.time_base or Fraction(1, 1000)
            start_ms = seconds_to_ms(float((stream.start_time or 0) * base))
            target = int(Fraction(max(0, at_ms - AROUND_MS) + start_ms, 1000) / base)
            container.seek(target, stream=stream, backward=True)
            for frame in container.decode(stream):
                if frame.pts is None:
                    continue
                frame_ms = seconds_to_ms(float(frame.pts * base)) - start_ms
                if frame_ms < at_ms - AROUND_MS:
                    continue
                if frame_ms > at_ms + AROUND_MS:
                    break
                score = -abs(frame_ms - at_ms) if want.chosen else sharpness(frame)
                if best is None or score > best[0]:
                    best = (score, frame, frame_ms)
            if best is None:
                return None
            picture = _jpeg(best[1])
    except (av.FFmpegError, OSError, ValueError, StopIteration) as error:
        raise UnusableSource(
            f"{video.path.name}: its video cannot be read ({error}), so pictures from it are missing."
        ) from error
    frame_ms = max(0, best[2] + video.offset_ms)
    path = folder / f"{want.row}_{video.sha256[:8]}_{want.time_ms}_{frame_ms}.jpg"
    try:
        folder.mkdir(exist_ok=True)
        write_whole(path, picture)
    except OSError as error:
        raise UnusableFolder(
            f"{folder}: no picture can be kept here ({error.strerror}); make room or allow writing."
        ) from error
    return Still(want.row, path, frame_ms)


def sharpness(frame: Any) -> float:
    """The variance of the Laplacian of a frame's brightness: edges in focus make it large.

    J. Pech-Pacheco et al., "Diatom autofocusing in brightfield microscopy: a comparative study", 2000.
    """
    import numpy as np

    width = min(JUDGED_AT, frame.width)
    height = max(3, round(frame.height * width / frame.width))
    grey = frame.reformat(width=width, height=height, format="gray").to_ndarray().astype(np.float32)
    laplacian = grey[1:-1, :-2] + grey[1:-1, 2:] + grey[:-2, 1:-1] + grey[2:, 1:-1] - 4 * grey[1:-1, 1:-1]
    return float(laplacian.var())


def _jpeg(frame: Any, most: int = MOST_BYTES, widest: int = WIDEST) -> bytes:
    """The frame as JPEG, no wider than `widest`, as good as fits into `most` bytes."""
    import av

    width = min(widest, frame.width) // 2 * 2
    height = max(2, round(frame.height * width / frame.width / 2) * 2)
    picture = frame.reformat(width=width, height=height, format="yuvj420p")
    content = b""
    for quality in (3, 6, 10, 16, 24, 31):
        coder = av.CodecContext.create("mjpeg", "w")
        coder.width, coder.height, coder.pix_fmt = width, height, "yuvj420p"
        coder.time_base = Fraction(1, 25)
        coder.qmin = coder.qmax = quality
        picture.pts = None
        content = b"".join(bytes(packet) for packet in [*coder.encode(picture), *coder.encode(None)])
        if len(content) <= most:
            break
    return content


def smaller(picture: bytes, most: int) -> bytes:
    """A kept JPEG, made to fit into `most` bytes where it does not."""
    if len(picture) <= most:
        return picture
    import av

    coder = av.CodecContext.create("mjpeg", "r")
    frames = [frame for packet in (av.Packet(picture), None) for frame in coder.decode(packet)]
    return _jpeg(frames[0], most, WIDEST // 2)
