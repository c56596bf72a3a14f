"""The terms kept on disk: the same as made anew, whatever has become of the file."""

import os
from pathlib import Path

import pytest

from narrate2log.wording import term_cache
from narrate2log.wording.lexicon import load_lexicon
from narrate2log.wording.talk import talk
from narrate2log.wording.term_cache import cache_path, cached_terms
from narrate2log.wording.terms import Term, terms

LEXICON = load_lexicon()
TERMS = terms(LEXICON, talk())


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How often the terms were made."""
    calls: list[int] = []

    def make(*_: object) -> tuple[Term, ...]:
        calls.append(1)
        return TERMS

    monkeypatch.setattr(term_cache, "terms", make)
    return calls


def test_they_are_made_once_and_then_come_from_disk(made: list[int]) -> None:
    assert cached_terms(LEXICON) == cached_terms(LEXICON) == TERMS
    assert len(made) == 1
    assert [path.name for path in cache_path().parent.iterdir()] == ["terms.json"]


@pytest.mark.parametrize(
    "damage",
    [
        lambda data: b"",
        lambda data: data[: len(data) // 2],
        lambda data: data.replace(b"wye", b"why", 1),
        lambda data: data[:64] + b"0" + data[65:],
        lambda data: b"\xff\xfe\x00" + data,
        lambda data: b"[]",
    ],
)
def test_a_damaged_file_is_made_anew(damage, made: list[int]) -> None:  # type: ignore[no-untyped-def]
    cached_terms(LEXICON)
    whole = cache_path().read_bytes()
    damaged = damage(whole)
    assert damaged != whole
    cache_path().write_bytes(damaged)
    assert cached_terms(LEXICON) == TERMS
    assert len(made) == 2
    assert cache_path().read_bytes() == whole


def test_another_lexicon_has_terms_of_its_own(tmp_path: Path) -> None:
    (tmp_path / "defects.toml").write_text(
        '[[feature]]\nkey = "roots"\nkind = "defect"\nlabel = "Roots"\nsay = ["zorbling"]\n', encoding="utf-8"
    )
    cached_terms(LEXICON)
    mine = load_lexicon(tmp_path)
    assert mine.fingerprint != LEXICON.fingerprint == load_lexicon().fingerprint
    assert "zorbling" in {term.text for term in cached_terms(mine)}
    assert "zorbling" not in {term.text for term in cached_terms(LEXICON)}


def test_another_version_of_the_tool_makes_its_own(made: list[int], monkeypatch: pytest.MonkeyPatch) -> None:
    cached_terms(LEXICON)
    monkeypatch.setattr(term_cache, "_tool", lambda: "another")
    cached_terms(LEXICON)
    assert len(made) == 2


def test_where_nothing_may_be_written_it_works_all_the_same(
    made: list[int], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    monkeypatch.setenv("NARRATE2LOG_HOME", str(tmp_path / "file"))
    assert cached_terms(LEXICON) == cached_terms(LEXICON) == TERMS
    assert len(made) == 2


def test_a_write_that_fails_leaves_no_half_file(made: list[int], monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> None:
        raise OSError("full")

    monkeypatch.setattr(os, "replace", fail)
    assert cached_terms(LEXICON) == TERMS
    assert list(cache_path().parent.iterdir()) == []


def test_it_lies_in_the_users_cache_unless_a_home_is_named(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert cache_path().parent == Path(os.environ["NARRATE2LOG_HOME"])
    monkeypatch.delenv("NARRATE2LOG_HOME")
    assert cache_path() == tmp_path / "narrate2log" / "terms.json"
    monkeypatch.delenv("XDG_CACHE_HOME")
    assert cache_path() == Path.home() / ".cache" / "narrate2log" / "terms.json"
