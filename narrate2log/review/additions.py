"""A row made of words that no rule took: what they tell of, and where the camera was as they were said."""

from __future__ import annotations

import json
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from narrate2log.records import Fields, Mention, Word
from narrate2log.review.answers import TYPED_MM
from narrate2log.review.rereading import Rereader
from narrate2log.units import LengthUnit, mm_to_length, ms_to_seconds, seconds_to_ms

NOWHERE = {"leg": 1, "pass": "out", "distance": None, "low": None, "high": None, "basis": "none"}


def read_words(folder: Path) -> list[dict[str, Any]]:
    """The words of words.json, none where the draft has no such file that can be read."""
    return _listed(folder / "words.json", "words", ("text", "start", "end", "probability", "phrase"))


def read_course(folder: Path) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """The anchors and the course of track.json, none where there is no such file that can be read."""
    file = folder / "track.json"
    return _listed(file, "anchors", ("time", "distance", "used", "source")), _listed(
        file, "course", ("time", *NOWHERE)
    )


def _listed(file: Path, name: str, keys: Sequence[str]) -> list[dict[str, Any]]:
    try:
        found = json.loads(file.read_bytes())[name]
        return [entry for entry in found if all(key in entry for key in keys)]
    except (OSError, ValueError, LookupError, TypeError):
        return []


class Additions:
    """Suggests rows for selections of a run's words."""

    def __init__(
        self,
        words: list[dict[str, Any]],
        course: list[dict[str, Any]],
        rereader: Rereader,
        features: dict[str, dict[str, str]],
        units: LengthUnit,
    ) -> None:
        self.words = [
            Word(w["text"], seconds_to_ms(w["start"]), seconds_to_ms(w["end"]), w["probability"], w["phrase"])
            for w in words
        ]
        self._course = course
        self._times = [point["time"] for point in course]
        self._rereader = rereader
        self._features = features
        self._units = units
        self._known: dict[tuple[int, int, str], dict[str, Any]] = {}

    def suggest(self, first: int, last: int, read_as: str | None = None) -> dict[str, Any]:
        """A row from words `first` to `last` (inclusive), read as other words if given.

        `feature` is None where they tell of nothing known. Raises IndexError: no such words.
        """
        if not 0 <= first <= last < len(self.words):
            raise IndexError(f"there are no words {first} to {last}")
        words = self.words[first : last + 1]
        heard = " ".join(word.text for word in words)
        told = self._rereader.tells(_said(words, read_as) if read_as else words)
        return self._row(first, last, heard, read_as or heard, told)

    def around(self, first: int, last: int, read_as: str) -> dict[str, Any]:
        """A row from the whole phrase about words `first` to `last`, these read as `read_as`."""
        if (first, last, read_as) not in self._known:
            self._known[first, last, read_as] = self._around(first, last, read_as)
        return self._known[first, last, read_as]

    def _around(self, first: int, last: int, read_as: str) -> dict[str, Any]:
        start, end = self.phrase(first, last)
        words = self.words[start : end + 1]
        other = [
            *self.words[start:first],
            *_said(self.words[first : last + 1], read_as),
            *self.words[last + 1 : end + 1],
        ]
        texts = [" ".join(word.text for word in these) for these in (words, other)]
        return self._row(start, end, texts[0], texts[1], self._rereader.brought(words, other))

    def phrase(self, first: int, last: int) -> tuple[int, int]:
        """The first and last word of the phrase that words `first` to `last` are in."""
        while first > 0 and self.words[first - 1].phrase == self.words[first].phrase:
            first -= 1
        while last + 1 < len(self.words) and self.words[last + 1].phrase == self.words[last].phrase:
            last += 1
        return first, last

    def blank(self, time: float, time_end: float) -> dict[str, Any]:
        """A row of nothing at a moment of the run."""
        at = self._at(time)
        return {
            "id": None,
            "row": 0,
            "kind": None,
            "feature": None,
            "standing": "seen",
            "distance": at["distance"],
            "end_distance": None,
            "distance_low": at["low"],
            "distance_high": at["high"],
            "distance_basis": at["basis"],
            "leg": at["leg"],
            **asdict(Fields()),
            "pass": at["pass"],
            "time": time,
            "time_end": time_end,
            "sightings": [time],
            "heard": "",
            "read_as": "",
            "confidence": 1.0,
            "check": [],
            "rules": ["added in the review"],
            "general": False,
            "sense": None,
            "about": [],
        }

    def _row(self, first: int, last: int, heard: str, read_as: str, told: Mention | None) -> dict[str, Any]:
        row = self.blank(
            ms_to_seconds(self.words[first].start_ms), ms_to_seconds(self.words[last].end_ms)
        ) | {"words": [first, last], "heard": heard, "read_as": read_as}
        if told is None:
            return row
        row |= {
            "feature": told.feature,
            "kind": self._features[told.feature]["kind"],
            "standing": told.standing,
            "sense": told.sense,
            "general": told.general,
            **asdict(told.fields),
        }
        if told.place is not None and told.place.relation == "here":
            place = told.place
            middle = (place.low_mm + place.high_mm) // 2
            row |= {
                "distance": mm_to_length(middle, self._units),
                "distance_low": mm_to_length(max(0, place.low_mm - round(TYPED_MM)), self._units),
                "distance_high": mm_to_length(place.high_mm + round(TYPED_MM), self._units),
                "distance_basis": "spoken",
            }
        if told.general or not told.placed:
            row |= dict.fromkeys(("distance", "distance_low", "distance_high")) | {"distance_basis": "none"}
        return row

    def _at(self, time: float) -> dict[str, Any]:
        """The point of the course at a moment; before the first one, that one."""
        return self._course[max(0, bisect_right(self._times, time) - 1)] if self._course else NOWHERE


def _said(words: Sequence[Word], read_as: str) -> list[Word]:
    """Other words in place of these, at their times."""
    texts = read_as.split()
    begin, end = words[0].start_ms, words[-1].end_ms
    starts = [begin + (end - begin) * at // len(texts) for at in range(len(texts) + 1)]
    return [
        Word(text, start, stop, words[0].probability, words[0].phrase)
        for text, start, stop in zip(texts, starts, starts[1:], strict=False)
    ]
