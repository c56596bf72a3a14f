"""A sine of full scale has half the power of a square wave of full scale, 10 log 0.5 = -3.01 dB."""

import numpy as np
import pytest

from narrate2log.listening.level import NO_SIGNAL, TOO_LOUD, TOO_QUIET, LevelWatch, level_db


def tone(seconds, loud):
    return (loud * np.sin(np.arange(int(16_000 * seconds)) * 0.3)).astype(np.float32)


def watched(sound):
    watch = LevelWatch()
    return watch, [told for at in range(0, len(sound), 800) for told in watch.watch(sound[at : at + 800])]


@pytest.mark.parametrize(
    ("sound", "db"),
    [
        (np.ones(800), 0.0),
        (tone(1, 1.0), -3.01),
        (tone(1, 0.1), -23.01),
        (np.zeros(800), -90),
        (np.zeros(0), -90),
    ],
)
def test_level(sound, db):
    assert level_db(sound.astype(np.float32)) == pytest.approx(db, abs=0.05)


def test_silence_of_a_plug_is_told_once_and_again_after_it_sounded():
    assert watched(np.zeros(16_000 * 8, np.float32))[1] == [NO_SIGNAL]
    dead = np.zeros(16_000 * 4, np.float32)
    assert watched(np.concatenate([dead, tone(2, 0.1), dead]))[1] == [NO_SIGNAL, NO_SIGNAL]


def test_a_quiet_room_is_no_dead_plug():
    hiss = 1e-4 * np.random.default_rng(0).standard_normal(16_000 * 8).astype(np.float32)
    assert watched(hiss)[1] == []


def test_sound_that_is_cut_off_is_told():
    assert watched(np.clip(tone(2, 3.0), -1, 1))[1] == [TOO_LOUD]
    assert watched(tone(2, 0.9))[1] == []


@pytest.mark.parametrize(("loud", "told"), [(0.001, [TOO_QUIET]), (0.05, [])])
def test_a_low_voice_is_told_once(loud, told):
    watch, _ = watched(tone(3, loud))
    assert watch.spoken(500, 2500) == told
    assert watch.spoken(500, 2500) == []


def test_nothing_is_told_of_a_phrase_that_nobody_heard():
    assert LevelWatch().spoken(0, 1000) == []
