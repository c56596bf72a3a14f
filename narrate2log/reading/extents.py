"""Things that run over a length: where they begin, how long they are, where they end."""

from __future__ import annotations

from dataclasses import replace

from narrate2log.reading.context import SIGHT, View
from narrate2log.reading.things import Thing
from narrate2log.records import Mention


def _ends_here(view: View, thing: Thing) -> bool:
    clauses = view.sentence.clauses
    return any(
        abs(clauses[hit.start] - clauses[thing.start]) <= 1 and -6 <= hit.start - thing.end <= 5
        for hit in view.sentence.cues("extent.toml", "ends")
    )


# What a row of several things leaves open.
SEVERAL = "several are told of along here, not where each is"
# "A couple of small offsets": from the count to what is counted there are so many tokens.
COUNTED = 3
# What is told by its mass and not by the piece: "a lot of grease along here" is one thing.
MASS = frozenset({"grease", "scale", "corrosion", "deposit", "lining", "low-slope", "backfall", "flow"})


def _several(view: View, thing: Thing) -> bool:
    """Whether more than one of the thing is told of over some feet: "a couple of offsets along here"."""
    if thing.feature in MASS:
        return False
    clauses = view.sentence.clauses
    counted = any(
        clauses[hit.start] == clauses[thing.start] and 0 <= thing.start - hit.end <= COUNTED
        for hit in view.sentence.cues("extent.toml", "count")
    )
    return counted and bool(view.sentence.cues("extent.toml", "along"))


def with_extent(view: View, base: Mention, thing: Thing) -> Mention:
    """The mention with where the thing begins and ends, as far as this sentence says."""
    begins = any(hit.start <= thing.end + 3 for hit in view.sentence.cues("extent.toml", "begins"))
    ends = base.standing == "seen" and _ends_here(view, thing)
    far = [s for s in view.said if s.what == "end"]
    length = [s for s in view.said if s.what == "length"]
    changes: dict[str, object] = {"begins": begins, "ends": ends}
    if far and base.standing in SIGHT:
        changes["end_place"] = far[-1].place
    if (
        length
        and base.standing in SIGHT
        and (thing.entry["extent"] or thing.feature in ("crack", "fracture", "roots"))
    ):
        changes["length_mm"] = (length[-1].place.low_mm + length[-1].place.high_mm) // 2
    several = base.standing in SIGHT and _several(view, thing)
    if several:
        changes["several"] = True
        changes["doubts"] = (*base.doubts, SEVERAL)
    if thing.entry["extent"] or several:
        if view.sentence.cues("extent.toml", "until-material"):
            changes["until"] = "material"
        elif view.sentence.cues("extent.toml", "rest"):
            iron = (
                any(t.material for t in view.things) or {"iron", "clay", "concrete", "plastic"} & view.words()
            )
            changes["until"] = "material" if iron else "end"
        places = [s for s in view.said if s.what == "place"]
        later = [h for h in view.sentence.cues("extent.toml", "ends") if places and h.start > places[0].start]
        if len(places) > 1 and (ends or later) and not far:
            changes["ends"] = True
            # "a low spot at twenty eight, and I come back out at thirty three"
            changes["place"], changes["end_place"] = places[0].place, places[-1].place
    return replace(base, **changes)  # type: ignore[arg-type]
