"""The command line. What a command needs is imported inside it, so that --help answers at once."""

from __future__ import annotations

import json
import logging
import sys
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from narrate2log import __version__
from narrate2log.errors import UnusableCommand, UnusableSource
from narrate2log.lexicon_cli import app as lexicon_app
from narrate2log.listen_cli import listen
from narrate2log.outcome import asking, summary, tell_cautions
from narrate2log.refusals import tell, told
from narrate2log.report_cli import report
from narrate2log.review_cli import log, review
from narrate2log.run_options import check_length, length_unit

if TYPE_CHECKING:
    from narrate2log.records import Draft

# The mark \b keeps the line breaks of a paragraph.
EXIT_CODES = """\b
Exit codes:
  0  done
  1  something unforeseen
  2  a command line that cannot be followed
  3  a recording, timed text or counter log that cannot be used
  4  no such speech model here, or a broken one
  5  a mistake in the lexicon, in what was learned or in a table of minimums
  6  an output folder that is taken or cannot be written, or a folder without a draft"""

# The largest pipe that any table of minimums here is for, twice over, inches.
LARGEST_IN = 96

app = typer.Typer(
    no_args_is_help=True,
    epilog=EXIT_CODES,
    # Importing rich would double the time that --help takes.
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
app.add_typer(lexicon_app, name="lexicon")
app.command(epilog=EXIT_CODES)(listen)
app.command(epilog=EXIT_CODES)(review)
app.command(epilog=EXIT_CODES)(log)
app.command(epilog=EXIT_CODES)(report)


def _show_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"narrate2log {__version__}")
        raise typer.Exit


@app.callback()
def main(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Show the version and stop."),
    ] = False,
) -> None:
    """Turn the spoken narration of a sewer lateral inspection into a table to review."""


@app.command(epilog=EXIT_CODES)
def draft(
    sources: Annotated[
        list[Path],
        typer.Argument(
            metavar="SOURCE",
            help="Recordings (sound or video) or timed texts (.vtt, .srt, the tool's own .json): the clips of"
            " one run, in order.",
        ),
    ],
    out: Annotated[Path, typer.Option(metavar="FOLDER", help="Where the draft goes.")],
    counter: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Log of the cable counter, with the columns time_s,distance."),
    ] = None,
    units: Annotated[
        str, typer.Option(metavar="ft|m", help="Unit of the distances said, logged and written.")
    ] = "ft",
    length: Annotated[
        float | None,
        typer.Option(metavar="N", help="How far the camera went in all, if it is known, from the last zero."),
    ] = None,
    model: Annotated[
        str | None,
        typer.Option(metavar="NAME|FOLDER", help="Speech model; without it the best one on this machine."),
    ] = None,
    each: Annotated[
        bool,
        typer.Option("--each", help="Each source is a run of its own, drafted into a folder below FOLDER."),
    ] = False,
    lexicon: Annotated[
        Path | None, typer.Option(metavar="FOLDER", help="Your own words, laid over those of the tool.")
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace the draft that FOLDER holds.")] = False,
    quiet: Annotated[bool, typer.Option("--quiet", help="Print nothing but errors.")] = False,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print the outcome as JSON, an object a line for each run.")
    ] = False,
) -> None:
    """Draft the table of observations from the recording of a run."""
    logging.basicConfig(format="narrate2log: %(message)s", level=logging.ERROR if quiet else logging.WARNING)
    exit_code = 0
    with told():
        unit = length_unit(units)
        check_length(length, unit)
        runs = _runs(sources, out, each=each, counter=counter)

        from narrate2log.draft import draft as draft_run
        from narrate2log.draft_folder import check_folder, write_draft

        for clips, folder in runs:
            check_folder(folder, inputs=_inputs(clips, counter), force=force)
        for clips, folder in runs:
            try:
                with _progress_bar(clips, quiet=quiet) as progress:
                    result = draft_run(
                        clips,
                        counter=counter,
                        units=unit,
                        length=length,
                        model=model,
                        lexicon_folder=lexicon,
                        progress=progress,
                    )
            except UnusableSource as refusal:
                # The other runs of an evening are drafted all the same.
                tell(refusal)
                exit_code = refusal.exit_code
                continue
            write_draft(result, folder, clips=clips, inputs=_inputs(clips, counter), force=force)
            if not quiet:
                tell_cautions(result)
            if as_json:
                typer.echo(json.dumps(_outcome(result, folder), ensure_ascii=False))
            elif not quiet:
                typer.echo(summary(result, folder))
    raise typer.Exit(exit_code)


@app.command(epilog=EXIT_CODES)
def track(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="A folder that holds a draft.")],
) -> None:
    """Show what tied the camera to distances in a draft, and why each was used or not."""
    with told():
        from narrate2log.draft_folder import read_track

        for line in read_track(folder):
            typer.echo(line)


@app.command(epilog=EXIT_CODES)
def slope(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="A folder that holds a draft.")],
    size: Annotated[
        str | None, typer.Option(metavar="INCHES", help="Pipe size; else as said in the run.")
    ] = None,
    code: Annotated[
        str | None, typer.Option(metavar="NAME", help="Table of minimum slopes, by its key; else ipc.")
    ] = None,
    material: Annotated[
        str | None, typer.Option(metavar="NAME", help="Pipe material, for the flow; else as said in the run.")
    ] = None,
    minimums: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Your own tables of minimum slopes, as TOML.")
    ] = None,
) -> None:
    """Print what the tilt readings of a draft tell of the slope, and what they cannot."""
    with told():
        from narrate2log.draft_folder import read_slope
        from narrate2log.report.slope_text import slope_text
        from narrate2log.slope.flow import ROUGHNESS
        from narrate2log.slope.minimums import USUAL, choose, load_tables
        from narrate2log.wording.lexicon import load_names

        if material is not None and material not in ROUGHNESS:
            raise UnusableCommand(
                f"--material: unknown material '{material}'; use one of {', '.join(ROUGHNESS)}."
            )
        inches = None if size is None else _inches(size)
        table = choose(load_tables(minimums), code or USUAL)
        profiles, flushes, unit = read_slope(folder)
        labels = {key: str(entry["label"]) for key, entry in load_names().materials.items()}
        typer.echo(
            slope_text(profiles, flushes, unit, code=table, size_in=inches, material=material, labels=labels)
        )


def _inches(size: str) -> float:
    try:
        inches = float(size)
    except ValueError:
        inches = 0.0
    if not 1 <= inches <= LARGEST_IN:
        raise UnusableCommand(
            f"--size: '{size}' is no pipe size; give inches as a number, 1 to {LARGEST_IN}."
        )
    return inches


def _runs(
    sources: Sequence[Path], out: Path, *, each: bool, counter: Path | None
) -> list[tuple[list[Path], Path]]:
    """The clips of each run, and its folder."""
    if not each:
        return [(list(sources), out)]
    if counter and len(sources) > 1:
        raise UnusableCommand(
            f"--counter: {counter} is the log of one run; draft that run alone, without --each."
        )
    by_stem: dict[str, Path] = {}
    for source in sources:
        other = by_stem.setdefault(source.stem, source)
        if other is not source:
            raise UnusableCommand(
                f"--each: {other} and {source} would share the folder {out / source.stem}; rename one of"
                " them."
            )
    return [([source], out / stem) for stem, source in by_stem.items()]


def _inputs(clips: Sequence[Path], counter: Path | None) -> list[Path]:
    return [*clips, counter] if counter else list(clips)


def _progress_bar(
    clips: Sequence[Path], *, quiet: bool
) -> AbstractContextManager[Callable[[float], None] | None]:
    """A bar, if there is someone to see it and something to listen to."""
    from narrate2log.hearing.hear import is_timed_text

    if quiet or not sys.stderr.isatty() or all(map(is_timed_text, clips)):
        return nullcontext()
    from narrate2log.progress_bar import progress_bar

    more = f" and {len(clips) - 1} more" if len(clips) > 1 else ""
    return progress_bar(f"Listening to {clips[0].name}{more}")


def _outcome(result: Draft, folder: Path) -> dict[str, object]:
    return {
        "folder": str(folder),
        "rows": len(result.observations),
        "asking": asking(result),
        "offers": len(result.offers),
        "problems": list(result.problems),
    }
