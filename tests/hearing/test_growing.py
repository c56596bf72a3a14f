"""Hearing phrase by phrase, on real speech."""

from itertools import pairwise

import numpy as np
import pytest
from jiwer import wer

from hearing.clip import spoken_clip
from narrate2log.hearing import growing
from narrate2log.hearing.detector import find_speech
from narrate2log.hearing.growing import LONGEST_PHRASE, GrowingHearing
from narrate2log.hearing.media import SAMPLE_RATE, decode
from narrate2log.hearing.models import find_model
from narrate2log.hearing.recogniser import transcribe

pytestmark = pytest.mark.speech


@pytest.fixture(scope="module")
def clip():
    return decode(spoken_clip())


def phrases_of(hearing, sound, pause_ms=300):
    """The phrases, each as soon as its speaker has been silent for so long."""
    phrases = []
    for at in range(0, len(sound), 1600):
        hearing.feed(sound[at : at + 1600])
        if hearing.untaken and hearing.silence_after(hearing.ended) >= pause_ms:
            phrases.append(hearing.hear())
            hearing.take(phrases[-1])
    hearing.finish()
    if hearing.untaken:
        phrases.append(hearing.hear())
        hearing.take(phrases[-1])
    return phrases


def text(words):
    return " ".join("".join(c for c in word.text.lower() if c.isalnum()) for word in words)


def test_what_is_heard_phrase_by_phrase_is_what_is_heard_in_the_whole(clip):
    model = find_model("tiny.en")
    phrases = phrases_of(GrowingHearing(model, None, start_ms=60_000), clip)
    whole = transcribe(clip, model, prompt=None, progress=None)
    words = [word for phrase in phrases for word in phrase.words]

    assert len(phrases) > 5
    assert wer(text(whole), text(words)) < 0.1
    # Each phrase at its own time, none twice, in order.
    assert all(a.end_ms <= b.start_ms for a, b in pairwise(phrases))
    assert all(p.start_ms - 300 <= w.start_ms <= p.end_ms + 300 for p in phrases for w in p.words)
    firsts = {word.text.lower(): word.start_ms for word in reversed(whole)}
    apart = [
        abs(w.start_ms - 60_000 - firsts[w.text.lower()]) for w in words[:10] if w.text.lower() in firsts
    ]
    assert np.median(apart) < 150


def test_somebody_who_never_pauses_is_heard_all_the_same(clip):
    """His breaths are cut down to 130 ms, which is no end of a phrase."""
    breath = np.zeros(SAMPLE_RATE * 130 // 1000, np.float32)
    sound = np.concatenate([part for a, b in find_speech(clip) for part in (clip[a:b], breath)])
    hearing = GrowingHearing(find_model("tiny.en"), None)
    hearing.feed(sound)
    assert hearing.untaken >= len(sound) // LONGEST_PHRASE - 1
    phrase = hearing.hear()
    assert phrase.end_ms <= len(sound) * 1000 // SAMPLE_RATE


def test_sound_that_was_heard_is_let_go(clip, monkeypatch):
    monkeypatch.setattr(growing, "hear_stretches", lambda *_, **__: [])
    hearing = GrowingHearing(find_model("tiny.en"), None)
    for _ in range(5):
        hearing.feed(clip)
        while hearing.untaken:
            hearing.take(hearing.hear())
    assert sum(map(len, hearing._sound)) < 120 * SAMPLE_RATE
    assert hearing.fed_ms == round(5 * len(clip) * 1000 / SAMPLE_RATE)


def test_sound_in_which_nobody_speaks_is_let_go_and_what_follows_is_heard(clip):
    hearing = GrowingHearing(find_model("tiny.en"), None)
    for _ in range(4000):
        hearing.feed(np.zeros(SAMPLE_RATE // 20, np.float32))
        assert sum(map(len, hearing._sound)) < 100 * SAMPLE_RATE
    hearing.feed(clip[: 8 * SAMPLE_RATE])
    hearing.feed(np.zeros(SAMPLE_RATE, np.float32))
    phrase = hearing.hear()
    assert "best of times" in " ".join(word.text for word in phrase.words)
    assert 200_000 < phrase.words[0].start_ms < 202_000
