"""How a run is ended: by key, by closing the terminal, by a signal."""

from __future__ import annotations

import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

KEYS = "qQ\x1b"
LOOK_S = 0.2


@contextmanager
def endings(stop: threading.Event) -> Iterator[Callable[[], bool]]:
    """Set `stop` when the run is to end; yields whether a draft is wanted then.

    A key or Ctrl-C ends the run to have its draft. A closed terminal or a machine that shuts down leaves no
    time for one: everything is kept, and drafted later.
    """
    in_haste = threading.Event()

    def hasten(*_: object) -> None:
        in_haste.set()
        stop.set()

    before = {number: signal.signal(number, hasten) for number in _hasty()}
    before[signal.SIGINT] = signal.signal(signal.SIGINT, lambda *_: stop.set())
    over = threading.Event()
    if sys.stdin is not None and sys.stdin.isatty():
        threading.Thread(target=_wait_for_key, args=(stop, over), daemon=True).start()
    try:
        yield lambda: not in_haste.is_set()
    finally:
        over.set()
        for number, handler in before.items():
            signal.signal(number, handler)


def _hasty() -> list[signal.Signals]:
    return [signal.SIGTERM, *([signal.SIGHUP] if hasattr(signal, "SIGHUP") else [])]


if sys.platform == "win32":
    import msvcrt

    def _wait_for_key(stop: threading.Event, over: threading.Event) -> None:
        while not over.wait(LOOK_S):
            if msvcrt.kbhit() and msvcrt.getwch() in KEYS:
                stop.set()

else:
    import select
    import termios
    import tty

    def _wait_for_key(stop: threading.Event, over: threading.Event) -> None:
        before = termios.tcgetattr(sys.stdin)
        try:
            # Keys one by one; Ctrl-C stays a signal.
            tty.setcbreak(sys.stdin)
            while not over.is_set():
                if select.select([sys.stdin], [], [], LOOK_S)[0] and sys.stdin.read(1) in KEYS:
                    stop.set()
        except (OSError, ValueError):
            # The terminal is gone; the signal of that ends the run.
            return
        finally:
            try:
                termios.tcsetattr(sys.stdin, termios.TCSADRAIN, before)
            except termios.error:
                over.set()
