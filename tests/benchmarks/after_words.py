"""What a draft costs once the words are there, and how that grows with their number.

    python tests/benchmarks/after_words.py

The words are those of tests/narrations/shared, one case after the other and round again, times running on,
as a timed text on disk. Timed is the draft from the moment the words are there: reading, placing, rows, and
the three files written; in processor seconds, which other work on the machine hardly changes, since one
thread does it all. Exits 1 where 10,000 words take a second or more, or ten times the words more than twelve
times as long.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import replace
from itertools import cycle, islice
from pathlib import Path
from typing import Any

import narrate2log.draft
from narrate2log.draft_folder import write_draft
from narrate2log.hearing.hear import hear
from narrate2log.hearing.timed_text import read_timed_text, transcript_to_vtt
from narrate2log.records import Transcript, Word

CASES = Path(__file__).parents[1] / "narrations" / "shared"
FEW, MANY = 10_000, 100_000
LONGEST_S = 1.0
STEEPEST = 12.0
# Between two cases, so that their phrases do not run together.
PAUSE_MS = 5_000


def words() -> Iterator[Word]:
    """The words of all cases, without end, times and phrases running on."""
    texts = [read_timed_text(case / "narration.vtt") for case in sorted(CASES.iterdir())]
    offset = phrases = 0
    for text in cycle(texts):
        for word in text:
            yield replace(
                word,
                start_ms=word.start_ms + offset,
                end_ms=word.end_ms + offset,
                phrase=word.phrase + phrases,
            )
        offset += text[-1].end_ms + PAUSE_MS
        phrases += text[-1].phrase + 1


def seconds(count: int, folder: Path) -> float:
    """How long a draft takes from when so many words are there."""
    source = folder / f"{count}.vtt"
    source.write_text(transcript_to_vtt(Transcript(tuple(islice(words(), count)), ())), encoding="utf-8")
    begin = 0.0

    def hear_and_look_at_the_clock(*paths: Any, **options: Any) -> Transcript:
        nonlocal begin
        transcript = hear(*paths, **options)
        begin = time.process_time()
        return transcript

    narrate2log.draft.hear = hear_and_look_at_the_clock
    made = narrate2log.draft.draft([source])
    write_draft(made, folder / f"{count} words", force=True)
    taken = time.process_time() - begin
    print(f"{count:>7} words: {taken:6.2f} s, {len(made.observations)} rows")
    return taken


def main() -> None:
    """Time both, the few words twice: the first time pays for imports."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        first = seconds(FEW, folder)
        few = seconds(FEW, folder)
        many = seconds(MANY, folder)
    print(f"ten times the words: {many / few:.1f} times as long; imports: {first - few:.2f} s")
    sys.exit(few >= LONGEST_S or many > STEEPEST * few)


if __name__ == "__main__":
    main()
