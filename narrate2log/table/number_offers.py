"""Numbers that may be another one than was heard: offered where the words or the footages speak for it.

No number is ever changed by its sound: what is offered stays as it was heard until a person chooses.
"""

from __future__ import annotations

import math
from collections.abc import Collection

from narrate2log.footage.anchors import WRONG
from narrate2log.footage.calibration import half_width_ft
from narrate2log.footage.track import Track
from narrate2log.reading.alike_numbers import Doubtful, doubtful_numbers
from narrate2log.reading.places import LONGEST_FT
from narrate2log.records import Choice, Narration, Offer, SpokenPlace, Transcript
from narrate2log.units import MM_PER_FOOT, LengthUnit, Milliseconds, length_to_mm

# How likely the other reading is where the words leave no other sense. Not measured: said to be even.
BY_WORDS = 0.5
# From this on a reading is likelier than all others together.
LIKELIER = 0.5
MOST_CHOICES = 3
# An interval that holds nine in ten is so many standard deviations to either side.
HALF_WIDTH_SDS = 1.645
# What is read off a counter and said is rounded, feet (standard deviation).
ROUNDED_FT = 0.3
# Of the footages that are wrong half are a number that sounds or is written alike, and half any number at
# all, of so many feet. Common practice, no published source.
ALIKE = 0.5
ANYWHERE_FT = 100.0


def with_numbers(
    offers: tuple[Offer, ...],
    transcript: Transcript,
    narration: Narration,
    track: Track,
    unit: LengthUnit,
    settled: Collection[int],
) -> tuple[Offer, ...]:
    """The offers with those of numbers, in order of their words; none on a word of another or settled."""
    taken = {at for offer in offers for at in range(offer.first, offer.last + 1)}.union(settled)
    places = {place.time_ms: place for place in narration.places if place.relation in ("here", "ahead")}
    numbers = []
    for doubtful in doubtful_numbers(transcript.words):
        if any(at in taken for at in range(doubtful.first, doubtful.last + 1)):
            continue
        time_ms = transcript.words[doubtful.first].start_ms
        if doubtful.sure:
            choices = _by_words(doubtful)
        else:
            choices = _by_footage(doubtful, time_ms, places.get(time_ms), track, unit)
        if choices:
            heard = transcript.heard(doubtful.first, doubtful.last).strip(".,?!;:")
            numbers.append(Offer(doubtful.first, doubtful.last, heard, choices))
    return tuple(sorted((*offers, *numbers), key=lambda offer: offer.first))


def _by_words(doubtful: Doubtful) -> tuple[Choice, ...]:
    return tuple(
        Choice(other.text, BY_WORDS, f"{other.why}; the words around count something")
        for other in doubtful.others
    )


def _by_footage(
    doubtful: Doubtful, time_ms: Milliseconds, said: SpokenPlace | None, track: Track, unit: LengthUnit
) -> tuple[Choice, ...]:
    """The other readings that fit where the camera was, the likeliest first, if what was heard does not."""
    at = track.estimate(time_ms)
    read_as_footage = doubtful.heard is not None and doubtful.heard <= LONGEST_FT
    if at.feet is None:
        return ()
    # figures side by side ("six five") are read as no footage at all, and may still be one
    figures = doubtful.last > doubtful.first
    fits = not figures if said is None else not track.contradicted(time_ms, said)
    if read_as_footage and fits:
        return ()
    sd = math.hypot(half_width_ft(at.rests_on, at.sd_ft) / HALF_WIDTH_SDS, ROUNDED_FT)
    here = at.feet

    def weight(value: float, share: float) -> float:
        off = (length_to_mm(value, unit) / MM_PER_FOOT - here) / sd
        return share * math.exp(-(off**2) / 2) / (sd * math.sqrt(2 * math.pi))

    wrong = WRONG["footage"]
    weights = [weight(other.value, wrong * ALIKE) for other in doubtful.others]
    total = sum(weights) + wrong * (1 - ALIKE) / ANYWHERE_FT
    if read_as_footage and doubtful.heard is not None:
        total += weight(doubtful.heard, 1 - wrong)
    if sum(weights) < LIKELIER * total:
        return ()
    best = sorted(zip(weights, doubtful.others, strict=True), key=lambda one: -one[0])[:MOST_CHOICES]
    near = f"the others put the camera near {here:.0f} ft then"
    return tuple(
        Choice(other.text, round(found / total, 2), f"{other.why}; {near}")
        for found, other in best
        if round(found / total, 2) > 0
    )
