"""The lexicon read from its TOML files, checked, and turned into something that finds words.

The data lives in the top-level folder `lexicon/`, which a wheel carries inside the package as
`_lexicon`; `lexicon_folder` finds either. A folder of the user's own lies over it: an entry with
the same key adds its phrases, a new entry is added.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from hashlib import sha256
from pathlib import Path
from typing import Any

from narrate2log.errors import UnusableLexicon
from narrate2log.wording.folding import fold_phrase
from narrate2log.wording.patterns import BadPattern, Found, PatternIndex, PatternReader, Slot, spread

KINDS = ("landmark", "defect", "pipe", "water", "event", "note")
MARKS = ("look", "strike", "note")
REACHES = ("forward", "backward", "both", "sentence", "clause", "near", "after")
MOTIONS = ("zero", "start", "pull-back", "end")
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
    "second",
    "minute",
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
    "cue": (frozenset({"say"}), frozenset({"not", "label", "effect", "kind", "reach", "over"})),
    "clock": (frozenset({"hours", "say"}), frozenset({"not"})),
    "amount": (frozenset({"percent", "say"}), frozenset({"not"})),
    "unit": (frozenset({"kind", "say"}), frozenset({"before", "not"})),
    "mishearing": (frozenset({"read_as", "say"}), frozenset({"not", "near", "between_numbers"})),
    "caution": (
        frozenset({"key", "say", "defer_to", "text"}),
        frozenset({"not", "features", "materials", "first", "always"}),
    ),
    "mark": (frozenset({"kind", "say"}), frozenset()),
}
# What is not looked for in every sentence: each has a search of its own, or none.
APART = ("mishearing", "caution", "mark")
PHRASE_LISTS = ("say", "not", "alone", "weak", "loose", "before", "near")
# Lists that a phrase of `not` silences; `near` only stands beside what is said.
SILENCED = tuple(name for name in PHRASE_LISTS if name not in ("not", "near"))


def _is_text(value: object) -> bool:
    return isinstance(value, str) and bool(value.strip())


def _is_texts(value: object) -> bool:
    return isinstance(value, list) and all(_is_text(item) for item in value)


def _is_flag(value: object) -> bool:
    return isinstance(value, bool)


def _is_number(value: object, low: int, high: int) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and low <= value <= high


def _is_hours(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(h, int) and _is_number(h, 1, 12) for h in value)


def _is_percent(value: object) -> bool:
    return _is_number(value, 0, 100)


_TEXTS = "key label kind effect reach family motion needs read_as text defer_to".split()
_FLAGS = "place extent over keep first always between_numbers".split()
# What the value of a key must be, and how a person is told.
VALUES: dict[str, tuple[Callable[[object], bool], str]] = {
    "hours": (_is_hours, "a list of whole hours from 1 to 12"),
    "percent": (_is_percent, "a number from 0 to 100"),
    **dict.fromkeys(("covers", "features", "materials"), (_is_texts, "a list of keys")),
    **dict.fromkeys(_FLAGS, (_is_flag, "true or false")),
    **dict.fromkeys(_TEXTS, (_is_text, "words in quotes")),
}


@dataclass(frozen=True, slots=True)
class Entry:
    """One table of a lexicon file: where it stands, its section, and what it says."""

    file: str
    section: str
    say: tuple[str, ...]
    values: dict[str, Any] = field(default_factory=dict, hash=False)

    def __getitem__(self, key: str) -> Any:
        return self.values.get(key)

    def lists(self, names: Iterable[str] = PHRASE_LISTS) -> Iterator[tuple[str, tuple[str, ...]]]:
        """The phrase lists this entry has, by name."""
        for name in names:
            phrases = self.say if name == "say" else self.values.get(name)
            if phrases:
                yield name, phrases


@dataclass(frozen=True, slots=True)
class Hit:
    """An entry found on folded tokens `start` to `end` (half open), and which of its lists said so."""

    start: int
    end: int
    entry: Entry
    phrase: str
    list: str = "say"


@dataclass(frozen=True)
class Names:
    """Every entry, by section and file: what things are called, and what is to be told of them."""

    entries: tuple[Entry, ...]

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


@dataclass(frozen=True)
class Lexicon(Names):
    """The entries, and one index that finds all their phrases in a single pass."""

    sets: dict[str, list[str]]
    origin: tuple[Path, ...]
    reader: PatternReader = field(repr=False, compare=False)
    index: PatternIndex[tuple[Entry, str, str]] = field(repr=False, compare=False)

    @cached_property
    def mishearings(self) -> tuple[Entry, ...]:
        """The known mis-hearings, in order."""
        return tuple(entry for entry in self.entries if entry.section == "mishearing")

    @cached_property
    def fingerprint(self) -> str:
        """The same for two lexicons that say the same, and for no others."""
        return sha256(repr((self.entries, self.sets)).encode()).hexdigest()

    @cached_property
    def mishearing_index(self) -> PatternIndex[tuple[Entry, str, str]]:
        """What finds the known mis-hearings and what stands in their `not` lists."""
        return PatternIndex(
            (self.slots(phrase), (entry, phrase, name))
            for entry in self.mishearings
            for name, phrases in entry.lists(("say", "not"))
            for phrase in phrases
        )

    @cached_property
    def spoken_marks(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """Every way to give a spoken mark: its kind and its folded words."""
        return tuple(
            (entry["kind"], words)
            for entry in self.entries
            if entry.section == "mark"
            for phrase in entry.say
            for words in spread(self.slots(phrase))
        )

    def slots(self, phrase: str) -> tuple[Slot, ...]:
        """A phrase of this lexicon as slots."""
        return self.reader.read(phrase)

    def find(self, words: Sequence[str]) -> list[Hit]:
        """Every entry said in these folded words, less those said in another sense.

        A hit falls when a phrase of its entry's `not` list lies over it and is at least as long.
        """
        found = self.index.find(words)
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


# Strings and comments of TOML, the longer quotes first.
_QUOTED = re.compile(
    r'"""(?:\\.|[^\\])*?"""|\'\'\'.*?\'\'\'|"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\'|\#[^\n]*', re.DOTALL
)


def _blank(quoted: re.Match[str]) -> str:
    return "\n".join(" " * len(line) for line in quoted[0].split("\n"))


@dataclass(frozen=True, slots=True)
class _Source:
    """A file as written, to say on which line something stands, since TOML read keeps no lines.

    `bare` is the text with strings and comments blanked: headers and keys are looked for there, so
    that none is found inside a phrase.
    """

    path: Path
    text: str
    bare: str

    def refuse(self, at: int, what: str) -> UnusableLexicon:
        """The refusal that names this file and the line of position `at`."""
        line = self.text.count("\n", 0, at) + 1
        return UnusableLexicon(f"{self.path}, line {line}: {what}.")

    def top(self, name: str) -> int:
        """Where a top-level name first stands, as a header or as a key."""
        found = re.search(rf"^[ \t]*(?:\[\[?[ \t]*)?{re.escape(name)}[ \t]*[\].=]", self.bare, re.MULTILINE)
        return found.start() + found[0].index(name) if found else 0

    def tables(self, section: str) -> list[_Table]:
        """The tables written under a header of their own, in order."""
        header = re.compile(rf"^[ \t]*\[\[[ \t]*{re.escape(section)}[ \t]*\]\]", re.MULTILINE)
        return [self.table(found.end()) for found in header.finditer(self.bare)]

    def table(self, start: int) -> _Table:
        """What is written from `start` to the next header of an entry."""
        after = re.compile(r"^[ \t]*\[\[", re.MULTILINE).search(self.bare, start)
        return _Table(self, start, after.start() if after else len(self.bare))


@dataclass(frozen=True, slots=True)
class _Table:
    """Where one table of a file is written."""

    source: _Source
    start: int
    end: int

    def refuse(self, what: str, key: str | None = None, item: int | None = None) -> UnusableLexicon:
        """The refusal that names the line of a key, or of one string of its list; else the header's."""
        return self.source.refuse(self.start if key is None else self._at(key, item), what)

    def _at(self, key: str, item: int | None) -> int:
        written = re.compile(rf"^[ \t]*{re.escape(key)}[ \t]*[.=]", re.MULTILINE)
        found = written.search(self.source.bare, self.start, self.end)
        if found is None:
            return self.start
        if item is None:
            return found.end()
        quoted = _QUOTED.finditer(self.source.text, found.end(), self.end)
        strings = [match.start() for match in quoted if not match[0].startswith("#")]
        return strings[item] if item < len(strings) else found.end()


@dataclass(frozen=True, slots=True)
class _Written:
    """An entry, and where it is written."""

    table: _Table
    entry: Entry


def _check_keys(table: _Table, section: str, data: Mapping[str, Any]) -> None:
    must, may = SECTIONS[section]
    for key in data:
        if key not in must | may:
            allowed = ", ".join(sorted(must | may))
            raise table.refuse(f"[[{section}]] knows no {key!r}; allowed are {allowed}", key)
    for key in sorted(must):
        if key not in data:
            raise table.refuse(f"[[{section}]] needs {key!r}")


def _check_values(table: _Table, section: str, data: Mapping[str, Any]) -> None:
    for key, value in data.items():
        if key in PHRASE_LISTS and not (value and isinstance(value, list) and _are_strings(value)):
            raise table.refuse(f"{key!r} must be a list of at least one phrase", key)
        if key in VALUES and not VALUES[key][0](value):
            raise table.refuse(f"{key!r} must be {VALUES[key][1]}", key)
    kinds = {"feature": ("kind", KINDS), "unit": ("unit", UNITS), "mark": ("mark", MARKS)}
    if section in kinds:
        name, choices = kinds[section]
        _check_choice(table, "kind", name, data["kind"], choices)
    for key, choices in (("reach", REACHES), ("effect", EFFECTS), ("motion", MOTIONS)):
        if key in data:
            _check_choice(table, key, key, data[key], choices)


def _are_strings(values: list[object]) -> bool:
    return all(isinstance(value, str) for value in values)


def _check_choice(table: _Table, key: str, name: str, value: str, choices: tuple[str, ...]) -> None:
    if value not in choices:
        raise table.refuse(f"no {name} {value!r}; allowed are {', '.join(choices)}", key)


def _toml(path: Path) -> tuple[_Source, dict[str, Any]]:
    """One file as text and as data. TOML may fail with more than its own error: on nesting, on digits."""
    try:
        text = path.read_text(encoding="utf-8-sig")
        data = tomllib.loads(text)
    except OSError as error:
        raise UnusableLexicon(f"{path} cannot be read: {error.strerror}.") from None
    except UnicodeDecodeError:
        raise UnusableLexicon(f"{path} is not UTF-8 text: save it as UTF-8.") from None
    except RecursionError:
        raise UnusableLexicon(f"{path} is not TOML for a lexicon: lists lie too deep in lists.") from None
    except ValueError as error:
        raise UnusableLexicon(f"{path} is not TOML: {error}.") from None
    return _Source(path, text, _QUOTED.sub(_blank, text)), data


def _read_sets(source: _Source, sets: object) -> dict[str, list[str]]:
    table = source.table(source.top("sets"))
    if not isinstance(sets, dict):
        raise table.refuse("[sets] must hold named lists of words")
    for name, words in sets.items():
        if not words or not _is_texts(words):
            raise table.refuse(f"the set {name!r} must be a list of at least one word, each in quotes", name)
    return sets


def _read_section(source: _Source, section: str, data: object) -> Iterator[_Written]:
    if section not in SECTIONS:
        allowed = ", ".join(f"[[{name}]]" for name in SECTIONS)
        raise source.refuse(source.top(section), f"no section {section!r}; allowed are {allowed}, [sets]")
    tables = source.tables(section)
    if not isinstance(data, list) or len(data) != len(tables):
        what = f"write each {section} under a line [[{section}]] of its own"
        raise source.refuse(source.top(section), what)
    for table, values in zip(tables, data, strict=True):
        _check_keys(table, section, values)
        _check_values(table, section, values)
        kept = {key: tuple(v) if key in PHRASE_LISTS else v for key, v in values.items() if key != "say"}
        yield _Written(table, Entry(source.path.name, section, tuple(values["say"]), kept))


def _read(path: Path) -> tuple[list[_Written], dict[str, list[str]]]:
    """The entries of one file, and its named sets."""
    source, data = _toml(path)
    sets = _read_sets(source, data.pop("sets", {}))
    return [w for section, tables in data.items() for w in _read_section(source, section, tables)], sets


def _check_patterns(written: _Written, reader: PatternReader) -> None:
    for name, phrases in written.entry.lists():
        for item, phrase in enumerate(phrases):
            try:
                reader.read(phrase)
            except BadPattern as error:
                raise written.table.refuse(str(error), name, item) from None


def _check_said_once(entries: Iterable[_Written], reader: PatternReader) -> None:
    """Refuse a phrase that stands for two features or two materials, or twice for one in a folder.

    A user's folder may say again what the tool's says of the same thing.
    """
    stands_for: dict[tuple[str, tuple[Slot, ...]], str] = {}
    literally: set[tuple[Path, str, str]] = set()
    for written in entries:
        entry, folder = written.entry, written.table.source.path.parent
        if entry.section not in ("feature", "material"):
            continue
        for item, phrase in enumerate(entry.say):
            first = stands_for.setdefault((entry.section, reader.read(phrase)), entry["key"])
            here = (folder, entry.section, phrase)
            if first != entry["key"] or here in literally:
                raise written.table.refuse(f"{phrase!r} stands for {first!r} already", "say", item)
            literally.add(here)


def _check_heard(written: _Written, under: Entry | None, reader: PatternReader) -> None:
    """Refuse a phrase that the `not` list of its own entry, or of the tool's under it, hides for good.

    A user's `not` may well hide what the tool says: so a phrase is taken out.
    """
    entry = written.entry
    nots = {reader.read(phrase): phrase for phrase in (under and under["not"]) or ()}
    own = {reader.read(phrase): item for item, phrase in enumerate(entry["not"] or ())}
    for name, phrases in entry.lists(SILENCED):
        for item, phrase in enumerate(phrases):
            slots = reader.read(phrase)
            if slots in own:
                other = entry["not"][own[slots]]
                what = f"{other!r} in 'not' hides {phrase!r} in {name!r} for good; take one of them out"
                raise written.table.refuse(what, "not", own[slots])
            if slots in nots:
                hider = f"{nots[slots]!r} in 'not' of the tool's {entry.file}"
                raise written.table.refuse(f"{phrase!r} is hidden for good by {hider}", name, item)


def _check_references(entries: Iterable[_Written], lexicon: Lexicon) -> None:
    known = {"covers": lexicon.features, "features": lexicon.features, "materials": lexicon.materials}
    for written in entries:
        for name, allowed in known.items():
            for item, key in enumerate(written.entry[name] or ()):
                if key not in allowed:
                    what = f"no {key!r}; allowed are {', '.join(allowed)}"
                    raise written.table.refuse(what, name, item)


def _identity(entry: Entry) -> tuple[object, ...]:
    """What makes two entries the same one, so that a user's file can add to the tool's.

    What has a key is known by it, whatever file it is in; cues by their file and what they mean.
    """
    names = ("key", "effect", "kind", "reach", "percent", "read_as", "between_numbers", "over")
    if entry.section in ("feature", "material", "caution"):
        return (entry.section, entry["key"])
    hours = tuple(entry["hours"] or ())
    return (entry.section, entry.file, hours, *(entry[name] for name in names))


def _merge(under: Entry, over: Entry) -> Entry:
    """The tool's entry with the phrases of the user's added and the user's other values winning."""
    values = {**under.values, **{k: v for k, v in over.values.items() if k not in PHRASE_LISTS}}
    for name in PHRASE_LISTS[1:]:
        both = tuple(dict.fromkeys((*under.values.get(name, ()), *over.values.get(name, ()))))
        if both:
            values[name] = both
    return Entry(under.file, under.section, tuple(dict.fromkeys((*under.say, *over.say))), values)


def _index(entries: Iterable[Entry], reader: PatternReader) -> PatternIndex[tuple[Entry, str, str]]:
    return PatternIndex(
        (reader.read(phrase), (entry, phrase, name))
        for entry in entries
        if entry.section not in APART
        for name, phrases in entry.lists()
        for phrase in phrases
    )


def _folders(folder: Path | None) -> tuple[Path, ...]:
    if folder is None:
        return (lexicon_folder(),)
    if not folder.is_dir():
        raise UnusableLexicon(f"{folder} is no folder: give --lexicon a folder of TOML files.")
    return (lexicon_folder(), folder)


def _read_all(folders: Iterable[Path]) -> tuple[list[_Written], dict[str, list[str]]]:
    """The entries of every file of some folders, and their named sets."""
    entries: list[_Written] = []
    sets: dict[str, list[str]] = {}
    for path in (path for place in folders for path in sorted(place.glob("*.toml")) if not path.is_dir()):
        written, named = _read(path)
        entries += written
        sets |= named
    return entries, sets


def load_names(folder: Path | None = None) -> Names:
    """What things are called, without the phrases made ready to be found, which takes seconds.

    Raises `UnusableLexicon` as `load_lexicon` does, though not for what is wrong with a phrase.
    """
    placed: dict[tuple[object, ...], Entry] = {}
    for one in _read_all(_folders(folder))[0]:
        identity = _identity(one.entry)
        under = placed.get(identity)
        placed[identity] = one.entry if under is None else _merge(under, one.entry)
    return Names(tuple(placed.values()))


def load_lexicon(folder: Path | None = None) -> Lexicon:
    """The tool's lexicon with the user's `folder` over it.

    Raises `UnusableLexicon`, naming file and line, for an unknown key or section, a value that is
    not allowed, an empty list, a pattern that cannot be read, a phrase that stands for two features
    or two materials, or a phrase that a `not` hides for good.
    """
    folders = _folders(folder)
    entries, sets = _read_all(folders)
    reader = PatternReader(fold=fold_phrase, sets=sets)
    for one in entries:
        _check_patterns(one, reader)
    _check_said_once(entries, reader)
    placed: dict[tuple[object, ...], Entry] = {}
    for one in entries:
        identity = _identity(one.entry)
        under = placed.get(identity)
        _check_heard(one, under, reader)
        placed[identity] = one.entry if under is None else _merge(under, one.entry)
    lexicon = Lexicon(tuple(placed.values()), sets, folders, reader, _index(placed.values(), reader))
    _check_references(entries, lexicon)
    return lexicon
