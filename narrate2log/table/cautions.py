"""Dangers that a draft speaks of, by the rules of the lexicon."""

from __future__ import annotations

from collections.abc import Sequence

from narrate2log.records import Caution, Observation
from narrate2log.wording.lexicon import Names


def warning(text: str, defer_to: str) -> str:
    """A caution as every screen and report words it."""
    return f"{text} Defer to {defer_to}."


def cautions_of(observations: Sequence[Observation], lexicon: Names) -> tuple[Caution, ...]:
    """The cautions called up by what was seen or possibly seen, those that cannot wait first."""
    there = [o for o in observations if o.standing in ("seen", "possible")]
    found = []
    for entry in lexicon.cautions:
        features, materials = entry["features"] or (), entry["materials"] or ()
        rows = [o for o in there if o.feature in features or o.fields.material in materials]
        if rows:
            places = tuple(o.placement.distance_mm for o in rows)
            found.append(
                Caution(entry["key"], entry["text"], entry["defer_to"], bool(entry["first"]), places)
            )
    return tuple(sorted(found, key=lambda caution: not caution.first))
