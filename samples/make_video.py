"""Makes a video for the sample run: a picture of an invented pipe that moves as the camera of gold.json does.

    .venv/bin/python samples/make_video.py OUT.mp4

The wall is painted once, over its length and round its clock, with what script.toml tells of; every frame
looks it up along the rays of a camera in the middle of the bore. No picture of a real pipe is in it. It is
silent: the sound is narration.ogg. It needs the packages of narrate2log alone, and some minutes.
"""

from __future__ import annotations

import json
import sys
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np

HERE = Path(__file__).resolve().parent
WIDE, HIGH, RATE = 480, 360, 5
PER_FOOT, ROUND = 96, 720  # columns of the wall a foot, rows round the clock
REACH = 6.0  # how far the light goes, feet
FOCUS = 50.0  # pixels from the middle that are a foot ahead
AHEAD = 0.4  # what he speaks of lies that far before the lens, feet


def wall_of(length: float, rng: np.random.Generator) -> Any:
    """The wall as brightness and tint over (feet, clock): 1 is as bright as paper."""
    columns = round((length + REACH + 1) * PER_FOOT)
    feet = np.arange(columns)[:, None] / PER_FOOT
    hour = np.arange(ROUND)[None, :] * 12 / ROUND
    grain = rng.normal(0, 1, (columns // 6 + 2, ROUND // 6 + 2)).repeat(6, 0).repeat(6, 1)[:columns, :ROUND]
    fine = rng.normal(0, 1, (columns, ROUND))
    plastic = feet < 19.5
    shade = np.where(plastic, 0.22 + 0.012 * fine, 0.62 + 0.05 * grain + 0.05 * fine)
    tint = np.ones((columns, ROUND, 3)) * np.where(plastic[..., None], (0.95, 1.0, 1.05), (1.0, 0.96, 0.88))
    # joints: every ten feet in plastic, every three in concrete
    joint = np.where(plastic, np.abs((feet + 5) % 10 - 5), np.abs((feet - 19.5 + 1.5) % 3 - 1.5))
    shade = np.where(joint < 0.03, shade * 0.35, shade)
    # the lip at 19.5 feet, at the bottom
    from_bottom = np.abs(hour - 6)
    shade = np.where((np.abs(feet - 19.5) < 0.1) & (from_bottom < 1.8), 0.9, shade)
    # a thread of water along the bottom, and the sag from 29 to 36 feet
    shade = np.where(from_bottom < 0.35, shade * 0.75 + 0.1, shade)
    wet = (
        (feet > 29)
        & (feet < 36)
        & (from_bottom < 2.6 * np.sqrt(np.clip(np.minimum(feet - 29, 36 - feet), 0, 1)))
    )
    ripple = 0.34 + 0.05 * np.sin(feet * 19 + np.cos(hour * 3) * 2)
    shade, tint[wet] = np.where(wet, ripple, shade), (0.75, 0.9, 1.1)
    # the branch at 11 feet, at three o'clock
    hole = ((feet - 11) / 0.16) ** 2 + ((hour - 3) / 1.0) ** 2 < 1
    shade = np.where(hole, 0.03, shade)
    # the crack that may be one, at 45 feet, at three o'clock
    wander = 3 + 0.25 * np.sin(feet * 9) + 0.1 * np.sin(feet * 41)
    shade = np.where((np.abs(feet - 45.06) < 0.5) & (np.abs(hour - wander) < 0.05), shade * 0.45, shade)
    # the scratch at the top near 17 feet
    shade = np.where(
        (np.abs(feet - 17) < 0.6) & (np.abs(hour - 0.3 - (feet - 17) * 0.4) < 0.04), shade + 0.2, shade
    )
    # roots at 41 feet, from nine o'clock: strands that hang along the wall
    for _ in range(70):
        start, width = rng.uniform(7.6, 10.2), rng.uniform(0.015, 0.05)
        path = (
            start
            + 0.5 * rng.normal() * (feet - 41)
            + 0.12 * np.sin(feet * rng.uniform(8, 30) + rng.uniform(0, 6))
        )
        strand = (np.abs(feet - 41.05) < rng.uniform(0.1, 0.35)) & (np.abs(hour - path) < width)
        shade = np.where(strand, rng.uniform(0.2, 0.45), shade)
        tint[strand] = (1.1, 0.85, 0.6)
    # the main, where the pipe ends
    shade = np.where(feet > length, 0.02, shade)
    return (np.clip(shade, 0, 1)[..., None] * tint).astype(np.float32)


class Camera:
    """Rays from the middle of the bore: how many feet ahead each pixel is, where on the clock, how bright."""

    def __init__(self) -> None:
        y, x = np.mgrid[0:HIGH, 0:WIDE].astype(np.float32)
        self.x, self.y = x - WIDE / 2, y - HIGH / 2

    def look(self, wall: Any, feet: float, sway: tuple[float, float], rng: np.random.Generator) -> Any:
        """A frame from so many feet in, the head swaying a few pixels."""
        x, y = self.x - sway[0], self.y - sway[1]
        radius = np.maximum(np.hypot(x, y), 1.0)
        ahead = FOCUS / radius
        column = np.clip(((feet + ahead) * PER_FOOT).astype(np.int32), 0, len(wall) - 1)
        clock = ((np.arctan2(x, -y) / (2 * np.pi) % 1) * ROUND).astype(np.int32) % ROUND
        light = np.clip(1.25 * np.exp(-ahead / 1.4), 0, 1) * (ahead < REACH)
        picture = wall[column, clock] * light[..., None]
        picture += rng.normal(0, 0.012, (HIGH, WIDE, 1)).astype(np.float32)
        return (np.clip(picture, 0, 1) * 255).astype(np.uint8)


def make(out: Path) -> None:
    """The whole video."""
    gold = json.loads((HERE / "gold.json").read_text())
    times, feet, _ = zip(*gold["track"], strict=True)
    rng = np.random.default_rng(11)
    wall, camera = wall_of(57.5, rng), Camera()
    with av.open(str(out), "w") as container:
        stream = container.add_stream("mpeg4", rate=RATE)
        stream.width, stream.height, stream.pix_fmt = WIDE, HIGH, "yuv420p"
        stream.bit_rate = 900_000
        for number in range(round(gold["duration"] * RATE)):
            second = number / RATE
            here, before = (float(np.interp(second - late, times, feet)) - AHEAD for late in (0, 0.08))
            sway = (3 * np.sin(second * 1.3), 2 * np.sin(second * 0.9 + 1))
            if abs(here - before) > 0.01:  # moving, so the picture smears
                views = [camera.look(wall, before + (here - before) * part, sway, rng) for part in (0, 1)]
                picture = np.mean(views, axis=0).astype(np.uint8)
            else:
                picture = camera.look(wall, here, sway, rng)
            frame = av.VideoFrame.from_ndarray(picture, format="rgb24")
            frame.pts, frame.time_base = number, Fraction(1, RATE)
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    make(Path(sys.argv[1]))
