"""What a person may answer about a row, checked and completed before it is kept.

What is kept holds every value that follows from the answer, so that the journal can be applied without
asking the lexicon anything.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from typing import Any

from narrate2log.errors import UnusableCommand
from narrate2log.units import MM_PER_FOOT, LengthUnit, length_to_mm, mm_to_length
from narrate2log.wording.lexicon import Lexicon

# A footage that a person types is right to about this much: half a foot, as counters are read aloud
# (common practice, no published source).
TYPED_MM = MM_PER_FOOT / 2
LONGEST = 10_000
LONGEST_TEXT = 2_000


class Unanswerable(UnusableCommand):
    """An answer that cannot be kept as it is; the sentence says what to give instead."""


def feature_table(lexicon: Lexicon) -> dict[str, dict[str, str]]:
    """Kind and label of every feature that a row may have, by key."""
    table = {
        key: {"kind": str(entry["kind"]), "label": str(entry["label"])}
        for key, entry in lexicon.features.items()
    }
    table["material"] = {"kind": "pipe", "label": "Pipe material"}
    table["pipe-size"] = {"kind": "pipe", "label": "Pipe size"}
    return table


def material_table(lexicon: Lexicon) -> dict[str, str]:
    """The label of every material, by key."""
    return {key: str(entry["label"]) for key, entry in lexicon.materials.items()}


def _number(low: float, high: float) -> tuple[Callable[[Any], bool], str]:
    def allowed(value: Any) -> bool:
        return _is_number(value) and low <= value <= high

    return allowed, f"a number from {low:g} to {high:g}"


def _hour(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= 12


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and bool(value.strip()) and len(value) <= LONGEST_TEXT


def _one_of(*names: str) -> tuple[Callable[[Any], bool], str]:
    return (lambda value: value in names), f"one of {', '.join(names)}"


_ALONG = _number(0, LONGEST)
_TEXT = (_is_text, "words")
# What each field may be besides nothing, and how a person is told.
VALUES: dict[str, tuple[Callable[[Any], bool], str]] = {
    "standing": _one_of("seen", "possible", "not-seen", "reported"),
    "severity": _one_of("minor", "moderate", "severe"),
    "pass": _one_of("out", "back"),
    "distance": _ALONG,
    "distance_low": _ALONG,
    "distance_high": _ALONG,
    "end_distance": _ALONG,
    "clock_from": (_hour, "a whole hour from 1 to 12"),
    "clock_to": (_hour, "a whole hour from 1 to 12"),
    "amount_pct": _number(0, 100),
    "amount_in": _number(0, 96),
    "size_in": _number(0.5, 96),
    "depth_ft": _number(0, 100),
    "read_as": _TEXT,
    "remark": _TEXT,
}
NEEDED = frozenset({"feature", "standing", "leg", "pass", "read_as", "remark"})
FIELDS = (*VALUES, "feature", "material", "leg")
PLACE = re.compile(r"-?|(?P<first>\d+(?:\.\d+)?)(?:\s*(?P<between>to|-)\s*(?P<second>\d+(?:\.\d+)?))?")
MOVES = ("distance", "distance_low", "distance_high", "end_distance")


class Answers:
    """Checks answers against the lexicon, the legs and the unit of one run."""

    def __init__(self, lexicon: Lexicon, legs: list[dict[str, Any]], units: LengthUnit) -> None:
        self.features = feature_table(lexicon)
        self.materials = material_table(lexicon)
        self.units = units
        self._values = {
            **VALUES,
            "feature": _one_of(*self.features),
            "material": _one_of(*self.materials),
            "leg": ((lambda value: value in [leg["leg"] for leg in legs]), "a leg of this run"),
        }

    def completed(self, given: Mapping[str, Any], row: Mapping[str, Any]) -> dict[str, Any]:
        """The fields given for a row and all that follows from them. Raises Unanswerable."""
        after: dict[str, Any] = {}
        for name, value in given.items():
            if name not in self._values:
                raise Unanswerable(f"{name}: this cannot be typed over; give one of {', '.join(FIELDS)}.")
            allowed, wanted = self._values[name]
            if not (allowed(value) or (value is None and name not in NEEDED)):
                raise Unanswerable(f"{name}: {value!r} is not {wanted}; give that, or nothing.")
            after[name] = value.strip() if isinstance(value, str) else value
        if "feature" in after:
            after["kind"] = self.features[after["feature"]]["kind"]
        if after.get("clock_from", 0) is None:
            after["clock_to"] = None
        if set(MOVES) & set(after):
            after |= self._placed(after, row)
        return after

    def _placed(self, after: Mapping[str, Any], row: Mapping[str, Any]) -> dict[str, Any]:
        """The place with the interval that goes with it; one that was typed is as said."""
        placed: dict[str, Any] = {}
        at = after.get("distance", row["distance"])
        end = after.get("end_distance", row["end_distance"])
        if at is None:
            return dict.fromkeys(MOVES) | {"distance_basis": "none"}
        ends = {"distance_low", "distance_high"} & set(after)
        if "distance" in after or ends:
            around = mm_to_length(round(TYPED_MM), self.units)
            placed["distance"] = at
            low, high = after.get("distance_low"), after.get("distance_high")
            placed["distance_low"] = round(max(0.0, at - around), 2) if low is None else low
            placed["distance_high"] = round(at + around, 2) if high is None else high
            placed["distance_basis"] = "spoken"
            if not placed["distance_low"] <= at <= placed["distance_high"]:
                raise Unanswerable(
                    f"distance: {at:g} {self.units} is not within {placed['distance_low']:g} to"
                    f" {placed['distance_high']:g}; give a distance inside its range."
                )
        if end is not None and length_to_mm(end, self.units) <= length_to_mm(at, self.units):
            raise Unanswerable(
                f"end_distance: {end:g} {self.units} does not lie beyond the beginning at {at:g}; give both."
            )
        return placed


def place_of(text: str) -> dict[str, Any]:
    """A typed place as fields: "30", "29-31" (somewhere there), "30 to 36" (from where to where), "-" (none).

    Raises Unanswerable.
    """
    typed = PLACE.fullmatch(text.strip())
    if typed is None:
        raise Unanswerable(f"{text!r} is no place; give one like 30, 29-31, 30 to 36, or - for none.")
    first, between, second = typed["first"], typed["between"], typed["second"]
    if first is None:
        return {"distance": None}
    at = float(first)
    if between is None:
        return {"distance": at}
    if between == "to":
        return {"distance": at, "end_distance": float(second)}
    low, high = sorted((at, float(second)))
    return {"distance": round((low + high) / 2, 2), "distance_low": low, "distance_high": high}
