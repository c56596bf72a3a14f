"""The log of a run: its draft, and what a person decided about it.

`read_log` makes it from the files at any time; log.json is a copy for others.
"""

from __future__ import annotations

from narrate2log.log.document import Log, read_log

__all__ = ["Log", "read_log"]
