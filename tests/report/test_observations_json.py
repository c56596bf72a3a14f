import json

from narrate2log.records import (
    Caution,
    Choice,
    Correction,
    Draft,
    Fields,
    Leg,
    Observation,
    Offer,
    Placement,
    SlopeReading,
    Source,
    Transcript,
    Word,
)
from narrate2log.report.observations_json import observations_json

DRAFT = Draft(
    units="ft",
    transcript=Transcript(
        words=(Word("Heavy", 61_200, 61_500, 0.91), Word("routes", 61_500, 61_900, 0.44)),
        sources=(
            Source("run-a.wav", "ab" * 32, 300_040, 0),
            Source("run-b.wav", "cd" * 32, 45_000, 300_040),
        ),
        model="tiny.en",
    ),
    corrections=(Correction(1, 1, "routes", "roots", "sounds alike after 'heavy'"),),
    offers=(Offer(1, 1, "routes", (Choice("roots", 0.4211, "sounds the same"),)),),
    legs=(Leg(1, "downstream", "cleanout"),),
    observations=(
        Observation(
            id="r3f09a",
            row=1,
            kind="defect",
            feature="roots",
            standing="seen",
            placement=Placement(1, "out", 5_944, 5_639, 6_248, "interpolated"),
            end_distance_mm=7_163,
            fields=Fields(severity="severe", clock_from=10, clock_to=2, amount_pct=100 / 3),
            time_ms=61_200,
            time_end_ms=64_900,
            sightings_ms=(61_200, 250_015),
            heard="Heavy routes",
            read_as="Heavy roots",
            remark="Severe roots from 19.5 ft to 23.5 ft, from 10 to 2 o'clock, a third of the bore.",
            confidence=0.8125,
            check=("“routes” was read as “roots”",),
            rules=("roots",),
        ),
    ),
    slope_readings=(
        SlopeReading(
            70_500,
            Placement(1, "out", None, None, None, "none"),
            -1.5,
            "deg",
            2.618_592_1,
            "minus one and a half",
            (),
        ),
    ),
    problems=("counter.csv: line 4 left out for want of a time or a distance.",),
    cautions=(Caution("manhole", "Never enter it.", "a trained crew", False, (0,)),),
)


def test_the_whole_file() -> None:
    assert json.loads(observations_json(DRAFT)) == {
        "schema": "narrate2log/observations/1",
        "units": "ft",
        "model": "tiny.en",
        "sources": [
            {"file": "run-a.wav", "sha256": "ab" * 32, "duration": 300.04, "offset": 0.0},
            {"file": "run-b.wav", "sha256": "cd" * 32, "duration": 45.0, "offset": 300.04},
        ],
        "legs": [{"leg": 1, "direction": "downstream", "entry": "cleanout"}],
        "observations": [
            {
                "id": "r3f09a",
                "row": 1,
                "kind": "defect",
                "feature": "roots",
                "standing": "seen",
                "distance": 19.5,
                "end_distance": 23.5,
                "distance_low": 18.5,
                "distance_high": 20.5,
                "distance_basis": "interpolated",
                "leg": 1,
                "severity": "severe",
                "clock_from": 10,
                "clock_to": 2,
                "amount_pct": 33.333,
                "amount_in": None,
                "material": None,
                "size_in": None,
                "depth_ft": None,
                "pass": "out",
                "time": 61.2,
                "time_end": 64.9,
                "sightings": [61.2, 250.015],
                "heard": "Heavy routes",
                "read_as": "Heavy roots",
                "remark": "Severe roots from 19.5 ft to 23.5 ft, from 10 to 2 o'clock, a third of the bore.",
                "confidence": 0.812,
                "check": ["“routes” was read as “roots”"],
                "rules": ["roots"],
                "general": False,
                "sense": None,
                "about": [],
            }
        ],
        "slope_readings": [
            {
                "time": 70.5,
                "distance": None,
                "distance_low": None,
                "distance_high": None,
                "leg": 1,
                "pass": "out",
                "reading": -1.5,
                "unit": "deg",
                "grade_pct": 2.619,
                "of": "pipe",
                "heard": "minus one and a half",
                "check": [],
            }
        ],
        "derived": [],
        "slope_profiles": [],
        "flush_tests": [],
        "corrections": [
            {"time": 61.5, "heard": "routes", "read_as": "roots", "reason": "sounds alike after 'heavy'"}
        ],
        "offers": [
            {
                "time": 61.5,
                "time_end": 61.9,
                "heard": "routes",
                "choices": [{"read_as": "roots", "score": 0.421, "reason": "sounds the same"}],
            }
        ],
        "problems": ["counter.csv: line 4 left out for want of a time or a distance."],
        "cautions": [
            {"key": "manhole", "text": "Never enter it.", "defer_to": "a trained crew", "first": False}
        ],
    }


def test_text_outside_ascii_is_readable_in_the_file() -> None:
    assert "“routes” was read as “roots”".encode() in observations_json(DRAFT)


def test_a_file_name_that_is_not_utf8_does_not_stop_the_draft() -> None:
    source = Source("run-\udce9.wav", "ab" * 32, 1_000, 0)
    draft = Draft("m", Transcript((), (source,)), (), (), (), ())
    assert json.loads(observations_json(draft))["sources"][0]["file"] == "run-\udce9.wav"
