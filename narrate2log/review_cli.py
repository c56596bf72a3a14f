"""`narrate2log review` and `narrate2log log`: a draft gone through by a person, and what came of it."""

from __future__ import annotations

import getpass
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from narrate2log.refusals import told

if TYPE_CHECKING:
    from narrate2log.log import Log

Folder = Annotated[Path, typer.Argument(metavar="FOLDER", help="A folder that holds a draft.")]
LexiconFolder = Annotated[
    Path | None,
    typer.Option("--lexicon", metavar="FOLDER", help="Your own words, laid over those of the tool."),
]


def review(
    folder: Folder,
    text: Annotated[bool, typer.Option("--text", help="Here in the terminal, without a browser.")] = False,
    by: Annotated[
        str | None, typer.Option(metavar="NAME", help="Who reviews; without it, who is logged in.")
    ] = None,
    port: Annotated[
        int | None,
        typer.Option(metavar="N", min=1, max=65535, help="Where the page is served; without it a free one."),
    ] = None,
    lexicon: LexiconFolder = None,
) -> None:
    """Go through what a draft asks, by ear and by key; every answer is kept as it is given."""
    with told():
        from narrate2log.review.session import Session

        session = Session.open(folder, by=by or _login(), lexicon_folder=lexicon)
        try:
            if text:
                _in_the_terminal(session, folder)
            else:
                from narrate2log.review.server import serve

                serve(session, port=port)
        finally:
            session.write_log()
        typer.echo(_summary(session.log(), folder))


def log(folder: Folder, lexicon: LexiconFolder = None) -> None:
    """Write log.json and log.csv: the draft with every decision, and how much still waits."""
    with told():
        from narrate2log.log import read_log
        from narrate2log.report.log_files import write_log

        made = read_log(folder, lexicon_folder=lexicon)
        write_log(made, folder)
    typer.echo(_summary(made, folder))


def _in_the_terminal(session: Any, folder: Path) -> None:
    from rich.console import Console

    from narrate2log.recordings import read_recordings
    from narrate2log.review.sound import Player
    from narrate2log.review.terminal import Keys, Terminal

    console = Console(highlight=False, soft_wrap=not sys.stdout.isatty())
    player = Player(session.sources, read_recordings(folder))
    Terminal(session, Keys(sys.stdin, console), console, player).run()


def _login() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return "unnamed"


def _summary(log: Log, folder: Path) -> str:
    """How many rows, what became of them, who looked and how much waits."""
    states = [row["review"]["state"] for row in log.rows]
    counted = ", ".join(
        f"{count} {name}"
        for name, count in (
            ("right as drafted", states.count("stands")),
            ("changed", states.count("changed")),
            ("added", states.count("added")),
            ("taken out or joined", len(log.dropped)),
            ("not looked at", states.count("unseen")),
        )
        if count
    )
    review = log.review
    who = (
        f"Reviewed by {', '.join(review['by'])}, last at {review['last']}."
        if review["by"]
        else "Not reviewed."
    )
    waiting = review["waiting"]
    waits = f"{waiting} still wait{'s' * (waiting == 1)}" if waiting else "nothing waits any more"
    to_do = (
        f"run `narrate2log review {folder}` to settle the rest."
        if waiting
        else f"read {folder / 'log.csv'} once before you send it on."
    )
    rows = len(log.rows)
    notes = "".join(f"Note: {problem}\n" for problem in log.problems)
    counts = f"{folder}: {rows} row{'s' * (rows != 1)}: {counted or 'none'}; {waits}."
    return f"{counts}\n{who}\n{notes}Next: {to_do}"
