import pytest
from hypothesis import given
from hypothesis import strategies as st

from narrate2log.hearing.windows import LONGEST_WINDOW, MARGIN, pack, widen

S = 16_000


@pytest.mark.parametrize(
    ("speech", "wide"),
    [
        ([], []),
        # Room on both sides: a whole margin.
        ([(5 * S, 6 * S)], [(5 * S - MARGIN, 6 * S + MARGIN)]),
        # At the edges of the recording.
        ([(100, 10 * S - 50)], [(0, 10 * S)]),
        # Two share a silence that is shorter than two margins.
        (
            [(2 * S, 3 * S), (3 * S + 1000, 4 * S)],
            [(2 * S - MARGIN, 3 * S + 500), (3 * S + 500, 4 * S + MARGIN)],
        ),
    ],
)
def test_widen(speech, wide):
    assert widen(speech, 10 * S) == wide


@pytest.mark.parametrize(
    ("stretches", "windows"),
    [
        ([], []),
        ([(S, 3 * S)], [(0, 2 * S)]),
        # Ten and twenty seconds fill a window to the last sample; the next begins another.
        ([(0, 10 * S), (50 * S, 70 * S), (90 * S, 91 * S)], [(0, 30 * S), (30 * S, 31 * S)]),
        # What does not fit is not cut.
        ([(0, 20 * S), (30 * S, 41 * S)], [(0, 20 * S), (20 * S, 31 * S)]),
    ],
)
def test_pack(stretches, windows):
    assert pack(stretches) == windows


@st.composite
def speech(draw):
    """Stretches of speech apart from each other, each short enough for a window, and a recording's length."""
    now, stretches = 0, []
    for silence, length in draw(
        st.lists(st.tuples(st.integers(1, 5 * S), st.integers(1, 29 * S)), max_size=20)
    ):
        stretches.append((now + silence, now + silence + length))
        now += silence + length
    return stretches, now + draw(st.integers(0, 5 * S))


@given(speech())
def test_wide_stretches_hold_the_speech_and_never_overlap(made):
    stretches, total = made
    wide = widen(stretches, total)

    for (begin, finish), (first, past) in zip(stretches, wide, strict=True):
        assert begin - MARGIN <= first <= begin < finish <= past <= finish + MARGIN
    edges = [0, *(edge for stretch in wide for edge in stretch), total]
    assert edges == sorted(edges)


@given(speech())
def test_windows_follow_each_other_over_all_of_the_speech(made):
    stretches, _ = made
    windows = pack(stretches)

    assert all(0 < end - begin <= LONGEST_WINDOW for begin, end in windows)
    ends = [end for _, end in windows]
    assert [begin for begin, _ in windows] == [0, *ends][: len(windows)]
    assert [0, *ends][-1] == sum(finish - begin for begin, finish in stretches)
