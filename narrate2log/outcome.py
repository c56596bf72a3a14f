"""What a command says of the draft it made."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from narrate2log.units import mm_to_length

if TYPE_CHECKING:
    from narrate2log.records import Draft


def tell_cautions(result: Draft) -> None:
    """Say at once what cannot wait for the review."""
    from narrate2log.table.cautions import warning

    for caution in result.cautions:
        if caution.first:
            places = ", ".join(
                "at an unknown distance"
                if mm is None
                else f"at {mm_to_length(mm, result.units)} {result.units}"
                for mm in caution.at_mm
            )
            typer.echo(f"CAUTION, {places}: {warning(caution.text, caution.defer_to)}", err=True)


def asking(result: Draft) -> int:
    """How many rows of a draft ask for a look."""
    return sum(bool(seen.check) for seen in result.observations)


def summary(result: Draft, folder: Path) -> str:
    """How much there is, what is odd about it, and what to do next."""
    rows, ask = len(result.observations), asking(result)
    table, transcript = folder / "observations.csv", folder / "transcript.vtt"
    counted = f"{rows} row{'s' * (rows != 1)}, {ask or 'none'} to look at."
    if not rows:
        counted = "no rows; nothing was heard that tells of the pipe."
        to_do = f"read {transcript}; if it lacks the narration, check the recording's sound."
    elif not ask:
        to_do = f"read {table} once before you send it on."
    else:
        to_do = f"run `narrate2log review {folder}` and settle each row that gives a reason under 'check'."
    notes = [f"Note: {problem}" for problem in result.problems]
    if result.offers:
        count = len(result.offers)
        notes.append(
            f"Note: {count} phrase{'s' * (count != 1)} may be mis-heard trade words; they stand with their"
            f" choices under 'offers' in {folder / 'observations.json'}."
        )
    return "\n".join([f"{folder}: {counted}", *notes, f"Next: {to_do}"])
