"""How a run is ended: by key, by closing the terminal, by a signal."""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress

KEYS = "qQ"
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

    # One that is ignored, as under nohup, stays so.
    heeded = [number for number in _hasty() if signal.getsignal(number) is not signal.SIG_IGN]
    before = {number: signal.signal(number, hasten) for number in heeded}
    before[signal.SIGINT] = signal.signal(signal.SIGINT, lambda *_: stop.set())
    over = threading.Event()
    waiting = threading.Thread(target=_wait_for_key, args=(stop, over), daemon=True)
    if has_keys():
        waiting.start()
    try:
        yield lambda: not in_haste.is_set()
    finally:
        over.set()
        if has_keys():
            # It puts the terminal back as it was.
            waiting.join(5 * LOOK_S)
        for number, handler in before.items():
            signal.signal(number, handler)


def has_keys() -> bool:
    """Whether there is a keyboard to end a run by."""
    return sys.stdin is not None and sys.stdin.isatty()


def _hasty() -> list[signal.Signals]:
    return [signal.SIGTERM, *([signal.SIGHUP] if hasattr(signal, "SIGHUP") else [])]


if sys.platform == "win32":
    import msvcrt

    def _wait_for_key(stop: threading.Event, over: threading.Event) -> None:
        while not over.wait(LOOK_S):
            if msvcrt.kbhit():
                key = msvcrt.getwch()
                if key in "\0\xe0":
                    # An arrow or function key is told by a second code.
                    msvcrt.getwch()
                elif key in KEYS:
                    stop.set()

else:
    import select
    import termios
    import tty

    def _wait_for_key(stop: threading.Event, over: threading.Event) -> None:
        # A terminal that is gone ends the run by its signal.
        with suppress(OSError, ValueError, termios.error):
            keyboard = sys.stdin.fileno()
            before = termios.tcgetattr(keyboard)
            # Keys one by one; Ctrl-C stays a signal.
            tty.setcbreak(keyboard)
            try:
                while not over.is_set():
                    if select.select([keyboard], [], [], LOOK_S)[0] and _ends(os.read(keyboard, 64)):
                        stop.set()
            finally:
                termios.tcsetattr(keyboard, termios.TCSADRAIN, before)

    def _ends(typed: bytes) -> bool:
        """Whether a key that ends the run was typed; arrows and the wheel begin with an escape."""
        return not typed.startswith(b"\x1b") and any(chr(code) in KEYS for code in typed)
