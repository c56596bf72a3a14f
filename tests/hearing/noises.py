"""What a microphone hears beside an open cleanout while nobody speaks: float32, shape (n,), 16 kHz."""

import numpy as np

from narrate2log.hearing.media import SAMPLE_RATE as S


def noise(seconds):
    return np.random.default_rng(1).standard_normal(seconds * S).astype(np.float32)


def motor(seconds):
    """A reel motor that starts and stops, loud enough to be taken for speech by the detector."""
    t = np.arange(seconds * S) / S
    turning = np.sin(2 * np.pi * 3 * t) > 0
    return (0.3 * np.sign(np.sin(2 * np.pi * (110 + 20 * np.sin(t)) * t)) * turning).astype(np.float32)


def band(seconds, low, high):
    """Noise of some pitches only, as loud as speech."""
    spectrum = np.fft.rfft(noise(seconds))
    pitch = np.fft.rfftfreq(seconds * S, 1 / S)
    spectrum[(pitch < low) | (pitch > high)] = 0
    sound = np.fft.irfft(spectrum)
    return 0.1 * sound / sound.std()


def running_water(seconds):
    """Rushing that swells and falls about once a second."""
    swell = 1 + 0.5 * np.sin(2 * np.pi * 0.9 * np.arange(seconds * S) / S)
    return (band(seconds, 300, 6000) * swell).astype(np.float32)


def reel_ticks(seconds):
    """A click for each bit of cable, three in a second."""
    since = np.arange(seconds * S) % (S // 3)
    return (0.5 * noise(seconds) * np.exp(-since / 30)).astype(np.float32)


def mains_hum(seconds):
    t = np.arange(seconds * S) / S
    return sum(0.2 / k * np.sin(2 * np.pi * 60 * k * t) for k in (1, 2, 3, 5, 7)).astype(np.float32)


def everything(seconds):
    return (running_water(seconds) + reel_ticks(seconds) + mains_hum(seconds)) / 2
