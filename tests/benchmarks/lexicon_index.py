"""What the lexicon's index by sound costs the first time, and what when it is kept on disk.

    python tests/benchmarks/lexicon_index.py

Each is a process of its own; what is kept lies in a folder of the test's own. Timed, in processor seconds, is
the index alone: the lexicon and the counts of words are there before. Exits 1 where the second is not faster.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile

SCRIPT = """
import time
from narrate2log.wording.decide import index_of, talk
from narrate2log.wording.lexicon import load_lexicon
lexicon = load_lexicon()
talk()
begin = time.process_time()
index_of(lexicon)
print(time.process_time() - begin)
"""


def seconds(home: str) -> float:
    """The processor seconds of the index in a new process."""
    run = subprocess.run(
        [sys.executable, "-c", SCRIPT],
        env=os.environ | {"NARRATE2LOG_HOME": home},
        capture_output=True,
        text=True,
        check=True,
    )
    return float(run.stdout)


def main() -> None:
    """Time both, the second thrice."""
    with tempfile.TemporaryDirectory() as home:
        first, *more = (seconds(home) for _ in range(4))
    print(f"index made: {first:.3f} s; from disk: {', '.join(f'{one:.3f}' for one in more)} s")
    sys.exit(min(more) >= first)


if __name__ == "__main__":
    main()
