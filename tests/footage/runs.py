"""Runs told in seconds and feet, and the track made of them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from narrate2log.draft import draft
from narrate2log.footage.place import place
from narrate2log.footage.track import Track
from narrate2log.records import CounterReading, Direction, Draft, Motion, Narration, Placement, SpokenPlace
from narrate2log.units import MM_PER_FOOT, length_to_mm, mm_to_feet


def said(second: float, feet: float, relation: str = "here", up_to: float | None = None) -> SpokenPlace:
    high = feet if up_to is None else up_to
    return SpokenPlace(
        length_to_mm(feet, "ft"),
        length_to_mm(high, "ft"),
        relation,  # type: ignore[arg-type]
        round(second * 1000),
        0,
    )


def motions(*told: tuple[str, float]) -> tuple[Motion, ...]:
    return tuple(Motion(what, round(second * 1000), 0) for what, second in told)  # type: ignore[arg-type]


def log(*readings: tuple[float, float]) -> tuple[CounterReading, ...]:
    """A counter log of seconds and feet."""
    return tuple(CounterReading(round(s * 1000), round(feet * MM_PER_FOOT)) for s, feet in readings)


def telling(
    moves: Sequence[tuple[str, float]] = (),
    places: Sequence[SpokenPlace] = (),
    directions: Sequence[tuple[float, Direction]] = (),
    sentences: Sequence[tuple[float, float]] = (),
) -> Narration:
    return Narration(
        (),
        tuple(places),
        motions(*moves),
        (),
        tuple((round(a * 1000), round(b * 1000)) for a, b in sentences),
        tuple((round(second * 1000), way) for second, way in directions),
    )


def track_of(
    moves: Sequence[tuple[str, float]] = (),
    places: Sequence[SpokenPlace] = (),
    *,
    counter: Sequence[tuple[float, float]] = (),
    entries: Sequence[float] = (),
    homes: Sequence[float] = (),
    far: Sequence[tuple[float, float]] = (),
    last: float = 600,
    sentences: Sequence[tuple[float, float]] = (),
    directions: Sequence[tuple[float, Direction]] = (),
) -> Track:
    """The track of a run told in seconds and feet."""
    return place(
        telling(moves, places, directions, sentences),
        log(*counter),
        entries_ms=[round(s * 1000) for s in entries],
        homes_ms=[round(s * 1000) for s in homes],
        far_ends=[(round(s * 1000), length_to_mm(feet, "ft")) for s, feet in far],
        last_ms=round(last * 1000),
    )


def at(track: Track, second: float) -> Placement:
    return track.at(round(second * 1000))


def feet_at(track: Track, second: float) -> float | None:
    mm = at(track, second).distance_mm
    return None if mm is None else mm_to_feet(mm)


def drafted(folder: Path, *lines: str) -> Draft:
    """The draft of lines told twelve seconds apart."""
    cues = (
        f"00:{i // 5:02}:{12 * i % 60:02}.000 --> 00:{i // 5:02}:{12 * i % 60 + 3:02}.000\n{line}\n"
        for i, line in enumerate(lines)
    )
    path = folder / "run.vtt"
    path.write_text("WEBVTT\n\n" + "\n".join(cues), encoding="utf-8")
    return draft([path])
