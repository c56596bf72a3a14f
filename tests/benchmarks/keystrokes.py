"""How many keys it takes to make a draft right in the review, beside typing its table by hand.

    python tests/benchmarks/keystrokes.py [--heard FOLDER] [CASE_FOLDER...]

Cases as in tests/narrations (all of `shared` unless named); with --heard the drafts are made from
FOLDER/CASE/narration.json, transcripts of the sound in the tool's own format, instead of the perfect text.

A reviewer who knows the truth goes through a real session: every answer is given to it, and the finished log
is scored like a draft at the end. Right is what `tests/narrations/score.py` calls right. Counted:

in the review: 1 for Enter, for taking a choice, for "not a finding", and for the question "always?"
(answered no: nothing learned helps here). Typed over: `e`, for each field 1 to reach it and its value, then
Enter; moved: `m`, the place, Enter. A row that does not ask is reached by 2; a missing row is a selection
of words, 4, then its wrong fields as above, then Enter.

by hand: for each true row the values of its cells (place, end, feature, standing unless seen, severity,
clock, amount, material, size, depth), and 1 after each cell up to the last that is filled. `whole`: every
letter of a word typed; `completed`: no word takes more than 4 keys, as where a spreadsheet or the page
completes it. The review's words are counted as completed.

Listening is counted on neither side, nor are the remark and the times, which by hand nobody would type.
"""

from __future__ import annotations

import argparse
import itertools
import json
import os
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from narrations import score

from narrate2log.draft import draft
from narrate2log.draft_folder import write_draft
from narrate2log.review.session import Session

SHARED = Path(__file__).parents[1] / "narrations" / "shared"
REACH, SELECT, COMPLETED = 2, 4, 4
CELLS = (
    "distance end_distance feature standing severity clock_from clock_to amount_pct material size_in depth_ft"
)
Row = dict[str, Any]
_tokens = (f"token {n}" for n in itertools.count())


def typed(value: Any, *, whole: bool = False) -> int:
    """The keys that a value takes."""
    if value is None:
        return 1
    if isinstance(value, str):
        return len(value) if whole else min(len(value), COMPLETED)
    return len(f"{round(float(value), 1):g}")


def truth(want: Row) -> Row:
    """The cells of a true row."""
    clock = want["clock"] or [None]
    to = clock[-1] if len(clock) > 1 else None
    return {**want, "clock_from": clock[0], "clock_to": to}


def by_hand(rows: list[Row], *, whole: bool) -> int:
    keys = 0
    for want in rows:
        cells = truth(want)
        values = [
            None if name == "standing" and cells[name] == "seen" else cells[name] for name in CELLS.split()
        ]
        last = max(at for at, value in enumerate(values) if value is not None)
        keys += last + 1 + sum(typed(value, whole=whole) for value in values if value is not None)
    return keys


class Reviewer:
    """Makes the draft of one case right, counting the keys."""

    def __init__(self, case: Path, folder: Path) -> None:
        gold = json.loads((case / "gold.json").read_bytes())
        self.gold: list[Row] = gold["rows"]
        self.feet = score.FEET[gold["units"]]
        self.session = Session.open(folder, by="benchmark")
        self.state = self.session.state()
        self.keys: Counter[str] = Counter()

    def decide(self, kind: str, row: str | None, after: Row) -> None:
        answer = self.session.decide(kind, row, after, revision=self.state["revision"], token=next(_tokens))
        self.state = answer["state"]
        self.keys["always?"] += answer["always"] is not None

    def paired(self) -> dict[str, Row]:
        """The true row of each row, by id, paired as the scorer does."""
        pairs = []
        for g, want in enumerate(self.gold):
            for row in self.state["rows"]:
                apart = score.nearest(score.times_of(row), want["mentions"])
                if row["feature"] == want["feature"] and apart is not None:
                    off = abs((row["distance"] or 0) - (want["distance"] or 0))
                    wrong = len(score.wrong_fields(want, row, self.feet)[1])
                    rank = (row["standing"] != want["standing"], want["optional"], wrong, apart, off)
                    pairs.append((rank, g, row["id"]))
        found: dict[str, Row] = {}
        taken: set[int] = set()
        for _, g, name in sorted(pairs):
            if g not in taken and name not in found:
                taken.add(g)
                found[name] = self.gold[g]
        return found

    def free(self, row: Row, pairs: dict[str, Row]) -> Row | None:
        """A true row that nothing stands for and that this row may have meant."""
        taken = [id(want) for want in pairs.values()]
        return next(
            (
                want
                for want in self.gold
                if id(want) not in taken
                and not want["optional"]
                and score.nearest(score.times_of(row), want["mentions"]) is not None
            ),
            None,
        )

    def is_optional(self, row: Row) -> bool:
        return any(
            want["optional"]
            and want["feature"] == row["feature"]
            and score.nearest(score.times_of(row), want["mentions"]) is not None
            for want in self.gold
        )

    def mending(self, row: Row, want: Row) -> Row:
        """The fields that have to be typed over to make a row right."""
        if want["optional"]:
            return {}
        cells, after = truth(want), {}
        for name in ("feature", "standing"):
            if row[name] != want[name]:
                after[name] = want[name]
        for line in score.wrong_fields(want, row, self.feet)[1]:
            name = line.split(":")[0]
            for field in ("clock_from", "clock_to") if name == "clock" else (name,):
                after[field] = cells[field]
        if self.is_off(row, want) or "end_distance" in after:
            after["distance"] = want["distance"]
        return after

    def is_off(self, row: Row, want: Row) -> bool:
        if want["distance"] is None or want["standing"] not in ("seen", "possible"):
            return False
        if row["distance"] is None:
            return True
        low, high = row["distance_low"], row["distance_high"]
        error = abs(row["distance"] - want["distance"]) * self.feet
        inside = low is not None and high is not None and low <= want["distance"] <= high
        return error > 2.0 and (not inside or (high - low) * self.feet > 8.0)

    def type_over(self, row: Row, after: Row, what: str) -> None:
        moves = {name: after[name] for name in ("distance", "end_distance") if name in after}
        fields = {name: value for name, value in after.items() if name not in moves}
        self.keys[what] += bool(fields) * 2 + sum(1 + typed(value) for value in fields.values())
        self.keys[what] += bool(moves) * 2 + sum(typed(value) for value in moves.values())
        self.keys[what] += 4 * (len(moves) == 2)
        self.decide("changed", row["id"], after)

    def settle(self, item: Row) -> None:
        """One item of the queue, by as few keys as there are."""
        pairs = self.paired()
        row = next((row for row in self.state["rows"] if row["id"] == item["id"]), None)
        for choice in item["choices"]:
            if self.helps(choice, row, pairs):
                self.keys["choice taken"] += 1
                self.decide(choice["kind"], choice["row"], choice["after"])
                return
        if row is None or self.is_right(row, pairs):
            self.keys["stands"] += 1
            self.decide("stands", item["id"], {})
            return
        want = pairs.get(row["id"]) or self.free(row, pairs)
        if want is None:
            self.keys["not a finding"] += 1
            self.decide("dropped", row["id"], {})
        else:
            self.type_over(row, self.mending(row, want), "asked, typed over")

    def is_right(self, row: Row, pairs: dict[str, Row]) -> bool:
        want = pairs.get(row["id"])
        return not self.mending(row, want) if want else self.is_optional(row)

    def helps(self, choice: Row, row: Row | None, pairs: dict[str, Row]) -> bool:
        """Whether a choice brings what is true and is not there without it."""
        if choice["kind"] == "added":
            first = self.state["words"][choice["after"]["words"][0]]
            made = {"feature": choice["after"]["feature"], "sightings": [first["start"]]}
            want = self.free(made, pairs)
            return want is not None and want["feature"] == made["feature"]
        if row is None or self.is_right(row, pairs):
            return False
        want = pairs.get(row["id"]) or self.free(row, pairs)
        if choice["kind"] == "dropped":
            return want is None
        if want is None or choice["kind"] not in ("changed", "moved"):
            return False
        after = {**row, **choice["after"]}
        if choice["kind"] == "moved":
            after["distance_low"] = after["distance_high"] = after["distance"]
        return not self.mending(after, want)

    def review(self) -> None:
        while self.state["queue"]:
            self.settle(self.state["queue"][0])
        for name in [row["id"] for row in self.state["rows"]]:
            pairs = self.paired()
            row = next(row for row in self.state["rows"] if row["id"] == name)
            if self.is_right(row, pairs):
                continue
            self.keys["not asked, wrong"] += REACH
            want = pairs.get(name) or self.free(row, pairs)
            if want is None:
                self.keys["not asked, wrong"] += 1
                self.decide("dropped", name, {})
            else:
                self.type_over(row, self.mending(row, want), "not asked, wrong")
        for want in self.missing():
            self.add(want)

    def missing(self) -> Iterator[Row]:
        found = [id(want) for want in self.paired().values()]
        return iter([want for want in self.gold if id(want) not in found and not want["optional"]])

    def add(self, want: Row) -> None:
        start, end = want["mentions"][0]
        words = self.state["words"]
        said = [
            at for at, word in enumerate(words) if start - 0.3 <= word["start"] and word["end"] <= end + 0.3
        ]
        if said:
            made = self.session.suggest(said[0], said[-1])
        else:
            made = {
                "time": start,
                "time_end": end,
                "distance": None,
                "leg": 1,
                "pass": "out",
                "heard": "",
                "read_as": "",
            }
            made = {
                **dict.fromkeys((*CELLS.split(), "distance_low", "distance_high")),
                **made,
                "sightings": [start],
            }
        after = self.mending(
            {**made, "feature": made["feature"], "standing": made["standing"] or "seen"}, want
        )
        self.keys["missing"] += SELECT + 1 + sum(1 + typed(value) for value in after.values())
        given = {"words": [said[0], said[-1]]} if said else {"time": start, "time_end": end}
        self.decide("added", None, {**given, **after, "feature": want["feature"]})


def drafted(case: Path, folder: Path, heard: Path | None) -> None:
    units = json.loads((case / "gold.json").read_bytes())["units"]
    source = heard / case.name / "narration.json" if heard else case / "narration.vtt"
    counter = case / "counter.csv"
    write_draft(draft([source], counter=counter if counter.exists() else None, units=units), folder)


def main() -> None:
    options = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    options.add_argument("cases", nargs="*", type=Path)
    options.add_argument("--heard", type=Path)
    told = options.parse_args()
    cases = told.cases or sorted(SHARED.iterdir())
    totals: Counter[str] = Counter()
    figures: dict[str, Any] = {}
    print(
        f"{'case':<17}" + "".join(f"{name:>11}" for name in ("rows", "asked", "review", "whole", "completed"))
    )
    for case in cases:
        with tempfile.TemporaryDirectory() as place:
            os.environ["NARRATE2LOG_HOME"] = f"{place}/home"
            drafted(case, Path(place) / "run", told.heard)
            reviewer = Reviewer(case, Path(place) / "run")
            asked = len(reviewer.state["queue"])
            reviewer.review()
            log = Path(place) / "log"
            log.mkdir()
            (log / "observations.json").write_text(
                json.dumps(reviewer.session.log().document()), encoding="utf-8"
            )
            score.add(figures, score.score(case, log, False))
        true = [want for want in reviewer.gold if not want["optional"]]
        line = {
            "rows": len(true),
            "asked": asked,
            "review": sum(reviewer.keys.values()),
            "whole": by_hand(true, whole=True),
            "completed": by_hand(true, whole=False),
        }
        print(f"{case.name:<17}" + "".join(f"{value:>11}" for value in line.values()))
        totals.update(line)
        totals.update(reviewer.keys)
    print(f"{'all':<17}" + "".join(f"{totals[name]:>11}" for name in line))
    print("of the review: " + ", ".join(f"{name} {totals[name]}" for name in totals if name not in line))
    after = score.summary(figures)
    print(
        "the finished logs: "
        + ", ".join(f"{name} {after[name]:.3f}" for name in ("rows", "standing", "fields"))
    )


if __name__ == "__main__":
    main()
