"""observations.json: the draft for programs. Times in seconds, distances in the draft's units."""

from __future__ import annotations

import json
from typing import Any

from narrate2log.records import DRAFT_SCHEMA, Correction, Draft, Leg, Offer, SlopeReading, Source, Transcript
from narrate2log.report.row import length, number, row
from narrate2log.report.slope_json import derived_to_json, flush_to_json, profile_to_json
from narrate2log.units import LengthUnit, ms_to_seconds


def observations_json(draft: Draft) -> bytes:
    """The whole draft as one JSON object in UTF-8."""
    document = {
        "schema": DRAFT_SCHEMA,
        "units": draft.units,
        "model": draft.transcript.model,
        "sources": [_source(source) for source in draft.transcript.sources],
        "legs": [_leg(leg) for leg in draft.legs],
        "observations": [row(observation, draft.units) for observation in draft.observations],
        "slope_readings": [_slope_reading(reading, draft.units) for reading in draft.slope_readings],
        "derived": [derived_to_json(found, draft.units) for found in draft.derived],
        "slope_profiles": [profile_to_json(profile, draft.units) for profile in draft.slope_profiles],
        "flush_tests": [flush_to_json(test, draft.units) for test in draft.flush_tests],
        "corrections": [_correction(correction, draft.transcript) for correction in draft.corrections],
        "offers": [_offer(offer, draft.transcript) for offer in draft.offers],
        "problems": list(draft.problems),
        "cautions": [
            {"key": c.key, "text": c.text, "defer_to": c.defer_to, "first": c.first} for c in draft.cautions
        ],
    }
    text = json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1) + "\n"
    # A file name that is not UTF-8 reaches Python with lone surrogates, and as \udcXX it is still JSON.
    return text.encode("utf-8", "backslashreplace")


def _source(source: Source) -> dict[str, Any]:
    return {
        "file": source.file,
        "sha256": source.sha256,
        "duration": ms_to_seconds(source.duration_ms),
        "offset": ms_to_seconds(source.offset_ms),
    }


def _leg(leg: Leg) -> dict[str, Any]:
    return {"leg": leg.leg, "direction": leg.direction, "entry": leg.entry}


def _slope_reading(reading: SlopeReading, units: LengthUnit) -> dict[str, Any]:
    return {
        "time": ms_to_seconds(reading.time_ms),
        "distance": length(reading.placement.distance_mm, units),
        "distance_low": length(reading.placement.low_mm, units),
        "distance_high": length(reading.placement.high_mm, units),
        "leg": reading.placement.leg,
        "pass": reading.placement.going,
        "reading": number(reading.reading),
        "unit": reading.unit,
        "grade_pct": number(reading.grade_pct),
        "of": reading.of,
        "heard": reading.heard,
        "check": list(reading.check),
    }


def _correction(correction: Correction, transcript: Transcript) -> dict[str, Any]:
    return {
        "time": ms_to_seconds(transcript.words[correction.first].start_ms),
        "heard": correction.heard,
        "read_as": correction.read_as,
        "reason": correction.reason,
    }


def _offer(offer: Offer, transcript: Transcript) -> dict[str, Any]:
    return {
        "time": ms_to_seconds(transcript.words[offer.first].start_ms),
        "time_end": ms_to_seconds(transcript.words[offer.last].end_ms),
        "heard": offer.heard,
        "choices": [
            {"read_as": choice.read_as, "score": number(choice.score), "reason": choice.reason}
            for choice in offer.choices
        ],
    }
