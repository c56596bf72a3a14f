"""Decides in a loop in a process that is killed (SIGKILL) at random moments, 50 times, in FOLDER.

Prints one JSON object: the tokens that were acknowledged, and those tried again after a kill. A script of its
own, so that it forks from a process without threads; run by test_killed.py.
"""

from __future__ import annotations

import json
import os
import random
import select
import signal
import sys
import time
from pathlib import Path

from narrate2log.review import session as sessions
from narrate2log.wording.lexicon import load_lexicon

KILLS = 50


def decide_until_killed(folder: Path, life: int, again: str | None, told: int) -> None:
    session = sessions.Session.open(folder, by=f"life {life}")
    turn = 0
    while True:
        state = session.state()
        token = again or f"{life}-{turn}"
        again = None
        turn += 1
        row = state["rows"][turn % len(state["rows"])]["id"]
        os.write(told, f"try {token}\n".encode())
        session.decide("still", row, {"still": turn % 100}, revision=state["revision"], token=token)
        os.write(told, f"kept {token}\n".encode())


def main(folder: Path, seed: int) -> None:
    lexicon = load_lexicon()
    sessions.load_lexicon = lambda _=None: lexicon
    # What is slow the first time is done before any life begins.
    sessions.Session.open(folder, by="nobody").state()
    chance = random.Random(seed)
    kept: list[str] = []
    tried_again: list[str] = []
    again: str | None = None
    for life in range(KILLS):
        reads, writes = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(reads)
            try:
                decide_until_killed(folder, life, again, writes)
            finally:
                os._exit(1)
        os.close(writes)
        # Every fifth is killed while it opens; the others once they decide, however slow the machine is.
        if life % 5:
            select.select([reads], [], [])
        time.sleep(chance.uniform(0, 0.08))
        os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        assert os.WIFSIGNALED(status), "it ended by itself"
        with os.fdopen(reads) as file:
            lines = [line.split() for line in file.read().splitlines()]
        if again is not None and lines:
            tried_again.append(again)
        kept += [token for what, token in lines if what == "kept"]
        tried = [token for what, token in lines if what == "try"]
        if tried:
            again = tried[-1] if tried[-1] not in kept else None
    print(json.dumps({"kept": kept, "tried again": tried_again}))


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
