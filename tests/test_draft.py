"""The whole way from clips to a draft."""

from __future__ import annotations

import wave
from pathlib import Path

import pytest

from narrate2log.draft import draft, left_out
from narrate2log.errors import UnusableLexicon, UnusableSource
from narrate2log.records import Draft, Observation, Transcript, Word
from narrate2log.table.marked import MARKED, STRUCK

HEAD = "WEBVTT\n\n"
# Ten seconds a clip: the last cue ends it.
OUT = HEAD + (
    "00:00.000 --> 00:02.000\nThis is the cleanout. Starting.\n\n"
    "00:04.000 --> 00:06.000\nRoots at ten.\n\n"
    "00:09.000 --> 00:10.000\nYeah.\n"
)
ON = HEAD + (
    "00:04.000 --> 00:06.000\nA crack at twenty.\n\n"
    "00:08.000 --> 00:10.000\nMinus one degree at twenty five.\n"
)


def clip(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def one(made: Draft, feature: str) -> Observation:
    (row,) = [row for row in made.observations if row.feature == feature]
    return row


def test_several_clips_run_on_in_time(tmp_path: Path) -> None:
    first, second = clip(tmp_path, "1.vtt", OUT), clip(tmp_path, "2.vtt", ON)
    made = draft([first, second])
    assert [(s.file, s.offset_ms, s.duration_ms) for s in made.transcript.sources] == [
        ("1.vtt", 0, 10_000),
        ("2.vtt", 10_000, 10_000),
    ]
    assert 4_000 <= one(made, "roots").time_ms < 6_000
    assert 14_000 <= one(made, "crack").time_ms < 16_000
    (slope,) = made.slope_readings
    assert 18_000 <= slope.time_ms < 20_000
    # one run: the second clip goes on from the first one's start
    assert [leg.entry for leg in made.legs] == ["cleanout"]
    alone = draft([first])
    assert one(alone, "roots").id == one(made, "roots").id


def test_the_order_of_the_clips_is_the_order_of_the_run(tmp_path: Path) -> None:
    first, second = clip(tmp_path, "1.vtt", OUT), clip(tmp_path, "2.vtt", ON)
    turned = draft([second, first])
    assert 4_000 <= one(turned, "crack").time_ms < 6_000
    assert 14_000 <= one(turned, "roots").time_ms < 16_000


def test_a_draft_in_metres(tmp_path: Path) -> None:
    sources = [clip(tmp_path, "1.vtt", OUT), clip(tmp_path, "2.vtt", ON)]
    feet, metres = draft(sources), draft(sources, units="m")
    assert (feet.units, metres.units) == ("ft", "m")
    assert one(feet, "roots").placement.distance_mm == 3_048
    assert one(metres, "roots").placement.distance_mm == 10_000
    assert one(feet, "roots").remark == "Roots at 10.0 ft."
    assert one(metres, "roots").remark == "Roots at 10.0 m."
    assert [row.id for row in feet.observations] == [row.id for row in metres.observations]


def test_the_counter_log_is_in_the_unit_of_the_run_and_its_problems_are_told(tmp_path: Path) -> None:
    sources = [clip(tmp_path, "1.vtt", OUT), clip(tmp_path, "2.vtt", ON)]
    log = clip(tmp_path, "counter.csv", "time_s,distance\n0,0\n5,10\n,\n15,20\n20,25\n")
    for unit, mm in (("ft", 304.8), ("m", 1000.0)):
        made = draft(sources, counter=log, units=unit)  # type: ignore[arg-type]
        (slope,) = made.slope_readings
        assert slope.placement.basis == "counter"
        assert 22.9 * mm <= (slope.placement.distance_mm or 0) <= 25 * mm
        assert made.problems == ("counter.csv: line 4 left out for want of a time or a distance.",)
    assert draft(sources).problems == ()


def test_the_same_sources_give_the_same_draft(tmp_path: Path) -> None:
    sources = [clip(tmp_path, "1.vtt", OUT), clip(tmp_path, "2.vtt", ON)]
    assert draft(sources) == draft(sources)


def test_a_mis_heard_word_is_put_right_and_told(tmp_path: Path) -> None:
    said = HEAD + "00:00.000 --> 00:06.000\nStarting. At ten feet there's a rule ball, forty percent.\n"
    made = draft([clip(tmp_path, "1.vtt", said)])
    assert [(c.heard, c.read_as) for c in made.corrections] == [("rule ball", "root ball")]
    assert "rule ball" in one(made, "roots").heard
    assert "root ball" in one(made, "roots").read_as


def test_a_danger_spoken_of_becomes_a_caution(tmp_path: Path) -> None:
    said = HEAD + "00:00.000 --> 00:04.000\nStarting. It changes to asbestos cement at ten feet.\n"
    assert [c.key for c in draft([clip(tmp_path, "1.vtt", said)]).cautions] == ["asbestos-cement"]


@pytest.mark.parametrize("text", [HEAD, HEAD + "00:00.000 --> 00:04.000\nUm, yeah.\n"])
def test_where_nothing_is_told_the_table_is_empty(tmp_path: Path, text: str) -> None:
    made = draft([clip(tmp_path, "1.vtt", text)])
    assert (made.observations, made.slope_readings, made.cautions) == ((), (), ())
    assert len(made.legs) == 1


def test_a_bad_log_or_lexicon_is_refused_before_any_listening(tmp_path: Path) -> None:
    missing = tmp_path / "no.wav"
    log = clip(tmp_path, "counter.csv", "not a log\n")
    with pytest.raises(UnusableSource, match=r"counter\.csv"):
        draft([missing], counter=log)
    with pytest.raises(UnusableLexicon):
        draft([missing], counter=log, lexicon_folder=tmp_path / "no-such-folder")


@pytest.mark.speech
def test_silence_gives_an_empty_table(tmp_path: Path) -> None:
    silence = tmp_path / "silence.wav"
    with wave.open(str(silence), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16_000)
        file.writeframes(bytes(2 * 16_000 * 3))
    made = draft([silence], model="tiny.en")
    assert made.transcript.words == ()
    assert [s.duration_ms for s in made.transcript.sources] == [3_000]
    assert (made.observations, made.slope_readings, made.cautions) == ((), (), ())


LESSON = '[[correction]]\nheard = "brutes"\nread_as = "roots"\ncount = 2\n'
HEARD = HEAD + "00:00.000 --> 00:02.000\nStarting.\n\n00:04.000 --> 00:06.000\nBrutes at ten feet.\n"


def test_what_the_user_taught_is_read_so_in_every_draft(tmp_path: Path, nothing_learned: Path) -> None:
    source = clip(tmp_path, "1.vtt", HEARD)
    assert "roots" not in {row.feature for row in draft([source]).observations}
    nothing_learned.mkdir()
    (nothing_learned / "learned.toml").write_text(LESSON, encoding="utf-8")
    row = one(draft([source]), "roots")
    assert (row.heard, row.read_as) == ("Brutes at ten feet.", "roots at ten feet.")
    assert row.check == ("a mis-heard word was corrected: 'Brutes' read as 'roots'",)


def test_lessons_that_cannot_be_read_are_set_aside_and_said(tmp_path: Path, nothing_learned: Path) -> None:
    nothing_learned.mkdir()
    lessons = nothing_learned / "learned.toml"
    lessons.write_text("[[correction]\n", encoding="utf-8")
    (problem,) = draft([clip(tmp_path, "1.vtt", HEARD)]).problems
    assert problem.startswith(f"{lessons} holds no lessons that can be read")
    (kept,) = nothing_learned.iterdir()
    assert str(kept) in problem
    assert kept.read_text(encoding="utf-8") == "[[correction]\n"


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ("I couldn't see the bottom of the pipe under the water.", "part of the pipe was under water"),
        ("The pipes under the kitchen were not inspected.", "the pipes under the house were not seen"),
        ("I couldn't inspect the pipes under the house.", "the pipes under the house were not seen"),
        ("I can't see the pipes under the house from here.", "the pipes under the house were not seen"),
        ("Could not see the lines under the slab.", "the pipes under the house were not seen"),
        ("The drains beneath your home were never scoped.", "the pipes under the house were not seen"),
    ],
)
def test_what_limited_the_view_is_told_as_it_was_said(tmp_path: Path, said: str, why: str) -> None:
    text = f"WEBVTT\n\n00:01.000 --> 00:03.000\nStarting.\n\n00:05.000 --> 00:09.000\n{said}\n"
    assert one(draft([clip(tmp_path, "1.vtt", text)]), "limitation").remark == (
        f"Limit of the inspection: {why}."
    )


def test_a_number_that_fits_nowhere_is_left_and_its_row_asks_which_was_meant(tmp_path: Path) -> None:
    cues = [
        "Starting.",
        "Ten feet.",
        "Fifteen feet.",
        "Roots at ninety feet.",
        "Twenty two feet.",
        "Thirty feet.",
    ]
    times = [0, 20, 30, 38, 44, 60]
    text = (
        "".join(
            f"00:{at:02}.000 --> 00:{at + 2:02}.000\n{cue}\n\n" for at, cue in zip(times, cues, strict=True)
        )
        .replace("00:60", "01:00")
        .replace("00:62", "01:02")
    )
    made = draft([clip(tmp_path, "run.vtt", HEAD + text)])
    row = one(made, "roots")
    assert row.heard == row.read_as == "Roots at ninety feet."
    assert "'ninety' may be 'nineteen'" in row.check
    (offer,) = made.offers
    assert (offer.heard, [choice.read_as for choice in offer.choices]) == ("ninety", ["nineteen"])
    assert made.corrections == ()


def test_what_was_left_out_as_noise_is_told() -> None:
    noises = (Word("Thank you.", 65_000, 66_000, 0.4), Word("Music", 192_000, 193_000, 0.2))
    assert left_out(Transcript((), (), None, noises)) == (
        "Left out as noise: 'Thank you.' at 1:05, 'Music' at 3:12; listen there if somebody may have spoken.",
    )
    assert left_out(Transcript((), ())) == ()


MARKED_BY_VOICE = HEAD + (
    "00:00.000 --> 00:02.000\nThis is the cleanout. Starting.\n\n"
    "00:04.000 --> 00:07.000\nRoots at ten feet, remember this place.\n\n"
    "00:20.000 --> 00:22.000\nA crack at twenty feet.\n\n"
    "00:24.000 --> 00:26.000\nDelete the last one.\n\n"
    "00:30.000 --> 00:36.000\n"
    "Message to the office, charge for the hole at ninety feet, and rules of thumb.\n\n"
    "00:50.000 --> 00:52.000\nGrease at thirty feet.\n\n"
)


def test_spoken_marks_ask_and_tell(tmp_path: Path) -> None:
    made = draft([clip(tmp_path, "1.vtt", MARKED_BY_VOICE)])
    assert MARKED in one(made, "roots").check
    assert STRUCK in one(made, "crack").check
    assert not {MARKED, STRUCK} & set(one(made, "grease").check)
    assert "Office note at 0:30: 'charge for the hole at ninety feet, and rules of thumb.'" in made.problems
    # the note is said to the office: no row, no footage, nothing to ask about
    assert "hole" not in {row.feature for row in made.observations}
    assert max(use.distance_mm for use in made.anchors) < 10_000
    assert not [change for change in (*made.corrections, *made.offers) if "rules" in change.heard]
    assert "Remember" not in one(made, "roots").remark
