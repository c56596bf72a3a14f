"""Pictures of the findings: the sharpest of the second around, kept, and said where there is none."""

from __future__ import annotations

import json
from pathlib import Path

import av
import numpy as np
import pytest
from outgoing.clips import blurred, chequers, sound, video
from outgoing.folders import made, report_of, row, run

from narrate2log.outgoing.stills import MOST_BYTES, Wanted, find_stills, open_videos, sharpness, smaller

SHARP = 44


@pytest.fixture(scope="module")
def clip(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Thirty seconds out of focus but for frame 44."""
    soft = blurred(chequers())
    path = tmp_path_factory.mktemp("video") / "clip.mp4"
    return video(path, 30, lambda number: chequers() if number == SHARP else soft)


def found(clip: Path, folder: Path, *wanted: Wanted, offset_ms: int = 0) -> list[int]:
    videos, _ = open_videos([(clip, "ab" * 32, offset_ms)])
    return [still.time_ms for still in find_stills(wanted, videos, folder)[0]]


@pytest.mark.parametrize(
    ("wanted_ms", "frame_ms"), [(4_000, 4_400), (4_400, 4_400), (4_800, 4_400), (4_899, 4_400)]
)
def test_the_sharpest_frame_of_the_second_around(
    clip: Path, tmp_path: Path, wanted_ms: int, frame_ms: int
) -> None:
    assert found(clip, tmp_path, Wanted("a", wanted_ms, False)) == [frame_ms]


def test_a_sharp_frame_further_off_is_not_taken(clip: Path, tmp_path: Path) -> None:
    (frame_ms,) = found(clip, tmp_path, Wanted("a", 7_000, False))
    assert abs(frame_ms - 7_000) <= 500


def test_a_moment_that_a_person_chose_is_taken_as_it_is(clip: Path, tmp_path: Path) -> None:
    assert found(clip, tmp_path, Wanted("a", 4_700, True)) == [4_700]


def test_times_are_those_of_the_run(clip: Path, tmp_path: Path) -> None:
    assert found(clip, tmp_path, Wanted("a", 64_000, False), offset_ms=60_000) == [64_400]


def test_sharpness_falls_with_every_blur() -> None:
    pictures = [chequers(), blurred(chequers(), 1), blurred(chequers(), 3), blurred(chequers(), 9)]
    told = [sharpness(av.VideoFrame.from_ndarray(picture, format="rgb24")) for picture in pictures]
    assert told == sorted(told, reverse=True)
    assert told[-1] < told[0] / 10


def test_a_picture_once_found_is_kept(clip: Path, tmp_path: Path) -> None:
    folder = run(tmp_path / "run", row(time=4.0))
    first = report_of(folder, videos=[clip])
    (kept,) = (folder / "stills").iterdir()
    before = kept.stat()
    assert first.findings[0].pictures[0].path == kept
    assert first.findings[0].pictures[0].caption == "The picture at 0:04 of the recording."
    report_of(folder, videos=[clip])
    assert kept.stat().st_mtime_ns == before.st_mtime_ns
    kept.unlink()
    assert report_of(folder, videos=[clip]).findings[0].pictures[0].path.exists()


def test_a_finding_met_again_has_two_pictures_but_the_summing_up_none(clip: Path, tmp_path: Path) -> None:
    run(tmp_path, row(at=41.0, time=1.0, sightings=[1.0, 6.0, 27.0, 28.0, 29.4]))
    way = [(0.0, 41.0), (10.0, 50.0), (27.0, 43.0), (27.5, 41.5), (29.0, 3.0)]
    course = [{"time": time, "leg": 1, "distance": distance} for time, distance in way]
    (tmp_path / "track.json").write_text(json.dumps({"course": course}), encoding="utf-8")
    assert len(report_of(tmp_path, videos=[clip]).findings[0].pictures) == 2
    times = sorted(int(path.stem.split("_")[-2]) for path in (tmp_path / "stills").iterdir())
    assert times == [1_000, 28_000]


def test_without_a_track_only_the_first_telling_is_shown(clip: Path, tmp_path: Path) -> None:
    run(tmp_path, row(at=41.0, time=1.0, sightings=[1.0, 28.0]))
    assert len(report_of(tmp_path, videos=[clip]).findings[0].pictures) == 1


def test_a_video_shorter_than_the_log_is_said(clip: Path, tmp_path: Path) -> None:
    run(tmp_path, row(time=4.0), row("crack", at=50, time=200.0))
    report = report_of(tmp_path, videos=[clip])
    assert [len(finding.pictures) for finding in report.findings] == [1, 0]
    assert report.missing == (
        "The video has no picture for 1 finding at the time told; it ends at 0:30 of the run.",
    )


def test_no_video_is_said(tmp_path: Path) -> None:
    folder = run(tmp_path / "run", row())
    assert report_of(folder).missing == ("The recording was not at hand, so there are no pictures from it.",)
    wav = sound(tmp_path / "talk.wav")
    assert report_of(folder, videos=[wav]).missing == (
        "The recording has no video, so there are no pictures.",
    )
    gone = report_of(folder, videos=[tmp_path / "gone.mp4"])
    assert gone.missing == ("The video gone.mp4 is not there, so pictures from it are missing.",)


def test_a_broken_video_is_said_and_the_report_still_comes_out(tmp_path: Path) -> None:
    broken = tmp_path / "broken.mp4"
    broken.write_bytes(b"this is no video" * 100)
    outcome = made(run(tmp_path / "run", row()), "pdf", "html", videos=[broken])
    assert all(path.stat().st_size for path in outcome.files)
    assert "broken.mp4: its video cannot be read" in outcome.problems[0]


def test_a_kept_picture_fits(tmp_path: Path) -> None:
    noise = np.random.default_rng(1).integers(0, 255, (96, 128, 3), np.uint8)
    loud = video(tmp_path / "noise.mp4", 1, lambda number: noise)
    folder = run(tmp_path / "run", row(time=0.5))
    report_of(folder, videos=[loud])
    (kept,) = (folder / "stills").iterdir()
    picture = kept.read_bytes()
    assert 0 < len(picture) <= MOST_BYTES
    assert smaller(picture, len(picture)) == picture
    assert len(smaller(picture, len(picture) // 3)) < len(picture)


def test_a_redacted_report_shows_no_picture(clip: Path, tmp_path: Path) -> None:
    report = report_of(run(tmp_path, row(time=4.0)), videos=[clip], redacted=True)
    assert report.findings[0].pictures == ()
