"""A draft on disk: a folder that holds every registered file, or none of them half-written."""

from __future__ import annotations

import json
import os
import secrets
import shutil
from collections.abc import Iterable, Sequence
from pathlib import Path

from narrate2log.errors import UnusableFolder
from narrate2log.files import sync_folder
from narrate2log.recordings import write_recordings
from narrate2log.records import Draft, FlushTest, SlopeProfile
from narrate2log.report import WRITERS
from narrate2log.report.slope_json import flush_from_json, profile_from_json
from narrate2log.report.track_json import SCHEMA, anchor_lines
from narrate2log.units import LengthUnit


def check_folder(folder: Path, *, inputs: Iterable[Path] = (), force: bool = False) -> None:
    """Refuse a folder that a draft could not be put into, before any time is spent on the draft.

    `inputs` are the files that the draft is made from: they are never replaced, `force` or not.

    Raises UnusableFolder: it is a file, it cannot be written, it holds one of the inputs under the
    name of a file of the draft, or, without `force`, it holds a draft or a file of such a name.
    """
    there = next(place for place in (folder, *folder.absolute().parents) if place.exists())
    if not there.is_dir():
        raise UnusableFolder(f"{there}: this is a file, not a folder; name another folder for --out.")
    if not os.access(there, os.W_OK | os.X_OK):
        raise UnusableFolder(
            f"{there}: this folder cannot be written to; allow it, or name another folder for --out."
        )
    taken = [folder / name for name in WRITERS if (folder / name).exists()]
    for path in inputs:
        if path.exists() and any(path.samefile(other) for other in taken):
            raise UnusableFolder(
                f"{path}: this input lies where the draft would be written; name another folder for --out."
            )
    if taken and not force:
        raise UnusableFolder(
            f"{folder}: this folder already holds {_what_it_holds(folder, taken)}; name another folder for"
            " --out, or add --force to replace it."
        )


def write_draft(
    draft: Draft,
    folder: Path,
    *,
    clips: Sequence[Path] = (),
    inputs: Iterable[Path] = (),
    force: bool = False,
) -> None:
    """Write every registered file of the draft into `folder`, which is made if it is not there.

    `clips` are its sources as they lie on this machine, remembered beside it where they are given.

    All files are whole and on the disk under another name before the first appears under its own.
    Whatever else the folder holds stays as it is.

    Raises UnusableFolder: as `check_folder` does, and when the disk refuses.
    """
    check_folder(folder, inputs=inputs, force=force)
    contents = {name: writer(draft) for name, writer in WRITERS.items()}
    try:
        if folder.exists():
            _fill(folder, contents)
        else:
            folder.parent.mkdir(parents=True, exist_ok=True)
            _make(folder, contents)
    except OSError as error:
        raise UnusableFolder(
            f"{folder}: the draft cannot be written here ({error.strerror}); make room or allow writing,"
            " or name another folder for --out."
        ) from error
    if clips:
        heard = zip(draft.transcript.sources, clips, strict=True)
        write_recordings(folder, {source.sha256: clip for source, clip in heard})


def read_track(folder: Path) -> list[str]:
    """What tied the camera to distances in the draft of a folder, as lines for a person.

    Raises UnusableFolder: the folder holds no track.json, or one that is broken or of another version.
    """
    path = folder / "track.json"
    try:
        document = json.loads(path.read_bytes())
        if document["schema"] != SCHEMA:
            raise ValueError(document["schema"])
        return list(anchor_lines(document))
    except OSError as error:
        raise UnusableFolder(
            f"{folder}: no track of a draft can be read here ({error.strerror}); name a folder that"
            " `narrate2log draft` has written."
        ) from error
    except (ValueError, LookupError, TypeError) as error:
        raise UnusableFolder(
            f"{path}: this track is broken or another version wrote it; draft the run again with --force."
        ) from error


def read_slope(folder: Path) -> tuple[list[SlopeProfile], list[FlushTest], LengthUnit]:
    """The slope profiles and flush tests of the draft in a folder, and the unit of its distances.

    Raises UnusableFolder: the folder holds no draft, or one that an older version wrote.
    """
    file = folder / "observations.json"
    try:
        document = json.loads(file.read_bytes())
        units: LengthUnit = document["units"]
        profiles = [profile_from_json(told, units) for told in document["slope_profiles"]]
        return profiles, [flush_from_json(told, units) for told in document["flush_tests"]], units
    except OSError as error:
        raise UnusableFolder(
            f"{folder}: no draft to read here ({error.strerror}); name a folder that `narrate2log draft`"
            " has written."
        ) from error
    except (ValueError, LookupError, TypeError, OverflowError) as error:
        raise UnusableFolder(
            f"{file}: it holds no slope profile; draft the run again with --force."
        ) from error


def _make(folder: Path, contents: dict[str, bytes]) -> None:
    """Build a new folder beside its place; it appears in one rename."""
    building = folder.parent / _name_for_building(folder)
    try:
        _write_all(building, contents)
        building.rename(folder)
        sync_folder(folder.parent)
    finally:
        shutil.rmtree(building, ignore_errors=True)


def _fill(folder: Path, contents: dict[str, bytes]) -> None:
    """Build in the folder that stays; each file appears, or replaces the one before, in one rename."""
    building = folder / _name_for_building(folder)
    try:
        _write_all(building, contents)
        for name in contents:
            (building / name).replace(folder / name)
        sync_folder(folder)
    finally:
        shutil.rmtree(building, ignore_errors=True)


def _name_for_building(folder: Path) -> str:
    return f".{folder.name}.{secrets.token_hex(4)}.part"


def _write_all(folder: Path, contents: dict[str, bytes]) -> None:
    folder.mkdir()
    for name, content in contents.items():
        with (folder / name).open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
    sync_folder(folder)


def _what_it_holds(folder: Path, taken: list[Path]) -> str:
    """What is in the way: `a draft of run-a.wav`, or the name of a file."""
    try:
        document = json.loads((folder / "observations.json").read_bytes())
        return f"a draft of {', '.join(source['file'] for source in document['sources'])}"
    except (OSError, ValueError, LookupError, TypeError):
        return taken[0].name
