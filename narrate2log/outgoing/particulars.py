"""Who, when and where: from the job file, from the log, and the date as it was said. Unknown stays blank."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, field, fields
from datetime import date
from pathlib import Path

JOB_FILE = "job.toml"
# A date told later than this is about something else, seconds.
START_S = 90.0
MONTHS = "january february march april may june july august september october november december".split()
ORDINALS = (
    "first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth thirteenth fourteenth"
    " fifteenth sixteenth seventeenth eighteenth nineteenth twentieth"
).split()
_DAYS = {word: day for day, word in enumerate(ORDINALS, 1)} | {
    "thirtieth": 30,
    "thirty first": 31,
    **{f"twenty {word}": 20 + day for day, word in enumerate(ORDINALS[:9], 1)},
}
_DAY = rf"(?P<day>\d{{1,2}}(?:st|nd|rd|th)?|{'|'.join(sorted(_DAYS, key=len, reverse=True))})"
_MONTH = rf"(?P<month>{'|'.join(MONTHS)})"
_YEAR = r"(?:\s+(?P<year>20\d\d|twenty\s+\w+(?:\s+\w+)?))?"
_SAID = tuple(
    re.compile(pattern)
    for pattern in (
        rf"\b{_MONTH}\s+(?:the\s+)?{_DAY}\b{_YEAR}",
        rf"\b(?:the\s+)?{_DAY}\s+(?:of\s+)?{_MONTH}\b{_YEAR}",
    )
)
_TENS = dict(
    zip("twenty thirty forty fifty sixty seventy eighty ninety".split(), range(20, 100, 10), strict=True)
)
_ONES = dict(zip("one two three four five six seven eight nine".split(), range(1, 10), strict=True))


@dataclass(frozen=True)
class Job:
    """What the job file tells; every part may be missing. `problems` says what of it could not be used."""

    client: str | None = None
    place: str | None = None
    date: str | None = None
    inspector: str | None = None
    licence: str | None = None
    company: str | None = None
    access: str | None = None
    reference: str | None = None
    conclusion: str | None = None
    paper: str | None = None
    logo: Path | None = None
    problems: tuple[str, ...] = field(default=())


KEYS = tuple(part.name for part in fields(Job) if part.name != "problems")
PAPERS = {"letter": "us-letter", "a4": "a4"}
LOGO_FORMATS = (".png", ".jpg", ".jpeg", ".svg")


def read_job(path: Path, *, asked: bool) -> Job:
    """The job file, as much of it as can be used; none is none, and a problem if it was `asked` for."""
    try:
        told = tomllib.loads(path.read_bytes().decode("utf-8-sig"))
    except FileNotFoundError:
        missing = (f"{path.name} is not there, so who, when and where are blank.",)
        return Job(problems=missing if asked else ())
    except (OSError, ValueError) as error:
        return Job(problems=(f"{path.name} cannot be read ({error}), so who, when and where are blank.",))
    problems, good = [], {}
    for key, value in told.items():
        if key not in KEYS:
            problems.append(f"{path.name}: unknown key '{key}'; known are {', '.join(KEYS)}.")
        elif key == "date" and isinstance(value, date):
            good[key] = value.isoformat()[:10]
        elif not isinstance(value, str) or not value.strip():
            problems.append(f"{path.name}: '{key}' must be words in quotes, so it is left blank.")
        elif key == "paper" and value.lower() not in PAPERS:
            problems.append(f"{path.name}: unknown paper '{value}'; use {' or '.join(PAPERS)}.")
        else:
            # lines end where the page wants it; an empty line parts a conclusion into paragraphs
            good[key] = "\n\n".join(" ".join(part.split()) for part in value.strip().split("\n\n"))
    logo = good.pop("logo", None)
    found = path.parent / logo if logo else None
    if found and (found.suffix.lower() not in LOGO_FORMATS or not found.is_file()):
        allowed = ", ".join(LOGO_FORMATS)
        problems.append(f"The logo {logo} is not there or is none of {allowed}, so the report has no logo.")
        found = None
    return Job(**good, logo=found, problems=tuple(problems))


def said_date(phrases: Sequence[tuple[float, str]]) -> str | None:
    """The date told at the start, as ISO 8601; without a year as "March 3". None where none or two were told.

    `phrases` are (seconds, words).

        >>> said_date([(2.0, "It's March third, twenty twenty six, and I'm at the cleanout.")])
        '2026-03-03'
    """
    early = " ".join(text for at, text in phrases if at <= START_S).lower()
    text = re.sub(r"[^\w\s]", " ", early)
    text = re.sub(r"\s+", " ", text)
    found = {told for pattern in _SAID for match in pattern.finditer(text) if (told := _date(match))}
    return found.pop() if len(found) == 1 else None


def _date(match: re.Match[str]) -> str | None:
    month = MONTHS.index(match["month"]) + 1
    day = _DAYS.get(match["day"]) or int(re.sub(r"\D", "", match["day"]) or 0)
    year = _year(match["year"])
    try:
        told = date(year or 2000, month, day)  # a leap year takes any day that there is
    except ValueError:
        return None
    return told.isoformat() if year else f"{match['month'].capitalize()} {day}"


def _year(said: str | None) -> int | None:
    """'twenty twenty six' is 2026; what is no year is none, since it may be the next sentence."""
    if not said:
        return None
    if said.isdigit():
        return int(said)
    words = said.split()[1:]
    if not words or words[0] not in _TENS:
        return None
    return 2000 + _TENS[words[0]] + (_ONES.get(words[1], 0) if len(words) > 1 else 0)
