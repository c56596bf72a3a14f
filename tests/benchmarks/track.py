"""How long the track of a run takes: its building, and the place of every mention.

    python tests/benchmarks/track.py

Simulated runs of about 100 mentions, without and with a counter log; the goal is 30 ms a run.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).parents[1]))

from footage.simulator import simulate, track_of

RUNS = 40
MENTIONS = 100


def main() -> None:
    for counter in (False, True):
        spent = []
        for seed in range(RUNS):
            run = simulate(seed, "steady", counter=counter)
            moments = (run.mentions * MENTIONS)[:MENTIONS]
            start = time.perf_counter()
            track = track_of(run)
            for second in moments:
                track.at(round(second * 1000))
            spent.append(1000 * (time.perf_counter() - start))
        kind = "with" if counter else "without"
        print(f"{kind} a counter log: {median(spent):.1f} ms a run, {max(spent):.1f} at most")


if __name__ == "__main__":
    main()
