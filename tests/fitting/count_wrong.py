"""Counts how often what ties a moment to a distance is wrong, for `narrate2log/footage/anchors.py` and the
doubts of `narrate2log/footage/track.py` and `narrate2log/footage/consistent.py`.

    python tests/fitting/count_wrong.py

First the narrations of tests/narrations/others, whose scripts tell where the camera was at every sentence: an
anchor is wrong if that is further from it than FAR_FT and FAR_SHARE of the way, and its own error explains.
Then runs of the simulated family `steady` with some share of wrong footages: of the mentions said to hang on
contradicting footages, and of all others, the share that is truly OFF_FT off.
"""

from __future__ import annotations

import json
import math
import re
import sys
from bisect import bisect_right
from collections import defaultdict
from pathlib import Path

import numpy as np

TESTS = Path(__file__).parents[1]
sys.path.insert(0, str(TESTS))

from footage import simulator  # noqa: E402
from narrations.score import FEET  # noqa: E402

from narrate2log.draft import locate  # noqa: E402
from narrate2log.footage import consistent, track  # noqa: E402
from narrate2log.footage.anchors import WRONG_BARE, from_footage  # noqa: E402
from narrate2log.footage.counter_log import read_counter_log  # noqa: E402
from narrate2log.footage.legs import leg_at  # noqa: E402
from narrate2log.hearing.hear import hear  # noqa: E402
from narrate2log.reading import read  # noqa: E402
from narrate2log.wording.lexicon import load_lexicon  # noqa: E402
from narrate2log.wording.mishearings import correct  # noqa: E402

FAR_FT, FAR_SHARE, ERRORS = 2.0, 0.04, 3.0
# "41.5 | words", "41>42 | words" or "- | words" where the camera is not in the pipe.
LINE = re.compile(r"^(-|-?[\d.]+)(?:>(-?[\d.]+))?\s*\| ", re.M)
CUE = re.compile(r"^(\d+):(\d+):([\d.]+) -->", re.M)
SEEDS, WRONG_SHARES, OFF_FT = range(5000, 5200), (0.06, 0.18, 0.3), 5.0
# How much likelier the best chain is than a rival, what share put aside is many, and how far off is.
DOUBTS = [
    *((factor, 0.4, 5.0) for factor in (2, 5, 20, 80)),
    *((5, share, 5.0) for share in (0.2, 0.3, 0.5)),
    *((5, 0.4, feet) for feet in (3.0, 8.0)),
]


def whereabouts(case: Path, foot: float) -> tuple[list[int], list[tuple[float, float] | None]]:
    """When each sentence begins, and from where to where the camera was in it, feet."""
    times = [
        round((int(h) * 3600 + int(m) * 60 + float(s)) * 1000)
        for h, m, s in CUE.findall((case / "narration.vtt").read_text("utf-8"))
    ]
    lines = LINE.findall((case / "script.txt").read_text("utf-8"))
    assert len(times) == len(lines), case
    spans = [None if a == "-" else (float(a) * foot, float(b or a) * foot) for a, b in lines]
    return times, spans


def narrated() -> dict[str, list[bool]]:
    """Whether each anchor of the narrations is wrong, by what it is."""
    lexicon = load_lexicon(None)
    wrong: dict[str, list[bool]] = defaultdict(list)
    for case in sorted((TESTS / "narrations" / "others").iterdir()):
        units = json.loads((case / "gold.json").read_bytes())["units"]
        times, spans = whereabouts(case, FEET[units])
        log = case / "counter.csv"
        counter = read_counter_log(log, units)[0] if log.exists() else ()
        transcript = hear([case / "narration.vtt"])
        narration = read(transcript, correct(transcript, lexicon), lexicon, units)
        run = locate(narration, counter, sum(source.duration_ms for source in transcript.sources))
        told = [
            (f"a number alone{', beside a log' * bool(counter)}" if p.bare else "a footage", from_footage(p))
            for p in narration.places
            if p.relation in ("here", "ahead")
        ]
        met = [a for leg in run.legs.values() for a in leg.anchors if a.source in ("met again", "landmark")]
        for name, anchor in [*told, *((a.source, a) for a in met)]:
            span = spans[max(0, bisect_right(times, anchor.time_ms) - 1)]
            if span is not None and anchor.time_ms > leg_at(run.stretches, anchor.time_ms).push_ms:
                off = max(0.0, min(span) - anchor.feet, anchor.feet - max(span))
                slack = math.hypot(FAR_FT, ERRORS * anchor.sd_ft, FAR_SHARE * max(span))
                wrong[name].append(off > slack)
    return wrong


def doubted() -> tuple[list[bool], list[bool]]:
    """Whether the camera is off, of the mentions in doubt and of all others."""
    found: tuple[list[bool], list[bool]] = ([], [])
    for seed in SEEDS:
        run = simulator.simulate(seed, "steady")
        made = simulator.track_of(run)
        for second in run.mentions:
            feet = made.estimate(round(second * 1000)).feet
            if feet is not None:
                found[not made.disputed(round(second * 1000))].append(abs(feet - run.truth(second)) > OFF_FT)
    return found


def main() -> None:
    for name, wrong in sorted(narrated().items()):
        print(f"{name:<32} {sum(wrong)} of {len(wrong)} wrong")
    print(f"(a number alone is taken to be wrong {WRONG_BARE:.2f} of the time)")
    for simulator.WRONG_SHARE in WRONG_SHARES:
        print(
            f"\n{simulator.WRONG_SHARE:.0%} wrong footages: how many are off of those in doubt, of the rest"
        )
        for factor, share, feet in DOUBTS:
            consistent.RIVAL, track.MANY_SHARE, track.DISPUTED_FT = math.log(factor), share, feet
            doubt, rest = doubted()
            print(
                f"rivals by {factor:>2}, {feet:g} ft, {share:.0%}:"
                f" {np.mean(doubt):.3f} of {len(doubt)}, {np.mean(rest):.3f} of {len(rest)}"
            )


if __name__ == "__main__":
    main()
