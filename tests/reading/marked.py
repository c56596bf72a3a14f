"""Sentences that carry their own answer: `There's a [crack|crack seen clock=3] on the right.`

One line is one narration. Each bracket is one expected row: the words, a bar, the feature, the
standing (seen where left out) and fields. A line without brackets must give no row.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path

from narrate2log.footage.place import place
from narrate2log.reading import read
from narrate2log.records import Observation, Source, Transcript, Word
from narrate2log.slope.readings import grade
from narrate2log.table.build import build, narration_times
from narrate2log.table.meetings import meetings
from narrate2log.wording.lexicon import Lexicon, load_lexicon

SENTENCES = Path(__file__).parent / "sentences"
STANDINGS = ("seen", "possible", "not-seen", "reported")
KEYS = ("severity", "clock", "amount", "inches", "material", "size", "depth", "at", "to")
MARK = re.compile(r"\[([^\[\]|]+)\|([^\[\]|]+)\]")


class BadMark(ValueError):
    """A test line that does not say what it expects."""


@dataclass(frozen=True)
class Expected:
    feature: str
    standing: str
    fields: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Marked:
    file: str
    line: int
    text: str
    rows: tuple[Expected, ...]

    def __str__(self) -> str:
        return f"{self.file}:{self.line}"


@cache
def lexicon() -> Lexicon:
    return load_lexicon()


def parse(file: str, number: int, line: str) -> Marked:
    """One marked line. Raises BadMark for a bracket, feature, standing or key that is not one."""
    rows = []
    for _, mark in MARK.findall(line):
        feature, *rest = mark.split()
        if feature not in lexicon().features and feature not in ("material", "pipe-size"):
            raise BadMark(f"{file}:{number}: no feature {feature!r}")
        standing, fields = "seen", []
        for word in rest:
            key, equals, value = word.partition("=")
            if not equals and word in STANDINGS:
                standing = word
            elif key in KEYS and value:
                fields.append((key, value))
            else:
                raise BadMark(f"{file}:{number}: cannot read {word!r}")
        rows.append(Expected(feature, standing, tuple(fields)))
    text = MARK.sub(r"\1", line)
    if "[" in text or "]" in text or "|" in text:
        raise BadMark(f"{file}:{number}: a bracket is left open")
    return Marked(file, number, text, tuple(rows))


def load(name: str) -> list[Marked]:
    lines = (SENTENCES / name).read_text(encoding="utf-8").splitlines()
    return [
        parse(name, n, line) for n, line in enumerate(lines, 1) if line.strip() and not line.startswith("#")
    ]


def transcript_of(text: str, pace_ms: int = 300) -> Transcript:
    """Words said one after the other, from ten seconds in, after a start."""
    words = text.split()
    made = tuple(Word(w, 10_000 + i * pace_ms, 10_000 + (i + 1) * pace_ms - 20) for i, w in enumerate(words))
    return Transcript(made, (Source("line", "", made[-1].end_ms + 1000, 0),))


def rows_of(text: str) -> tuple[Observation, ...]:
    """The rows that the whole way after hearing makes of a text."""
    transcript = transcript_of(text)
    narration = read(transcript, (), lexicon(), "ft")
    entries, homes, far = narration_times(narration)
    tell_track = partial(
        place, narration, (), entries_ms=entries, homes_ms=homes, far_ends=far, last_ms=10**6
    )
    track = tell_track(met=meetings(narration, tell_track()))
    grade(narration, track, transcript)
    return build(narration, track, transcript, (), (), lexicon(), "ft")[1]


def said(row: Observation, key: str) -> str | None:
    """The value of one field as a mark would write it."""
    f = row.fields
    if key == "clock":
        if f.clock_from is None:
            return None
        return str(f.clock_from) if f.clock_to in (None, f.clock_from) else f"{f.clock_from}-{f.clock_to}"
    number = {
        "amount": f.amount_pct,
        "inches": f.amount_in,
        "size": f.size_in,
        "depth": f.depth_ft,
        "at": row.placement.distance_mm / 304.8 if row.placement.distance_mm is not None else None,
        "to": row.end_distance_mm / 304.8 if row.end_distance_mm is not None else None,
    }
    if key in number:
        value = number[key]
        return None if value is None else f"{round(value, 2):g}"
    return getattr(f, key)


def agrees(want: str, have: str | None) -> bool:
    if have is None:
        return False
    if re.fullmatch(r"-?[\d.]+", want) and re.fullmatch(r"-?[\d.]+", have):
        return abs(float(want) - float(have)) <= 0.06
    return want == have


def differences(marked: Marked) -> list[str]:
    """What the reading gets wrong of one line; empty where all is right."""
    rows = rows_of(marked.text)
    wrong = []
    left = list(rows)
    for want in marked.rows:
        hits = [r for r in left if r.feature == want.feature and r.standing == want.standing]
        if not hits:
            near = [f"{r.feature} {r.standing}" for r in left if r.feature == want.feature]
            wrong.append(f"missed {want.feature} {want.standing}" + (f" (has {near[0]})" if near else ""))
            continue
        best = min(hits, key=lambda r: sum(not agrees(v, said(r, k)) for k, v in want.fields))
        left.remove(best)
        wrong += [
            f"{want.feature}: {k} {v} was said, has {said(best, k)}"
            for k, v in want.fields
            if not agrees(v, said(best, k))
        ]
    wrong += [f"extra {r.feature} {r.standing}" for r in left]
    return wrong
