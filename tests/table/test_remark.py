"""The sentence for a client: made of the fields, never of what was said."""

from __future__ import annotations

from typing import Any

import pytest
from reading.marked import lexicon, rows_of
from table.told import row

from narrate2log.table.remark import remark
from narrate2log.units import LengthUnit


def written(feature: str, unit: LengthUnit = "ft", **more: Any) -> str:
    return remark(row(feature, **{"width": 1.0, **more}), lexicon(), unit)


@pytest.mark.parametrize(
    ("text", "more"),
    [
        ("Crack at 20.0 ft.", {}),
        ("Crack at 20.0 ft.", {"basis": "counter"}),
        ("Crack at about 20.0 ft.", {"basis": "interpolated"}),
        ("Crack at about 20.0 ft.", {"basis": "extrapolated"}),
        ("Crack.", {"at": None}),
        ("Crack.", {"placed": False}),
        ("Crack from 20.0 to 30.0 ft.", {"end_mm": 9144}),
        ("Crack at 20.0 ft, called severe.", {"fields": {"severity": "severe"}}),
        ("Crack at 20.0 ft, at 3 o'clock.", {"fields": {"clock_from": 3}}),
        ("Crack at 20.0 ft, at 3 o'clock.", {"fields": {"clock_from": 3, "clock_to": 3}}),
        ("Crack at 20.0 ft, from 3 to 5 o'clock.", {"fields": {"clock_from": 3, "clock_to": 5}}),
        ("Crack at 20.0 ft, about 40 percent.", {"fields": {"amount_pct": 40.0}}),
        ("Crack at 20.0 ft, about 0.5 in.", {"fields": {"amount_in": 0.5}}),
        ("Crack at 20.0 ft, 5.5 ft deep.", {"fields": {"depth_ft": 5.5}}),
        (
            "Crack at 20.0 ft, called minor, at 6 o'clock, about 10 percent.",
            {"fields": {"severity": "minor", "clock_from": 6, "amount_pct": 10.0}},
        ),
        ("Possible crack at 20.0 ft; not certain from the picture.", {"standing": "possible"}),
        ("No crack seen at 20.0 ft.", {"standing": "not-seen"}),
        ("No crack seen in this part of the run.", {"standing": "not-seen", "general": True}),
        (
            "Crack reported by others, not an observation of the camera at 20.0 ft.",
            {"standing": "reported"},
        ),
    ],
)
def test_a_remark_tells_what_where_how_and_how_sure(text: str, more: dict[str, Any]) -> None:
    assert written("crack", **more) == text


@pytest.mark.parametrize(
    ("text", "feature", "more"),
    [
        ("Pipe of cast iron begins at 20.0 ft.", "material", {"fields": {"material": "cast-iron"}}),
        ("Pipe of another material begins at 20.0 ft.", "material", {}),
        ("Pipe size 6 in at 20.0 ft.", "pipe-size", {"fields": {"size_in": 6.0}}),
        ("Advice given by the inspector.", "recommendation", {"at": None}),
        ("Advice given on roots, crack.", "recommendation", {"at": None, "objects": ("roots", "crack")}),
        (
            "Advised for roots at 20.0 ft: cutting, no digging up.",
            "recommendation",
            {"objects": ("roots",), "sense": "cutting+no-digging"},
        ),
        ("Limit of the inspection: part of the pipe was not seen.", "limitation", {"at": None}),
    ],
)
def test_rows_that_are_no_finding(text: str, feature: str, more: dict[str, Any]) -> None:
    assert written(feature, **more) == text


@pytest.mark.parametrize(("unit", "text"), [("ft", "Crack at 20.0 ft."), ("m", "Crack at 6.1 m.")])
def test_a_remark_is_in_the_unit_of_the_run(unit: LengthUnit, text: str) -> None:
    assert written("crack", unit) == text


# The last digit told is the first that the uncertainty touches: JCGM 100:2008 (GUM), 7.2.6.
@pytest.mark.parametrize(
    ("width", "text"),
    [
        (0.0, "Crack at 20.3 ft."),
        (0.1, "Crack at 20.3 ft."),
        (1.8, "Crack at 20.3 ft."),
        (2.0, "Crack at 20 ft."),
        (3.0, "Crack at 20 ft."),
        (30.0, "Crack at 20 ft."),
    ],
)
def test_a_distance_has_no_digit_that_its_interval_makes_idle(width: float, text: str) -> None:
    assert written("crack", at=20.31, width=width) == text


@pytest.mark.parametrize("feature", sorted(lexicon().features))
@pytest.mark.parametrize("standing", ["seen", "possible", "not-seen", "reported"])
def test_every_feature_has_one_sentence_for_every_standing(feature: str, standing: Any) -> None:
    text = written(feature, standing=standing)
    assert text[0].isupper()
    assert text.endswith(".")
    assert text.count(".") == 1 + text.count(".0")
    assert "None" not in text
    assert "  " not in text


@pytest.mark.parametrize(
    "said",
    [
        "Starting. There's a flimflam of a crack at ten feet, zounds.",
        "Starting. Flimflam roots at ten feet, zounds, forty percent.",
        "Starting. It changes to cast iron at twenty feet, flimflam, zounds.",
        "Starting. I can't see past the flimflam water here, zounds.",
        "Starting. The owner said flimflam there was a break at fifty feet, zounds.",
        "Starting. I'd recommend you jet the flimflam roots, zounds.",
        "Starting. No roots at ten feet, flimflam zounds.",
    ],
)
def test_a_remark_never_repeats_what_was_said(said: str) -> None:
    rows = rows_of(said)
    about = [one for one in rows if "zounds" in one.heard.lower()]
    assert about
    for one in rows:
        assert "flimflam" not in one.remark.lower()
        assert "zounds" not in one.remark.lower()
