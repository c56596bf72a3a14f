"""A drafted run to be reviewed: invented, short, with something of each that asks."""

from __future__ import annotations

import shutil
from functools import cache
from pathlib import Path

import pytest

from narrate2log.draft import draft
from narrate2log.draft_folder import write_draft
from narrate2log.records import Draft
from narrate2log.wording.lexicon import Lexicon, load_lexicon

LINES = (
    (10, "Zero the counter at the cleanout, four inch clay pipe."),
    (20, "Starting out, heading down to the main."),
    (40, "Ten feet. There's a crack at three o'clock."),
    (60, "Twenty feet. Might be a root here, not sure."),
    (80, "Thirty feet. There's a belly here, about two inches deep."),
    (100, "Forty feet. A fibble on the left side."),
    (110, "We have a fibble on the right again."),
    (120, "Fifty feet. Heavy roots on the left, thirty percent."),
    (140, "Sixty feet. Nothing to see but water moving along."),
    (150, "Sixty five feet. And so on we go, slowly, as they said this morning, a clean outlet."),
    (160, "Seventy feet, there's the why settle, and that's the city main."),
    (172, "There's heavy grease past the clean outlet."),
    (180, "Seventy four feet, coming back out."),
)


def vtt(lines: tuple[tuple[int, str], ...] = LINES) -> str:
    cues = [f"{_stamp(second)} --> {_stamp(second + 5)}\n{text}\n\n" for second, text in lines]
    return "WEBVTT\n\n" + "".join(cues)


def _stamp(second: int) -> str:
    return f"00:{second // 60:02}:{second % 60:02}.000"


@pytest.fixture(scope="session")
def drafted_once(tmp_path_factory: pytest.TempPathFactory) -> tuple[Draft, Path]:
    place = tmp_path_factory.mktemp("review")
    source = place / "run.vtt"
    source.write_text(vtt(), encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("NARRATE2LOG_HOME", str(place / "home"))
        made = draft([source])
    write_draft(made, place / "run")
    return made, place / "run"


@pytest.fixture(autouse=True)
def read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The lexicon is read for the first session only: it takes longer than all that is tested here."""
    for reader in ("narrate2log.review.session.load_lexicon", "narrate2log.log.document.load_names"):
        monkeypatch.setattr(reader, _lexicon)


@cache
def _lexicon(folder: Path | None = None) -> Lexicon:
    return load_lexicon(folder)


@pytest.fixture
def folder(drafted_once: tuple[Draft, Path], tmp_path: Path) -> Path:
    """The folder of a draft that nobody has looked at."""
    return Path(shutil.copytree(drafted_once[1], tmp_path / "run"))
