"""The terms of a lexicon with their sounds, worked out once and kept on disk for the next run.

They lie in `terms.json` in the folder that NARRATE2LOG_HOME names, or in `.cache/narrate2log` at home (or
where XDG_CACHE_HOME puts caches). One lexicon is kept, the last one used. The file may be thrown away at any
time; one that is damaged, of another lexicon or of another version of the tool is made anew without a word.
"""

from __future__ import annotations

import json
import os
from functools import cache
from hashlib import sha256
from pathlib import Path

from narrate2log.files import write_whole
from narrate2log.wording.lexicon import Lexicon
from narrate2log.wording.talk import talk
from narrate2log.wording.terms import Term, terms

FILE = "terms.json"


def cache_path() -> Path:
    """Where the terms are kept."""
    own, caches = os.environ.get("NARRATE2LOG_HOME"), os.environ.get("XDG_CACHE_HOME")
    if own:
        return Path(own) / FILE
    return (Path(caches) if caches else Path.home() / ".cache") / "narrate2log" / FILE


def cached_terms(lexicon: Lexicon) -> tuple[Term, ...]:
    """The terms of a lexicon by the counts that ship with the tool: from disk, or made and put there."""
    path, key = cache_path(), f"{_tool()}{lexicon.fingerprint}"
    kept = _read(path, key)
    if kept is None:
        kept = terms(lexicon, talk())
        _write(path, key, kept)
    return kept


@cache
def _tool() -> str:
    """What the terms are made by: the code and the data of this package."""
    folder, made_by = Path(__file__).parent, sha256()
    for path in sorted((*folder.glob("*.py"), *(folder / "data").iterdir())):
        made_by.update(path.name.encode())
        made_by.update(path.read_bytes())
    return made_by.hexdigest()


def _head(key: str, body: str) -> str:
    return f"{key} {sha256(body.encode()).hexdigest()}"


def _read(path: Path, key: str) -> tuple[Term, ...] | None:
    try:
        head, _, body = path.read_text(encoding="utf-8").partition("\n")
    except (OSError, UnicodeDecodeError):
        return None
    if head != _head(key, body):
        return None
    return tuple(Term.of(text, tuple(phones), met) for text, phones, met in json.loads(body))


def _write(path: Path, key: str, found: tuple[Term, ...]) -> None:
    """Write the file beside and put it in place whole. Where that is not allowed there is none."""
    body = json.dumps([(term.text, term.phones, term.met) for term in found], separators=(",", ":"))
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, f"{_head(key, body)}\n{body}".encode())
    except OSError:
        return
