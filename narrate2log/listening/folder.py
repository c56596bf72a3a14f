"""The folder of a run that is listened to: who may write there, its clips, and the draft at the end."""

from __future__ import annotations

import errno
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import replace
from datetime import date
from itertools import count
from pathlib import Path
from typing import Any

import numpy as np

from narrate2log.draft import draft
from narrate2log.draft_folder import check_folder, write_draft
from narrate2log.drawing.axes import clock_text
from narrate2log.errors import UnusableFolder
from narrate2log.files import write_whole
from narrate2log.hearing.media import Samples
from narrate2log.journal_file import locked
from narrate2log.listening.counter import Clip, FollowedCounter, readings_to_csv
from narrate2log.listening.live_journal import FILE, SCHEMA, LiveJournal, Told
from narrate2log.listening.recording import Recording, mend, pad, read_samples
from narrate2log.listening.rows import SAME_MS, LiveRow
from narrate2log.outgoing.particulars import JOB_FILE
from narrate2log.records import Draft, Mark
from narrate2log.report import WRITERS
from narrate2log.units import LengthUnit, Milliseconds, ms_to_seconds

LOCK = "listen.lock"
COUNTER = "counter-heard.csv"
# A clip shorter than this holds no word.
SHORTEST_MS: Milliseconds = 300


@contextmanager
def only_here(folder: Path, *, resumed: bool) -> Iterator[None]:
    """Nobody else listens into the folder meanwhile.

    Raises UnusableFolder: somebody does, nothing can be written there, or there is no run to be `resumed`.
    """
    if resumed and not (folder / FILE).exists():
        raise UnusableFolder(
            f"{folder}: no run was listened to here; name the folder that was given with --out."
        )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        lock = (folder / LOCK).open("ab")
    except OSError as error:
        raise UnusableFolder(
            f"{folder}: nothing can be kept here ({error.strerror}); name another folder, or allow writing."
        ) from error
    with lock, ExitStack() as held:
        try:
            held.enter_context(locked(lock, wait=False))
        except OSError as error:
            if error.errno not in (errno.EAGAIN, errno.EACCES, errno.EDEADLK):
                raise UnusableFolder(
                    f"{folder}: it cannot be held alone on this disk ({error.strerror}); name one elsewhere."
                ) from error
            raise UnusableFolder(
                f"{folder}: another `narrate2log listen` writes here; end that one, or name another folder."
            ) from error
        yield


def check_new(folder: Path) -> None:
    """Refuse a folder that holds a run or a draft. Raises UnusableFolder."""
    if (folder / FILE).exists():
        raise UnusableFolder(
            f"{folder}: a run was listened to here; go on in it with `narrate2log listen --resume {folder}`,"
            " or name another folder."
        )
    if any((folder / name).exists() for name in WRITERS):
        raise UnusableFolder(f"{folder}: this folder holds a draft; name another folder for the new run.")
    check_folder(folder)


def begin(
    folder: Path, units: LengthUnit, options: Mapping[str, Any] | None = None
) -> tuple[LiveJournal, Recording, Told]:
    """A new run in a folder that holds none, and the options it has for good. Raises UnusableFolder.

    The report's particulars begin with the date, unless somebody wrote some already.
    """
    run = Told(units=units, clock_s=time.time(), options=options or {})
    begun = _with_clip(folder, LiveJournal(folder / FILE), run, Clip(0, 0))
    if not (folder / JOB_FILE).exists():
        # The run goes on without it.
        with suppress(OSError):
            write_whole(folder / JOB_FILE, f"date = {date.today().isoformat()}\n".encode())
    return begun


def take_up(folder: Path) -> tuple[LiveJournal, Told, Milliseconds]:
    """A run that was broken off, and how much sound of it there is. Raises UnusableFolder: it is spoiled.

    Where a power cut took sound whose words are kept, silence stands for it.
    """
    journal = LiveJournal(folder / FILE)
    told = journal.told()
    if not told.clips:
        # Broken off before anything was kept: it begins now.
        return journal, replace(told, clock_s=time.time()), 0
    name, clip = told.clips[-1]
    length_ms = clip.sound_ms + _mended(folder / name)
    if length_ms < told.until_ms:
        try:
            pad(folder / name, told.until_ms - length_ms)
        except OSError as error:
            raise _unreadable(folder / name, error) from error
    return journal, told, max(length_ms, told.until_ms)


def tail(folder: Path, told: Told) -> Samples:
    """The sound of a run that was recorded but never heard. Raises UnusableFolder."""
    parts = [np.zeros(0, np.float32)]
    for (name, clip), after in zip(told.clips, (*told.clips[1:], None), strict=False):
        if after is None or after[1].sound_ms > told.until_ms:
            try:
                parts.append(read_samples(folder / name, max(0, told.until_ms - clip.sound_ms)))
            except OSError as error:
                raise _unreadable(folder / name, error) from error
    return np.concatenate(parts)


def go_on(
    folder: Path, journal: LiveJournal, told: Told, length_ms: Milliseconds
) -> tuple[LiveJournal, Recording, Told]:
    """A further clip of a run of which so much sound is there. Raises UnusableFolder."""
    clip = Clip(max(length_ms, round((time.time() - told.clock_s) * 1000)), length_ms)
    return _with_clip(folder, journal, told, clip)


def clip_files(folder: Path, told: Told) -> list[Path]:
    """The clips that hold sound, in order. Raises UnusableFolder: one is gone."""
    return [folder / name for name, _ in told.clips if _mended(folder / name) >= SHORTEST_MS]


def finish(
    folder: Path,
    told: Told,
    *,
    counter: FollowedCounter | None,
    times: Sequence[Clip],
    length: float | None,
    model: str | None,
    lexicon_folder: Path | None,
    rows: Sequence[LiveRow],
    marks: Sequence[Mark],
) -> Draft:
    """Draft the whole sound into the folder. Raises UnusableFolder, UnusableSource, UnusableModel.

    `counter` is the log that was followed, `times` where the clock and the sound part. `rows` and `marks` are
    those of the listening: what the draft does not have is told among its problems.
    """
    clips = clip_files(folder, told)
    if not clips:
        raise UnusableFolder(f"{folder}: no sound was recorded here; check the microphone and listen again.")
    log = None
    readings = counter.readings(times) if counter is not None else ()
    if readings:
        log = folder / COUNTER
        try:
            write_whole(log, readings_to_csv(readings, told.units))
        except OSError as error:
            raise UnusableFolder(
                f"{log}: the counter log cannot be kept here ({error.strerror}); make room or allow writing."
            ) from error
    made = draft(
        clips,
        counter=log,
        units=told.units,
        length=length,
        model=model,
        lexicon_folder=lexicon_folder,
        marks=tuple(marks),
    )
    odd = counter.problems if counter is not None else ()
    made = replace(made, problems=(*made.problems, *odd, *_not_in(made, rows)))
    write_draft(made, folder, clips=clips, force=True)
    return made


def _with_clip(
    folder: Path, journal: LiveJournal, told: Told, clip: Clip
) -> tuple[LiveJournal, Recording, Told]:
    # A clip that was begun when the program was killed may be there, and in no journal.
    names = (f"sound-{number}.wav" for number in count(len(told.clips) + 1))
    name = next(name for name in names if not (folder / name).exists())
    try:
        recording = Recording(folder / name)
    except OSError as error:
        raise UnusableFolder(
            f"{folder / name}: no sound can be recorded here ({error.strerror}); make room or allow writing."
        ) from error
    kept = journal.append(
        "begun",
        schema=SCHEMA,
        clip=name,
        units=told.units,
        clock_ms=clip.clock_ms,
        sound_ms=clip.sound_ms,
        options=dict(told.options),
    )
    if not kept:
        assert journal.trouble is not None
        raise UnusableFolder(
            f"{journal.path}: nothing can be kept here ({journal.trouble.strerror}); make room, or allow"
            " writing."
        )
    return journal, recording, replace(told, clips=(*told.clips, (name, clip)))


def _mended(path: Path) -> Milliseconds:
    try:
        return mend(path)
    except OSError as error:
        raise _unreadable(path, error) from error


def _unreadable(path: Path, error: OSError) -> UnusableFolder:
    return UnusableFolder(
        f"{path}: this part of the run cannot be read ({error.strerror}); put it back, or allow it."
    )


def _not_in(made: Draft, rows: Sequence[LiveRow]) -> tuple[str, ...]:
    """Rows that were shown while listening and that the draft of the whole sound does not have."""
    lacking = [
        row
        for row in rows
        if not row.gone
        and not any(
            seen.feature == row.told.feature and abs(time_ms - row.told.time_ms) <= SAME_MS
            for seen in made.observations
            for time_ms in seen.sightings_ms
        )
    ]
    if not lacking:
        return ()
    told = ", ".join(
        f"{row.told.remark.rstrip('.')} ({clock_text(ms_to_seconds(row.told.time_ms))})" for row in lacking
    )
    return (f"Shown while listening, and not in the draft: {told}; listen there.",)
