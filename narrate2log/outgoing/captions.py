"""Captions and chapter marks: where the camera is and what is there, over the original video.

WebVTT (https://www.w3.org/TR/webvtt1/) and SubRip; each clip of a run has files of its own, in its own time.
"""

from __future__ import annotations

import html
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from narrate2log.outgoing import places
from narrate2log.outgoing.content import name_of
from narrate2log.outgoing.labels import low
from narrate2log.outgoing.parcel import Made, Parcel
from narrate2log.units import Milliseconds, seconds_to_ms

# How long a caption stays where nothing follows, and the least that one can be read in.
STAYS_MS: Milliseconds = 4_000
LEAST_MS: Milliseconds = 1_000
# What changes where the camera is, for the chapters of a player.
CHAPTERS = ("landmark", "defect", "pipe")


@dataclass(frozen=True)
class Cue:
    """Lines of text from start to end, milliseconds in a clip."""

    start_ms: Milliseconds
    end_ms: Milliseconds
    lines: tuple[str, ...]


def captions_vtt(parcel: Parcel) -> Made:
    """captions.vtt, one a clip."""
    return _each_clip(parcel, "captions", "vtt", lambda cues: _vtt(cues), _cues)


def captions_srt(parcel: Parcel) -> Made:
    """captions.srt, one a clip."""
    return _each_clip(parcel, "captions", "srt", lambda cues: _srt(cues), _cues)


def chapters_vtt(parcel: Parcel) -> Made:
    """chapters.vtt, one a clip: a mark wherever something was told first."""
    return _each_clip(parcel, "chapters", "vtt", lambda cues: _vtt(cues), _chapters)


def _each_clip(parcel: Parcel, name: str, ending: str, write: Any, cues_of: Any) -> Made:
    sources = parcel.log.sources
    files = {}
    for number, source in enumerate(sources, 1):
        begin = seconds_to_ms(source["offset"])
        cues = list(cues_of(parcel, begin, begin + seconds_to_ms(source["duration"])))
        stem = f"{name}-{number}" if len(sources) > 1 else name
        files[f"{stem}.{ending}"] = write(cues).encode("utf-8", "replace")
    return Made(files)


def label(row: dict[str, Any], parcel: Parcel) -> str:
    """'41.0 ft: Roots, moderate' or 'No roots seen'."""
    name = name_of(row, parcel.labels)
    if row["standing"] == "not-seen":
        name = f"No {low(name)} seen"
    elif row["standing"] == "possible":
        name = f"Possible {low(name)}"
    elif row["standing"] == "reported":
        name = f"{name}, told by others"
    elif row["severity"]:
        name = f"{name}, {row['severity']}"
    units = parcel.log.units
    at = places.distance(row, units)
    # one line of text, whatever a lexicon calls it
    return " ".join((f"{at} {units}: {name}" if at else name).split())


def _told(parcel: Parcel, begin: Milliseconds, end: Milliseconds) -> list[tuple[Milliseconds, str]]:
    """When each row was told within a clip, by time in the clip, and its label."""
    times = {
        (seconds_to_ms(time) - begin, row["row"], label(row, parcel))
        for row in parcel.log.rows
        for time in (row["sightings"] or [row["time"]])
        if begin <= seconds_to_ms(time) < end
    }
    return [(time, text) for time, _, text in sorted(times)]


def _cues(parcel: Parcel, begin: Milliseconds, end: Milliseconds) -> Iterator[Cue]:
    groups: list[tuple[Milliseconds, list[str]]] = []
    for time, text in _told(parcel, begin, end):
        if groups and time - groups[-1][0] < LEAST_MS:
            groups[-1][1].append(text)
        else:
            groups.append((time, [text]))
    ends = [*(time for time, _ in groups), end - begin][1:]
    for (time, lines), following in zip(groups, ends, strict=True):
        yield Cue(time, max(time + 1, min(time + STAYS_MS, following)), tuple(dict.fromkeys(lines)))


def _chapters(parcel: Parcel, begin: Milliseconds, end: Milliseconds) -> Iterator[Cue]:
    """Each lasts until the next; what was told in the same moment shares one."""
    told: dict[Milliseconds, list[str]] = {}
    for row in sorted(parcel.log.rows, key=lambda row: (row["time"], row["row"])):
        time = seconds_to_ms(row["time"]) - begin
        if row["kind"] in CHAPTERS and row["standing"] in ("seen", "possible") and 0 <= time < end - begin:
            told.setdefault(time, []).append(label(row, parcel))
    starts = [*told, end - begin]
    for start, following in pairwise(starts):
        yield Cue(start, following, ("; ".join(told[start]),))


def _clock(ms: Milliseconds, mark: str) -> str:
    seconds, ms = divmod(ms, 1000)
    return f"{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}{mark}{ms:03}"


def _vtt(cues: list[Cue]) -> str:
    blocks = [
        f"{_clock(cue.start_ms, '.')} --> {_clock(cue.end_ms, '.')}\n"
        + "\n".join(html.escape(line, quote=False) for line in cue.lines)
        for cue in cues
    ]
    return "\n\n".join(["WEBVTT", *blocks]) + "\n"


def _srt(cues: list[Cue]) -> str:
    return "".join(
        f"{number}\n{_clock(cue.start_ms, ',')} --> {_clock(cue.end_ms, ',')}\n"
        + "\n".join(cue.lines)
        + "\n\n"
        for number, cue in enumerate(cues, 1)
    )
