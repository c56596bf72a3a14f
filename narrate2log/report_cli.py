"""`narrate2log report`: what the client, the plumber and the office get."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from narrate2log.refusals import told

if TYPE_CHECKING:
    from narrate2log.outgoing.make import Outcome


def report(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="A folder that holds a draft or a log.")],
    formats: Annotated[
        list[str] | None,
        typer.Option(
            "--format",
            metavar="NAME",
            help="pdf, html, xlsx, csv, json, vtt, srt or chapters; any number of times. Else pdf and html.",
        ),
    ] = None,
    out: Annotated[
        Path | None, typer.Option(metavar="FOLDER", help="Where the files go; else into FOLDER.")
    ] = None,
    job: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Who, when and where, as TOML; else job.toml in FOLDER."),
    ] = None,
    video: Annotated[
        list[Path] | None,
        typer.Option(metavar="FILE", help="Video in step with the recording, one for each of its clips."),
    ] = None,
    template: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Your own Typst template of the PDF.")
    ] = None,
    lexicon: Annotated[
        Path | None, typer.Option(metavar="FOLDER", help="Your own words, as the draft was made with.")
    ] = None,
    words: Annotated[
        bool, typer.Option("--words", help="Also what was said, as it was heard: names, prices and all.")
    ] = False,
    redact: Annotated[
        bool, typer.Option("--redact", help="No names, no place, no pictures: fields and remarks only.")
    ] = False,
    unsent: Annotated[
        bool, typer.Option("--unsent", help="The last report never left the house, so this amends nothing.")
    ] = False,
    show_template: Annotated[
        bool, typer.Option("--show-template", help="Print the tool's own template, to copy and change.")
    ] = False,
    quiet: Annotated[bool, typer.Option("--quiet", help="Print nothing but cautions and errors.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print the outcome as a JSON object.")] = False,
) -> None:
    """Write the report of a run, and the files that go with it."""
    from datetime import datetime

    with told():
        from narrate2log.outgoing.make import Asked, make_report
        from narrate2log.outgoing.pdf import TEMPLATE

        if show_template:
            typer.echo(TEMPLATE.read_text(encoding="utf-8"), nl=False)
            return
        asked = Asked(
            formats=formats or (),
            out=out,
            job=job,
            videos=video or (),
            template=template,
            lexicon=lexicon,
            words=words,
            redacted=redact,
            unsent=unsent,
        )
        outcome = make_report(
            folder, asked, now=datetime.now().astimezone(), bar=lambda: _progress_bar(quiet=quiet)
        )
        from narrate2log.table.cautions import warning

        for caution in outcome.report.cautions:
            if caution.first:
                where = f", {caution.where}" if caution.where else ""
                typer.echo(f"CAUTION{where}: {warning(caution.text, caution.defer_to)}", err=True)
        if as_json:
            typer.echo(json.dumps(_outcome(outcome), ensure_ascii=False))
        elif not quiet:
            typer.echo(_summary(outcome))


def _progress_bar(*, quiet: bool) -> AbstractContextManager[Callable[[float], None] | None]:
    if quiet or not sys.stderr.isatty():
        return nullcontext()
    from narrate2log.progress_bar import progress_bar

    return progress_bar("Looking for pictures")


def _outcome(outcome: Outcome) -> dict[str, object]:
    return {
        "files": [str(path) for path in outcome.files],
        "draft": outcome.report.stamp is not None,
        "amends": outcome.report.amended and outcome.report.amended.since,
        "missing": list(outcome.problems),
    }


def _summary(outcome: Outcome) -> str:
    """What was written, what is missing, and what to do next."""
    report = outcome.report
    lines = [f"Written: {path}" for path in outcome.files]
    lines += [f"Missing: {problem}" for problem in outcome.problems]
    if not any(finding.pictures for finding in report.findings) and report.findings:
        lines.append("Note: there are no pictures; if there is a video of the run, name it with --video.")
    if report.amended:
        lines.append(
            f"Note: it says that it amends the report made {report.amended.since}; if that one never left the"
            " house, make it again with --unsent."
        )
    if report.stamp:
        lines.append(f"Next: it is stamped '{report.stamp}'; review the rows before it goes to anybody.")
    else:
        lines.append("Next: read it once before you send it.")
    return "\n".join(lines)
