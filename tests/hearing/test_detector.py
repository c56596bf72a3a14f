"""Checked against faster-whisper's own detection (`faster_whisper.vad.get_speech_timestamps`)."""

import numpy as np
import pytest
from faster_whisper.vad import VadOptions, get_speech_timestamps

from hearing.clip import spoken_clip
from narrate2log.hearing.detector import LONGEST_SPEECH, SHORTEST_PAUSE, SpeechDetector, find_speech
from narrate2log.hearing.media import SAMPLE_RATE, decode
from narrate2log.hearing.windows import LONGEST_WINDOW, MARGIN

OPTIONS = VadOptions(
    max_speech_duration_s=(LONGEST_WINDOW - 2 * MARGIN) / SAMPLE_RATE,
    min_silence_duration_ms=160,
    speech_pad_ms=0,
)


def expected(samples):
    return [(found["start"], found["end"]) for found in get_speech_timestamps(samples, OPTIONS)]


@pytest.fixture(scope="module")
def clip():
    return decode(spoken_clip())


def without_pauses(clip):
    """A minute and a half of someone who never stops for long."""
    stretches = [clip[begin:end] for begin, end in expected(clip)]
    breath = np.zeros(SAMPLE_RATE * 130 // 1000, np.float32)
    joined = np.concatenate([part for stretch in stretches for part in (stretch, breath)])
    return np.tile(joined, 90 * SAMPLE_RATE // len(joined) + 1)


def without_a_breath(clip):
    return np.tile(clip[clip.nonzero()[0][0] :][np.abs(clip[clip.nonzero()[0][0] :]) > 0.02], 40)


@pytest.mark.parametrize("change", [lambda clip: clip, without_pauses, without_a_breath])
def test_finds_what_faster_whisper_finds(clip, change):
    sound = change(clip)
    assert find_speech(sound) == expected(sound)


@pytest.mark.parametrize("seed", range(5))
def test_piece_by_piece_is_as_in_one(clip, seed):
    sizes = np.random.default_rng(seed).integers(0, 9000, 2000)
    detector = SpeechDetector()
    at = 0
    for size in sizes:
        detector.feed(clip[at : at + size])
        at += int(size)
    assert at > len(clip)
    detector.finish()
    assert detector.ended == expected(clip)


def test_tells_of_speech_while_it_goes_on(clip):
    begin, end = expected(clip)[0]
    detector = SpeechDetector()
    detector.feed(clip[: (begin + end) // 2])
    assert (detector.began, detector.ended) == (begin, [])
    detector.feed(clip[(begin + end) // 2 : end])
    detector.feed(np.zeros(2 * SHORTEST_PAUSE, np.float32))
    assert detector.began is None
    assert len(detector.ended) == 1


@pytest.mark.parametrize("sound", [np.zeros(0, np.float32), np.zeros(5 * SAMPLE_RATE, np.float32)])
def test_finds_nothing_in_silence(sound):
    assert find_speech(sound) == []


def test_no_stretch_is_longer_than_a_window_allows(clip):
    longest = max(end - begin for begin, end in find_speech(without_a_breath(clip)))
    assert LONGEST_SPEECH / 2 < longest <= LONGEST_WINDOW - 2 * MARGIN
