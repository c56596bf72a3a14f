"""slope.csv, slope.svg, the JSON of a profile and back, and what the command prints."""

from __future__ import annotations

import csv
import io
import json
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from typing import Any

import pytest
from slope.pipes import other, profile_of, readings_of, row

from narrate2log.records import Band, Derived, Draft, FlushTest, Pond, SlopeProfile, Transcript
from narrate2log.report.observations_json import observations_json
from narrate2log.report.slope_csv import COLUMNS, slope_csv
from narrate2log.report.slope_json import (
    derived_to_json,
    flush_from_json,
    flush_to_json,
    profile_from_json,
    profile_to_json,
)
from narrate2log.report.slope_svg import slope_svg
from narrate2log.report.slope_text import slope_text
from narrate2log.slope.minimums import NO_CODE_TEST, load_tables

PIPE = other(2, pond=True)
PROFILE = profile_of(PIPE)
IPC = load_tables()["ipc"]
EMPTY = replace(
    PROFILE, head=None, stretches=(), points=(), fall_mm=None, size_in=None, ponds=(), lacks=("all of it",)
)
FLUSHES = (
    FlushTest(1, 42.0, 18_288, Band(1.7, 1.5, 2.5), ()),
    FlushTest(1, 6.0, None, None, ("it came too soon",)),
    FlushTest(1, 25.0, 15_240, Band(3.2, 1.6, 9.1), (), as_said=True),
)


def draft(*profiles: SlopeProfile) -> Draft:
    return Draft(
        units="ft",
        transcript=Transcript((), ()),
        corrections=(),
        legs=(),
        observations=(row("belly", *(PIPE.pond_ft or ()), amount_pct=40), row("roots", 20)),
        slope_readings=readings_of(PIPE),
        slope_profiles=profiles,
        flush_tests=FLUSHES,
    )


def text(
    *profiles: SlopeProfile, code: str = "ipc", size_in: float | None = None, material: str | None = None
) -> str:
    return slope_text(profiles, FLUSHES, "ft", code=load_tables()[code], size_in=size_in, material=material)


def changed(told: Any, value: object) -> Iterator[Any]:
    """The same document again and again, each time with another part of it replaced."""
    yield value
    if isinstance(told, dict):
        for key, part in told.items():
            yield from ({**told, key: other} for other in changed(part, value))
    elif isinstance(told, list) and told:
        yield from ([other, *told[1:]] for other in changed(told[0], value))


@pytest.mark.parametrize("value", ["steep", None, True, -1, 0, 1e300, [], {}, [1], {"value": 1}])
def test_whatever_is_changed_by_hand_is_refused_or_printed(value: object) -> None:
    profiles, flushes = [PROFILE], [FLUSHES[0]]
    for document in changed(profile_to_json(PROFILE, "ft"), value):
        with suppress(LookupError, TypeError, ValueError, OverflowError):
            profiles.append(profile_from_json(document, "ft"))
    for document in changed(flush_to_json(FLUSHES[0], "ft"), value):
        with suppress(LookupError, TypeError, ValueError, OverflowError):
            flushes.append(flush_from_json(document, "ft"))
    for profile in profiles:
        assert NO_CODE_TEST in slope_text([profile], flushes, "ft", code=IPC, size_in=None, material=None)


@pytest.mark.parametrize(
    "changes",
    [
        {"size_in": "4"},
        {"size_in": -4},
        {"sign_known": 1},
        {"leg": 1.5},
        {"direction": "sideways"},
        {"points": []},
    ],
)
def test_a_wrong_type_in_a_profile_is_refused(changes: dict[str, object]) -> None:
    with pytest.raises((TypeError, ValueError)):
        profile_from_json({**profile_to_json(PROFILE, "ft"), **changes}, "ft")


@pytest.mark.parametrize("profile", [PROFILE, EMPTY])
def test_a_profile_survives_its_file(profile: SlopeProfile) -> None:
    told = json.loads(json.dumps(profile_to_json(profile, "m"), allow_nan=False))
    back = profile_from_json(told, "m")
    # a counter cannot beat a hundredth of a unit, so that is how exact places are
    assert profile_to_json(back, "m") == told
    assert [s.grade_pct for s in back.stretches] == [s.grade_pct for s in profile.stretches]


@pytest.mark.parametrize("test", FLUSHES)
def test_a_flush_survives_its_file(test: FlushTest) -> None:
    assert flush_from_json(json.loads(json.dumps(flush_to_json(test, "ft"))), "ft") == test


def test_what_was_worked_out_is_marked_and_apart_from_what_was_said() -> None:
    found = Derived("x", "backfall", 1, 3048, 6096, Band(-1, -2, -0.5), "It rises.", ("worked out",))
    document = json.loads(observations_json(replace(draft(PROFILE), derived=(found,))))
    assert document["derived"] == [
        {
            "id": "x",
            "kind": "defect",
            "feature": "backfall",
            "derived": True,
            "leg": 1,
            "distance": 10.0,
            "end_distance": 20.0,
            "grade_pct": {"value": -1, "low": -2, "high": -0.5},
            "remark": "It rises.",
            "check": ["worked out"],
        }
    ]
    assert derived_to_json(found, "m")["distance"] == 3.05
    assert len(document["observations"]) == 2
    assert document["slope_readings"][0]["of"] == "pipe"


def test_csv_has_a_line_for_each_stretch_in_four_units() -> None:
    rows = list(csv.DictReader(io.StringIO(slope_csv(draft(PROFILE, EMPTY)).decode("utf-8-sig"))))
    assert list(rows[0]) == COLUMNS
    assert all((r["caution"] == NO_CODE_TEST) == bool(r["against_minimum"]) for r in rows)
    assert all(bool(r["minimum_read_in"]) == bool(r["against_minimum"]) for r in rows)
    assert len(rows) == len(PROFILE.stretches) + 1
    for line, stretch in zip(rows, PROFILE.stretches, strict=False):
        percent = stretch.grade_pct.value
        assert float(line["grade_pct"]) == pytest.approx(percent, abs=0.006)
        assert float(line["in_per_ft"]) == pytest.approx(percent * 0.12, abs=0.0006)
        assert float(line["mm_per_m"]) == pytest.approx(10 * percent, abs=0.51)
        assert float(line["degrees_low"]) < float(line["degrees"]) < float(line["degrees_high"])
        assert line["as_read_pct"]
        assert line["against_minimum"] in ("below", "meets", "cannot tell")
    assert rows[-1]["lacks"] == "all of it"
    assert rows[-1]["against_minimum"] == ""


def test_svg_draws_readings_stretches_rows_and_the_minimum() -> None:
    root = ElementTree.fromstring(slope_svg(draft(PROFILE)))
    name = "{http://www.w3.org/2000/svg}"
    classes = [part.get("class") for part in root.iter()]
    assert classes.count("minimum") == 1
    # one band for each stretch, and that of the heights
    assert classes.count("band") == len(PROFILE.stretches) + 1
    pushed = sum(t.pushed for t in PIPE.tilts)
    assert len(list(root.iter(f"{name}circle"))) == pushed
    assert classes.count("water") == 1
    words = " ".join(" ".join("".join(part.itertext()).split()) for part in root.iter(f"{name}text"))
    for told in ("no code test", "0.125 in/ft", "(from still water)", "inches in a foot", "Distance, ft"):
        assert told in words


def test_svg_of_a_leg_without_a_profile_says_what_it_lacks() -> None:
    drawing = slope_svg(draft(EMPTY)).decode()
    assert "all of it" in drawing
    assert 'class="band"' not in drawing
    assert "No tilt readings" in slope_svg(draft()).decode()


def test_the_command_prints_every_stretch_and_the_caution() -> None:
    told = text(PROFILE)
    assert told.count("cannot tell") + told.count("meets") + told.count("below") >= len(PROFILE.stretches)
    assert told.endswith(NO_CODE_TEST)
    assert "Manning" in told
    assert "Flush: water at 60.0 ft 42 s after the call" in told
    assert "it came too soon" in told
    assert "Flush: water at 50.0 ft 25 s after the flush, as told" in told
    assert "percent in a full pipe" in told


def test_the_command_prints_places_to_a_tenth() -> None:
    # a counter is read to a tenth at best
    odd = replace(PROFILE, ponds=(Pond(8_867, 11_000, 40.0),))
    assert "Water stands at 29.1 ft, 40 percent of the bore" in text(odd)


def test_size_code_and_material_of_the_command_go_before_what_was_said() -> None:
    assert "against 0.25 in/ft" in text(PROFILE, code="upc-sewer")
    assert "0.125 with approval" in text(PROFILE, code="upc-sewer")
    assert "8 in" in text(PROFILE, size_in=8)
    assert "n 0.012" in text(PROFILE, material="pvc")
    assert "has no minimum for 4 in" in text(PROFILE, code="ten-states")


def test_the_command_without_a_size_makes_no_claim() -> None:
    told = text(replace(PROFILE, size_in=None))
    for word in ("against", "Manning", "meets", "below"):
        assert word not in told


def test_the_command_on_a_draft_without_readings() -> None:
    assert slope_text([], [], "ft", code=load_tables()["ipc"], size_in=4, material=None).startswith("No tilt")


def test_how_deep_water_stands() -> None:
    """40 percent of 4 in is 1.6 in: arithmetic; ten points either way are common practice."""
    pond = replace(PROFILE.ponds[0], amount_pct=40.0)
    assert "about 1.6 (1.2 to 2.0) in deep in 4 in" in text(replace(PROFILE, ponds=(pond,)))
