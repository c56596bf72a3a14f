"""How running talk is cut into sentences, and that each keeps the words it came from."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from narrate2log.reading.language import FILLERS, PAUSE_AFTER_COMMA_MS, PAUSE_MS, split
from narrate2log.records import Correction
from reading.heard import as_lines, sentences, timed
from reading.marked import transcript_of


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("Crack here. Roots there.", ["crack here .", "roots there ."]),
        ("Is it a crack? It is.", ["is it a crack ?", "it is ."]),
        ("Okay... next one.", ["okay ...", "next one ."]),
        ("Wait… what.", ["wait …", "what ."]),
        ("Really?! Yes.", ["really ? !", "yes ."]),
        ("It is 61.5 feet. Crack.", ["it is 61.5 feet .", "crack ."]),
        ("Roots, then a crack, then roots", ["roots , then a crack , then roots"]),
        ("Starting", ["starting"]),
    ],
)
def test_sentences_end_at_full_stops_and_question_marks(text: str, lines: list[str]) -> None:
    assert as_lines(transcript_of(text)) == lines


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("Mrs. Person called us. Roots here.", ["mrs. person called us .", "roots here ."]),
        ("Mr. Person called. Roots here.", ["mr. person called .", "roots here ."]),
        ("Dr. Person lives here.", ["dr. person lives here ."]),
        ("We are on Long St. Anywhere now.", ["we are on long st. anywhere now ."]),
        ("Roots vs. grease here.", ["roots vs. grease here ."]),
    ],
)
def test_a_title_ends_no_sentence(text: str, lines: list[str]) -> None:
    assert as_lines(transcript_of(text)) == lines


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("Is it a crack?", [True]),
        ("It is a crack.", [False]),
        ("It is a crack", [False]),
        ("Crack here. See it? Yes.", [False, True, False]),
    ],
)
def test_a_question_mark_asks(text: str, asks: list[bool]) -> None:
    assert [sentence.asks for sentence in split(transcript_of(text), ())] == asks


@pytest.mark.parametrize(
    ("first", "silence_ms", "lines"),
    [
        ("crack", PAUSE_MS, ["crack roots"]),
        ("crack", PAUSE_MS + 1, ["crack", "roots"]),
        ("crack,", PAUSE_MS + 1, ["crack , roots"]),
        ("crack,", PAUSE_AFTER_COMMA_MS, ["crack , roots"]),
        ("crack,", PAUSE_AFTER_COMMA_MS + 1, ["crack ,", "roots"]),
        ("Mrs.", PAUSE_MS - 1, ["mrs. roots"]),
        ("Mrs.", PAUSE_MS + 1, ["mrs.", "roots"]),
    ],
)
def test_a_pause_ends_a_sentence_and_a_comma_holds_it_open(
    first: str, silence_ms: int, lines: list[str]
) -> None:
    said = timed((first, 1000, 1300), ("roots", 1300 + silence_ms, 1700 + silence_ms))
    assert as_lines(said) == lines


@pytest.mark.parametrize(("silence_ms", "lines"), [(600, ["crack , roots"]), (601, ["crack ,", "roots"])])
def test_a_recogniser_is_held_to_shorter_pauses(silence_ms: int, lines: list[str]) -> None:
    said = timed(("crack,", 1000, 1300), ("roots", 1300 + silence_ms, 1700 + silence_ms), probability=0.9)
    assert as_lines(said) == lines


@pytest.mark.parametrize(
    ("second", "phrase", "lines"),
    [
        ("Roots", 1, ["crack", "roots"]),
        ("roots", 1, ["crack roots"]),
        ("Roots", 0, ["crack roots"]),
    ],
)
def test_a_new_cue_begins_a_sentence_where_a_capital_does(second: str, phrase: int, lines: list[str]) -> None:
    assert as_lines(timed(("crack", 1000, 1300, 0), (second, 1600, 1900, phrase))) == lines


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("Um, there is a crack.", ["there is a crack ."]),
        ("There is, uh, a crack.", ["there is a crack ."]),
        ("There is a crack, um.", ["there is a crack , ."]),
        ("It is, like, cracked.", ["it is cracked ."]),
        ("It looks like roots.", ["it looks like roots ."]),
        ("Um. Uh. Crack.", ["crack ."]),
        ("um uh", []),
        ("... , --", []),
    ],
)
def test_fillers_are_left_out_and_words_are_not(text: str, lines: list[str]) -> None:
    assert as_lines(transcript_of(text)) == lines


@pytest.mark.parametrize(
    ("text", "together"),
    [
        ("roots, scale, grease", True),
        ("roots and grease", True),
        ("roots or else grease", True),
        ("roots but no grease", False),
        ("roots; grease", False),
        ("roots here, and there is grease", False),
        ("roots here, we see grease", False),
    ],
)
def test_a_new_subject_begins_a_clause_and_a_list_does_not(text: str, together: bool) -> None:
    (sentence,) = split(transcript_of(text), ())
    of = dict(zip(sentence.lowers, sentence.clauses, strict=True))
    assert (of["roots"] == of["grease"]) is together


@pytest.mark.parametrize(
    ("corrections", "said", "words"),
    [
        ((), ["a", "root", "bowl", "and", "a", "track", "here", "."], [0, 1, 2, 3, 4, 5, 6, 6]),
        (
            (Correction(5, 5, "track", "crack", "test"),),
            ["a", "root", "bowl", "and", "a", "crack", "here", "."],
            [0, 1, 2, 3, 4, 5, 6, 6],
        ),
        # two words for two, and one for one: what follows keeps its place
        (
            (Correction(1, 2, "root bowl", "root ball", "test"), Correction(5, 5, "track", "crack", "test")),
            ["a", "root", "ball", "and", "a", "crack", "here", "."],
            [0, 1, 1, 3, 4, 5, 6, 6],
        ),
        # two words swallowed into one
        (
            (Correction(1, 2, "root bowl", "roots", "test"),),
            ["a", "roots", "and", "a", "track", "here", "."],
            [0, 1, 3, 4, 5, 6, 6],
        ),
        # one word grown into two
        (
            (Correction(5, 5, "track", "hairline crack", "test"),),
            ["a", "root", "bowl", "and", "a", "hairline", "crack", "here", "."],
            [0, 1, 2, 3, 4, 5, 5, 6, 6],
        ),
    ],
)
def test_a_correction_moves_no_word(
    corrections: tuple[Correction, ...], said: list[str], words: list[int]
) -> None:
    transcript = transcript_of("a root bowl and a track here.")
    (sentence,) = split(transcript, corrections)
    assert list(sentence.lowers) == said
    assert [token.word for token in sentence.tokens] == words
    assert sentence.times == tuple((transcript.words[i].start_ms, transcript.words[i].end_ms) for i in words)


def test_a_correction_keeps_the_stop_that_ends_the_sentence() -> None:
    transcript = transcript_of("That is a track. Roots next.")
    assert as_lines(transcript, (Correction(3, 3, "track", "crack", "test"),)) == [
        "that is a crack .",
        "roots next .",
    ]


SAID = st.sampled_from(
    (
        "roots crack, there's Mrs. um uh, 61.5 feet. o'clock? don't the and but like, belly... "
        "4\" -- it's ok; No."
    ).split()
)  # fmt: skip
SILENCES = st.sampled_from((20, 700, 2_000, 7_000))


@settings(deadline=None)
@given(st.lists(st.tuples(SAID, SILENCES), min_size=1, max_size=40), st.sampled_from((None, 0.8)))
def test_every_word_is_in_one_sentence_and_in_order(
    said: list[tuple[str, int]], probability: float | None
) -> None:
    at, words = 0, []
    for text, silence in said:
        words.append((text, at, at + 300))
        at += 300 + silence
    transcript = timed(*words, probability=probability)
    found = split(transcript, ())
    owners = [token.word for sentence in found for token in sentence.tokens]
    meant = {
        i
        for i, (text, *_) in enumerate(words)
        if any(c.isalnum() for c in text) and text.strip(",.").lower() not in FILLERS | {"like"}
    }
    assert owners == sorted(owners)
    assert meant <= set(owners)
    assert sum(len({token.word for token in sentence.tokens}) for sentence in found) == len(set(owners))
    assert [sentence.index for sentence in found] == list(range(len(found)))
    for sentence in found:
        assert sentence.start_ms <= sentence.times[0][0]
        assert sentence.times[-1][1] <= sentence.end_ms
        assert len(sentence.times) == len(sentence.tokens)
    for before, after in pairwise(found):
        assert before.last_word < after.first_word
        assert before.end_ms <= after.start_ms


@pytest.mark.parametrize(
    ("text", "clauses"),
    [
        ("There's a crack, and there is a hole.", 2),
        ("Roots at ten; crack on the left.", 2),
        ("It's clay, and then it's plastic, so there it ends.", 3),
        ("Crack, hole and roots.", 1),
    ],
)
def test_what_links_two_clauses_begins_the_second_once(text: str, clauses: int) -> None:
    (sentence,) = sentences(text)
    assert sentence.clauses[-1] + 1 == clauses


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("Approx. forty feet in.", 1),
        ("That's lot no. 12 there.", 1),
        ("Roots approx. Then clay.", 2),
        ("Is that a crack? No. Forty one feet.", 3),
        ("Is that a crack? No. 41 feet.", 3),
    ],
)
def test_a_shortened_word_before_a_number_ends_no_sentence(text: str, lines: int) -> None:
    assert len(sentences(text)) == lines
