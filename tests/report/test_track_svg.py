"""track.json and track.svg: what tied the run to distances, and a drawing of it that stays well-formed."""

from __future__ import annotations

import json
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from report.test_observations_json import DRAFT

from narrate2log.drawing.svg import NAMESPACE
from narrate2log.records import AnchorUse, Draft, Leg, Placement, TrackPoint
from narrate2log.report.track_json import anchor_lines, track_json
from narrate2log.report.track_svg import track_svg

ANCHORS = (
    AnchorUse(1, "out", 10_000, 0, "zero", None),
    AnchorUse(1, "out", 40_000, 6_096, "footage", None),
    AnchorUse(1, "out", 50_000, 27_432, "footage", "the others put the camera near 25 ft then"),
)
TRACKED = replace(
    DRAFT,
    anchors=ANCHORS,
    course=tuple(
        TrackPoint(
            s * 1000, Placement(1, "out", s * 200, max(0, s * 200 - 300), s * 200 + 300, "interpolated")
        )
        for s in range(10, 60)
    ),
)


def texts(draft: Draft) -> list[str]:
    root = ElementTree.fromstring(track_svg(draft))
    return [text.text or "" for text in root.iter(f"{{{NAMESPACE}}}text")]


def test_track_json() -> None:
    document = json.loads(track_json(TRACKED))
    assert document["anchors"][2] == {
        "leg": 1,
        "pass": "out",
        "time": 50.0,
        "distance": 90.0,
        "source": "footage",
        "used": False,
        "why": "the others put the camera near 25 ft then",
    }
    assert document["course"][0] == {
        "time": 10.0,
        "leg": 1,
        "pass": "out",
        "distance": 6.56,
        "low": 5.58,
        "high": 7.55,
        "basis": "interpolated",
    }
    assert list(anchor_lines(document))[-1] == (
        "  1      0:50  out      90.0  footage       no: the others put the camera near 25 ft then"
    )


def test_the_drawing_shows_the_rows_the_times_and_the_footage_put_aside() -> None:
    shown = texts(TRACKED)
    assert "Leg 1: distance from its zero, ft" in shown
    assert "19.5 roots" in shown
    assert "90" in shown
    assert "0:30" in shown
    root = ElementTree.fromstring(track_svg(TRACKED))
    notes = [note.text or "" for note in root.iter(f"{{{NAMESPACE}}}title")]
    assert "footage put aside, 0:50, 90.0 ft: the others put the camera near 25 ft then" in notes


def test_every_mark_lies_on_the_page() -> None:
    root = ElementTree.fromstring(track_svg(TRACKED))
    _, _, width, height = map(float, (root.get("viewBox") or "").split())
    for kind, x, y in (("circle", "cx", "cy"), ("text", "x", "y")):
        for mark in root.iter(f"{{{NAMESPACE}}}{kind}"):
            assert 0 <= float(mark.get(x) or 0) <= width
            assert 0 <= float(mark.get(y) or 0) <= height


@pytest.mark.parametrize("feature", ["<script>", "a & b", 'quote"s'])
def test_no_row_breaks_the_drawing(feature: str) -> None:
    odd = replace(TRACKED, observations=(replace(DRAFT.observations[0], feature=feature),))
    assert any(feature in text for text in texts(odd))


def test_a_run_that_nothing_ties_to_a_distance_says_so() -> None:
    assert "nothing that was said ties this leg to a distance" in texts(
        replace(DRAFT, legs=(Leg(1, "downstream", None),))
    )


def test_legs_lie_below_each_other() -> None:
    two = replace(TRACKED, legs=(*TRACKED.legs, Leg(2, "downstream", None)))
    assert [t for t in texts(two) if t.startswith("Leg ")] == [
        "Leg 1: distance from its zero, ft",
        "Leg 2: distance from its zero, ft",
    ]


def test_numbers_put_aside_are_short_and_do_not_lie_on_each_other() -> None:
    # 45.5 and 66.5 ft in whole millimetres, both above the page, then two that are told at once
    aside = (
        (20_000, 13_868),
        (22_000, 20_269),
        (40_000, 3_048),
        (40_500, 3_353),
    )
    odd = replace(
        TRACKED, anchors=(ANCHORS[0], *(AnchorUse(1, "out", t, mm, "footage", "so") for t, mm in aside))
    )
    root = ElementTree.fromstring(track_svg(odd))
    numbers = [t for t in root.iter(f"{{{NAMESPACE}}}text") if t.get("class") == "said"]
    assert [t.text for t in numbers] == ["45.5", "66.5", "10", "11"]
    places = [(float(t.get("x") or 0), float(t.get("y") or 0)) for t in numbers]
    for (x1, y1), (x2, y2) in zip(places[::2], places[1::2], strict=True):
        assert abs(x1 - x2) > 40 or abs(y1 - y2) > 14


@pytest.mark.parametrize("feature", ["city-connection", "foreign-object", "joint-offset", "pipe-size"])
def test_a_label_of_usual_length_is_whole(feature: str) -> None:
    (first, *rest) = [o for o in TRACKED.observations if o.placement.distance_mm is not None]
    placement = replace(first.placement, distance_mm=30_450, low_mm=30_400, high_mm=30_500)
    named = replace(first, feature=feature, placement=placement, standing="seen", kind="defect")
    shown = texts(replace(TRACKED, observations=(named, *rest)))
    assert f"99.9 {feature.replace('-', ' ')}" in shown
