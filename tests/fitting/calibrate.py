"""Finds the factors of `narrate2log/footage/calibration.toml`, and writes them with --write.

    python tests/fitting/calibrate.py [--write]

An interval of `factor` standard deviations on either side holds the truth as often as wanted if the factor
is that quantile of |error| / standard deviation over moments whose truth is known (split conformal
prediction: V. Vovk, A. Gammerman, G. Shafer, "Algorithmic Learning in a Random World", 2005). There is one
factor for each thing that a place can rest on: the larger of what two sources ask for, so that what is
promised is kept in both. In the second many truths are the very numbers said, so that its intervals hold
nearly all: it tells that no factor is too small, and little of how far to the foot a number is rounded.

These are the mentions of simulated runs of the family `steady` (tests/footage/simulator.py) and the gold
rows of tests/narrations/others. Neither the family `strokes` nor tests/narrations/shared is looked at: they
are what the intervals are tested on.
"""

from __future__ import annotations

import json
import sys
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import numpy as np

TESTS = Path(__file__).parents[1]
sys.path.insert(0, str(TESTS))

from footage.simulator import simulate, track_of  # noqa: E402
from narrations.score import FEET, nearest  # noqa: E402

from narrate2log.draft import locate  # noqa: E402
from narrate2log.footage.counter_log import read_counter_log  # noqa: E402
from narrate2log.footage.track import Track  # noqa: E402
from narrate2log.hearing.hear import hear  # noqa: E402
from narrate2log.reading import read  # noqa: E402
from narrate2log.records import SpokenPlace  # noqa: E402
from narrate2log.wording.lexicon import load_lexicon  # noqa: E402
from narrate2log.wording.mishearings import correct  # noqa: E402

OUT = TESTS.parent / "narrate2log" / "footage" / "calibration.toml"
SEEDS = range(5000, 5300)
# The share of moments to hold.
WANTED = 0.90
# A source with fewer moments than this does not tell; where neither does, the normal law's factor stands.
LEAST = 30
NORMAL = 1.645
# Where all truths are exact, as at a zero, the interval still is no point.
NARROWEST = 0.5
HEAD = """\
# Half the width of an interval that holds the true distance nine times in ten, in standard deviations, by
# what a place rests on. Written by tests/fitting/calibrate.py, which tells how; not to be set by hand.
"""

# What is asked of a track: when, the footage said with it if any, and the truth in feet.
Moment = tuple[Track, int, SpokenPlace | None, float]


def simulated() -> Iterator[Moment]:
    for seed in SEEDS:
        for counter in (False, True):
            run = simulate(seed, "steady", counter=counter)
            track = track_of(run)
            for second in run.mentions:
                yield track, round(second * 1000), None, run.truth(second)
            for said, wrong in zip(run.places, run.wrong, strict=True):
                if not wrong:
                    yield track, said.time_ms, said, run.truth(said.time_ms / 1000)


def narrated() -> Iterator[Moment]:
    """The first mention of every gold row that the reading found."""
    lexicon = load_lexicon(None)
    for case in sorted((TESTS / "narrations" / "others").iterdir()):
        gold = json.loads((case / "gold.json").read_bytes())
        log = case / "counter.csv"
        counter = read_counter_log(log, gold["units"])[0] if log.exists() else ()
        transcript = hear([case / "narration.vtt"])
        narration = read(transcript, correct(transcript, lexicon), lexicon, gold["units"])
        track = locate(narration, counter, sum(source.duration_ms for source in transcript.sources))
        for row in gold["rows"]:
            if row["distance"] is None or row["optional"]:
                continue
            for m in narration.mentions:
                if (
                    m.feature == row["feature"]
                    and nearest([m.start_ms / 1000], row["mentions"][:1]) is not None
                ):
                    yield track, m.start_ms, m.place, row["distance"] * FEET[gold["units"]]
                    break


def ratios(moments: Iterator[Moment]) -> dict[str, list[float]]:
    """|error| over standard deviation, by what the estimate rests on."""
    found: dict[str, list[float]] = defaultdict(list)
    for track, time_ms, said, truth in moments:
        estimate = track.estimate(time_ms, said)
        if estimate.feet is not None:
            found[estimate.rests_on].append(abs(estimate.feet - truth) / estimate.sd_ft)
    return found


def main() -> None:
    by_source = {"simulated": ratios(simulated()), "narrated": ratios(narrated())}
    lines = []
    print(f"{'rests on':<10}{'simulated':>20}{'narrated':>20}{'factor':>10}")
    for name in sorted({key for found in by_source.values() for key in found}):
        told, cells = [], []
        for found in by_source.values():
            mine = found.get(name, [])
            cells.append(f"{np.quantile(mine, WANTED):.2f} of {len(mine)}" if mine else "-")
            if len(mine) >= LEAST:
                told.append(float(np.quantile(mine, WANTED)))
        factor = max(*told, NARROWEST) if told else NORMAL
        print(f"{name:<10}{cells[0]:>20}{cells[1]:>20}{factor:>10.3f}")
        lines.append(f"{name} = {factor:.3f}\n")
    if "--write" in sys.argv[1:]:
        OUT.write_text(HEAD + "".join(lines), encoding="utf-8")


if __name__ == "__main__":
    main()
