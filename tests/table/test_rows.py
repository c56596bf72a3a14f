"""One thing is one row, however often it is told; what a row says of it; in what order rows stand."""

from __future__ import annotations

import pytest
from reading.marked import rows_of

from narrate2log.records import Observation

RUN = "Counter's on zero. Here we go, going in. "


def of(feature: str, text: str) -> list[Observation]:
    return [row for row in rows_of(RUN + text) if row.feature == feature]


@pytest.mark.parametrize(
    ("said", "feature", "rows"),
    [
        ("Crack on the left. Yeah, that's a crack.", "crack", 1),
        ("Roots at the joint. Another root at the top.", "roots", 2),
        ("Belly starts here. Thirty percent. Forty percent. And I'm out of the water.", "belly", 1),
        ("There's a crack. No, sorry, that's not a crack, that's a scratch.", "crack", 1),
        ("No roots so far. Still no roots.", "roots", 1),
        ("Crack at the top. Strike that.", "crack", 0),
        ("She says there's a crack in it. I see a crack here on the left.", "crack", 2),
    ],
)
def test_one_thing_one_row(said: str, feature: str, rows: int) -> None:
    assert len(of(feature, said)) == rows


def test_every_telling_is_a_sighting() -> None:
    (row,) = of("crack", "Crack on the left. Yeah, that's a crack, hairline.")
    assert len(row.sightings_ms) == 2
    assert row.time_ms == row.sightings_ms[0]
    assert list(row.sightings_ms) == sorted(row.sightings_ms)


def test_the_worst_amount_and_the_corrected_severity_stand() -> None:
    (belly,) = of("belly", "Belly here, thirty percent. Now forty percent. Thirty percent again.")
    assert belly.fields.amount_pct == 40
    (offset,) = of("joint-offset", "Severe offset, strike that, moderate.")
    assert offset.fields.severity == "moderate"


def test_claimed_then_denied_is_not_seen() -> None:
    (row,) = of("crack", "Is that a crack? No, that's a scratch.")
    assert row.standing == "not-seen"
    (row,) = of("belly", "Might be a belly. Yeah, it's a belly.")
    assert row.standing == "seen"


STORY = "Roots at the joint, ten percent. Then a crack on the left. The belly starts here. City connection."


def test_ids_hold_from_draft_to_draft() -> None:
    first, again = rows_of(RUN + STORY), rows_of(RUN + STORY)
    assert [o.id for o in first] == [o.id for o in again]
    assert len({o.id for o in first}) == len(first)
    longer = rows_of(RUN + STORY + " That's the end of the run. Coming back.")
    assert {o.id for o in first} <= {o.id for o in longer}


def test_rows_stand_by_leg_distance_and_time() -> None:
    rows = rows_of(RUN + STORY + " No grease so far. Kitchen sink is running.")
    assert [o.row for o in rows] == list(range(1, len(rows) + 1))
    keys = [
        (o.placement.leg, o.placement.distance_mm is None, o.placement.distance_mm or 0, o.time_ms)
        for o in rows
    ]
    assert keys == sorted(keys)


@pytest.mark.parametrize(
    ("said", "feature", "remark"),
    [
        (
            "Roots, two o'clock, heavy, thirty percent.",
            "roots",
            "Roots, called severe, at 2 o'clock, about 30 percent.",
        ),
        ("No cracks so far.", "crack", "No crack seen in this part of the run."),
        ("That might be a hole.", "hole", "Possible hole; not certain from the picture."),
        (
            "The seller says there were roots.",
            "roots",
            "Roots reported by others, not an observation of the camera.",
        ),
        ("I'd have that belly dug up.", "recommendation", "Advised for belly: digging up."),
        ("I'd have the roots cut out and jetted.", "recommendation", "Advised for roots: cutting, jetting."),
        (
            "That crack I wouldn't dig up, I'd just watch it.",
            "recommendation",
            "Advised for crack: no digging up, looking again later.",
        ),
        ("Leave the belly alone.", "recommendation", "Advised for belly: leaving as it is."),
        (
            "I'd get a plumber to look at the crack.",
            "recommendation",
            "Advised for crack: asking a plumber or contractor.",
        ),
        (
            "I would not put a cutter through there until the gas company has looked.",
            "recommendation",
            "Advised: no cutting, asking the utility first.",
        ),
        ("I recommend no jetting in this pipe.", "recommendation", "Advised: no jetting."),
        ("I'd recommend that you act on the roots.", "recommendation", "Advice given on roots."),
        ("Right under the sidewalk now.", "surface-mark", "Sidewalk above the camera."),
    ],
)
def test_a_remark_is_made_from_the_fields(said: str, feature: str, remark: str) -> None:
    (row,) = of(feature, said)
    assert row.remark == remark


def test_reasons_to_look() -> None:
    (possible,) = of("hole", "That might be a hole.")
    assert "said to be unsure" in possible.check
    (told,) = of("roots", "The seller says there were roots.")
    assert "told by others, not seen" in told.check
    (denied,) = of("crack", "No cracks so far.")
    assert denied.check == ()
    assert all(0 <= o.confidence <= 1 for o in rows_of(RUN + STORY))
