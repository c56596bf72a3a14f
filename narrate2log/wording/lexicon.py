"""The lexicon read from its TOML files, checked, and turned into something that finds words.

The data lives in the top-level folder `lexicon/`, which a wheel carries inside the package as
`_lexicon`; `lexicon_folder` finds either. A folder of the user's own lies over it: an entry with
the same key adds its phrases, a new entry is added.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from narrate2log.errors import UnusableLexicon
from narrate2log.wording.folding import fold_phrase
from narrate2log.wording.patterns import BadPattern, Found, PatternIndex, Slot, parse

KINDS = ("landmark", "defect", "pipe", "water", "event", "note")
REACHES = ("forward", "backward", "both", "sentence", "clause", "near", "after")
EFFECTS = ("denied", "hedged", "reported", "affirmed", "nothing")
UNITS = (
    "foot",
    "metre",
    "yard",
    "inch",
    "millimetre",
    "percent",
    "degree",
    "per-foot",
    "clock",
    "other",
    "fitting",
)

# What each section of a file may hold: the keys it must have, and those it may have.
SECTIONS: dict[str, tuple[frozenset[str], frozenset[str]]] = {
    "feature": (
        frozenset({"key", "kind", "label", "say"}),
        frozenset({"not", "alone", "covers", "place", "extent", "motion", "needs"}),
    ),
    "material": (frozenset({"key", "label", "say"}), frozenset({"not", "weak", "family", "loose"})),
    "cue": (frozenset({"say"}), frozenset({"not", "label", "effect", "kind", "reach", "over", "keep"})),
    "clock": (frozenset({"hours", "say"}), frozenset({"not"})),
    "amount": (frozenset({"percent", "say"}), frozenset({"not"})),
    "unit": (frozenset({"kind", "say"}), frozenset({"before", "not"})),
    "mishearing": (frozenset({"read_as", "say"}), frozenset({"not", "near", "between_numbers"})),
    "caution": (
        frozenset({"key", "say", "defer_to", "text"}),
        frozenset({"not", "features", "materials", "first"}),
    ),
}
PHRASE_LISTS = ("say", "not", "alone", "weak", "loose", "before", "near")


@dataclass(frozen=True, slots=True)
class Entry:
    """One table of a lexicon file: where it stands, its section, and what it says."""

    file: str
    section: str
    say: tuple[str, ...]
    values: dict[str, Any] = field(default_factory=dict, hash=False)

    def __getitem__(self, key: str) -> Any:
        return self.values.get(key)


@dataclass(frozen=True, slots=True)
class Hit:
    """An entry found on folded tokens `start` to `end` (half open), and which of its lists said so."""

    start: int
    end: int
    entry: Entry
    phrase: str
    list: str = "say"


@dataclass(frozen=True)
class Lexicon:
    """Every entry, by section and file, and one index that finds them all in a single pass."""

    entries: tuple[Entry, ...]
    sets: dict[str, list[str]]
    origin: tuple[Path, ...] = ()

    @cached_property
    def features(self) -> dict[str, Entry]:
        """Feature entries by key."""
        return {entry["key"]: entry for entry in self.entries if entry.section == "feature"}

    @cached_property
    def materials(self) -> dict[str, Entry]:
        """Material entries by key."""
        return {entry["key"]: entry for entry in self.entries if entry.section == "material"}

    @cached_property
    def cautions(self) -> tuple[Entry, ...]:
        """The cautions, in order."""
        return tuple(entry for entry in self.entries if entry.section == "caution")

    @cached_property
    def mishearings(self) -> tuple[Entry, ...]:
        """The known mis-hearings, in order."""
        return tuple(entry for entry in self.entries if entry.section == "mishearing")

    def slots(self, phrase: str) -> tuple[Slot, ...]:
        """A phrase of this lexicon as slots."""
        return parse(phrase, fold=lambda text: list(fold_phrase(text)), sets=self.sets)

    @cached_property
    def _index(self) -> PatternIndex[tuple[Entry, str, str]]:
        return PatternIndex(
            (self.slots(phrase), (entry, phrase, name))
            for entry in self.entries
            if entry.section not in ("mishearing", "caution")
            for name in PHRASE_LISTS
            for phrase in (entry.say if name == "say" else entry.values.get(name, ()))
        )

    def find(self, words: Sequence[str]) -> list[Hit]:
        """Every entry said in these folded words, less those said in another sense.

        A hit falls when a phrase of its entry's `not` list lies over it and is at least as long.
        """
        found = self._index.find(words)
        others: dict[int, list[Found[tuple[Entry, str, str]]]] = {}
        for match in found:
            if match.what[2] == "not":
                others.setdefault(id(match.what[0]), []).append(match)
        hits = []
        for match in found:
            entry, phrase, name = match.what
            if name == "not":
                continue
            length = match.end - match.start
            masked = any(
                other.start < match.end and match.start < other.end and other.end - other.start >= length
                for other in others.get(id(entry), ())
            )
            if not masked:
                hits.append(Hit(match.start, match.end, entry, phrase, name))
        return hits

    def prompt(self) -> str:
        """A line of trade words that leans a speech recogniser towards them."""
        labels = [
            entry["label"].lower()
            for entry in self.features.values()
            if entry["kind"] in ("defect", "landmark")
        ]
        labels += [entry["label"] for entry in self.materials.values()]
        return "Sewer camera inspection: " + ", ".join(labels) + "."


def lexicon_folder() -> Path:
    """Where the tool's own lexicon is: inside an installed wheel, or beside the package in a checkout."""
    package = Path(__file__).parents[1]
    for folder in (package / "_lexicon", package.parent / "lexicon"):
        if (folder / "defects.toml").is_file():
            return folder
    raise UnusableLexicon(f"The lexicon is missing from {package}: install narrate2log again.")


def _line_of(text: str, needle: str, after: int = 0) -> int:
    """The line that holds the quoted needle, at or after line `after`; else that line."""
    for number, line in enumerate(text.splitlines(), 1):
        if number >= after and needle in line:
            return number
    return after or 1


def _refuse(path: Path, line: int, what: str) -> UnusableLexicon:
    return UnusableLexicon(f"{path}, line {line}: {what}.")


def _starts(text: str, section: str) -> list[int]:
    return [n for n, line in enumerate(text.splitlines(), 1) if line.strip() == f"[[{section}]]"]


def _check_entry(path: Path, text: str, section: str, line: int, table: dict[str, Any]) -> None:
    must, may = SECTIONS[section]
    for key in table:
        if key not in must | may:
            allowed = ", ".join(sorted(must | may))
            raise _refuse(
                path, _line_of(text, key, line), f"[[{section}]] knows no {key!r}; allowed are {allowed}"
            )
    for key in must:
        if key not in table:
            raise _refuse(path, line, f"[[{section}]] needs {key!r}")
    for key in PHRASE_LISTS:
        phrases = table.get(key, [""])
        if not isinstance(phrases, list) or not phrases or not all(isinstance(p, str) for p in phrases):
            raise _refuse(path, _line_of(text, key, line), f"{key!r} must be a list of at least one phrase")
    if section == "feature" and table["kind"] not in KINDS:
        raise _refuse(
            path, _line_of(text, "kind", line), f"no kind {table['kind']!r}; allowed are {', '.join(KINDS)}"
        )
    if section == "unit" and table["kind"] not in UNITS:
        raise _refuse(
            path, _line_of(text, "kind", line), f"no unit {table['kind']!r}; allowed are {', '.join(UNITS)}"
        )
    for key, choices in (("reach", REACHES), ("effect", EFFECTS)):
        if key in table and table[key] not in choices:
            raise _refuse(
                path, _line_of(text, key, line), f"no {key} {table[key]!r}; allowed are {', '.join(choices)}"
            )


def _read(path: Path) -> tuple[list[tuple[int, Entry]], dict[str, list[str]], str]:
    """The entries of one file with their lines, and its named sets."""
    try:
        text = path.read_text(encoding="utf-8")
        data = tomllib.loads(text)
    except UnicodeDecodeError:
        raise UnusableLexicon(f"{path} is not UTF-8 text: save it as UTF-8.") from None
    except tomllib.TOMLDecodeError as error:
        raise UnusableLexicon(f"{path} is not TOML: {error}.") from None
    sets = data.pop("sets", {})
    entries = []
    for section, tables in data.items():
        if section not in SECTIONS or not isinstance(tables, list):
            allowed = ", ".join(f"[[{name}]]" for name in SECTIONS)
            raise _refuse(
                path, _line_of(text, section), f"no section {section!r}; allowed are {allowed}, [sets]"
            )
        for line, table in zip(_starts(text, section), tables, strict=True):
            _check_entry(path, text, section, line, table)
            values = {key: tuple(v) if key in PHRASE_LISTS else v for key, v in table.items() if key != "say"}
            entries.append((line, Entry(path.name, section, tuple(table["say"]), values)))
    return entries, sets, text


def _identity(entry: Entry) -> tuple[object, ...]:
    """What makes two entries the same one, so that a user's file can add to the tool's."""
    names = ("key", "effect", "kind", "reach", "percent", "read_as", "between_numbers", "over", "keep")
    hours = tuple(entry["hours"] or ())
    return (entry.section, entry.file, hours, *(entry[name] for name in names))


def _merge(under: Entry, over: Entry) -> Entry:
    """The tool's entry with the phrases of the user's added and the user's other values winning."""
    values = {**under.values, **{k: v for k, v in over.values.items() if k not in PHRASE_LISTS}}
    for name in PHRASE_LISTS[1:]:
        both = (*under.values.get(name, ()), *over.values.get(name, ()))
        if both:
            values[name] = both
    return Entry(under.file, under.section, (*under.say, *over.say), values)


def load_lexicon(folder: Path | None = None) -> Lexicon:
    """The tool's lexicon with the user's `folder` over it.

    Raises `UnusableLexicon`, naming file and line, for an unknown key or section, a value that is
    not allowed, an empty list, a pattern that cannot be read, or a phrase that stands twice for
    features or materials.
    """
    own = lexicon_folder()
    folders = [own]
    if folder is not None:
        if not folder.is_dir():
            raise UnusableLexicon(f"{folder} is no folder: give --lexicon a folder of TOML files.")
        folders.append(folder)
    sets: dict[str, list[str]] = {}
    placed: dict[tuple[object, ...], Entry] = {}
    where: dict[tuple[object, ...], tuple[Path, int, str]] = {}
    said: dict[tuple[str, str], tuple[Path, str]] = {}
    everything: list[tuple[Path, str, list[tuple[int, Entry]]]] = []
    for place in folders:
        for path in sorted(place.glob("*.toml")):
            entries, named, text = _read(path)
            sets |= named
            everything.append((path, text, entries))
    for path, text, entries in everything:
        for line, entry in entries:
            _check_patterns(path, text, line, entry, sets)
            if entry.section in ("feature", "material"):
                for phrase in entry.say:
                    if (entry.section, phrase) in said:
                        other = said[entry.section, phrase][1]
                        at = _line_of(text, f'"{phrase}"', line)
                        raise _refuse(path, at, f"{phrase!r} stands for {other!r} already")
                    said[entry.section, phrase] = (path, entry["key"])
            identity = _identity(entry)
            placed[identity] = _merge(placed[identity], entry) if identity in placed else entry
            where.setdefault(identity, (path, line, text))
    lexicon = Lexicon(tuple(placed.values()), sets, tuple(folders))
    for identity, entry in placed.items():
        for name, known in (
            ("covers", lexicon.features),
            ("features", lexicon.features),
            ("materials", lexicon.materials),
        ):
            for key in entry.values.get(name, ()):
                if key not in known:
                    path, line, text = where[identity]
                    raise _refuse(
                        path, _line_of(text, name, line), f"no {key!r}; allowed are {', '.join(known)}"
                    )
    return lexicon


def _check_patterns(path: Path, text: str, line: int, entry: Entry, sets: dict[str, list[str]]) -> None:
    lists: Iterable[tuple[str, ...]] = (entry.say, *(entry.values.get(name, ()) for name in PHRASE_LISTS[1:]))
    for phrases in lists:
        for phrase in phrases:
            try:
                parse(phrase, fold=lambda words: list(fold_phrase(words)), sets=sets)
            except BadPattern as error:
                raise _refuse(path, _line_of(text, f'"{phrase}"', line), str(error)) from None
