"""`narrate2log listen`: rows while they are spoken, and the draft when the run is over."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from contextlib import ExitStack, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from narrate2log.errors import UnusableCommand
from narrate2log.outcome import summary, tell_cautions
from narrate2log.refusals import told
from narrate2log.run_options import check_length, length_unit

if TYPE_CHECKING:
    from narrate2log.listening.counter import Clip, FollowedCounter
    from narrate2log.listening.live_journal import Told
    from narrate2log.listening.rows import LiveRow
    from narrate2log.listening.run import Screen
    from narrate2log.listening.tones import Tones
    from narrate2log.records import Mark
    from narrate2log.units import LengthUnit

BY_KEY = "q ends the run and drafts the table. Closing the terminal ends it too, and keeps everything."
BY_SOUND = "The run ends with its sound. Closing the terminal ends it too, and keeps everything."
# No machine hears faster.
FASTEST = 100.0


@dataclass(frozen=True)
class _Wanted:
    """What the command line asked for, checked."""

    folder: Path
    resumed: bool
    source: str | None
    pace: float
    device: str | None
    check: bool
    counter: Path | None
    units: LengthUnit
    length: float | None
    model: str | None
    lexicon: Path | None
    mute: Sequence[str]
    plain: bool


def listen(
    out: Annotated[Path | None, typer.Option(metavar="FOLDER", help="Where run and draft go.")] = None,
    resume: Annotated[
        Path | None, typer.Option(metavar="FOLDER", help="Go on in a run that was broken off.")
    ] = None,
    finish: Annotated[
        bool, typer.Option("--finish", help="With --resume: listen no more, draft what was recorded.")
    ] = False,
    source: Annotated[
        str | None,
        typer.Option(
            "--from",
            metavar="FILE|-",
            help="A recording in place of the microphone, or - for 16 bit samples, one channel, 16 kHz.",
        ),
    ] = None,
    pace: Annotated[
        float, typer.Option(metavar="N", help="How many times as fast as spoken a recording is played.")
    ] = 1.0,
    device: Annotated[
        str | None, typer.Option(metavar="NAME|N", help="The microphone; without it the usual one.")
    ] = None,
    devices: Annotated[bool, typer.Option("--devices", help="List the microphones and stop.")] = False,
    check: Annotated[
        bool | None,
        typer.Option(
            "--check/--no-check",
            help="A spoken check before the start, which is not recorded; usual with a microphone.",
        ),
    ] = None,
    counter: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="Log of the cable counter that grows meanwhile; time_s from the start on."
        ),
    ] = None,
    units: Annotated[
        str, typer.Option(metavar="ft|m", help="Unit of the distances said, logged and written.")
    ] = "ft",
    length: Annotated[
        float | None, typer.Option(metavar="N", help="How far the camera went in all, for the draft.")
    ] = None,
    model: Annotated[
        str | None,
        typer.Option(
            metavar="NAME|FOLDER",
            help="Speech model; without it the quickest one here to listen, and the best one for the draft.",
        ),
    ] = None,
    lexicon: Annotated[
        Path | None, typer.Option(metavar="FOLDER", help="Your own words, laid over those of the tool.")
    ] = None,
    mute: Annotated[
        list[str] | None, typer.Option(metavar="taken|look|lost|trouble|all", help="A tone to leave out.")
    ] = None,
    plain: Annotated[bool, typer.Option("--plain", help="A line for each row, and no large view.")] = False,
) -> None:
    """Listen during the push: rows as they are spoken, all of it kept, and the draft at the end."""
    with told():
        if devices:
            from narrate2log.listening.sound import describe_devices, load_sounddevice

            typer.echo("\n".join(describe_devices(load_sounddevice())))
            return
        if (out is None) == (resume is None):
            raise UnusableCommand("--out: give it for a new run, or --resume for one that was broken off.")
        if finish and resume is None:
            raise UnusableCommand("--finish: it goes with --resume and the folder of a run broken off.")
        if not 0 < pace <= FASTEST:
            raise UnusableCommand(f"--pace: {pace:g} is no pace; give a number above 0, to {FASTEST:g}.")
        unit = length_unit(units)
        check_length(length, unit)
        wanted = _Wanted(
            folder=resume or out or Path(),
            resumed=resume is not None,
            source=source,
            pace=pace,
            device=device,
            check=source is None if check is None else check,
            counter=counter,
            units=unit,
            length=length,
            model=model,
            lexicon=lexicon,
            mute=mute or (),
            plain=plain or not sys.stdout.isatty(),
        )
        _finish_only(wanted) if finish else _listen(wanted)


def _options(wanted: _Wanted) -> dict[str, Any]:
    """What a run that is taken up again goes on with, if nothing else is asked for then."""
    return {
        "counter": None if wanted.counter is None else str(wanted.counter.absolute()),
        "length": wanted.length,
        "model": wanted.model,
        "lexicon": None if wanted.lexicon is None else str(wanted.lexicon.absolute()),
    }


def _as_begun(wanted: _Wanted, run: Told) -> _Wanted:
    """What is wanted now, and for the rest what the run was begun with."""
    kept = {name: value for name, value in run.options.items() if value is not None}
    return replace(
        wanted,
        units=run.units if run.clips else wanted.units,
        counter=wanted.counter or (Path(kept["counter"]) if "counter" in kept else None),
        length=wanted.length or kept.get("length"),
        model=wanted.model or kept.get("model"),
        lexicon=wanted.lexicon or (Path(kept["lexicon"]) if "lexicon" in kept else None),
    )


def _finish_only(wanted: _Wanted) -> None:
    from narrate2log.listening.counter import FollowedCounter
    from narrate2log.listening.folder import only_here, take_up

    with only_here(wanted.folder, resumed=True):
        journal, run, _ = take_up(wanted.folder)
        wanted = _as_begun(wanted, run)
        if not run.ended:
            journal.append("ended")
        counter = None if wanted.counter is None else FollowedCounter(wanted.counter, run.units)
        rows = [row for row in run.rows if not row.gone]
        _draft(wanted, run, counter, run.times, rows, run.marks)


def _listen(wanted: _Wanted) -> None:
    from narrate2log.hearing.growing import GrowingHearing
    from narrate2log.hearing.models import find_quick_model
    from narrate2log.listening.check import spoken_check
    from narrate2log.listening.ending import endings
    from narrate2log.listening.folder import begin, check_new, go_on, only_here, tail, take_up
    from narrate2log.listening.listener import Listener
    from narrate2log.listening.live_journal import Told
    from narrate2log.listening.run import Listening
    from narrate2log.listening.sound import open_sound
    from narrate2log.listening.table import Table
    from narrate2log.listening.tones import Tones, muted
    from narrate2log.wording.learned import load_learned
    from narrate2log.wording.lexicon import load_lexicon

    tones = Tones(_loudspeaker(), muted(wanted.mute))
    with ExitStack() as stack:
        stack.enter_context(only_here(wanted.folder, resumed=wanted.resumed))
        run = Told()
        if wanted.resumed:
            journal, run, length_ms = take_up(wanted.folder)
            wanted = _as_begun(wanted, run)
        else:
            check_new(wanted.folder)
        words = load_lexicon(wanted.lexicon)
        learned, problems = load_learned()
        model = find_quick_model(wanted.model)
        hearing = GrowingHearing(model, words.prompt(), run.until_ms)
        # The first window takes longer than all others; nobody should wait for it while he speaks.
        hearing.warm_up()
        with ExitStack() as shown:
            sound = shown.enter_context(open_sound(wanted.source, wanted.pace, wanted.device))
            if wanted.check:
                ears = GrowingHearing(model, words.prompt())
                sound, wrong = spoken_check(sound, ears, _say, _show_level)
                problems = (*problems, *wrong)
            if wanted.resumed:
                early = tail(wanted.folder, run)
                run = replace(run, units=wanted.units, options=_options(wanted))
                journal, recording, run = go_on(wanted.folder, journal, run, length_ms)
                hearing.feed(early)
            else:
                journal, recording, run = begin(wanted.folder, wanted.units, _options(wanted))
            table = Table(run, words, learned, wanted.counter)
            listener = Listener(hearing, table, journal, run)
            screen = _screen(wanted, run.units, tones, shown)
            for problem in problems:
                screen.trouble(problem)
            listening = Listening(sound, recording, hearing, listener, journal, screen)
            to_draft = shown.enter_context(endings(listening.stop))
            listening.run()
        if not to_draft():
            # The terminal may be gone.
            with suppress(OSError):
                typer.echo(
                    f"{wanted.folder}: the run is kept; draft it with `narrate2log listen --resume"
                    f" {wanted.folder} --finish`, or go on in it without --finish."
                )
            return
        _draft(wanted, run, table.counter, table.times, listener.rows.standing, listener.marks)


def _draft(
    wanted: _Wanted,
    run: Told,
    counter: FollowedCounter | None,
    times: Sequence[Clip],
    rows: Sequence[LiveRow],
    marks: Sequence[Mark],
) -> None:
    from narrate2log.listening.folder import finish

    typer.echo("The whole recording is heard once more for the draft ...", err=True)
    made = finish(
        wanted.folder,
        run,
        counter=counter,
        times=times,
        length=wanted.length,
        model=wanted.model,
        lexicon_folder=wanted.lexicon,
        rows=rows,
        marks=marks,
    )
    tell_cautions(made)
    typer.echo(summary(made, wanted.folder))


def _say(sentence: str) -> None:
    """A line of its own, over the meter where there is one."""
    typer.echo(f"\r\033[K{sentence}" if sys.stdout.isatty() else sentence)


def _show_level(db: float) -> None:
    from narrate2log.listening.screens import level_bar

    if sys.stdout.isatty():
        typer.echo(f"\r{level_bar(db).plain}  ", nl=False)


def _screen(wanted: _Wanted, units: LengthUnit, tones: Tones, shown: ExitStack) -> Screen:
    from narrate2log.listening.ending import has_keys
    from narrate2log.listening.screens import LargeScreen, PlainScreen

    if wanted.plain:
        return PlainScreen(typer.echo, tones)
    from rich.console import Console

    how_to_end = BY_KEY if has_keys() else BY_SOUND
    return shown.enter_context(LargeScreen(Console(), units, tones, how_to_end))


def _loudspeaker() -> Any:
    """The module that plays tones, or None: without it there are none."""
    from narrate2log.listening.sound import load_sounddevice

    try:
        return load_sounddevice()
    except UnusableCommand:
        return None
