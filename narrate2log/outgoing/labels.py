"""What things are called in a report, and the cautions that every report tells, from the lexicon."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from narrate2log.wording.lexicon import load_names

STANDINGS = {
    "seen": "seen",
    "possible": "possible, not certain",
    "not-seen": "looked for, not seen",
    "reported": "told by others, not seen",
}


@dataclass(frozen=True)
class Labels:
    """Names by key, and the standing cautions as (what, whom to defer to)."""

    features: dict[str, str]
    materials: dict[str, str]
    cautions: tuple[tuple[str, str], ...]

    def feature(self, key: str) -> str:
        """The name of a feature; its key in words where a lexicon of somebody else named it."""
        return self.features.get(key) or _in_words(key)

    def of(self, row: Mapping[str, Any]) -> str:
        """The name of what a row is of; of something above the camera, what it is."""
        name = self.feature(row["feature"])
        above = row.get("sense") if row["feature"] == "surface-mark" else None
        return f"{above.capitalize()} above the camera" if above else name

    def material(self, key: str) -> str:
        """The name of a material."""
        return self.materials.get(key) or _in_words(key)


def read_labels(folder: Path | None = None) -> Labels:
    """The names in the tool's lexicon, those of the user's `folder` over it. Raises UnusableLexicon."""
    names = load_names(folder)
    return Labels(
        {key: str(entry["label"]) for key, entry in names.features.items()},
        {key: str(entry["label"]) for key, entry in names.materials.items()},
        tuple((str(c["text"]), str(c["defer_to"])) for c in names.cautions if c["always"]),
    )


def _in_words(key: str) -> str:
    return key.replace("-", " ").capitalize()


def low(label: str) -> str:
    """A label inside a sentence: "Joint offset" is "joint offset", "ABS plastic" stays."""
    return label if label[:2].isupper() else label[:1].lower() + label[1:]
