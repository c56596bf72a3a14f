"""A session driven as a page would: every request with the revision it saw and a token of its own."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from narrate2log.review.session import Session

_TOKENS = (f"token {n}" for n in itertools.count(1))


class Reviewer:
    """Someone at a page: sees a state, decides on it, sees the next."""

    def __init__(self, folder: Path, by: str = "Kim") -> None:
        self.session = Session.open(folder, by=by)
        self.state = self.session.state()

    def decide(self, kind: str, row: str | None, after: Mapping[str, Any] | None = None) -> dict[str, Any]:
        answer = self.session.decide(
            kind, row, after or {}, revision=self.state["revision"], token=next(_TOKENS)
        )
        self.state = answer["state"]
        return answer

    def undo(self) -> None:
        self.state = self.session.undo(revision=self.state["revision"], token=next(_TOKENS))["state"]

    def redo(self) -> None:
        self.state = self.session.redo(revision=self.state["revision"], token=next(_TOKENS))["state"]

    def look(self) -> None:
        self.state = self.session.state()

    def row(self, feature: str, at: int = 0) -> dict[str, Any]:
        return next(
            itertools.islice((row for row in self.state["rows"] if row["feature"] == feature), at, None)
        )

    def by_id(self, name: str) -> dict[str, Any]:
        return next(row for row in self.state["rows"] if row["id"] == name)

    def queue(self, of: str = "") -> list[dict[str, Any]]:
        return [item for item in self.state["queue"] if not of or item["of"] == of]
