"""Several sources in, one transcript out: the clips of a run in order, times running on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from narrate2log.hearing.media import check_recording, decode, file_to_sha256, samples_to_ms
from narrate2log.hearing.models import SpeechModel, find_model
from narrate2log.hearing.timed_text import READERS, read_timed_text
from narrate2log.records import Source, Transcript, Word
from narrate2log.units import Milliseconds


def hear(
    paths: Sequence[Path],
    *,
    model: str | None = None,
    prompt: str | None = None,
    progress: Callable[[float], None] | None = None,
) -> Transcript:
    """All that is said in the clips of one run. A clip is a recording or a timed text.

    model: the name or folder of a speech model, the best one here if None; looked for only if
    there is a recording. prompt: words to expect. progress: called with the part done, 0 to 1.
    Raises UnusableSource, UnusableModel: before any hearing, if it can be told by then.
    """
    # A clip that is missing must not be noticed only after the others were heard for minutes.
    texts = {path: read_timed_text(path) for path in paths if is_timed_text(path)}
    recordings = [path for path in paths if path not in texts]
    for path in recordings:
        check_recording(path)
    speech_model = find_model(model) if recordings else None

    words: list[Word] = []
    noises: list[Word] = []
    sources: list[Source] = []
    offset: Milliseconds = 0
    for index, path in enumerate(paths):
        if speech_model is None or path in texts:
            heard = texts[path]
            duration = max((word.end_ms for word in heard), default=0)
        else:
            report = _part_of_run(paths, index, progress)
            noise: list[Word] = []
            heard, duration = _hear_recording(
                path, speech_model, prompt=prompt, progress=report, left_out=noise.append
            )
            noises.extend(_run_on(noise, offset, first_phrase=0))
        words.extend(_run_on(heard, offset, first_phrase=words[-1].phrase + 1 if words else 0))
        sources.append(Source(path.name, file_to_sha256(path), duration, offset))
        offset += duration
    name = speech_model.name if speech_model else None
    return Transcript(tuple(words), tuple(sources), name, tuple(noises))


def is_timed_text(path: Path) -> bool:
    """Whether a source is text with times rather than a recording, by its name."""
    return path.suffix.lower() in READERS


def _hear_recording(
    path: Path,
    model: SpeechModel,
    *,
    prompt: str | None,
    progress: Callable[[float], None] | None,
    left_out: Callable[[Word], None],
) -> tuple[tuple[Word, ...], Milliseconds]:
    """The words of one recording, and how long it is."""
    from narrate2log.hearing.recogniser import transcribe

    samples = decode(path)
    words = transcribe(samples, model, prompt=prompt, progress=progress, left_out=left_out)
    return words, samples_to_ms(len(samples))


def _run_on(words: Sequence[Word], offset: Milliseconds, *, first_phrase: int) -> list[Word]:
    """The words of a clip at their times in the run."""
    return [
        replace(
            word,
            start_ms=word.start_ms + offset,
            end_ms=word.end_ms + offset,
            phrase=word.phrase + first_phrase,
        )
        for word in words
    ]


def _part_of_run(
    paths: Sequence[Path], index: int, progress: Callable[[float], None] | None
) -> Callable[[float], None] | None:
    """The progress of one clip as that of the run. How long a clip is shows only once it is decoded, so
    their sizes on disk stand for it.
    """
    if progress is None:
        return None
    sizes = [path.stat().st_size for path in paths]
    before, own, total = sum(sizes[:index]), sizes[index], sum(sizes)
    return lambda part: progress((before + own * part) / total)
