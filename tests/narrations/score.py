#!/usr/bin/env python3
"""Scores drafts against gold.json. Standard library only.

    score.py CASE_FOLDER=DRAFT_FOLDER...       a line per case, then totals
    score.py --why CASE_FOLDER=DRAFT_FOLDER    every miss, extra and wrong field as well
    score.py --json ...                        the total as JSON

DRAFT_FOLDER holds observations.json. A draft row and a gold row belong
together when the feature is the same and a sighting of the draft row falls on a mention
of the gold row (3 s either side). Gold rows marked optional are neither rewarded nor
punished, nor is a draft row that falls on one. Figures:

rows       F1 of rows: right feature, mentioned then, and the same standing
standing   of the gold rows, the share found with their standing, averaged over the
           standings (seen, possible, not-seen, reported) that occur
sights     F1 of the sightings of matched rows: every re-telling, and nothing else
fields     share of the fields that were said (severity, clock, amount, material, size,
           depth, end distance) that the draft has right, less the fields made up
legs       share of the rows after a second zeroing that are on their leg
dist       median distance error of matched rows, feet; dist90: the 90th percentile
cover      share of true distances inside [distance_low, distance_high]; goal 0.90
width      median width of that interval, feet
slope      F1 of the slope readings (sign, value, unit, 4 s); sdist: their median distance error
silent     share of the rows with an empty `check` that are wrong (extra, wrong standing,
           wrong field, more than 2 ft off with an interval that misses it or is wider
           than 8 ft): what a person who trusts the tool would send out wrong
asked      share of the rows that ask for a look
"""
from __future__ import annotations

import json
import re
import sys
from pathlib import Path
from statistics import median

SLACK = 3.0
FEET = {"ft": 1.0, "m": 3.28084}
GRADED = re.compile(
    r"slight|small|little|minor|light|wee|hair|heav|bad|severe|major|medium|moderate|big|huge|\bbit\b|fine|worry|wide"
    r"|massive|mild|tiny|barely|worse|worst|serious|thick|thin|pretty|much|lot|crazy|daft|full|whole|fret|big deal|sleep",
    re.I,
)
PLACED = re.compile(r"left|right|top|bottom|crown|invert|side|clock|round|floor|roof|over|up|\bto\b", re.I)


def number(value: object) -> float | None:
    return float(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else None


def times_of(row: dict) -> list[float]:
    times = row.get("sightings") or [row.get("time")]
    return [t for t in map(number, times) if t is not None]


def distance_in_time(time: float, span: list[float]) -> float:
    return max(0.0, span[0] - time, time - span[1])


def nearest(times: list[float], spans: list[list[float]]) -> float | None:
    """Seconds from the nearest time to the nearest span, or None where none is within the slack."""
    best = min((distance_in_time(t, span) for t in times for span in spans), default=None)
    return best if best is not None and best <= SLACK else None


def clock_matches(row: dict, hours: list[int]) -> bool:
    first = number(row.get("clock_from"))
    last = number(row.get("clock_to"))
    if first is None:
        return False

    def near(a: float, b: float) -> bool:
        return min((a - b) % 12, (b - a) % 12) <= 1

    return near(first, hours[0]) and near(first if last is None else last, hours[-1])


def wrong_fields(gold: dict, row: dict, unit: float) -> tuple[int, list[str]]:
    """How many fields were said, and which of them the draft has wrong or made up."""
    said, wrong = 0, []
    words = " ".join(gold["said"])
    for name in ("severity", "material"):
        want, have = gold[name], row.get(name)
        if want is not None:
            said += 1
            if have != want:
                wrong.append(f"{name}: {want} was said, draft has {have}")
        elif name == "severity" and have is not None and not GRADED.search(words):
            wrong.append(f"severity: nothing was said, draft has {have}")
    for name in ("amount_pct", "size_in", "depth_ft"):
        want, have = gold[name], row.get(name)
        if want is not None:
            said += 1
            value = number(have)
            if value is None or abs(value - want) > 0.51:
                wrong.append(f"{name}: {want} was said, draft has {have}")
        elif have is not None and not re.search(r"\d|one|two|three|four|five|six|seven|eight|nine|ten|teen|ty\b|half|quarter|third|full|whole|hundred|mil", words, re.I):
            wrong.append(f"{name}: nothing was said, draft has {have}")
    if gold["clock"]:
        said += 1
        if not clock_matches(row, gold["clock"]):
            wrong.append(f"clock: {gold['clock']} was said, draft has {row.get('clock_from')}-{row.get('clock_to')}")
    elif row.get("clock_from") is not None and not PLACED.search(words):
        wrong.append(f"clock: nothing was said, draft has {row.get('clock_from')}-{row.get('clock_to')}")
    if gold["end_distance"] is not None and gold["distance"] is not None:
        said += 1
        have = number(row.get("end_distance"))
        allowed = max(2.0, 0.25 * abs(gold["end_distance"] - gold["distance"]) * unit)
        if have is None or abs(have - gold["end_distance"]) * unit > allowed:
            wrong.append(f"end_distance: {gold['end_distance']} is true, draft has {row.get('end_distance')}")
    return said, wrong


COUNTS = "gold rows right said wrong_fields inside placed slopes slope_rows slope_right unasked silent asked sightings sightings_right mentions mentions_right legs legs_right".split()


def score(case: Path, draft: Path, why: bool) -> dict:
    gold = json.loads((case / "gold.json").read_text())
    tell = (lambda *words: print("   ", *words)) if why else (lambda *words: None)
    figures: dict = dict.fromkeys(COUNTS, 0) | {"errors": [], "widths": [], "slope_errors": []}
    figures |= {f"standing {s}": 0 for s in ("seen", "possible", "not-seen", "reported")}
    figures |= {f"standing {s} right": 0 for s in ("seen", "possible", "not-seen", "reported")}
    try:
        made = json.loads((draft / "observations.json").read_text())
    except (OSError, ValueError) as error:
        tell(f"no draft: {error}")
        made = {"observations": [], "slope_readings": []}
    rows = made["observations"]
    unit = FEET[gold["units"]]

    pairs = []
    for g, want in enumerate(gold["rows"]):
        for r, row in enumerate(rows):
            apart = nearest(times_of(row), want["mentions"]) if row.get("feature") == want["feature"] else None
            if apart is not None:
                off = abs((number(row.get("distance")) or 0) - (want["distance"] or 0))
                rank = (row.get("standing") != want["standing"], want["optional"], len(wrong_fields(want, row, unit)[1]), apart, off)
                pairs.append((rank, g, r))
    partner_of_gold: dict[int, int] = {}
    partner_of_row: dict[int, int] = {}
    for _, g, r in sorted(pairs):
        if g not in partner_of_gold and r not in partner_of_row:
            partner_of_gold[g], partner_of_row[r] = r, g

    for g, want in enumerate(gold["rows"]):
        if want["optional"]:
            continue
        figures["gold"] += 1
        figures[f"standing {want['standing']}"] += 1
        if g not in partner_of_gold:
            tell(f"MISSED {want['feature']} {want['standing']} at {want['distance']} ({want['mentions'][0][0]:.0f} s): {want['said'][0]}")
    on_optional = lambda row: any(
        want["optional"] and want["feature"] == row.get("feature") and nearest(times_of(row), want["mentions"]) is not None
        for want in gold["rows"]
    )
    for r, row in enumerate(rows):
        bad: list[str] = []
        if r in partner_of_row:
            want = gold["rows"][partner_of_row[r]]
            if want["optional"]:
                continue
            said, bad = wrong_fields(want, row, unit)
            figures["rows"] += 1
            figures["said"] += said
            figures["wrong_fields"] += len(bad)
            if row.get("standing") == want["standing"]:
                figures["right"] += 1
                figures[f"standing {want['standing']} right"] += 1
            else:
                bad.append(f"standing: {want['standing']} is true, draft has {row.get('standing')}")
            times = times_of(row)
            figures["mentions"] += len(want["mentions"])
            figures["mentions_right"] += sum(nearest(times, [span]) is not None for span in want["mentions"])
            figures["sightings"] += len(times)
            figures["sightings_right"] += sum(nearest([t], want["mentions"]) is not None for t in times)
            if want["leg"] != 1:
                figures["legs"] += 1
                figures["legs_right"] += row.get("leg") == want["leg"]
            if want["distance"] is not None and want["standing"] in ("seen", "possible"):
                figures["placed"] += 1
                place, low, high = (number(row.get(name)) for name in ("distance", "distance_low", "distance_high"))
                if place is None:
                    bad.append(f"distance: {want['distance']} is true, draft has none")
                else:
                    error = abs(place - want["distance"]) * unit
                    figures["errors"].append(error)
                    bounded = low is not None and high is not None
                    inside = bounded and low - 1e-6 <= want["distance"] <= high + 1e-6
                    figures["inside"] += inside
                    if bounded:
                        figures["widths"].append((high - low) * unit)
                    if error > 2.0 and (not inside or (high - low) * unit > 8.0):
                        bad.append(f"distance: {want['distance']} is true, draft has {place} [{low}, {high}] {row.get('distance_basis')}")
            for line in bad:
                tell(f"WRONG  {row['feature']} ({times[0]:.0f} s) {line}: {row.get('heard')}")
        elif on_optional(row):
            continue
        else:
            figures["rows"] += 1
            bad = ["extra"]
            tell(f"EXTRA  {row.get('feature')} {row.get('standing')} at {row.get('distance')} ({row.get('time')} s): {row.get('heard')}")
        if row.get("check"):
            figures["asked"] += 1
        else:
            figures["unasked"] += 1
            figures["silent"] += bool(bad)

    left = [r for r in made.get("slope_readings", []) if number(r.get("time")) is not None and number(r.get("reading")) is not None]
    figures["slope_rows"] = len(made.get("slope_readings", []))
    for want in gold["slopes"]:
        figures["slopes"] += 1
        a, b = want["span"]
        hit = next((r for r in left if abs(r["reading"] - want["reading"]) < 0.01 and r.get("unit") == want["unit"] and a - 4 <= r["time"] <= b + 4), None)
        if hit is None:
            tell(f"SLOPE  missed {want['reading']} {want['unit']} ({a:.0f} s)")
            continue
        left.remove(hit)
        figures["slope_right"] += 1
        if want["distance"] is not None and number(hit.get("distance")) is not None:
            figures["slope_errors"].append(abs(hit["distance"] - want["distance"]) * unit)
    for extra in left:
        tell(f"SLOPE  extra {extra['reading']} {extra.get('unit')} ({extra['time']:.0f} s): {extra.get('heard')}")
    return figures


def f1(right: int, made: int, true: int) -> float:
    return 2 * right / (made + true) if made + true else 1.0


def share(part: float, whole: float) -> float | None:
    return part / whole if whole else None


def percentile90(values: list[float]) -> float | None:
    return sorted(values)[int(0.9 * (len(values) - 1))] if values else None


def summary(figures: dict) -> dict:
    recalls = [share(figures[f"standing {s} right"], figures[f"standing {s}"]) for s in ("seen", "possible", "not-seen", "reported")]
    recalls = [r for r in recalls if r is not None]
    sight_precision = share(figures["sightings_right"], figures["sightings"])
    sight_recall = share(figures["mentions_right"], figures["mentions"])
    return {
        "rows": f1(figures["right"], figures["rows"], figures["gold"]),
        "precision": figures["right"] / figures["rows"] if figures["rows"] else 0.0,
        "recall": figures["right"] / figures["gold"] if figures["gold"] else 1.0,
        "standing": sum(recalls) / len(recalls) if recalls else None,
        "sights": 2 / (1 / sight_precision + 1 / sight_recall) if sight_precision and sight_recall else None,
        "fields": None if not figures["said"] else max(0.0, 1 - figures["wrong_fields"] / figures["said"]),
        "legs": share(figures["legs_right"], figures["legs"]),
        "dist": median(figures["errors"]) if figures["errors"] else None,
        "dist90": percentile90(figures["errors"]),
        "cover": share(figures["inside"], figures["placed"]),
        "width": median(figures["widths"]) if figures["widths"] else None,
        "slope": f1(figures["slope_right"], figures["slope_rows"], figures["slopes"]) if figures["slopes"] + figures["slope_rows"] else None,
        "sdist": median(figures["slope_errors"]) if figures["slope_errors"] else None,
        "silent": share(figures["silent"], figures["unasked"]),
        "asked": share(figures["asked"], figures["asked"] + figures["unasked"]),
    }


def add(total: dict, figures: dict) -> None:
    for key, value in figures.items():
        total[key] = total[key] + value if key in total else value


def main() -> None:
    words = [word for word in sys.argv[1:] if not word.startswith("--")]
    why, as_json = "--why" in sys.argv, "--json" in sys.argv
    if not words:
        sys.exit(__doc__)
    names = list(summary(dict.fromkeys(COUNTS, 0) | {"errors": [], "widths": [], "slope_errors": []} | {f"standing {s}{t}": 0 for s in ("seen", "possible", "not-seen", "reported") for t in ("", " right")}))

    def line(name: str, figures: dict) -> str:
        found = summary(figures)
        show = lambda n: "-" if found[n] is None else format(found[n], ".2f" if n in ("dist", "dist90", "width", "sdist") else ".3f")
        return f"{name:<17}" + "".join(f"{show(n):>10}" for n in names)

    totals: dict[str, dict] = {"with counter": {}, "without counter": {}, "all": {}}
    if not as_json:
        print(f"{'case':<17}" + "".join(f"{n:>10}" for n in names))
    for word in words:
        case, _, draft = word.partition("=")
        figures = score(Path(case), Path(draft), why)
        add(totals["with counter" if (Path(case) / "counter.csv").exists() else "without counter"], figures)
        add(totals["all"], figures)
        if not as_json:
            print(line(Path(case).name, figures))
    if as_json:
        print(json.dumps({name: summary(total) for name, total in totals.items() if total}, indent=1))
    else:
        for name, total in totals.items():
            if total and len(words) > 1:
                print(line(name, total))


if __name__ == "__main__":
    main()
