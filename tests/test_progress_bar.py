import io
import re
import sys

import pytest
from rich.console import Console
from rich.progress import Progress

from narrate2log.progress_bar import TimeLeft, progress_bar


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_percent_and_time_left_on_stderr_only(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    monkeypatch.setenv("TERM", "xterm")
    with progress_bar("Listening to [a].wav") as progress:
        progress(0.0)
        progress(0.5)
        progress(1.0)
    shown = re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", terminal.getvalue())
    assert "Listening to [a].wav" in shown
    assert "100% 0:00 left" in shown
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize(
    ("done", "whole_s", "elapsed_s", "shown"),
    [
        (0.0, 0.0, 20.0, ""),
        (0.25, 80.0, 20.0, "1:00 left"),
        (0.25, 80.0, 27.4, "0:53 left"),
        (0.25, 80.0, 99.0, "0:00 left"),
        (0.1, 4000.0, 400.0, "60:00 left"),
    ],
)
def test_what_is_left_takes_as_long_as_its_like(
    done: float, whole_s: float, elapsed_s: float, shown: str
) -> None:
    clock = iter([0.0, elapsed_s])
    bar = Progress(console=Console(file=io.StringIO()), get_time=lambda: next(clock, elapsed_s))
    bar.update(bar.add_task("", total=1, whole_s=whole_s), completed=done)
    assert TimeLeft().render(bar.tasks[0]).plain == shown
