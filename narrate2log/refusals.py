"""Refusals told to the person at the keyboard."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import typer

from narrate2log.errors import Refusal


@contextmanager
def told() -> Iterator[None]:
    """Turn a refusal into its sentence and its exit code."""
    try:
        yield
    except Refusal as refusal:
        tell(refusal)
        raise typer.Exit(refusal.exit_code) from refusal


def tell(what: object) -> None:
    """Say one sentence on standard error."""
    typer.echo(f"narrate2log: {what}", err=True)
