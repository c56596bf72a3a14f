"""The two threads of a run, with a sound that is made up and no model."""

import errno
import time

import numpy as np
import pytest

from narrate2log.errors import UnusableSource
from narrate2log.listening import run as run_module
from narrate2log.listening.level import NO_SIGNAL
from narrate2log.listening.live_journal import LiveJournal
from narrate2log.listening.recording import Recording, read_samples
from narrate2log.listening.run import Listening

from .test_screens import heard


class Hearing:
    """Hears nothing, and counts what it was fed."""

    def __init__(self):
        self.fed = 0
        self.finished = False

    @property
    def fed_ms(self):
        return self.fed // 16

    def feed(self, samples):
        self.fed += len(samples)

    def finish(self):
        self.finished = True


class Listener:
    def __init__(self, *brought):
        self.brought = list(brought)

    def work(self, *, ended=False):
        return self.brought.pop(0) if self.brought else None

    def slept(self, sound_ms, asleep_ms):
        self.asleep = (sound_ms, asleep_ms)


class Screen:
    def __init__(self, gone=False):
        self.gone, self.troubles, self.states, self.shown = gone, [], [], []

    def heard(self, brought, listener):
        if self.gone:
            raise BrokenPipeError
        self.shown.append(brought)

    def trouble(self, sentence):
        self.troubles.append(sentence)

    def show(self, state, listener):
        self.states.append(state)
        if self.gone:
            raise OSError(errno.EIO, "Input/output error")


class Sound:
    """So many blocks, then an end of its own."""

    def __init__(self, blocks, ends=None, value=0.1, wait_s=0.0):
        self.count, self.ends, self.value, self.wait_s = blocks, ends, value, wait_s

    def blocks(self, tell):
        for number in range(self.count):
            time.sleep(self.wait_s)
            yield np.full(800, self.value * (-1) ** number, np.float32)
        if self.ends is not None:
            raise self.ends


def listening(tmp_path, sound, *, screen=None, brought=()):
    hearing, screen = Hearing(), screen or Screen()
    journal = LiveJournal(tmp_path / "live.jsonl")
    recording = Recording(tmp_path / "sound-1.wav")
    live = Listening(sound, recording, hearing, Listener(*brought), journal, screen)
    return live, hearing, screen


def told(tmp_path):
    return LiveJournal(tmp_path / "live.jsonl")._entries


def test_all_sound_is_recorded_and_heard(tmp_path):
    live, hearing, screen = listening(tmp_path, Sound(100))
    live.run()
    assert hearing.finished
    assert hearing.fed == len(read_samples(tmp_path / "sound-1.wav", 0)) == 80_000
    assert screen.states[-1].now_ms == 5_000
    assert screen.states[-1].behind_ms == 0
    assert [entry["what"] for entry in told(tmp_path)] == ["ended"]


def test_it_stops_when_it_is_told_to(tmp_path):
    live, hearing, _ = listening(tmp_path, Sound(10**6, wait_s=0.01))
    live._screen.show = lambda state, _: live.stop.set()
    begin = time.monotonic()
    live.run()
    assert time.monotonic() - begin < 5
    assert hearing.fed == len(read_samples(tmp_path / "sound-1.wav", 0)) > 0


def test_a_source_that_refuses_is_told_after_all_is_kept(tmp_path):
    live, hearing, _ = listening(tmp_path, Sound(3, UnusableSource("-: no samples.")))
    with pytest.raises(UnusableSource):
        live.run()
    assert hearing.fed == 2400
    assert told(tmp_path)[-1]["what"] == "ended"


def test_whatever_a_driver_throws_ends_the_sound_and_not_the_run(tmp_path):
    live, hearing, screen = listening(tmp_path, Sound(3, RuntimeError("bad thing")))
    live.run()
    assert screen.troubles == ["The sound broke off (bad thing); what was recorded is kept."]
    assert hearing.fed == 2400
    assert told(tmp_path)[0]["text"] == screen.troubles[0]


def test_a_dead_plug_is_told(tmp_path):
    live, _, screen = listening(tmp_path, Sound(100, value=0.0))
    live.run()
    assert screen.troubles == [NO_SIGNAL]


def test_a_machine_that_slept_is_told(tmp_path, monkeypatch):
    clock = iter([0.0] * 10 + [700.0] * 10**6)
    monkeypatch.setattr(run_module.time, "time", lambda: next(clock))
    live, _, screen = listening(tmp_path, Sound(40))
    live.run()
    assert len(screen.troubles) == 1
    assert screen.troubles[0] == "The machine slept for 700 s; what was said meanwhile is not recorded."
    sound_ms, asleep_ms = live._listener.asleep
    assert 0 < sound_ms <= 2_000
    assert asleep_ms == pytest.approx(700_000, abs=1_000)


def test_a_full_disk_is_told_when_it_is_full_and_when_it_is_not(tmp_path):
    live, _, screen = listening(tmp_path, Sound(60, wait_s=0.01))
    recording = live._recording
    write = recording._file.write
    room = iter([True] * 10 + [False] * 10)

    class Disk:
        def write(self, data):
            if not next(room, True):
                raise OSError(errno.ENOSPC, "No space left on device")
            return write(data)

        def __getattr__(self, name):
            return getattr(file, name)

    file, recording._file = recording._file, Disk()
    live.run()
    assert [sentence.split("(")[0] for sentence in screen.troubles] == [
        f"{tmp_path}: the disk takes no more sound ",
        "The disk takes the sound again, and has all of it.",
    ]
    assert len(read_samples(tmp_path / "sound-1.wav", 0)) == 48_000


def test_a_screen_that_is_gone_ends_nothing(tmp_path):
    live, hearing, _ = listening(tmp_path, Sound(20), screen=Screen(gone=True), brought=[heard(), heard()])
    live.run()
    assert hearing.fed == 16_000


def test_what_a_phrase_brought_is_shown_to_the_last(tmp_path):
    brought = [heard(text=str(number)) for number in range(5)]
    live, _, screen = listening(tmp_path, Sound(2), brought=brought)
    live.run()
    assert [one.text for one in screen.shown] == ["0", "1", "2", "3", "4"]
