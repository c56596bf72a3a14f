"""Timed text in and out: WebVTT, SubRip and the tool's own JSON.

A cue says when a phrase begins and ends, not its words; each word gets the share of the time
that its characters have in the phrase.
"""

from __future__ import annotations

import html
import json
import math
import re
from collections.abc import Callable, Iterable, Iterator
from itertools import groupby
from pathlib import Path
from typing import Any

from narrate2log.errors import UnusableSource
from narrate2log.hearing.media import check_readable
from narrate2log.records import Transcript, Word
from narrate2log.units import Milliseconds, ms_to_seconds, seconds_to_ms

SCHEMA = "narrate2log/transcript/1"

# Hours are optional in WebVTT; it marks the fraction with a point, SubRip with a comma.
TIMESTAMP = r"(?:(\d{1,4}):)?([0-5]?\d):([0-5]?\d)[.,](\d{3})"
TIMING = re.compile(rf"^\s*{TIMESTAMP}\s*-->\s*{TIMESTAMP}(?:\s.*)?$")
ARROW = "-->"
# Blocks of a WebVTT file that are not spoken.
SILENT_BLOCK = re.compile(r"^(NOTE|STYLE|REGION)(\s|$)")
# Cue tags (<v Name>, <i>, <00:01.000>) and the brace codes that SubRip borrowed, as {\an8}.
TAG = re.compile(r"</?[A-Za-z][^<>]*>|<\d[\d:.]*>|\{\\[^{}]*\}")


class BrokenTextError(Exception):
    """Timed text that cannot be read: where ("line 12"), and what is wrong there."""

    def __init__(self, where: str, problem: str) -> None:
        super().__init__(f"{where} {problem}")


def read_timed_text(path: Path) -> tuple[Word, ...]:
    """The words of a .vtt, .srt or .json file, in the order of their times.

    Raises UnusableSource: missing, empty or broken, with the number of the line at fault.
    """
    check_readable(path)
    content = path.read_bytes()
    try:
        return READERS[path.suffix.lower()](content.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise UnusableSource(f"{path}: line {line} is not UTF-8 text; save the file as UTF-8.") from error
    except BrokenTextError as broken:
        raise UnusableSource(f"{path}: {broken}; mend it, or give the recording itself.") from broken


def vtt_to_words(text: str) -> tuple[Word, ...]:
    """The words of a WebVTT file's cues.

    Raises BrokenTextError: no WEBVTT at the top, or a block that is no cue.
    """
    lines = _split_lines(text)
    if not re.match(r"WEBVTT([ \t]|$)", lines[0]):
        raise BrokenTextError("line 1", "does not say WEBVTT, as the top of a .vtt file must")
    # The header reaches from there to the first empty line, or to a cue that follows at once.
    header = next(
        (n for n, line in enumerate(lines) if n and (ARROW in line or not line.strip())), len(lines)
    )
    blocks = _blocks(lines, header)
    cues = [_block_to_cue(*block) for block in blocks if not SILENT_BLOCK.match(block[1][0])]
    return _cues_to_words((start, end, html.unescape(spoken)) for start, end, spoken in cues)


def srt_to_words(text: str) -> tuple[Word, ...]:
    """The words of a SubRip file's cues.

    Raises BrokenTextError: a block that is no cue.
    """
    return _cues_to_words(_block_to_cue(*block) for block in _blocks(_split_lines(text), 0))


def json_to_words(text: str) -> tuple[Word, ...]:
    """The words of the tool's own JSON, as `words_to_json` writes it.

    Raises BrokenTextError: no such JSON, another schema, or a word that lacks something.
    """
    try:
        document = json.loads(text)
    except json.JSONDecodeError as error:
        raise BrokenTextError(f"line {error.lineno}", f"is no JSON ({error.msg})") from error
    if not isinstance(document, dict) or document.get("schema") != SCHEMA:
        raise BrokenTextError("line 1", f'does not begin a transcript with "schema": "{SCHEMA}"')
    entries = document.get("words")
    if not isinstance(entries, list):
        raise BrokenTextError("line 1", 'begins a transcript without a list of "words"')
    words = [_entry_to_word(number, entry) for number, entry in enumerate(entries, start=1)]
    return tuple(sorted(words, key=lambda word: word.start_ms))


def words_to_json(words: Iterable[Word]) -> str:
    """The words as the tool's own JSON, one word a line, times in seconds.

    `{"schema": "narrate2log/transcript/1", "words": [{"text", "start", "end", "probability", "phrase"}]}`
    """
    entries = ",\n".join(
        json.dumps(
            {
                "text": word.text,
                "start": ms_to_seconds(word.start_ms),
                "end": ms_to_seconds(word.end_ms),
                "probability": word.probability,
                "phrase": word.phrase,
            },
            ensure_ascii=False,
        )
        for word in words
    )
    return f'{{"schema": "{SCHEMA}", "words": [\n{entries}\n]}}\n'


def transcript_to_vtt(transcript: Transcript) -> str:
    """The transcript as WebVTT, one cue a phrase."""
    cues = ["WEBVTT\n"]
    for _, phrase in groupby(transcript.words, key=lambda word: word.phrase):
        words = list(phrase)
        begin, end = words[0].start_ms, max(word.end_ms for word in words)
        # A cue must end after it begins, or a player drops it.
        timing = f"{ms_to_timestamp(begin)} --> {ms_to_timestamp(max(end, begin + 1))}"
        text = html.escape(" ".join(word.text for word in words), quote=False)
        cues.append(f"{timing}\n{text}\n")
    return "\n".join(cues)


def ms_to_timestamp(ms: Milliseconds) -> str:
    """Milliseconds to a WebVTT time: 3723004 -> '01:02:03.004'."""
    seconds, ms = divmod(ms, 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02d}:{minutes:02d}:{seconds:02d}.{ms:03d}"


def spread_words(text: str, start_ms: Milliseconds, end_ms: Milliseconds, phrase: int) -> tuple[Word, ...]:
    """The words of a phrase, its time shared out in proportion to their characters."""
    texts = text.split()
    total = sum(map(len, texts))
    words = []
    before = 0
    for word in texts:
        begin = start_ms + (end_ms - start_ms) * before // total
        before += len(word)
        end = start_ms + (end_ms - start_ms) * before // total
        words.append(Word(text=word, start_ms=begin, end_ms=end, phrase=phrase))
    return tuple(words)


# The index of a block's first line in the file, and its lines.
Block = tuple[int, list[str]]
# Start, end and spoken text of a cue.
Cue = tuple[Milliseconds, Milliseconds, str]

READERS: dict[str, Callable[[str], tuple[Word, ...]]] = {
    ".vtt": vtt_to_words,
    ".srt": srt_to_words,
    ".json": json_to_words,
}


def _split_lines(text: str) -> list[str]:
    """The lines of a text, whichever of the three line ends it uses.

    `str.splitlines` would also break at form feeds and other marks that belong to the text.
    """
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def _blocks(lines: list[str], first: int) -> Iterator[Block]:
    """Runs of lines that are not blank, from line `first` on."""
    numbered = list(enumerate(lines))[first:]
    for filled, group in groupby(numbered, key=lambda pair: bool(pair[1].strip())):
        if filled:
            pairs = list(group)
            yield pairs[0][0], [line for _, line in pairs]


def _block_to_cue(first: int, lines: list[str]) -> Cue:
    """A block to its cue: maybe a name or number, then the timing, then what is said."""
    arrows = [index for index, line in enumerate(lines) if ARROW in line]
    if not arrows or arrows[0] > 1:
        raise BrokenTextError(
            f"line {first + 1}", "begins a cue that has no timing like 00:01:02.000 --> 00:01:04.000"
        )
    if len(arrows) > 1:
        raise BrokenTextError(f"line {first + arrows[1] + 1}", "begins a cue without an empty line before it")
    timing = TIMING.match(lines[arrows[0]])
    number = first + arrows[0] + 1
    if timing is None:
        raise BrokenTextError(f"line {number}", "is no timing like 00:01:02.000 --> 00:01:04.000")
    start, end = _groups_to_ms(timing.groups()[:4]), _groups_to_ms(timing.groups()[4:])
    if end < start:
        raise BrokenTextError(f"line {number}", "has a cue that ends before it begins")
    return start, end, TAG.sub("", " ".join(lines[arrows[0] + 1 :]))


def _groups_to_ms(groups: tuple[str | None, ...]) -> Milliseconds:
    """Hours (or None), minutes, seconds and thousandths, as matched, to milliseconds."""
    hours, minutes, seconds, thousandths = (int(group or 0) for group in groups)
    return ((hours * 60 + minutes) * 60 + seconds) * 1000 + thousandths


def _cues_to_words(cues: Iterable[Cue]) -> tuple[Word, ...]:
    """Cues in the order of their starts, each that says something a phrase of its own."""
    spoken = [cue for cue in sorted(cues, key=lambda cue: cue[0]) if cue[2].strip()]
    return tuple(
        word
        for phrase, (start, end, text) in enumerate(spoken)
        for word in spread_words(text, start, end, phrase)
    )


def _entry_to_word(number: int, entry: Any) -> Word:
    """One entry of "words" to a Word. `number` counts from 1, for the message."""
    match entry:
        case {
            "text": str() as text,
            "start": int() | float() as start,
            "end": int() | float() as end,
            "probability": None | int() | float() as probability,
            "phrase": int() as phrase,
        } if len(text.split()) == 1 and 0 <= start <= end < math.inf and 0 <= (probability or 0) <= 1:
            return Word(text, seconds_to_ms(start), seconds_to_ms(end), probability, phrase)
    raise BrokenTextError(
        f"word {number}",
        'is not of the form {"text": one word, "start": seconds, "end": seconds, '
        '"probability": 0 to 1 or null, "phrase": whole number}',
    )
