"""A report of 60 rows with 40 kept pictures: how long each format takes, and how large it is.

    python tests/benchmarks/report.py

The PDF and the page should take 5 s on two cores together, and the page stay below 5 MB. The first line is
the search for the pictures in a video of 1280 x 720, which happens once.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

import av
import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from outgoing.folders import NOW, row, run

from narrate2log.outgoing import FORMATS
from narrate2log.outgoing.make import Asked, make_report

FEATURES = ("roots", "crack", "joint-offset", "belly", "hole", "grease")
SECONDS, RATE = 130, 10


def noisy_video(path: Path) -> None:
    """A picture that no coder finds easy."""
    rng = np.random.default_rng(3)
    still = rng.integers(40, 200, (720, 1280, 3), np.uint8)
    still = ((still.astype(np.uint16) + np.roll(still, 1, 0) + np.roll(still, 1, 1)) // 3).astype(np.uint8)
    with av.open(str(path), "w") as container:
        stream = container.add_stream("mpeg4", rate=RATE)
        stream.width, stream.height, stream.pix_fmt, stream.bit_rate = 1280, 720, "yuv420p", 6_000_000
        for number in range(SECONDS * RATE):
            picture = np.roll(still, number * 3, 1)
            container.mux(stream.encode(av.VideoFrame.from_ndarray(picture, format="rgb24")))
        container.mux(stream.encode(None))


def rows() -> list[dict[str, object]]:
    """40 findings and 20 landmarks, a finding every three seconds."""
    findings = [
        row(FEATURES[n % 6], at=2.0 + n, id=f"f{n}", time=2.0 + 3 * n, severity="moderate", amount_pct=20.0)
        for n in range(40)
    ]
    marks = [row("branch", at=3.0 + 2 * n, id=f"b{n}", kind="landmark", time=3.0 + 5 * n) for n in range(20)]
    return [*findings, *marks]


def timed(label: str, folder: Path, formats: tuple[str, ...], video: Path) -> None:
    start = time.perf_counter()
    made = make_report(folder, Asked(formats=formats, videos=(video,)), now=NOW)
    took = time.perf_counter() - start
    sizes = ", ".join(f"{path.name} {path.stat().st_size / 1e6:.2f} MB" for path in made.files)
    pictures = sum(len(finding.pictures) for finding in made.report.findings)
    print(f"{label:<28}{took:6.2f} s   {pictures} pictures   {sizes}")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        clip = Path(place) / "clip.mp4"
        noisy_video(clip)
        source = {"file": "clip.mp4", "sha256": "ab" * 32, "duration": float(SECONDS), "offset": 0.0}
        folder = run(Path(place) / "run", *rows(), reviewed=True, sources=[source])
        timed("pictures found, and json", folder, ("json",), clip)
        timed("pdf and html", folder, ("pdf", "html"), clip)
        for name in FORMATS:
            timed(name, folder, (name,), clip)
