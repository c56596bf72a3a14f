"""Decisions for tests that need some."""

from __future__ import annotations

from typing import Any

from narrate2log.records import Decision


def decision(n: int, kind: str = "stands", row: str | None = "r", **more: Any) -> Decision:
    told = {"draft": "ab" * 32, "before": {}, "after": {}, "undoes": None} | more
    return Decision(
        n=n,
        id=f"token {n}",
        at="2026-11-25T18:03:11Z",
        by="Kim",
        kind=kind,  # type: ignore[arg-type]
        row=row,
        **told,
    )
