"""`narrate2log listen` in a terminal: the large view, the key that ends it, and a terminal that is closed."""

from __future__ import annotations

import os
import select
import subprocess
import sys
import time
from pathlib import Path

import pytest

from narrate2log.listening.live_journal import LiveJournal
from narrate2log.listening.recording import mend

if sys.platform == "win32":
    pytest.skip("pseudo terminals of Unix", allow_module_level=True)

import fcntl
import pty
import termios

SAMPLE = Path(__file__).parents[1] / "samples" / "narration.ogg"
PROGRAM = [sys.executable, "-c", "from narrate2log.cli import app; app()", "listen", "--model", "tiny.en"]


class Terminal:
    """A program in a terminal of its own."""

    def __init__(self, arguments: list[str]) -> None:
        self.master, inner = pty.openpty()
        self.program = subprocess.Popen(
            [*PROGRAM, *arguments],
            stdin=inner,
            stdout=inner,
            stderr=inner,
            start_new_session=True,
            # Its controlling terminal, so that closing it is told by a signal.
            preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0),
        )
        os.close(inner)
        self.seen = ""

    def wait_for(self, text: str, seconds: float = 60) -> None:
        end = time.monotonic() + seconds
        while text not in self.seen:
            assert time.monotonic() < end, self.seen[-2000:]
            if select.select([self.master], [], [], 0.2)[0]:
                try:
                    self.seen += os.read(self.master, 65_536).decode("utf-8", "replace")
                except OSError:
                    break
        assert text in self.seen

    def press(self, key: bytes) -> None:
        os.write(self.master, key)


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("NARRATE2LOG_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("COLUMNS", "90")
    monkeypatch.setenv("LINES", "30")
    return tmp_path


@pytest.mark.speech
def test_the_large_view_and_the_key_that_ends_the_run(home: Path) -> None:
    terminal = Terminal(["--from", str(SAMPLE), "--pace", "8", "--out", str(home / "run")])
    terminal.wait_for("Counter zeroed at 0.0 ft.")
    assert "recording" in terminal.seen
    assert "q ends the run" in terminal.seen
    # Neither another key nor an arrow, as the wheel sends it, ends the run.
    terminal.press(b"x")
    terminal.press(b"\x1b[A")
    time.sleep(1)
    assert terminal.program.poll() is None
    terminal.press(b"xq")
    terminal.wait_for("narrate2log review", 120)
    assert terminal.program.wait(20) == 0
    # It was the key that ended it: the sample goes on to 351 s.
    assert mend(home / "run" / "sound-1.wav") < 300_000
    assert LiveJournal(home / "run" / "live.jsonl").told().ended
    assert (home / "run" / "observations.json").exists()


@pytest.mark.speech
def test_a_terminal_that_is_closed_ends_the_run_and_keeps_it(home: Path) -> None:
    terminal = Terminal(["--from", str(SAMPLE), "--pace", "8", "--out", str(home / "run")])
    terminal.wait_for("Counter zeroed at 0.0 ft.")
    os.close(terminal.master)
    assert terminal.program.wait(30) == 0
    told = LiveJournal(home / "run" / "live.jsonl").told()
    assert told.ended
    assert "counter-reset" in {row.told.feature for row in told.rows}
    assert not (home / "run" / "observations.json").exists()
