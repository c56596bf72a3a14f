"""The whole way from a run's folder to the files that go out of the door."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from pathlib import Path

from narrate2log.errors import UnusableCommand, UnusableFolder, UnusableSource
from narrate2log.files import write_whole
from narrate2log.hearing.timed_text import read_timed_text
from narrate2log.log import Log, read_log
from narrate2log.outgoing import FORMATS, USUAL
from narrate2log.outgoing.content import Report, Wanted, build_report, findings_of, is_reviewed
from narrate2log.outgoing.labels import read_labels
from narrate2log.outgoing.parcel import Parcel, Phrase
from narrate2log.outgoing.particulars import JOB_FILE, Job, read_job, said_date
from narrate2log.outgoing.sent import amendment, before, call_back, keep
from narrate2log.outgoing.stills import Still, find_stills, open_videos, wanted_of
from narrate2log.outgoing.whereabouts import read_whereabouts
from narrate2log.recordings import read_recordings
from narrate2log.units import Milliseconds, ms_to_seconds, seconds_to_ms

TRANSCRIPT = "transcript.vtt"
# Opens a progress bar.
Bar = Callable[[], AbstractContextManager[Callable[[float], None] | None]]


@dataclass(frozen=True)
class Asked:
    """What is wanted of a report: everything that can be asked for at the keyboard."""

    formats: Sequence[str] = ()
    out: Path | None = None
    job: Path | None = None
    videos: Sequence[Path] = ()
    template: Path | None = None
    lexicon: Path | None = None
    words: bool = False
    redacted: bool = False
    unsent: bool = False


@dataclass(frozen=True)
class Outcome:
    """The files made, and what was told in the report for a person at the keyboard."""

    files: tuple[Path, ...]
    report: Report
    problems: tuple[str, ...]


def make_report(folder: Path, asked: Asked, *, now: datetime, bar: Bar = nullcontext) -> Outcome:
    """Write the report of the run in `folder` in every format asked for.

    `now` is when it is made, with its time zone; `bar` opens a progress bar for the search for pictures.
    Raises UnusableCommand, UnusableFolder or UnusableLexicon; what is merely missing is said in the report.
    """
    formats = _formats(asked)
    wanted = Wanted(words=asked.words, redacted=asked.redacted)
    log = read_log(folder, lexicon_folder=asked.lexicon)
    labels = read_labels(asked.lexicon)
    job = read_job(asked.job or folder / JOB_FILE, asked=asked.job is not None)
    phrases, unread = _phrases(folder)
    made = now.isoformat(timespec="seconds")
    gone, about = before(folder), _particulars(job)
    if asked.unsent:
        if not call_back(folder, gone, log.rows, about, at=made):
            raise UnusableCommand(f"--unsent: no report of {folder} is remembered as sent; leave it out.")
        gone = before(folder)
    template, no_template = _template(asked)
    stills, no_stills = ([], []) if asked.redacted else _stills(log, folder, asked, bar)
    problems = [*job.problems, *no_template, *no_stills, *(unread if asked.words else ())]
    report = build_report(
        log,
        job,
        labels,
        made=made[:10],
        date=said_date([(phrase.start, phrase.text) for phrase in phrases]),
        stills=stills,
        # who reads a redacted report is told nothing of files, whose names may be personal
        missing=() if asked.redacted else problems,
        amended=amendment(gone, log.rows, about) if is_reviewed(log) else None,
        wanted=wanted,
    )
    parcel = Parcel(log, report, labels, wanted, phrases if asked.words else (), template)
    files: dict[str, bytes] = {}
    for name in formats:
        done = FORMATS[name].write(parcel)
        files |= done.files
        problems += done.problems
    paths = _write(asked.out or folder, files)
    if is_reviewed(log):
        keep(folder, gone, log.rows, about, at=made, formats=formats)
    return Outcome(paths, report, tuple(problems))


def _formats(asked: Asked) -> list[str]:
    formats = list(dict.fromkeys(asked.formats or USUAL))
    for name in formats:
        if name not in FORMATS:
            raise UnusableCommand(f"--format: unknown format '{name}'; use one of {', '.join(FORMATS)}.")
        if asked.redacted and not FORMATS[name].redacted:
            raise UnusableCommand(f"--redact: {name} is made of what was said when; leave that format out.")
    if asked.redacted and asked.words:
        raise UnusableCommand("--words: what was said cannot go out with --redact; leave one of them out.")
    return formats


def _particulars(job: Job) -> dict[str, str]:
    told = {name: getattr(job, name) for name in vars(job) if name not in ("logo", "problems", "paper")}
    return {name: value for name, value in told.items() if value}


def _template(asked: Asked) -> tuple[Path | None, list[str]]:
    if asked.template is None or asked.template.is_file():
        return asked.template, []
    problem = f"The template {asked.template.name} is not there, so the report is set by the tool's own."
    return None, [problem]


def _phrases(folder: Path) -> tuple[tuple[Phrase, ...], list[str]]:
    """What was heard, phrase by phrase, and why it cannot be told."""
    try:
        words = read_timed_text(folder / TRANSCRIPT)
    except UnusableSource as error:
        return (), [str(error)]
    phrases = []
    for _, group in groupby(words, key=lambda word: word.phrase):
        said = list(group)
        start, end = said[0].start_ms, said[-1].end_ms
        phrases.append(Phrase(ms_to_seconds(start), ms_to_seconds(end), " ".join(w.text for w in said)))
    return tuple(phrases), []


def _stills(log: Log, folder: Path, asked: Asked, bar: Bar) -> tuple[list[Still], list[str]]:
    wanted = wanted_of(findings_of(log.rows), read_whereabouts(folder, log.units))
    if not wanted:
        return [], []
    clips, problems = _clips(log, folder, asked)
    videos, unreadable = open_videos(clips)
    problems += unreadable
    if not videos:
        return [], problems or ["The recording has no video, so there are no pictures."]
    with bar() as progress:
        stills, lacking = find_stills(wanted, videos, folder, progress)
    return stills, problems + lacking


def _clips(log: Log, folder: Path, asked: Asked) -> tuple[list[tuple[Path, str, Milliseconds]], list[str]]:
    """The files that may hold the pictures: those named, or the recordings of the draft where they were."""
    offsets = [seconds_to_ms(source["offset"]) for source in log.sources]
    if asked.videos:
        if len(asked.videos) != len(offsets):
            raise UnusableCommand(
                f"--video: the run has {len(offsets)} clip{'s' * (len(offsets) != 1)} and {len(asked.videos)}"
                " are named; name one for each, in order."
            )
        there = [(path, offset) for path, offset in zip(asked.videos, offsets, strict=True) if path.is_file()]
        problems = [
            f"The video {path.name} is not there, so pictures from it are missing."
            for path in asked.videos
            if not path.is_file()
        ]
        return [(path, _mark(path), offset) for path, offset in there], problems
    known = read_recordings(folder)
    clips, problems = [], []
    for source, offset in zip(log.sources, offsets, strict=True):
        path = known.get(source["sha256"])
        if path is not None and path.is_file():
            clips.append((path, source["sha256"], offset))
        else:
            problems.append("The recording was not at hand, so there are no pictures from it.")
    return clips, problems


def _mark(path: Path) -> str:
    """What tells one named video from another without reading all of it: its name, size and date."""
    import hashlib

    state = path.stat()
    return hashlib.sha256(json.dumps([path.name, state.st_size, state.st_mtime_ns]).encode()).hexdigest()


def _write(folder: Path, files: dict[str, bytes]) -> tuple[Path, ...]:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            write_whole(folder / name, content)
    except OSError as error:
        raise UnusableFolder(
            f"{folder}: the report cannot be written here ({error.strerror}); make room or allow writing, or"
            " name another folder for --out."
        ) from error
    return tuple(folder / name for name in files)
