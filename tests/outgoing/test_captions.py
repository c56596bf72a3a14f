"""Captions and chapters, read by webvtt-py and srt: WebVTT (W3C) and SubRip."""

from __future__ import annotations

from datetime import timedelta
from io import StringIO
from itertools import pairwise
from pathlib import Path

import srt
import webvtt
from hypothesis import given, settings
from hypothesis import strategies as st
from outgoing.folders import made, row, run


def captions(folder: Path, name: str = "captions.vtt") -> list[tuple[str, str, str]]:
    return [
        (c.start, c.end, c.text) for c in webvtt.from_buffer(StringIO((folder / name).read_text("utf-8")))
    ]


ROWS = (
    row("roots", severity="moderate", time=60.0, sightings=[60.0, 200.0]),
    row("crack", at=45.0, standing="possible", time=62.0),
    row("hole", at=None, standing="not-seen", time=62.4),
    row("break", at=None, standing="reported", time=120.0),
    row("material", at=12.0, kind="pipe", material="pvc", time=30.0),
)


def test_each_telling_has_place_and_name(tmp_path: Path) -> None:
    made(run(tmp_path, *ROWS), "vtt")
    assert captions(tmp_path) == [
        ("00:00:30.000", "00:00:34.000", "12.0 ft: Material: PVC"),
        ("00:01:00.000", "00:01:02.000", "41.0 ft: Roots, moderate"),
        ("00:01:02.000", "00:01:06.000", "45.0 ft: Possible crack\nNo hole seen"),
        ("00:02:00.000", "00:02:04.000", "Break, told by others"),
        ("00:03:20.000", "00:03:24.000", "41.0 ft: Roots, moderate"),
    ]


def test_subrip_says_the_same(tmp_path: Path) -> None:
    made(run(tmp_path, *ROWS), "vtt", "srt")
    said = list(srt.parse((tmp_path / "captions.srt").read_text(encoding="utf-8"), ignore_errors=False))
    assert [cue.content for cue in said] == [text for _, _, text in captions(tmp_path)]
    assert said[0].start == timedelta(seconds=30)
    assert [cue.index for cue in said] == [1, 2, 3, 4, 5]


def test_chapters_run_from_one_to_the_next(tmp_path: Path) -> None:
    made(run(tmp_path, *ROWS), "chapters")
    assert captions(tmp_path, "chapters.vtt") == [
        ("00:00:30.000", "00:01:00.000", "12.0 ft: Material: PVC"),
        ("00:01:00.000", "00:01:02.000", "41.0 ft: Roots, moderate"),
        ("00:01:02.000", "00:05:00.000", "45.0 ft: Possible crack"),
    ]


def test_each_clip_has_its_own_in_its_own_time(tmp_path: Path) -> None:
    clips = [
        {"file": f"{n}.mp4", "sha256": f"{n}" * 64, "duration": 100.0, "offset": 100.0 * n} for n in range(2)
    ]
    made(run(tmp_path, row(time=60.0), row("crack", at=50.0, time=130.0), sources=clips), "vtt", "chapters")
    assert [text for *_, text in captions(tmp_path, "captions-1.vtt")] == ["41.0 ft: Roots"]
    assert captions(tmp_path, "captions-2.vtt") == [("00:00:30.000", "00:00:34.000", "50.0 ft: Crack")]
    assert captions(tmp_path, "chapters-2.vtt")[0][1] == "00:01:40.000"


def test_no_words_as_heard(tmp_path: Path) -> None:
    made(run(tmp_path, *ROWS), "vtt", "srt", "chapters", words=True)
    for path in (*tmp_path.glob("captions*"), *tmp_path.glob("chapters*")):
        assert "Zounds" not in path.read_text(encoding="utf-8")


@settings(max_examples=25, deadline=None)
@given(st.lists(st.floats(0, 299, allow_nan=False), max_size=12))
def test_captions_follow_one_another_and_all_are_read(tmp_path_factory: object, times: list[float]) -> None:
    folder = tmp_path_factory.mktemp("run")  # type: ignore[attr-defined]
    made(
        run(folder, *(row("roots", at=float(n), time=round(t, 3)) for n, t in enumerate(times))), "vtt", "srt"
    )
    cues = list(srt.parse((folder / "captions.srt").read_text(encoding="utf-8"), ignore_errors=False))
    assert sum(len(cue.content.splitlines()) for cue in cues) == len(times)
    assert all(a.end <= b.start for a, b in pairwise(cues))
    assert all(cue.start < cue.end for cue in cues)
    assert len(captions(folder)) == len(cues)
