"""Whether a record that was read from a file holds what its fields are declared to hold."""

from __future__ import annotations

import math
from dataclasses import is_dataclass
from types import UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

# Beyond this no length, grade or time of a run lies, and powers of it still fit a float.
LARGEST = 1e9


def check_types(record: object) -> None:
    """Raises TypeError where a field, or one of a record in it, is not of its declared type.

    A number is finite and no larger than any of a run, and true and false are none.
    """
    if not _fits(record, type(record)):
        raise TypeError(f"a field of {type(record).__name__} has the wrong type")


def _fits(value: Any, hint: Any) -> bool:
    origin = get_origin(hint)
    if origin is Literal:
        return isinstance(value, str) and value in get_args(hint)
    if origin in (Union, UnionType):
        return any(_fits(value, choice) for choice in get_args(hint))
    if origin is tuple:
        return all(_fits(item, get_args(hint)[0]) for item in value)
    if is_dataclass(hint):
        return type(value) is hint and all(
            _fits(getattr(value, k), of) for k, of in get_type_hints(hint).items()
        )
    if hint in (int, float):
        number = isinstance(value, int | float if hint is float else int) and not isinstance(value, bool)
        return number and math.isfinite(value) and abs(value) <= LARGEST
    return isinstance(value, hint)
