"""Decisions on disk: none that counts is lost, none that does not is counted, whatever befalls the file."""

from __future__ import annotations

import errno
import json
import os
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from log.journal_lines import decision
from narrate2log.errors import UnusableFolder
from narrate2log.log.journal import Journal, NotKept

TEXTS = st.text(max_size=20)


def filled(folder: Path, count: int) -> Journal:
    journal = Journal(folder)
    with journal.turn():
        for n in range(1, count + 1):
            journal.append(decision(n, after={"remark": f'Ästhetik "{n}"\nnext line \u2028'}))
    return journal


def test_what_was_appended_is_read_again(tmp_path: Path) -> None:
    journal = filled(tmp_path, 3)
    assert Journal(tmp_path).decisions == journal.decisions
    assert len((tmp_path / "decisions.jsonl").read_bytes().splitlines()) == 3


@settings(max_examples=50, deadline=None)
@given(st.dictionaries(TEXTS, st.one_of(TEXTS, st.none(), st.floats(allow_nan=False, allow_infinity=False))))
def test_any_text_survives(tmp_path_factory: pytest.TempPathFactory, after: dict[str, object]) -> None:
    folder = tmp_path_factory.mktemp("any")
    journal = Journal(folder)
    with journal.turn():
        journal.append(decision(1, after=after))
    assert Journal(folder).decisions[0].after == after


def test_a_tail_torn_at_any_byte_costs_no_whole_line(tmp_path: Path) -> None:
    whole = filled(tmp_path, 3)
    content = (tmp_path / "decisions.jsonl").read_bytes()
    ends = [at + 1 for at, byte in enumerate(content) if byte == ord("\n")]
    for cut in range(len(content) + 1):
        (tmp_path / "decisions.jsonl").write_bytes(content[:cut])
        (tmp_path / "decisions.torn").unlink(missing_ok=True)
        kept = sum(end <= cut for end in ends)
        journal = Journal(tmp_path)
        assert journal.decisions == whole.decisions[:kept]
        with journal.turn():
            journal.append(decision(kept + 1))
        again = Journal(tmp_path)
        assert again.decisions == [*whole.decisions[:kept], decision(kept + 1)]
        torn = content[ends[kept - 1] if kept else 0 : cut]
        aside = tmp_path / "decisions.torn"
        assert (aside.read_bytes() if aside.exists() else b"") == (torn + b"\n" if torn else b"")


def test_a_last_line_that_is_no_decision_is_set_aside(tmp_path: Path) -> None:
    filled(tmp_path, 2)
    with (tmp_path / "decisions.jsonl").open("ab") as file:
        file.write(b"\0\0\0\n")
    journal = Journal(tmp_path)
    assert len(journal.decisions) == 2
    with journal.turn():
        journal.append(decision(3))
    assert [one.n for one in Journal(tmp_path).decisions] == [1, 2, 3]
    assert (tmp_path / "decisions.torn").read_bytes() == b"\0\0\0\n"


@pytest.mark.parametrize(
    ("line", "wrong"),
    [
        (b"no decision", "it is not JSON"),
        (b"[1]", "it needs after, at, before"),
        (b'{"n": 2}', "it needs after, at, before"),
        (json.dumps({**json.loads('{"n": 7}')}).encode(), "it needs"),
        (None, "its number is 7, and 2 is due"),
        ("kind", "unknown kind 'blessed'"),
    ],
)
def test_a_bad_line_in_the_middle_is_refused_by_file_and_line(
    tmp_path: Path, line: bytes | str | None, wrong: str
) -> None:
    filled(tmp_path, 3)
    path = tmp_path / "decisions.jsonl"
    lines = path.read_bytes().splitlines()
    told = json.loads(lines[1])
    if line is None:
        line = json.dumps({**told, "n": 7}).encode()
    if line == "kind":
        line = json.dumps({**told, "kind": "blessed"}).encode()
    assert isinstance(line, bytes)
    path.write_bytes(b"\n".join([lines[0], line, lines[2]]) + b"\n")
    with pytest.raises(UnusableFolder) as refusal:
        Journal(tmp_path)
    assert str(refusal.value).startswith(f"{path}, line 2: this is no decision ({wrong}")


@pytest.mark.parametrize("fails_at", ["fsync", "write"])
def test_a_full_disk_refuses_the_decision_and_leaves_the_journal_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fails_at: str
) -> None:
    journal = filled(tmp_path, 2)
    before = (tmp_path / "decisions.jsonl").read_bytes()

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    def half(file: object, content: bytes) -> None:
        file.write(content[:10])  # type: ignore[attr-defined]
        full()

    with monkeypatch.context() as patch:
        if fails_at == "fsync":
            patch.setattr(os, "fsync", full)
        else:
            patch.setattr("narrate2log.journal_file._write_all", half)
        with journal.turn(), pytest.raises(NotKept, match="No space left on device"):
            journal.append(decision(3))
    assert (tmp_path / "decisions.jsonl").read_bytes() == before
    assert len(journal.decisions) == 2
    with journal.turn():
        journal.append(decision(3))
    assert Journal(tmp_path).decisions == journal.decisions


def test_two_hold_one_journal(tmp_path: Path) -> None:
    one, other = Journal(tmp_path), Journal(tmp_path)
    with one.turn():
        one.append(decision(1))
    with other.turn():
        assert [d.n for d in other.decisions] == [1]
        other.append(decision(2, row="s"))
    assert one.refresh()
    assert one.decisions == other.decisions
    assert not one.refresh()


def test_a_journal_that_shrank_or_went_is_refused(tmp_path: Path) -> None:
    journal = filled(tmp_path, 2)
    path = tmp_path / "decisions.jsonl"
    content = path.read_bytes()
    path.write_bytes(content[:20])
    with pytest.raises(UnusableFolder, match="another program changed it"):
        journal.refresh()
    path.unlink()
    with pytest.raises(UnusableFolder, match="taken away"):
        journal.refresh()
    path.write_bytes(content)
    assert not journal.refresh()
