"""A run that is listened to: one thread takes in the sound and keeps it, the other hears and shows."""

from __future__ import annotations

import queue
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from narrate2log.errors import Refusal
from narrate2log.hearing.growing import GrowingHearing
from narrate2log.hearing.media import Samples, samples_to_ms
from narrate2log.listening.level import LevelWatch
from narrate2log.listening.listener import Heard, Listener
from narrate2log.listening.live_journal import LiveJournal
from narrate2log.listening.recording import Recording
from narrate2log.listening.sound import SoundSource
from narrate2log.units import Milliseconds, ms_to_seconds, seconds_to_ms

# How long the hearing waits for sound before it looks round, and how often the screen is made anew.
WAIT_S = 0.03
SHOW_S = 0.2
# The sound's thread is waited for so long when all ends.
JOIN_S = 2.5
# A clock that ran on by more than this while no time passed here tells of a machine that slept.
SLEPT_S = 3.0


@dataclass(frozen=True, slots=True)
class State:
    """How it stands, for a screen.

    `now_ms`: how long the run is; `behind_ms`: how much of it was not heard yet; `level_db`: dB of full
    scale; `lacking_ms`: what the disk did not take yet; `ending`: no more sound is taken in.
    """

    now_ms: Milliseconds
    behind_ms: Milliseconds
    level_db: float
    lacking_ms: Milliseconds
    ending: bool = False


class Screen(Protocol):
    """Where the person looks, if there is an eye free."""

    def heard(self, heard: Heard, listener: Listener) -> None:
        """Show what a phrase brought."""

    def trouble(self, sentence: str) -> None:
        """Show that something is wrong."""

    def show(self, state: State, listener: Listener) -> None:
        """Show how it stands; called several times a second."""


class Listening:
    """Takes in sound until it ends or `stop` is set. Nothing but this object's `run` touches the hearing.

    A screen that is gone, a terminal closed or a pipe broken, is no reason to listen any less.
    """

    def __init__(
        self,
        source: SoundSource,
        recording: Recording,
        hearing: GrowingHearing,
        listener: Listener,
        journal: LiveJournal,
        screen: Screen,
    ) -> None:
        self.stop = threading.Event()
        self._source = source
        self._recording = recording
        self._hearing = hearing
        self._listener = listener
        self._journal = journal
        self._screen = screen
        self._sound: queue.SimpleQueue[Samples | None] = queue.SimpleQueue()
        self._troubles: queue.SimpleQueue[str] = queue.SimpleQueue()
        self._slept: queue.SimpleQueue[tuple[Milliseconds, Milliseconds]] = queue.SimpleQueue()
        self._level = LevelWatch()
        self._begun_ms = hearing.fed_ms
        self._recorded = 0
        self._refusal: Refusal | None = None

    def run(self) -> None:
        """Listen until the sound ends or `stop` is set. Raises what the source refuses."""
        taking = threading.Thread(target=self._take_in, daemon=True)
        taking.start()
        try:
            self._listen()
            taking.join(JOIN_S)
            self.stop.set()
            self._look_round()
            self._feed()
            self._hearing.finish()
            while self._work(ended=True):
                pass
            self._look_round()
        finally:
            self._close()
        if self._refusal is not None:
            raise self._refusal

    def _listen(self) -> None:
        shown_s = 0.0
        goes_on = True
        while goes_on:
            goes_on = self._feed()
            self._work()
            if time.monotonic() - shown_s >= SHOW_S:
                shown_s = time.monotonic()
                self._look_round()

    def _close(self) -> None:
        """End the clip and the journal. What the disk does not take now is said, and lost."""
        self.stop.set()
        try:
            self._recording.close()
        except OSError as error:
            self._say(
                f"{self._recording.path}: its last {ms_to_seconds(self._recording.lacking_ms)} s are lost"
                f" ({error.strerror}); all before them is kept."
            )
        if not self._journal.append("ended"):
            assert self._journal.trouble is not None
            self._say(
                f"{self._journal.path}: the last rows shown are not kept ({self._journal.trouble.strerror});"
                " the sound they came from is heard again for the draft."
            )

    def _say(self, sentence: str) -> None:
        with suppress(Exception):
            self._screen.trouble(sentence)

    def _take_in(self) -> None:
        """The sound's thread: to the disk first, then to the hearing."""
        slept = _sleep_watch()
        was_full = False
        try:
            for block in self._source.blocks(self._troubles.put):
                self._recording.write(block)
                self._recorded += len(block)
                self._sound.put(block)
                for sentence in self._level.watch(block):
                    self._troubles.put(sentence)
                if asleep_ms := slept():
                    self._slept.put((self._begun_ms + samples_to_ms(self._recorded), asleep_ms))
                if (self._recording.trouble is not None) != was_full:
                    was_full = not was_full
                    self._troubles.put(_disk_told(self._recording))
                if self.stop.is_set():
                    break
        except Refusal as refusal:
            self._refusal = refusal
        except Exception as error:
            # Whatever a driver throws must not take with it what was recorded.
            self._troubles.put(f"The sound broke off ({error}); what was recorded is kept.")
        finally:
            self._sound.put(None)

    def _feed(self) -> bool:
        """Hand what came in to the hearing; whether more may come."""
        blocks = []
        try:
            block = self._sound.get(timeout=WAIT_S)
            while block is not None:
                blocks.append(block)
                block = self._sound.get_nowait()
            ended = True
        except queue.Empty:
            ended = False
        if blocks:
            self._hearing.feed(np.concatenate(blocks))
        return not ended and not self.stop.is_set()

    def _work(self, *, ended: bool = False) -> bool:
        heard = self._listener.work(ended=ended)
        if heard is None:
            return False
        with suppress(Exception):
            self._screen.heard(heard, self._listener)
        for sentence in heard.troubles:
            self._troubles.put(sentence)
        for sentence in self._level.spoken(heard.start_ms - self._begun_ms, heard.end_ms - self._begun_ms):
            self._troubles.put(sentence)
        return True

    def _look_round(self) -> None:
        if self._journal.waiting:
            self._journal.try_again()
        while not self._slept.empty():
            sound_ms, asleep_ms = self._slept.get()
            self._listener.slept(sound_ms, asleep_ms)
            self._troubles.put(
                f"The machine slept for {asleep_ms / 1000:.0f} s; what was said meanwhile is not recorded."
            )
        while not self._troubles.empty():
            sentence = self._troubles.get()
            self._journal.append("trouble", text=sentence)
            self._say(sentence)
        now_ms = self._begun_ms + samples_to_ms(self._recorded)
        with suppress(Exception):
            self._screen.show(
                State(
                    now_ms=now_ms,
                    behind_ms=max(0, now_ms - self._hearing.fed_ms),
                    level_db=self._level.db,
                    lacking_ms=self._recording.lacking_ms,
                    ending=self.stop.is_set(),
                ),
                self._listener,
            )


def _disk_told(recording: Recording) -> str:
    if recording.trouble is None:
        return "The disk takes the sound again, and has all of it."
    return (
        f"{recording.path.parent}: the disk takes no more sound ({recording.trouble.strerror}); make room,"
        " it is held in memory meanwhile."
    )


def _sleep_watch() -> Callable[[], Milliseconds]:
    """Tells how long the clock ran on while nothing here did: a machine that slept, its lid closed."""
    before = [time.time(), time.monotonic()]

    def slept() -> Milliseconds:
        now = [time.time(), time.monotonic()]
        asleep_s = now[0] - before[0] - (now[1] - before[1])
        before[:] = now
        return seconds_to_ms(asleep_s) if asleep_s >= SLEPT_S else 0

    return slept
