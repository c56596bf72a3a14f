"""The job file, and the date as it is said at the start."""

from __future__ import annotations

from pathlib import Path

import pytest
from num2words import num2words

from narrate2log.outgoing.particulars import MONTHS, read_job, said_date


@pytest.mark.parametrize(
    ("said", "date"),
    [
        ("It's March third, twenty twenty six.", "2026-03-03"),
        ("today is the third of March 2026", "2026-03-03"),
        ("3rd of March, 2026, eight in the morning", "2026-03-03"),
        ("December the twenty first, twenty twenty five", "2025-12-21"),
        ("the thirty first of October twenty thirty", "2030-10-31"),
        ("March 3, and we start at the cleanout", "March 3"),
        ("the twenty ninth of February", "February 29"),
        ("twenty ninth of February twenty twenty five", None),
        ("the thirty first of April", None),
        ("it may be the second joint", None),
        ("you can see the march of roots", None),
        ("moved in March third, and today is the fifth of May 2026", None),
        ("nothing of the kind", None),
        ("", None),
    ],
)
def test_a_date_is_read_as_it_was_said_or_not_at_all(said: str, date: str | None) -> None:
    assert said_date([(1.0, said)]) == date


def test_a_date_told_later_is_about_something_else() -> None:
    assert said_date([(200.0, "they dug it up on March third 2020")]) is None


# The words of a day as another library spells them.
@pytest.mark.parametrize("day", range(1, 32))
def test_every_day_of_a_month(day: int) -> None:
    spoken = num2words(day, to="ordinal")
    assert said_date([(0.0, f"January {spoken}, twenty twenty six")]) == f"2026-01-{day:02}"
    assert said_date([(0.0, f"the {spoken} of January")]) == f"January {day}"


@pytest.mark.parametrize("month", MONTHS)
def test_every_month(month: str) -> None:
    assert said_date([(0.0, f"the second of {month} 2026")]) == f"2026-{MONTHS.index(month) + 1:02}-02"


@pytest.mark.parametrize(
    ("content", "problem"),
    [
        ('client = "A"\n', None),
        ("date = 2026-03-03\n", None),
        ("client = 3\n", "'client' must be words in quotes"),
        ('client = ""\n', "'client' must be words in quotes"),
        ('cleint = "A"\n', "unknown key 'cleint'"),
        ('paper = "foolscap"\n', "unknown paper 'foolscap'"),
        ('logo = "gone.png"\n', "The logo gone.png is not there"),
        ('logo = "job.toml"\n', "The logo job.toml is not there or is none of"),
        ('client = "A\n', "cannot be read"),
        (b"\xff\xfe", "cannot be read"),
    ],
)
def test_what_cannot_be_used_of_a_job_file_is_said(
    tmp_path: Path, content: str | bytes, problem: str | None
) -> None:
    path = tmp_path / "job.toml"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    problems = read_job(path, asked=False).problems
    assert len(problems) == (problem is not None)
    assert problem is None or problem in problems[0]


def test_one_bad_key_leaves_the_others(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text('cleint = "A"\nplace = "B"\ndate = 2026-03-03\n', encoding="utf-8")
    job = read_job(path, asked=False)
    assert (job.client, job.place, job.date) == (None, "B", "2026-03-03")


def test_lines_of_a_conclusion_end_where_the_page_wants_it(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text("conclusion = '''\nOne\n line.\n\nAnother.\n'''\n", encoding="utf-8")
    assert read_job(path, asked=False).conclusion == "One line.\n\nAnother."


def test_a_job_file_is_missed_only_if_it_was_named(tmp_path: Path) -> None:
    assert read_job(tmp_path / "job.toml", asked=False).problems == ()
    assert "is not there" in read_job(tmp_path / "job.toml", asked=True).problems[0]
