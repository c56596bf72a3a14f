import numpy as np
import pytest

from narrate2log.errors import UnusableCommand
from narrate2log.listening.tones import NOTES, RATE, Tones, muted, tone


def pitch(sound):
    return np.argmax(np.abs(np.fft.rfft(sound, RATE)))


def test_the_tones_are_short_and_told_apart_by_pitch_and_number():
    sounds = {kind: tone(kind) for kind in NOTES}
    assert all(0.05 <= len(sound) / RATE <= 0.3 for sound in sounds.values())
    assert all(np.abs(sound).max() <= 0.25 for sound in sounds.values())
    # Up for what may stand, down for what was lost.
    first, last = pitch(sounds["look"][:3000]), pitch(sounds["look"][-4500:])
    assert last > 1.2 * first
    assert pitch(sounds["lost"][-6000:]) < 0.8 * pitch(sounds["lost"][:3500])


class Loudspeaker:
    PortAudioError = RuntimeError

    def __init__(self, broken=False):
        self.broken, self.played = broken, []

    def play(self, sound, rate):
        if self.broken:
            raise RuntimeError("no device")
        self.played.append((len(sound), rate))


def test_a_muted_tone_is_not_played():
    loudspeaker = Loudspeaker()
    tones = Tones(loudspeaker, muted(["look"]))
    for kind in ("look", "taken", "lost", "trouble"):
        tones.play(kind)
    assert len(loudspeaker.played) == 3
    assert muted(["all"]) == set(NOTES)
    assert muted([]) == set()


def test_an_unknown_tone_is_refused():
    with pytest.raises(
        UnusableCommand, match="there is no tone 'bell'; name one of taken, look, lost, trouble, or all"
    ):
        muted(["bell"])


@pytest.mark.parametrize("api", [None, Loudspeaker(broken=True)])
def test_without_a_loudspeaker_listening_goes_on(api):
    tones = Tones(api, frozenset())
    tones.play("taken")
    tones.play("taken")
