"""What a report says, put together once from the log and the particulars; page and PDF only set it.

Severity, advice and conclusion are as they were called or as the reviewer wrote them: nothing here judges.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from narrate2log.drawing.axes import clock_text
from narrate2log.log import Log
from narrate2log.outgoing import places
from narrate2log.outgoing.drawings import Drawing, fall_drawings, pipe_drawings
from narrate2log.outgoing.labels import STANDINGS, Labels, low
from narrate2log.outgoing.limits import far_end, furthest, limits_shown
from narrate2log.outgoing.particulars import PAPERS, Job
from narrate2log.outgoing.sent import Amended
from narrate2log.outgoing.stills import Still
from narrate2log.report.slope_json import flush_from_json, profile_from_json
from narrate2log.report.slope_text import flush_note, leg_notes
from narrate2log.slope.minimums import NO_CODE_TEST, usual_table
from narrate2log.units import mm_to_length, ms_to_seconds

TITLE = "Sewer lateral inspection"
LANGUAGE = "en"
RECORD = (
    "This report is a visual record of that day: what one person saw in a camera's picture, and said."
    " It is no code test, no leak or pressure test and no engineering opinion. Local code, and those licensed"
    " to work under it, decide what has to be done."
)
SEVERITIES = (
    ("severe", "Called severe"),
    ("moderate", "Called moderate"),
    ("minor", "Called minor"),
    (None, "Seen, severity not told"),
)
READING = (
    "Distances are along the pipe from where the camera went in, as the cable counter and the spoken footages"
    " give them; over ground the same spot is nearer. The two numbers of an interval should hold the true"
    " distance nine times in ten. No more digits are printed than the interval allows.",
    "Clock hours are told looking the way the camera was pushed: 12 is the top of the pipe, 6 its bottom.",
    "Severity, amounts and advice are printed as they were said. What nobody said is left blank.",
    "Percentages called out by eye are rough.",
)
NO_TILT = "No tilt was read out, so nothing is told of the slope."


@dataclass(frozen=True)
class Line:
    """A sentence of a list, the number of its row, its leg if there are several, and its finding if any."""

    text: str
    row: int | None = None
    leg: int | None = None
    finding: str | None = None


@dataclass(frozen=True)
class Group:
    """Lines under a heading."""

    heading: str
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class Warned:
    """A caution, where it applies, and whom to defer to. `first`: it stands on the first page."""

    text: str
    defer_to: str
    where: str
    first: bool


@dataclass(frozen=True)
class Picture:
    """A still as it is shown: the name it has in a report, its file, and what is told of it."""

    name: str
    path: Path
    caption: str
    alt: str


@dataclass(frozen=True)
class Finding:
    """One finding on its own: title, sentence, facts (label, value), pictures, and the words if wanted."""

    id: str
    row: int
    title: str
    remark: str
    facts: tuple[tuple[str, str], ...]
    pictures: tuple[Picture, ...]
    words: str | None


@dataclass(frozen=True)
class Table:
    """Column heads, and rows of cells as text."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Report:
    """All that a person reads, in the order it is read. Blank particulars are empty."""

    title: str
    language: str
    paper: str
    made: str
    stamp: str | None
    amended: Amended | None
    record: str
    company: str | None
    logo: Path | None
    particulars: tuple[tuple[str, str], ...]
    cautions: tuple[Warned, ...]
    conclusion: str | None
    groups: tuple[Group, ...]
    advice: tuple[Line, ...]
    not_seen: tuple[Line, ...]
    pipe: tuple[Drawing, ...]
    fall: tuple[Drawing, ...]
    table: Table
    findings: tuple[Finding, ...]
    slope_table: Table
    slope: tuple[str, ...]
    limits_told: tuple[Line, ...]
    limits_shown: tuple[str, ...]
    standing_cautions: tuple[tuple[str, str], ...]
    reading: tuple[str, ...]
    missing: tuple[str, ...]


@dataclass(frozen=True)
class Wanted:
    """How a report is wanted: with the words as heard, or without anything personal."""

    words: bool = False
    redacted: bool = False


def build_report(
    log: Log,
    job: Job,
    labels: Labels,
    *,
    made: str,
    date: str | None,
    stills: Sequence[Still] = (),
    missing: Sequence[str] = (),
    amended: Amended | None = None,
    wanted: Wanted = Wanted(),
) -> Report:
    """The report of a log.

    `made` is the day that it is made, `date` that of the inspection as said; `missing` sentences on what
    could not be had. A redacted report has no names, no place, no pictures and no words.
    """
    paper = PAPERS[job.paper.lower()] if job.paper else ("us-letter" if log.units == "ft" else "a4")
    rows = log.rows
    return Report(
        title=TITLE,
        language=LANGUAGE,
        paper=paper,
        made=made,
        stamp=stamp(log),
        amended=amended,
        record=RECORD,
        company=None if wanted.redacted else job.company,
        logo=None if wanted.redacted else job.logo,
        particulars=tuple(particulars(log, job, labels, made=made, date=date, redacted=wanted.redacted)),
        cautions=_cautions(log),
        conclusion=None if wanted.redacted else job.conclusion,
        groups=_groups(log),
        advice=_notes(log, "recommendation", words=wanted.words),
        not_seen=tuple(_line(row, log) for row in rows if row["standing"] == "not-seen"),
        pipe=tuple(pipe_drawings(log, labels)),
        fall=tuple(fall_drawings(log)),
        table=_table(log, labels),
        findings=tuple(
            _finding(row, log, labels, () if wanted.redacted else stills, words=wanted.words)
            for row in findings_of(rows)
        ),
        slope_table=_slope_table(log),
        slope=_slope(log),
        limits_told=_notes(log, "limitation", words=wanted.words),
        limits_shown=tuple(limits_shown(log)),
        standing_cautions=labels.cautions,
        reading=READING,
        missing=tuple(missing),
    )


def findings_of(rows: Sequence[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """The defects that are there, or may be."""
    return [row for row in rows if row["kind"] == "defect" and row["standing"] in ("seen", "possible")]


def is_reviewed(log: Log) -> bool:
    """Whether a person went through it: somebody decided something, and nothing waits."""
    return bool(log.review["by"]) and log.review["waiting"] == 0


def stamp(log: Log) -> str | None:
    """What stands on every page of a report that is not final."""
    if is_reviewed(log):
        return None
    waiting = log.review["waiting"]
    if log.review["by"]:
        return f"Draft: {waiting} row{'s' * (waiting != 1)} still to be looked at"
    return "Draft: written by a program, not reviewed by a person"


def particulars(
    log: Log, job: Job, labels: Labels, *, made: str, date: str | None, redacted: bool
) -> list[tuple[str, str]]:
    """(label, value) in the order told; an empty value is not known."""
    names = [
        ("Client", job.client),
        ("Place", job.place),
        ("Reference", job.reference),
        ("Inspector", job.inspector),
        ("Licence", job.licence),
    ]
    reviewed = ", ".join(log.review["by"])
    last = (log.review["last"] or "")[:10]
    review = [("Reviewed", f"{reviewed}, {last}" if not redacted else last)] if is_reviewed(log) else []
    access = [job.access] if job.access and not redacted else _entries(log, labels)
    return [
        *((label, value or "") for label, value in names if not redacted and (value or label != "Reference")),
        ("Date of the inspection", job.date or date or ""),
        ("Camera went in at", "; ".join(access)),
        ("Pushed", "; ".join(_each_leg(log, lambda leg: [str(leg["direction"])]))),
        ("Furthest place told of", "; ".join(_each_leg(log, lambda leg: _end(log, leg["leg"], labels)))),
        ("Pipe", "; ".join(_each_leg(log, lambda leg: _pipe(log, labels, leg["leg"])))),
        ("Water running", _water(log)),
        ("Length of the recording", clock_text(sum(source["duration"] for source in log.sources))),
        *review,
        ("Report made", made),
    ]


def _each_leg(log: Log, told: Any) -> list[str]:
    many = len(log.legs) > 1
    return [f"leg {leg['leg']} {text}" if many else text for leg in log.legs for text in told(leg)]


def _entries(log: Log, labels: Labels) -> list[str]:
    return _each_leg(log, lambda leg: [low(labels.feature(leg["entry"]))] if leg["entry"] else [])


def _end(log: Log, leg: int, labels: Labels) -> list[str]:
    end = far_end(log, leg)
    if end is not None:
        return [f"{places.distance(end, log.units)} {log.units}, {low(labels.feature(end['feature']))}"]
    last = furthest(log, leg)
    return [] if last is None else [f"{places.distance(last, log.units)} {log.units}"]


def _pipe(log: Log, labels: Labels, leg: int) -> list[str]:
    told = []
    for row in log.rows:
        if row["leg"] != leg:
            continue
        if row["standing"] == "seen" and row["feature"] == "pipe-size" and row["size_in"]:
            told.append(f"{row['size_in']:g} in")
        elif row["standing"] == "seen" and row["feature"] == "material" and row["material"]:
            at = f" from {places.distance(row, log.units)} {log.units}" if row["distance"] is not None else ""
            told.append(f"{labels.material(row['material'])}{at}")
    return list(dict.fromkeys(told))


def _water(log: Log) -> str:
    turned = sorted(
        (time, row["feature"])
        for row in log.rows
        if row["feature"] in ("water-on", "water-off") and row["standing"] == "seen"
        for time in row["sightings"][:1]
    )
    said = {"water-on": "on", "water-off": "off"}
    return ", ".join(f"{said[feature]} at {clock_text(time)} of the recording" for time, feature in turned)


def _cautions(log: Log) -> tuple[Warned, ...]:
    told = [
        Warned(c["text"], c["defer_to"], _where_of(c["key"], log), bool(c.get("first"))) for c in log.cautions
    ]
    return tuple(sorted(told, key=lambda caution: not caution.first))


def _where_of(key: str, log: Log) -> str:
    """The places of the rows whose feature or material a caution is named for."""
    rows = [
        row
        for row in log.rows
        if key in (row["feature"], row["material"]) and row["standing"] in ("seen", "possible")
    ]
    return ", ".join(f"{places.where(row, log.units)}{_of_leg(row, log)}" for row in rows)


def _leg(row: Mapping[str, Any], log: Log) -> int | None:
    """The leg of a row, where that must be told."""
    return int(row["leg"]) if len(log.legs) > 1 else None


def _of_leg(row: Mapping[str, Any], log: Log) -> str:
    leg = _leg(row, log)
    return "" if leg is None else f", leg {leg}"


def _line(row: Mapping[str, Any], log: Log, *, finding: bool = False) -> Line:
    """The sentence of a row; what has no place is of no leg."""
    leg = None if row["distance"] is None else _leg(row, log)
    return Line(row["remark"], row["row"], leg, row["id"] if finding else None)


def _groups(log: Log) -> tuple[Group, ...]:
    seen = [r for r in log.rows if r["kind"] == "defect" and r["standing"] == "seen"]
    groups = [(heading, [r for r in seen if r["severity"] == called]) for called, heading in SEVERITIES]
    for standing, heading in (
        ("possible", "Possible, not certain from the picture"),
        ("reported", "Told by others, not seen by the camera"),
    ):
        groups.append((heading, [r for r in log.rows if r["kind"] == "defect" and r["standing"] == standing]))
    named = {row["id"] for row in findings_of(log.rows)}
    made = [
        Group(heading, tuple(_line(row, log, finding=row["id"] in named) for row in rows))
        for heading, rows in groups
        if rows
    ]
    if log.derived:
        heading = "Worked out from the tilt that was read, not said by anybody"
        made.append(Group(heading, tuple(Line(row["remark"], leg=_leg(row, log)) for row in log.derived)))
    return tuple(made)


def _notes(log: Log, feature: str, *, words: bool) -> tuple[Line, ...]:
    """Advice or limits as sentences; as said only where the words are wanted."""
    lines = []
    for row in log.rows:
        if row["feature"] == feature and row["standing"] in ("seen", "possible"):
            line = _line(row, log)
            said = f"{line.text} Said: \u201c{row['read_as']}\u201d" if words else line.text
            lines.append(replace(line, text=said))
    return tuple(lines)


def _table(log: Log, labels: Labels) -> Table:
    many = len(log.legs) > 1
    columns = [
        "No.",
        f"Distance, {log.units}",
        "Between",
        "What",
        "Standing",
        "Called",
        "Clock",
        "Amount",
        "Told at",
    ]
    rows = []
    for row in log.rows:
        end = places.end_distance(row, log.units)
        at = places.distance(row, log.units) + (f" to {end}" if end else "")
        cells = [
            str(row["row"]),
            at,
            places.between(row, log.units),
            name_of(row, labels),
            STANDINGS[row["standing"]],
            row["severity"] or "",
            places.clock(row),
            ", ".join(places.amounts(row)),
            clock_text(row["time"]),
        ]
        rows.append(tuple([str(row["leg"]), *cells] if many else cells))
    return Table(tuple(["Leg", *columns] if many else columns), tuple(rows))


def name_of(row: Mapping[str, Any], labels: Labels) -> str:
    """What a row is of: the feature, with the material it changes to."""
    name = labels.of(row)
    return f"{name}: {labels.material(row['material'])}" if row["material"] else name


def _finding(
    row: Mapping[str, Any], log: Log, labels: Labels, stills: Sequence[Still], *, words: bool
) -> Finding:
    units = log.units
    name = labels.feature(row["feature"])
    title = f"Possible {low(name)}" if row["standing"] == "possible" else name
    if row["distance"] is not None:
        title = f"{title}, {places.where(row, units)}{_of_leg(row, log)}"
    interval = places.between(row, units)
    end = places.end_distance(row, units)
    times = sorted({clock_text(t) for t in row["sightings"]} or {clock_text(row["time"])}, key=_by_clock)
    facts = [
        ("Distance", places.where(row, units).removeprefix("at ")),
        ("It begins between" if end else "Between", interval and f"{interval} {units}, nine times in ten"),
        ("How sure", STANDINGS[row["standing"]]),
        ("Called", row["severity"] or ""),
        ("Clock position", f"{places.clock(row)} o'clock" if row["clock_from"] is not None else ""),
        ("Amount", ", ".join(places.amounts(row))),
        ("Told at", f"{', '.join(times)} of the recording"),
    ]
    mine = [still for still in stills if still.row == row["id"]]
    return Finding(
        id=row["id"],
        row=row["row"],
        title=title,
        remark=row["remark"],
        facts=tuple((label, value) for label, value in facts if value),
        pictures=tuple(
            Picture(
                f"no-{row['row']}-{number}.jpg",
                still.path,
                f"The picture at {clock_text(ms_to_seconds(still.time_ms))} of the recording.",
                f"Camera picture for row {row['row']}: {title}.",
            )
            for number, still in enumerate(mine, 1)
        ),
        words=row["read_as"] if words else None,
    )


def _by_clock(text: str) -> tuple[int, str]:
    return len(text), text


def _slope_table(log: Log) -> Table:
    rows = []
    for told in log.slope_profiles:
        profile = profile_from_json(told, log.units)
        for s in profile.stretches:
            grade = s.grade_pct
            rows.append(
                (
                    *((str(profile.leg),) if len(log.legs) > 1 else ()),
                    f"{mm_to_length(s.from_mm, log.units):.0f} to {mm_to_length(s.to_mm, log.units):.0f}",
                    str(s.readings),
                    "" if s.raw_pct is None else f"{s.raw_pct:.1f}",
                    f"{grade.low:.1f} to {grade.high:.1f}",
                    {
                        "cannot tell": "cannot be told",
                        "flat": "flat",
                        "uphill": "runs uphill",
                        "falls": "falls",
                    }[s.shape]
                    + (", holds water" if s.holds_water else ""),
                )
            )
    columns = (
        f"Stretch, {log.units}",
        "Readings",
        "As read, percent",
        "Fall, percent, nine times in ten",
        "What can be told",
    )
    return Table(("Leg", *columns) if len(log.legs) > 1 else columns, tuple(rows))


def _slope(log: Log) -> tuple[str, ...]:
    told: list[str] = []
    flushes = [flush_from_json(test, log.units) for test in log.flush_tests]
    for given in log.slope_profiles:
        profile = profile_from_json(given, log.units)
        told += leg_notes(profile, log.units, usual_table(), profile.size_in, profile.material)
        told += [
            flush_note(test, profile, log.units, profile.size_in, profile.material)
            for test in flushes
            if test.leg == profile.leg
        ]
    if not told:
        return (NO_TILT,)
    count = len(log.slope_readings)
    first = (
        f"The camera's tilt was read out {count} time{'s' * (count != 1)}. Numbers in brackets should hold"
        " the truth nine times in ten."
    )
    return (first, *told, NO_CODE_TEST)
