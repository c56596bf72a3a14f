"""What is a spoken mark and what is talk of the pipe."""

from pathlib import Path

import pytest

from narrate2log.hearing.hear import hear
from narrate2log.reading import read
from narrate2log.reading.marks import LONGEST_NOTE_MS, find_marks, marked_words, outside
from narrate2log.records import Correction, Transcript, Word
from reading.marked import lexicon

CLIP = Path(__file__).parent / "marks.ogg"
PAUSE_MS = 700


def heard(text: str, pace_ms: int = 300) -> Transcript:
    """Words as heard, one after the other; "|" is a pause, which begins a phrase."""
    words: list[Word] = []
    at = phrase = 0
    for word in text.split():
        if word == "|":
            at += PAUSE_MS
            phrase += 1
        else:
            words.append(Word(word, at, at + pace_ms - 20, 0.9, phrase))
            at += pace_ms
    return Transcript(tuple(words), ())


def kinds(text: str) -> list[str]:
    return [mark.kind for mark in find_marks(heard(text), lexicon())]


# Written as they are said: after a pause, a comma, an "and", at the head of a sentence, before more talk.
AS_WRITTEN = [
    ("Roots at ten. Remember this place.", "look"),
    ("Roots at ten, remember this moment, about twenty percent.", "look"),
    ("roots at ten | take a second look later | clay pipe from here", "look"),
    ("roots at ten and double check this moment", "look"),
    ("Mark that. Clay from here.", "look"),
    ("There's a hole at nine, mark that spot.", "look"),
    ("Okay, delete the last one.", "strike"),
    ("That was a shadow. Cancel the last entry.", "strike"),
    ("strike the last one | going on", "strike"),
    ("and take back the last one", "strike"),
    ("Message to the office, bill the second visit.", "note"),
    ("Note for the office: two more caps.", "note"),
    ("clean joint | office note, call her back", "note"),
    # The model left out the comma, but the finding before it is whole.
    ("Water in the bottom, maybe thirty percent delete the last one.", "strike"),
    ("roots at forty one feet remember this place.", "look"),
    ("water in the bottom, maybe 30% message to the office order caps", "note"),
]

# By sound: a voiced end for a voiceless one, a word swallowed, split or run together.
BY_SOUND = [
    ("Roots at ten, double check this labor.", "look"),
    ("Roots at ten. Remembered this moment.", "look"),
    ("Small joint. Take a second look layer.", "look"),
    ("Crack there, and cancelled the last one.", "strike"),
    ("Crack there. Take back last one.", "strike"),
    ("Crack there. Cancel the last 10 tree.", "strike"),
    ("Clean here. Massage to the office, bill the visit.", "note"),
]

TALK = [
    # part of a sentence that goes on, before or behind
    "I'll mark that on the lawn with paint.",
    "I'll mark that.",
    "Let me mark that spot.",
    "You can see the mark that the last guy left.",
    "Mark that on the lawn with paint.",
    "Note that the line turns here.",
    "We will take a second look later.",
    "I'd double check this later.",
    "I want to remember this place.",
    "They had to delete the last one.",
    "We passed the house trap, that was the last one.",
    "He left a note for the office.",
    "Hello, voice note for the office, I am done.",
    "Do not delete the last one.",
    "She took a message to the office.",
    # corrections, which are read elsewhere
    "It's severe, scratch that, moderate.",
    "It's severe, strike that, moderate.",
    "Strike that one.",
    # near in sound, but short or another thing
    "Now that's a belly. Mark the start.",
    "Lots of joints. Like that one.",
    "Let me back up and look at that again.",
    "And the light one, up top.",
    "Remember that. Readings are in percent.",
    "The office.",
]


@pytest.mark.parametrize(("text", "kind"), [*AS_WRITTEN, *BY_SOUND])
def test_a_mark_is_taken(text: str, kind: str) -> None:
    assert kinds(text) == [kind]


@pytest.mark.parametrize("text", TALK)
def test_talk_is_no_mark(text: str) -> None:
    assert kinds(text) == []


def test_a_silence_has_no_marks() -> None:
    assert find_marks(Transcript((), ()), lexicon()) == ()


def test_the_words_of_a_mark_and_their_times() -> None:
    (mark,) = find_marks(heard("Roots at ten. | Remember this place. | Clay."), lexicon())
    assert (mark.first_word, mark.last_word, mark.text) == (3, 5, "")
    assert (mark.start_ms, mark.end_ms) == (3 * 300 + PAUSE_MS, 6 * 300 + PAUSE_MS - 20)


def test_several_marks_in_a_row() -> None:
    text = "Roots at ten, mark that spot, note to the office, bill it, delete the last one."
    assert [(m.kind, m.text) for m in find_marks(heard(text), lexicon())] == [
        ("look", ""),
        ("note", "bill it"),
        ("strike", ""),
    ]


@pytest.mark.parametrize(
    ("text", "note"),
    [
        ("note to the office, bill the second visit. | Roots at ten.", "bill the second visit."),
        # The words come after a breath.
        ("note to the office. | Bill the second visit. | Roots at ten.", "Bill the second visit."),
        ("note to the office | | | roots at ten", ""),
        ("note to the office", ""),
    ],
)
def test_a_note_is_the_rest_of_its_phrase(text: str, note: str) -> None:
    (mark,) = find_marks(heard(text), lexicon())
    assert mark.text == note
    assert mark.last_word == 3 + len(note.split())


def test_a_note_ends_with_a_long_pause_inside_a_phrase() -> None:
    words = list(heard("note to the office bill it roots at ten").words)
    later = [Word(w.text, w.start_ms + 1600, w.end_ms + 1600, w.probability, w.phrase) for w in words[6:]]
    (mark,) = find_marks(Transcript((*words[:6], *later), ()), lexicon())
    assert mark.text == "bill it"


def test_a_note_has_an_end() -> None:
    transcript = heard("note to the office " + "and so on " * 60)
    (mark,) = find_marks(transcript, lexicon())
    assert LONGEST_NOTE_MS - 400 < mark.end_ms - transcript.words[3].end_ms <= LONGEST_NOTE_MS


def test_marked_words_tell_nothing() -> None:
    transcript = heard(
        "Roots at ten feet, remember this place. | Note to the office, camera the crack at ninety feet again."
        " | Grease at twelve feet."
    )
    marks = find_marks(transcript, lexicon())
    told = read(transcript, (), lexicon(), "ft", marks)

    assert [mention.feature for mention in told.mentions] == ["roots", "grease"]
    assert [place.low_mm for place in told.places] == [3048, 3658]
    # Words are still those of the transcript.
    assert [(m.first_word, m.last_word) for m in told.mentions] == [(0, 3), (18, 21)]


def test_what_follows_a_mark_is_a_sentence_of_its_own() -> None:
    transcript = heard("Roots at ten feet, mark that spot, grease at twelve feet.")
    told = read(transcript, (), lexicon(), "ft", find_marks(transcript, lexicon()))
    assert len(told.sentences) == 2
    assert len(read(transcript, (), lexicon(), "ft").sentences) == 1


def test_readings_of_marked_words_are_left_out() -> None:
    marks = find_marks(heard("Roots here. Note to the office, rules of fruits. Ruts."), lexicon())
    changes = [Correction(at, at, "", "roots", "") for at in (0, 8, 9, 10)]
    kept = outside(marks, changes)
    assert [change.first for change in kept] == [
        change.first for change in changes if change.first not in marked_words(marks)
    ]
    assert 0 < len(kept) < 4


@pytest.mark.speech
def test_marks_are_taken_from_sound() -> None:
    """Spoken over running water by tests/benchmarks/spoken_marks.py, with talk that is no mark at its end."""
    transcript = hear([CLIP], model="tiny.en", prompt=lexicon().prompt())
    marks = find_marks(transcript, lexicon())

    assert [mark.kind for mark in marks] == ["look", "strike", "note"]
    assert "second visit" in marks[2].text
    told = read(transcript, (), lexicon(), "ft", marks)
    assert {"roots", "crack"} <= {mention.feature for mention in told.mentions}
