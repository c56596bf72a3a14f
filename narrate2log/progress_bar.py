"""A bar on stderr for as long as a recording is listened to. Imports rich, so import it late."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import BarColumn, Progress, ProgressColumn, Task, TaskProgressColumn, TextColumn
from rich.text import Text


class TimeLeft(ProgressColumn):
    """The time left, if what is still to do takes as long as its like took so far.

    rich's own column goes by the last few seconds, but the recogniser gets things done in bursts.
    """

    def render(self, task: Task) -> Text:
        """Minutes and seconds, or nothing before the first part is done."""
        if not task.completed:
            return Text()
        left = max(0, round(task.fields["whole_s"] - (task.elapsed or 0)))
        return Text(f"{left // 60}:{left % 60:02} left")


@contextmanager
def progress_bar(label: str) -> Iterator[Callable[[float], None]]:
    """Show the bar; what it yields is called with the part done, 0 to 1."""
    columns = (TextColumn("{task.description}", markup=False), BarColumn(), TaskProgressColumn(), TimeLeft())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task_id = bar.add_task(label, total=1)
        task = bar.tasks[0]

        def progress(part: float) -> None:
            whole_s = (task.elapsed or 0) / part if part else 0
            bar.update(task_id, completed=part, whole_s=whole_s)

        yield progress
