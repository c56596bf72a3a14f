"""From mentions and the track to the rows of the draft."""

from __future__ import annotations

import hashlib
from bisect import bisect_right
from dataclasses import replace

from narrate2log.footage.track import Track
from narrate2log.records import (
    Correction,
    Leg,
    Mention,
    Narration,
    Observation,
    Offer,
    Placement,
    Transcript,
)
from narrate2log.table.check import confidence_of, reasons_to_look
from narrate2log.table.merge import ONCE_A_LEG, SEEN, Gatherer, Row
from narrate2log.table.remark import remark
from narrate2log.units import LengthUnit, mm_to_length
from narrate2log.wording.lexicon import Lexicon

NO_DISTANCE = frozenset({"flush", "water-on", "water-off"})
# Said so soon after setting off, an entry is where the camera went in.
ENTRY_MS = 1_500
ENTRIES = frozenset({"cleanout", "manhole", "tank", "house-trap"})


def build(
    narration: Narration,
    track: Track,
    transcript: Transcript,
    corrections: tuple[Correction, ...],
    offers: tuple[Offer, ...],
    lexicon: Lexicon,
    unit: LengthUnit,
) -> tuple[tuple[Leg, ...], tuple[Observation, ...]]:
    """The legs and rows of a run, rows in order of leg, distance (those without one last), time."""
    rows = Gatherer(track, narration.mentions).gather()
    for row in rows:
        if row.feature == "recommendation":
            row.objects = _objects(row, narration)
    rows = [_finished(row, rows, track, unit) for row in rows]
    observations = [
        _observation(row, narration, transcript, corrections, offers, lexicon, unit) for row in rows
    ]
    observations.sort(
        key=lambda o: (
            o.placement.leg,
            o.placement.distance_mm is None,
            o.placement.distance_mm or 0,
            o.time_ms,
        )
    )
    numbered = tuple(replace(o, row=i) for i, o in enumerate(_with_own_ids(observations), 1))
    return _legs(track, numbered), numbered


# What an advice names besides what it is about: itself, and the work it asks for.
DONE_TO_IT = frozenset({"recommendation", "repair"})


def _objects(row: Row, narration: Narration) -> tuple[str, ...]:
    """The features that the sentence of an advice names."""
    sentence = row.mentions[0].sentence
    named = [m.feature for m in narration.mentions if m.sentence == sentence and m.feature not in DONE_TO_IT]
    return tuple(dict.fromkeys(named))


def _before_zero(at: Placement, unit: LengthUnit) -> str:
    """How far before its zero a thing is that was told before the counter was zeroed."""
    far = 0 if at.distance_mm is None else -at.distance_mm
    away = f", some {mm_to_length(far, unit):.0f} {unit} before there" if far > 0 else ""
    return f"told before the counter was zeroed{away}"


def _finished(row: Row, rows: list[Row], track: Track, unit: LengthUnit) -> Row:
    """What only the whole run tells: where "the rest of the way" ended, and where no distance applies."""
    stretch = track.legs[row.leg].stretch
    if (
        row.feature == "counter-reset"
        or (row.feature == "start" and row.first_ms == stretch.start_ms)
        or (
            row.feature in ENTRIES
            and row.first_ms < max(stretch.zero_ms, (stretch.start_ms or 0) + ENTRY_MS)
            and row.placement.basis != "counter"
            and row.mentions[0].place is None
            and row.standing in SEEN
        )
    ):
        row.placement = Placement(row.leg, row.placement.going, 0, 0, 100, "spoken")
    elif (
        row.standing in SEEN
        and row.feature not in ENTRIES | ONCE_A_LEG | NO_DISTANCE
        and stretch.start_ms is not None
        and stretch.start_ms < row.first_ms < stretch.push_ms
    ):
        row.reasons.append(_before_zero(row.placement, unit))
    if row.until and row.end_mm is None and row.standing in SEEN and row.placement.distance_mm is not None:
        later = [
            r.placement.distance_mm
            for r in rows
            if r.leg == row.leg
            and r.placement.distance_mm is not None
            and r.placement.distance_mm > row.placement.distance_mm
            and (
                r.feature == "material"
                if row.until == "material"
                else r.feature in ("end-of-run", "city-connection")
            )
        ]
        if not later and row.until == "end":
            later = [
                r.placement.distance_mm
                for r in rows
                if r.leg == row.leg and r.placement.distance_mm is not None
            ]
            later = [max(later)]
        if later:
            row.end_mm = min(later)
    if (
        row.end_mm is not None
        and row.placement.distance_mm is not None
        and row.end_mm <= row.placement.distance_mm
    ):
        row.end_mm = None
    home = track.legs[row.leg].home_ms
    if (
        row.feature == "limitation"
        and home is not None
        and row.first_ms > home
        and row.mentions[0].place is None
    ):
        row.placed = False
    if row.placement.basis in ("interpolated", "extrapolated") and track.disputed(row.first_ms):
        row.reasons.append("the footages said around it contradict each other")
    if not row.placed or row.general or row.feature in NO_DISTANCE:
        row.placement = Placement(row.leg, row.placement.going, None, None, None, "none")
        row.end_mm = None
    return row


def _observation(
    row: Row,
    narration: Narration,
    transcript: Transcript,
    corrections: tuple[Correction, ...],
    offers: tuple[Offer, ...],
    lexicon: Lexicon,
    unit: LengthUnit,
) -> Observation:
    entry = lexicon.features.get(row.feature)
    first = row.mentions[0]
    changes = [c for c in corrections if _tells(row, c.first)]
    open_words = [offer for offer in offers if _tells(row, offer.first)]
    heard = _words(transcript, row.mentions)
    read = heard
    for change in changes:
        read = read.replace(change.heard, change.read_as, 1)
    sightings = tuple(sorted({m.start_ms for m in row.mentions}))
    return Observation(
        id="",
        row=0,
        kind=str(entry["kind"]) if entry else "pipe",
        feature=row.feature,
        standing=row.standing,
        placement=row.placement,
        end_distance_mm=row.end_mm,
        fields=row.fields,
        time_ms=first.start_ms,
        time_end_ms=first.end_ms,
        sightings_ms=sightings,
        heard=heard,
        read_as=read,
        remark=remark(row, lexicon, unit),
        confidence=confidence_of(row, transcript),
        check=reasons_to_look(row, transcript, changes, open_words),
        rules=tuple(dict.fromkeys(m.rule for m in row.mentions)),
        general=row.general,
        sense=row.sense,
        about=row.objects,
    )


def _tells(row: Row, word: int) -> bool:
    """Whether a word of the transcript is in a sentence that tells of the row."""
    return any(mention.first_word <= word <= mention.last_word for mention in row.mentions)


def _words(transcript: Transcript, mentions: list[Mention]) -> str:
    """The sentences of the first few mentions, as heard."""
    spans = dict.fromkeys((m.first_word, m.last_word) for m in mentions)
    return " / ".join(transcript.heard(first, last) for first, last in list(spans)[:4])


def _with_own_ids(observations: list[Observation]) -> list[Observation]:
    """Ids from what a row is and when it was first told, so that a new draft of the same sound keeps them."""
    taken: dict[str, int] = {}
    named = []
    for o in sorted(observations, key=lambda o: (o.time_ms, o.feature)):
        key = f"{o.feature}|{o.time_ms // 1000}"
        taken[key] = taken.get(key, -1) + 1
        digest = hashlib.sha256(f"{key}|{taken[key]}".encode()).hexdigest()[:10]
        named.append((o, digest))
    ids = {id(o): digest for o, digest in named}
    return [replace(o, id=ids[id(o)]) for o in observations]


def _legs(track: Track, observations: tuple[Observation, ...]) -> tuple[Leg, ...]:
    legs = []
    for stretch in track.stretches:
        entry = next(
            (
                o.feature
                for o in observations
                if o.placement.leg == stretch.leg
                and o.feature in ENTRIES
                and o.standing == "seen"
                and o.placement.distance_mm == 0
            ),
            None,
        )
        legs.append(Leg(stretch.leg, stretch.direction, entry))
    return tuple(legs)


def narration_times(narration: Narration) -> tuple[list[int], list[int], list[tuple[int, int]]]:
    """Entries, homes and far ends: the moments that the track needs and only the features tell.

    A far end is a footage told of the city connection after the camera had turned; it holds for
    the moment the connection was first seen.
    """
    backs = [m.time_ms for m in narration.motions if m.what == "pull-back"]
    entries = [
        m.start_ms
        for m in narration.mentions
        if m.feature in ("cleanout", "manhole") and m.standing == "seen" and not m.home
    ]
    homes = sorted(m.start_ms for m in narration.mentions if m.home)
    homes += [motion.time_ms for motion in narration.motions if motion.what == "home"]
    homes.sort()
    far: list[tuple[int, int]] = []
    mains = [m for m in narration.mentions if m.feature == "city-connection" and m.standing == "seen"]
    for m in mains[1:]:
        turned = bisect_right(backs, m.start_ms) > 0
        if (
            m.place is not None
            and m.place.relation != "behind"
            and turned
            and mains[0].start_ms < backs[0]
            and mains[0].place is None
        ):
            far.append((mains[0].start_ms, (m.place.low_mm + m.place.high_mm) // 2))
    return entries, homes, far[:1]
