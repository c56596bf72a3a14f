"""`narrate2log lexicon`: what a phrase would become and why, and what the user has taught."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from narrate2log.errors import UnusableCommand
from narrate2log.refusals import tell, told

if TYPE_CHECKING:
    from narrate2log.wording.learned import Learned

app = typer.Typer(
    no_args_is_help=True, rich_markup_mode=None, help="See and teach how mis-heard trade words are read."
)
LexiconFolder = Annotated[
    Path | None,
    typer.Option("--lexicon", metavar="FOLDER", help="Your own words, laid over those of the tool."),
]
# Candidates shown for a phrase; what scores less than this hardly counts.
LEAST_SHOWN = 0.005
MOST_SHOWN = 30
# How long a word of a phrase that has no times is taken to last.
WORD_MS = 2_000


@app.command()
def check(lexicon: LexiconFolder = None) -> None:
    """Check the lexicon, and list terms that sound like another one or like an everyday word."""
    with told():
        from narrate2log.wording.alike import alike
        from narrate2log.wording.lexicon import load_lexicon
        from narrate2log.wording.talk import talk

        loaded = load_lexicon(lexicon)
        _my_lessons()
        pairs = list(alike(loaded, talk()))
    typer.echo(f"The lexicon is sound: {len(loaded.features)} features, {len(loaded.materials)} materials.")
    for pair in pairs:
        other = f"everyday '{pair.other}'" if pair.other_key is None else f"'{pair.other}' ({pair.other_key})"
        typer.echo(f"'{pair.term}' ({pair.key}) sounds like {other}: {pair.distance:.1f} phones apart")
    typer.echo(f"{len(pairs) or 'No'} pair{'s' * (len(pairs) != 1)} may be taken for one another.")


@app.command()
def why(
    phrase: Annotated[str, typer.Argument(metavar="PHRASE", help="Words as they were heard.")],
    lexicon: LexiconFolder = None,
) -> None:
    """Show what PHRASE would become, every other reading looked at, its score and the reason."""
    with told():
        if not any(c.isalnum() for c in phrase):
            raise UnusableCommand("PHRASE: there are no words in it; give what was heard, in quotes.")
        from narrate2log.draft import locate
        from narrate2log.reading import read
        from narrate2log.records import Transcript, Word
        from narrate2log.table.number_offers import with_numbers
        from narrate2log.wording.decide import hear_terms, score_all
        from narrate2log.wording.learned import settled_words
        from narrate2log.wording.lexicon import load_lexicon

        loaded, learned = load_lexicon(lexicon), _my_lessons()
        # Said so slowly that the camera may have come from one footage to the next.
        words = tuple(Word(text, at * WORD_MS, (at + 1) * WORD_MS) for at, text in enumerate(phrase.split()))
        transcript = Transcript(words, ())
        changes, offers = hear_terms(transcript, loaded, learned)
        narration = read(transcript, changes, loaded, "ft")
        track = locate(narration, (), words[-1].end_ms)
        settled = settled_words(transcript, changes, learned)
        offers = with_numbers(offers, transcript, narration, track, "ft", settled)
        candidates = score_all(transcript, loaded)
    texts = [word.text for word in words]
    for change in reversed(changes):
        texts[change.first : change.last + 1] = [change.read_as]
    typer.echo(f"read as: {' '.join(texts)}")
    for change in changes:
        typer.echo(f"corrected: '{change.heard}' to '{change.read_as}' ({change.reason})")
    for offer in offers:
        choices = ", ".join(
            f"'{choice.read_as}' {choice.score:.2f} ({choice.reason})" for choice in offer.choices
        )
        typer.echo(f"offered: '{offer.heard}' may be {choices}")
    shown = [scored for scored in candidates if scored.score >= LEAST_SHOWN][:MOST_SHOWN]
    typer.echo(
        f"by sound, {len(shown)} of {len(candidates)} candidates:" if shown else "by sound: no candidate"
    )
    for scored in shown:
        heard = " ".join(words[at].text for at in scored.words)
        typer.echo(f"  {scored.score:.2f}  '{heard}' as '{scored.candidate.term.text}': {scored.reason}")


@app.command()
def add(
    heard: Annotated[str, typer.Argument(metavar="HEARD", help="Words as they were heard.")],
    read_as: Annotated[
        str | None,
        typer.Argument(metavar="[READ_AS]", help="What they mean; without it they are left as heard."),
    ] = None,
) -> None:
    """Teach that HEARD means READ_AS, or that it is right as it stands."""
    with told():
        from narrate2log.wording.folding import fold_phrase
        from narrate2log.wording.learned import learned_path, write_lessons

        if not fold_phrase(heard) or (read_as is not None and not fold_phrase(read_as)):
            raise UnusableCommand("HEARD and READ_AS need words; give each in quotes.")
        learned = _my_lessons().taught(heard, read_as)
        write_lessons(learned, learned_path())
    lesson = learned.lessons[-1]
    meaning = f"read as '{read_as}'" if read_as else "left as heard"
    typer.echo(f"'{heard}' is {meaning} ({lesson.confirmed}).")


@app.command()
def forget(heard: Annotated[str, typer.Argument(metavar="HEARD", help="Words that were taught.")]) -> None:
    """Take back what was taught for HEARD."""
    with told():
        from narrate2log.wording.learned import learned_path, write_lessons

        learned = _my_lessons()
        if learned.get(heard) is None:
            raise UnusableCommand(f"'{heard}' was never taught; `narrate2log lexicon list` shows what was.")
        write_lessons(learned.without(heard), learned_path())
    typer.echo(f"'{heard}' is forgotten.")


@app.command(name="list")
def list_lessons() -> None:
    """List what was taught, the oftenest confirmed first."""
    with told():
        from narrate2log.wording.learned import load_learned

        learned, problems = load_learned()
    for problem in problems:
        tell(problem)
    for lesson in sorted(learned.lessons, key=lambda one: -one.count):
        meaning = "left as heard" if lesson.read_as is None else f"'{lesson.read_as}'"
        typer.echo(f"{lesson.count:4}  '{lesson.heard}': {meaning}")
    if problems:
        typer.echo("None of what was taught is in use.")
    elif not learned.lessons:
        typer.echo("Nothing was taught yet.")


@app.command()
def export(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Where to write it; must be new.")],
) -> None:
    """Write what was taught to FILE, to be carried to another machine."""
    with told():
        from narrate2log.wording.learned import write_lessons

        if file.exists():
            raise UnusableCommand(f"{file} is there already; name a new file.")
        learned = _my_lessons()
        write_lessons(learned, file)
    typer.echo(f"{file}: {_counted(learned)} written.")


@app.command(name="import")
def import_lessons(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="What `export` wrote.")],
) -> None:
    """Add what was taught elsewhere; where both differ, what was confirmed more often holds."""
    with told():
        from narrate2log.wording.learned import learned_path, merged, read_lessons, write_lessons

        if not file.is_file():
            raise UnusableCommand(
                f"{file} is not there; name a file that `narrate2log lexicon export` wrote."
            )
        theirs = read_lessons(file)
        write_lessons(merged(_my_lessons(), theirs), learned_path())
    typer.echo(f"{file}: {_counted(theirs)} read.")


def _counted(learned: Learned) -> str:
    count = len(learned.lessons)
    return f"{count} lesson{'s' * (count != 1)}"


def _my_lessons() -> Learned:
    """The user's lessons; a file that had to be set aside is said."""
    from narrate2log.wording.learned import load_learned

    learned, problems = load_learned()
    for problem in problems:
        tell(problem)
    return learned
