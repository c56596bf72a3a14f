"""Make narrate2log/wording/data/talk.z: how often words and pairs of words are said.

    python tests/fitting/build_talk.py SOTU.TGZ MOBY-DICK.TGZ

Inspection talk: the narrations, the marked sentences, and the lexicon's own
phrases. English at large: half of the two public-domain packages (see `texts.english`); of the other half
some is kept in prose.txt.gz, to fit to and to measure false corrections on.
"""

from __future__ import annotations

import gzip
import sys
from collections.abc import Collection
from pathlib import Path

from fitting import texts
from narrate2log.wording.sound import DATA
from narrate2log.wording.talk import Counts, Talk, pack

# Pairs of English at large that were met less often say little and would be most of the file.
LEAST_PAIRS = 4
LEAST_WORDS = 2
PROSE_WORDS = 120_000


def trade_counts(without: Collection[str] = ()) -> Counts:
    """Inspection talk, less what some voices read."""
    counts = Counts()
    for case in texts.cases().values():
        if texts.voice_of(case) not in without:
            for phrase in texts.said_phrases(case):
                for sentence in texts.sentences(phrase):
                    counts.add(sentence)
    for line in texts.marked_sentences():
        for sentence in texts.sentences(line):
            counts.add(sentence)
    return counts


def english_counts(packages: list[Path]) -> Counts:
    counts = Counts()
    for text in texts.english(packages, odd=True):
        for sentence in texts.sentences(text):
            counts.add(sentence)
    counts.pairs = {pair: count for pair, count in counts.pairs.items() if count >= LEAST_PAIRS}
    counts.words = {word: count for word, count in counts.words.items() if count >= LEAST_WORDS}
    return counts


def main() -> None:
    packages = [Path(name) for name in sys.argv[1:]]
    made = Talk(trade_counts(), english_counts(packages))
    (DATA / "talk.z").write_bytes(pack(made))
    kept: list[str] = []
    for text in texts.english(packages, odd=False):
        lines = [line.strip() for line in text.splitlines() if line.strip()]
        kept += lines[: max(1, len(lines) // 3)]
    words, prose = 0, []
    for line in kept[::2] + kept[1::2]:
        words += len(line.split())
        if words > PROSE_WORDS:
            break
        prose.append(line)
    (texts.HERE / "prose.txt.gz").write_bytes(gzip.compress("\n".join(prose).encode(), 9, mtime=0))
    print(
        f"inspection talk {made.trade.total} words, English {made.english.total};"
        f" talk.z {(DATA / 'talk.z').stat().st_size} bytes; prose kept {min(words, PROSE_WORDS)} words"
    )


if __name__ == "__main__":
    main()
