"""The table: the mentions of one thing become one row, with reasons to look."""

from narrate2log.table.build import build

__all__ = ["build"]
