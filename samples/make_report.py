"""Makes report/ from the sample run and a video of it: the PDF, and some of its pages as pictures.

    .venv/bin/python samples/make_video.py /tmp/run.mp4
    .venv/bin/python samples/make_report.py /tmp/run.mp4

It drafts narration.vtt, decides about the rows as the reviewer of reviewed.csv did where the draft asks, and
words the advice. The particulars are as invented as the run.
"""

from __future__ import annotations

import sys
import tempfile
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from narrate2log.draft import draft
from narrate2log.draft_folder import write_draft
from narrate2log.log.document import read_draft
from narrate2log.log.journal import Journal
from narrate2log.outgoing.make import Asked, make_report
from narrate2log.outgoing.pdf import typeset
from narrate2log.records import Decision

HERE = Path(__file__).resolve().parent
NOW = datetime.fromisoformat("2026-03-05T18:40:00+00:00")
JOB = """\
client = "The tailor's shop"
place = "21 Thistlewick Street"
date = 2026-03-04
inspector = "Rowan Fennimore"
company = "Fennimore & Daughter, drains"
conclusion = '''
The roots at 41 ft are what may stop this line. The belly holds water but passes it. The place at 45 ft could
not be told for sure.'''
"""
# The advice in the reviewer's words, in the order that it was given.
ADVICE = (
    "Have the roots cut out before winter.",
    "Have a camera put through again in a year, to see if the belly gets deeper.",
)
# Pages that the README shows, and how fine.
SHOWN, PPI = (1, 2, 7), 60


def decide(folder: Path) -> None:
    """What asks stands as it was read, and advice gets its words."""
    told = read_draft(folder)
    journal = Journal(folder)
    advice = iter(ADVICE)
    for row in told.document["observations"]:
        after: dict[str, Any] = {"remark": next(advice)} if row["feature"] == "recommendation" else {}
        if not after and not row["check"]:
            continue
        number = len(journal.decisions) + 1
        decision = Decision(
            n=number,
            id=str(uuid5(NAMESPACE_URL, f"sample {number}")),
            at=NOW.isoformat(),
            by="Rowan Fennimore",
            draft=told.sha256,
            kind="changed" if after else "stands",
            row=row["id"],
            before={"remark": row["remark"]} if after else {},
            after=after,
        )
        with journal.turn():
            journal.append(decision)


def make(video: Path) -> None:
    """The report of the sample run."""
    out = HERE / "report"
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "run"
        result = draft([HERE / "narration.vtt"], counter=HERE / "counter.csv")
        write_draft(replace(result, problems=()), folder)
        decide(folder)
        (folder / "job.toml").write_text(JOB, encoding="utf-8")
        made = make_report(folder, Asked(formats=("pdf",), out=out, videos=(video,)), now=NOW)
        pages, _ = typeset(made.report, format="png", ppi=PPI)
    for number in SHOWN:
        (out / f"page-{number}.png").write_bytes(pages[number - 1])
    print(*(f"{path.name} {path.stat().st_size // 1024} KB" for path in sorted(out.iterdir())), sep="\n")


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    make(Path(sys.argv[1]))
