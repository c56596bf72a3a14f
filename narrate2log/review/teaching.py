"""What a correction teaches: one mis-hearing found in what was typed over, kept, and looked for elsewhere."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from difflib import SequenceMatcher
from typing import Any

from spacy.lang.en.stop_words import STOP_WORDS

from narrate2log.errors import UnusableLexicon
from narrate2log.journal_file import locked
from narrate2log.records import Transcript, Word
from narrate2log.wording.folding import fold_phrase
from narrate2log.wording.learned import (
    Learned,
    Lesson,
    apply_lessons,
    learned_path,
    load_learned,
    write_lessons,
)

MARKS = ".,;:?!\"'()"
# More words than this typed over at once are another sentence, no mis-heard term.
MOST_WORDS = 5


def lesson_in(
    row: dict[str, Any], read_as: str, corrections: Sequence[dict[str, Any]]
) -> dict[str, str | None] | None:
    """The heard words typed over in a row, and what they are read as; None unless it is one place.

    Read as None: a correction of the draft was taken back, so they are right as heard.
    """
    old, new = row["read_as"].split(), read_as.split()
    plain = [[word.strip(MARKS).lower() for word in words] for words in (old, new)]
    spans = [
        op
        for op in SequenceMatcher(None, plain[0], plain[1], autojunk=False).get_opcodes()
        if op[0] != "equal"
    ]
    if len(spans) != 1 or spans[0][0] != "replace":
        return None
    _, first, end, new_first, new_end = spans[0]
    was = " ".join(old[first:end]).strip(MARKS)
    now = " ".join(new[new_first:new_end]).strip(MARKS)
    if max(end - first, new_end - new_first) > MOST_WORDS or not fold_phrase(was) or not fold_phrase(now):
        return None
    if all(word in STOP_WORDS for word in plain[0][first:end]):
        # "in" is right nearly everywhere else: no lesson for what every sentence has.
        return None
    # What the draft had corrected was heard as something else.
    heard = next((c["heard"] for c in corrections if c["read_as"] == was and c["heard"] in row["heard"]), was)
    if heard not in row["heard"]:
        return None
    return {"heard": heard, "read_as": None if fold_phrase(heard) == fold_phrase(now) else now}


def put(text: str, heard: str, read_as: str) -> str | None:
    """The text with these words, where they first stand whole, read as others; None where they do not."""
    found = re.search(rf"(?<!\w){re.escape(heard)}(?!\w)", text, re.IGNORECASE)
    return text[: found.start()] + read_as + text[found.end() :] if found else None


def elsewhere(words: Sequence[Word], heard: str, read_as: str) -> list[tuple[int, int, str]]:
    """Where else these words were heard: first and last word, and how they stand there."""
    lessons = Learned((Lesson(heard, read_as),))
    found, _ = apply_lessons(Transcript(tuple(words), ()), lessons)
    return [(correction.first, correction.last, correction.heard) for correction in found]


def lesson_for(heard: str) -> dict[str, Any] | None:
    """What the user's lexicon has for these words: read_as and count."""
    lesson = load_learned()[0].get(heard)
    return {"read_as": lesson.read_as, "count": lesson.count} if lesson else None


def put_back(heard: str, was: dict[str, Any] | None) -> None:
    """Make the lesson for these words what it was, none at all if there was none. Raises UnusableLexicon."""
    with _turn():
        learned = load_learned()[0].without(heard)
        if was is not None:
            learned = learned.taught(heard, was["read_as"], was["count"])
        write_lessons(learned, learned_path())


@contextmanager
def _turn() -> Iterator[None]:
    """Two reviews of two runs share one lexicon: they take turns."""
    path = learned_path()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        lock = path.with_suffix(".lock").open("ab")
    except OSError as error:
        raise UnusableLexicon(
            f"{path.parent}: no lesson can be kept here ({error.strerror}); allow it, or name another place"
            " in NARRATE2LOG_HOME."
        ) from error
    with lock, locked(lock):
        yield
