"""How long a flush took, where the narrator says it: everyday ways of telling a time, no published source."""

from __future__ import annotations

import pytest

from narrate2log.reading import read
from narrate2log.records import Narration, Transcript, Word
from narrate2log.wording.lexicon import load_lexicon


def told(*cues: str) -> Narration:
    """What is read out of cues of four seconds each, one after the other."""
    words = [
        Word(text, 5_000 * n + 100 * i, 5_000 * n + 100 * i + 90, phrase=n)
        for n, cue in enumerate(cues)
        for i, text in enumerate(cue.split())
    ]
    return read(Transcript(tuple(words), ()), (), load_lexicon(None), "ft")


@pytest.mark.parametrize(
    ("cues", "low", "high"),
    [
        (("She flushed for me and it took, uh, twenty seconds to show up.",), 20, 20),
        (("Flush it now please.", "There it is, took about twenty five seconds to get here."), 25, 25),
        (("They flushed upstairs.", "It took thirty to forty seconds to reach me."), 30, 40),
        (("They flushed upstairs.", "There's the flush.", "Fourteen seconds or so."), 14, 14),
        (
            ("They flushed upstairs.", "There's the flush.", "That was fifteen, maybe eighteen seconds."),
            15,
            18,
        ),
        (("They flushed upstairs.", "There's the flush.", "That was a minute and a half."), 90, 90),
        (("Flush it now.", "Took one minute and ten seconds to show up."), 70, 70),
        (("Flush it now.", "There it is.", "Ten seconds, no, twelve seconds."), 12, 12),
        (("Flush it now.", "Took one to two minutes to get here."), 60, 120),
    ],
)
def test_the_time_of_a_flush_that_is_said(cues: tuple[str, ...], low: float, high: float) -> None:
    (time,) = told(*cues).flush_times
    assert (time.low_s, time.high_s) == (low, high)


def test_it_belongs_to_the_telling_of_the_water() -> None:
    narration = told("They flushed upstairs.", "There's the flush.", "Fourteen seconds or so.")
    (arrival,) = (m for m in narration.mentions if m.feature == "flush-arrival")
    assert [time.time_ms for time in narration.flush_times] == [arrival.start_ms]


@pytest.mark.parametrize(
    "cues",
    [
        ("I'll wait twenty seconds here.",),
        ("They flushed upstairs.", "There's the flush.", "Two guys can do this in twenty minutes."),
        ("They flushed upstairs.", "There's the flush.", "There's a crack, twenty seconds back."),
        ("They flushed upstairs.", "There's the flush.", "Twenty feet."),
        ("They flushed upstairs.", "There's the flush.", "Give me a second."),
        ("They flushed upstairs.", "There's the flush.", "Okay.", "So.", "And on.", "Twenty seconds."),
    ],
)
def test_times_of_something_else(cues: tuple[str, ...]) -> None:
    assert told(*cues).flush_times == ()
