import errno
import json
import os
from pathlib import Path

import pytest
from draft_files import DRAFT_FILES

from narrate2log.draft_folder import check_folder, write_draft
from narrate2log.errors import UnusableFolder
from narrate2log.records import Draft, Source, Transcript, Word


def draft_of(file: str) -> Draft:
    transcript = Transcript((Word("Hello.", 0, 500),), (Source(file, "ab" * 32, 1_000, 0),))
    return Draft("ft", transcript, (), (), (), ())


def names_in(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def source_of(folder: Path) -> str:
    sources = json.loads((folder / "observations.json").read_text())["sources"]
    return str(sources[0]["file"])


def test_a_new_folder_below_new_folders(tmp_path: Path) -> None:
    folder = tmp_path / "jobs" / "run-a"
    write_draft(draft_of("a.wav"), folder)
    assert names_in(folder) == DRAFT_FILES
    assert names_in(folder.parent) == {"run-a"}


def test_a_new_folder_is_as_open_to_others_as_any(tmp_path: Path) -> None:
    (tmp_path / "any").mkdir()
    write_draft(draft_of("a.wav"), tmp_path / "run-a")
    assert (tmp_path / "run-a").stat().st_mode == (tmp_path / "any").stat().st_mode


def test_an_empty_folder_and_one_of_unrelated_files_are_filled(tmp_path: Path) -> None:
    (tmp_path / "a.wav").write_bytes(b"sound")
    write_draft(draft_of("a.wav"), tmp_path)
    assert names_in(tmp_path) == DRAFT_FILES | {"a.wav"}


@pytest.mark.parametrize("file", ["a.wav", "other.wav"])
def test_a_draft_is_not_replaced(tmp_path: Path, file: str) -> None:
    folder = tmp_path / "run-a"
    write_draft(draft_of("a.wav"), folder)
    with pytest.raises(UnusableFolder) as refusal:
        write_draft(draft_of(file), folder)
    assert str(refusal.value) == (
        f"{folder}: this folder already holds a draft of a.wav; name another folder for --out, or add --force"
        " to replace it."
    )
    assert source_of(folder) == "a.wav"


@pytest.mark.parametrize("text", ["{}", "not JSON", '{"sources": [{}]}', "[]", ""])
def test_a_file_that_is_no_draft_is_not_replaced_either(tmp_path: Path, text: str) -> None:
    (tmp_path / "observations.json").write_text(text)
    with pytest.raises(UnusableFolder) as refusal:
        write_draft(draft_of("a.wav"), tmp_path)
    assert str(refusal.value) == (
        f"{tmp_path}: this folder already holds observations.json; name another folder for --out, or add"
        " --force to replace it."
    )
    assert (tmp_path / "observations.json").read_text() == text


def test_force_replaces_the_files_of_a_draft_and_no_others(tmp_path: Path) -> None:
    write_draft(draft_of("a.wav"), tmp_path)
    (tmp_path / "journal.jsonl").write_text("{}\n")
    write_draft(draft_of("b.wav"), tmp_path, force=True)
    assert names_in(tmp_path) == DRAFT_FILES | {"journal.jsonl"}
    assert (tmp_path / "journal.jsonl").read_text() == "{}\n"
    assert source_of(tmp_path) == "b.wav"


def test_an_input_is_not_replaced_by_force(tmp_path: Path) -> None:
    mended = tmp_path / "transcript.vtt"
    mended.write_text("WEBVTT\n")
    with pytest.raises(UnusableFolder) as refusal:
        check_folder(tmp_path, inputs=[mended], force=True)
    assert str(refusal.value) == (
        f"{mended}: this input lies where the draft would be written; name another folder for --out."
    )


def test_a_file_is_no_folder(tmp_path: Path) -> None:
    (tmp_path / "run-a").write_text("")
    for folder in (tmp_path / "run-a", tmp_path / "run-a" / "below"):
        with pytest.raises(UnusableFolder) as refusal:
            check_folder(folder)
        assert str(refusal.value) == (
            f"{tmp_path / 'run-a'}: this is a file, not a folder; name another folder for --out."
        )


def test_a_folder_that_may_not_be_written_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # Permissions do not bind the superuser, under whom tests may run.
    monkeypatch.setattr(os, "access", lambda path, mode: path != tmp_path)
    with pytest.raises(UnusableFolder) as refusal:
        check_folder(tmp_path / "run-a")
    assert str(refusal.value) == (
        f"{tmp_path}: this folder cannot be written to; allow it, or name another folder for --out."
    )


@pytest.mark.parametrize("exists", [False, True], ids=["new folder", "draft replaced"])
def test_a_full_disk_leaves_everything_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, exists: bool
) -> None:
    folder = tmp_path / "run-a"
    if exists:
        write_draft(draft_of("a.wav"), folder)
    synced = 0

    def fsync_on_a_full_disk(handle: int) -> None:
        nonlocal synced
        synced += 1
        if synced == 2:
            raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", fsync_on_a_full_disk)
    with pytest.raises(UnusableFolder) as refusal:
        write_draft(draft_of("b.wav"), folder, force=True)
    assert str(refusal.value) == (
        f"{folder}: the draft cannot be written here (No space left on device); make room or allow writing,"
        " or name another folder for --out."
    )
    if exists:
        assert names_in(folder) == DRAFT_FILES
        assert source_of(folder) == "a.wav"
    else:
        assert not names_in(tmp_path)
