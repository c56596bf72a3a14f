"""What several commands ask of a run, checked."""

from __future__ import annotations

from narrate2log.errors import UnusableCommand
from narrate2log.units import MM_PER_UNIT, LengthUnit

# No cable of a push camera is longer, in feet or in metres.
LONGEST = 1000


def length_unit(name: str) -> LengthUnit:
    """The unit of `--units`. Raises UnusableCommand."""
    for unit in MM_PER_UNIT:
        if unit == name:
            return unit
    raise UnusableCommand(f"--units: unknown unit '{name}'; use {' or '.join(MM_PER_UNIT)}.")


def check_length(length: float | None, unit: LengthUnit) -> None:
    """Refuse a `--length` that no run has. Raises UnusableCommand."""
    if length is not None and not 0 < length < LONGEST:
        raise UnusableCommand(
            f"--length: {length:g} {unit} is no length of a run; give a number above 0, below {LONGEST}."
        )
