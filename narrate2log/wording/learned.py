"""What the user has taught: corrections confirmed, and words confirmed as they were heard.

They lie in `learned.toml` in the user's own folder: NARRATE2LOG_HOME, or `.config/narrate2log` at home.

    [[correction]]
    heard = "why settle"
    read_as = "wye saddle"
    count = 3

    [[leave]]
    heard = "a wise choice"
    count = 1
"""

from __future__ import annotations

import json
import os
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from narrate2log.errors import UnusableLexicon
from narrate2log.files import write_whole
from narrate2log.records import Correction, Transcript
from narrate2log.wording.folding import fold_phrase

FILE = "learned.toml"


def learned_path() -> Path:
    """Where the user's lessons lie."""
    home = os.environ.get("NARRATE2LOG_HOME")
    return (Path(home) if home else Path.home() / ".config" / "narrate2log") / FILE


@dataclass(frozen=True, slots=True)
class Lesson:
    """Words heard, what they are read as (None: left as they are), and how often that was confirmed."""

    heard: str
    read_as: str | None
    count: int = 1

    @property
    def confirmed(self) -> str:
        """How often it was confirmed, in words."""
        return "confirmed once" if self.count == 1 else f"confirmed {self.count} times"


@dataclass(frozen=True, slots=True)
class Learned:
    """The user's lessons, one for each row of heard words."""

    lessons: tuple[Lesson, ...] = ()

    def get(self, heard: str) -> Lesson | None:
        """The lesson for these words, however they are written."""
        key = fold_phrase(heard)
        return next((lesson for lesson in self.lessons if fold_phrase(lesson.heard) == key), None)

    def taught(self, heard: str, read_as: str | None, count: int = 1) -> Learned:
        """With one more lesson; the same one again counts up, another one for the same words replaces it."""
        old = self.get(heard)
        if old and old.read_as == read_as:
            new = replace(old, count=old.count + count)
        else:
            new = Lesson(heard.strip(), read_as, count)
        kept = tuple(lesson for lesson in self.lessons if lesson is not old)
        return Learned((*kept, new))

    def without(self, heard: str) -> Learned:
        """Without the lesson for these words."""
        old = self.get(heard)
        return Learned(tuple(lesson for lesson in self.lessons if lesson is not old))


def read_lessons(path: Path) -> Learned:
    """The lessons in a file, none if there is no file. Raises UnusableLexicon, naming what is wrong."""
    try:
        return _read(path)
    except _NoLessons as wrong:
        raise UnusableLexicon(f"{wrong}; mend it, or give a file that `lexicon export` wrote.") from wrong


class _NoLessons(Exception):
    """What is wrong with a file of lessons, and where: a sentence without its end."""


def _read(path: Path) -> Learned:
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return Learned()
    except OSError as error:
        raise _NoLessons(f"{path} holds no lessons that can be read ({error.strerror})") from error
    except UnicodeDecodeError as error:
        raise _NoLessons(f"{path} holds no lessons that can be read (it is no text in UTF-8)") from error
    except tomllib.TOMLDecodeError as error:
        raise _NoLessons(f"{path} holds no lessons that can be read ({error})") from error
    lessons: list[Lesson] = []
    for section, tables in data.items():
        for table in tables if isinstance(tables, list) else [tables]:
            lessons.append(_lesson(path, section, table))
    made = Learned()
    for lesson in lessons:
        made = made.taught(lesson.heard, lesson.read_as, lesson.count)
    return made


def _lesson(path: Path, section: str, table: Any) -> Lesson:
    read_as: str | None = None
    match section, table:
        case "correction", {"heard": str() as heard, "read_as": str() as meant, **more}:
            read_as = meant
        case "leave", {"heard": str() as heard, **more}:
            pass
        case _:
            raise _NoLessons(
                f"{path}: [[{section}]] is neither a [[correction]] with heard and read_as nor a [[leave]]"
            )
    count = more.get("count", 1)
    if not fold_phrase(heard) or not isinstance(count, int) or count < 1 or read_as == "":
        raise _NoLessons(f"{path}: the lesson for {heard!r} needs words and a count of at least 1")
    return Lesson(heard, read_as, count)


def load_learned(path: Path | None = None) -> tuple[Learned, tuple[str, ...]]:
    """The user's lessons, and what went wrong.

    A file that cannot be read is set aside under another name, never lost; then there are no lessons.
    """
    path = path or learned_path()
    try:
        return _read(path), ()
    except _NoLessons as broken:
        aside = _free_name(path)
        try:
            path.replace(aside)
        except OSError:
            return Learned(), (f"{broken}; nothing learned is applied until it is mended or taken away.",)
        return Learned(), (
            f"{broken}; it is kept as {aside} and not applied until you mend it and `lexicon import` it.",
        )


def _free_name(path: Path) -> Path:
    name, number = path.with_name(path.name + ".damaged"), 1
    while name.exists():
        number += 1
        name = path.with_name(f"{path.name}.damaged{number}")
    return name


def write_lessons(learned: Learned, path: Path) -> None:
    """Write the lessons: beside the file, then over it. Raises UnusableLexicon."""
    parts = []
    for lesson in learned.lessons:
        head = "leave" if lesson.read_as is None else "correction"
        lines = [f"[[{head}]]", f"heard = {_quoted(lesson.heard)}"]
        if lesson.read_as is not None:
            lines.append(f"read_as = {_quoted(lesson.read_as)}")
        parts.append("\n".join([*lines, f"count = {lesson.count}"]))
    text = "\n\n".join(["# What narrate2log was taught; see `narrate2log lexicon --help`.", *parts]) + "\n"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, text.encode("utf-8"))
    except OSError as error:
        why = f"{path.parent} is a file" if isinstance(error, FileExistsError) else error.strerror
        raise UnusableLexicon(
            f"{path} cannot be written ({why}); allow it, or name another place (for what is learned, in"
            " NARRATE2LOG_HOME)."
        ) from error


def _quoted(text: str) -> str:
    # A TOML string is a JSON string, but for DEL, which JSON leaves bare.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def merged(mine: Learned, theirs: Learned) -> Learned:
    """Both; where they differ on the same words, the one confirmed more often, mine if even."""
    result = mine
    for lesson in theirs.lessons:
        old = result.get(lesson.heard)
        if old is None:
            result = result.taught(lesson.heard, lesson.read_as, lesson.count)
        elif old.read_as == lesson.read_as:
            result = result.taught(lesson.heard, lesson.read_as, max(0, lesson.count - old.count))
        elif lesson.count > old.count:
            result = result.without(lesson.heard).taught(lesson.heard, lesson.read_as, lesson.count)
    return result


def apply_lessons(transcript: Transcript, learned: Learned) -> tuple[tuple[Correction, ...], frozenset[int]]:
    """The corrections that were taught, the longest first at each word, and the words to leave alone."""
    if not learned.lessons:
        return (), frozenset()
    by_words = {fold_phrase(lesson.heard): lesson for lesson in learned.lessons}
    longest = max(map(len, by_words))
    folded = [
        tuple(p for p in fold_phrase(word.text) if any(c.isalnum() for c in p)) for word in transcript.words
    ]
    corrections: list[Correction] = []
    left: set[int] = set()
    at = 0
    while at < len(folded):
        found: tuple[int, Lesson] | None = None
        said: tuple[str, ...] = ()
        for last in range(at, min(at + longest, len(folded))):
            said = said + folded[last]
            if folded[at] and said in by_words:
                found = last, by_words[said]
        if found is None:
            at += 1
            continue
        last, lesson = found
        if lesson.read_as is None:
            left.update(range(at, last + 1))
        else:
            heard = transcript.heard(at, last).strip(".,?!")
            corrections.append(Correction(at, last, heard, lesson.read_as, f"taught: {lesson.confirmed}"))
        at = last + 1
    return tuple(corrections), frozenset(left)


def settled_words(
    transcript: Transcript, corrections: Iterable[Correction], learned: Learned
) -> frozenset[int]:
    """The words of which nothing more is asked: those put right, and those confirmed as they were heard."""
    _, left = apply_lessons(transcript, learned)
    return left.union(*(change.words for change in corrections))
