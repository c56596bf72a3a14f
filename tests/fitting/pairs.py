"""Candidates out of the narrations with what they are worth: the rows that the model is fitted to."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from pathlib import Path

from fitting import texts
from fitting.alignment import Aligned, align
from fitting.build_talk import trade_counts
from narrate2log.records import Word
from narrate2log.wording.candidates import Candidate, SoundIndex
from narrate2log.wording.decide import weigh
from narrate2log.wording.talk import Talk, talk


@dataclass(frozen=True)
class Heard:
    """One narration: its voice, its words as heard, set beside what was said."""

    name: str
    voice: str
    snr: float
    words: tuple[Word, ...]
    aligned: Aligned


@dataclass(frozen=True)
class Row:
    """One candidate: its features, whether it mends the transcript, and by how many words."""

    case: str
    candidate: Candidate
    values: tuple[float, ...]
    mends: int


def load(by: Path = texts.HEARD) -> list[Heard]:
    """Every narration that was heard."""
    found = []
    for name, case in texts.cases(by).items():
        words = texts.heard_words(name, by)
        snr = float(texts.header_of(case, "snr") or "nan")
        found.append(Heard(name, texts.voice_of(case), snr, words, align(texts.said_phrases(case), words)))
    return found


def rows(heard: Heard, index: SoundIndex, talk: Talk) -> list[Row]:
    """The candidates of a narration."""
    return [
        Row(
            heard.name,
            candidate,
            values,
            heard.aligned.mends(candidate.first, candidate.last, candidate.term.text),
        )
        for candidate, values in weigh(heard.words, index, talk)
    ]


def prose_rows(index: SoundIndex, talk: Talk, words: tuple[Word, ...]) -> list[Row]:
    """The candidates in ordinary English, where none is right."""
    return [Row("prose", candidate, values, -1) for candidate, values in weigh(words, index, talk)]


def talk_without(voices: Collection[str]) -> Talk:
    """The shipped counts, less what some voices read."""
    return replace(talk(), trade=trade_counts(without=voices))
