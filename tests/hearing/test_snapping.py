import pytest
from hypothesis import given
from hypothesis import strategies as st

from narrate2log.hearing.snapping import LARGEST_MOVE_MS, LONGEST_WORD_MS, snap_to_speech
from narrate2log.records import Word

SPANS = [(1000, 3000), (8000, 10000)]


@pytest.mark.parametrize(
    ("heard", "snapped"),
    [
        # Within speech nothing changes, at its very edges neither.
        ((1500, 1900), (1500, 1900)),
        ((1000, 1400), (1000, 1400)),
        ((2600, 3000), (2600, 3000)),
        # The first word after a silence came early: it starts where speech does.
        ((5200, 8400), (8000, 8400)),
        # It even reaches back to the word before the silence.
        ((2950, 8400), (8000, 8400)),
        # The last word before a silence is drawn out: it ends where speech does.
        ((2700, 4400), (2700, 3000)),
        # Wholly in silence: moved to the nearer speech at its own length.
        ((6900, 7300), (8000, 8400)),
        ((3300, 3600), (2700, 3000)),
        # Equally near to both: the speech to come.
        ((5400, 5600), (8000, 8200)),
        # Longer than the speech it is moved to is not possible.
        ((0, 900), (1000, 1900)),
        # Too far from any speech to have been misplaced.
        ((15000, 15400), (15000, 15400)),
        # Absurdly long within speech: clipped at its end.
        ((8000, 10000 + 500), (8000, 10000)),
    ],
)
def test_one_word_goes_to_its_speech(heard, snapped):
    (word,) = snap_to_speech([Word("roots", *heard)], SPANS)

    assert (word.start_ms, word.end_ms) == snapped


def test_a_word_of_many_seconds_within_one_stretch_is_clipped():
    (word,) = snap_to_speech([Word("roots", 500, 60_000)], [(1000, 100_000)])

    assert (word.start_ms, word.end_ms) == (1000, 1000 + LONGEST_WORD_MS)


def test_words_that_land_on_one_place_keep_their_order():
    words = snap_to_speech([Word("some", 6000, 6300), Word("roots", 6300, 6600)], SPANS)

    assert [word.text for word in words] == ["some", "roots"]
    assert [word.start_ms for word in words] == [8000, 8000]


def test_without_speech_words_stay():
    words = (Word("roots", 100, 400, 0.5, 3),)

    assert snap_to_speech(words, []) == words


TIMES = st.integers(0, 60_000)


@st.composite
def spans(draw):
    """Stretches of speech in order, apart from each other."""
    edges = sorted(draw(st.lists(TIMES, unique=True, min_size=2, max_size=12)))
    return list(zip(edges[::2], edges[1::2], strict=False))


@st.composite
def words(draw):
    """Words in the order of their starts, some far too long."""
    starts = sorted(draw(st.lists(TIMES, max_size=12)))
    return tuple(
        Word(f"w{index}", start, start + draw(st.integers(0, 9000)), 0.5, index // 3)
        for index, start in enumerate(starts)
    )


@given(words(), spans())
def test_snapping_moves_times_and_nothing_else(heard, speech):
    snapped = snap_to_speech(heard, speech)

    assert [(w.text, w.probability, w.phrase) for w in snapped] == [
        (w.text, w.probability, w.phrase) for w in heard
    ]
    assert all(word.start_ms <= word.end_ms <= word.start_ms + LONGEST_WORD_MS for word in snapped)
    starts = [word.start_ms for word in snapped]
    assert starts == sorted(starts)


@given(words(), spans())
def test_a_word_ends_up_in_speech_or_far_from_it(heard, speech):
    earliest = 0
    for word in snap_to_speech(heard, speech):
        in_speech = any(begin <= word.start_ms <= finish for begin, finish in speech)
        far = all(
            word.start_ms - finish > LARGEST_MOVE_MS or begin - word.end_ms > LARGEST_MOVE_MS
            for begin, finish in speech
        )
        assert in_speech or far or word.start_ms == earliest
        earliest = word.start_ms


@given(words(), spans())
def test_snapping_twice_is_snapping_once(heard, speech):
    once = snap_to_speech(heard, speech)

    assert snap_to_speech(once, speech) == once
