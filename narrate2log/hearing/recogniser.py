"""The recogniser: beside the detector the only place that knows faster-whisper. Imported only when called."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np

from narrate2log.errors import UnusableModel
from narrate2log.hearing.detector import find_speech
from narrate2log.hearing.media import SAMPLE_RATE, Samples, samples_to_ms
from narrate2log.hearing.phrasing import number_phrases
from narrate2log.hearing.snapping import snap_to_speech
from narrate2log.hearing.windows import Stretch, pack, widen
from narrate2log.records import Word
from narrate2log.units import seconds_to_ms

if TYPE_CHECKING:
    from narrate2log.hearing.models import SpeechModel

# Narrowed to 2 it is a fifth cheaper, but in noisy narrations mishears 2 more words in a hundred.
BEAM_SIZE = 5
# Windows heard together. On two cores 8 would be 3 % cheaper, take 230 MB more and tell progress later.
BATCH_SIZE = 4

# Whisper's own limits for "this is no speech". Noise taken for speech gave at least 0.75 and at most -1.6,
# narration at most 0.28 and at least -0.5.
NO_SPEECH_PROBABILITY = 0.6
LEAST_LOG_PROBABILITY = -1.0
# What the model is known to write into noise, having learned from subtitles (from memory). Where a segment
# says nothing else, one of its two limits is enough.
STOCK = frozenset(
    (
        "|you|thank you|thank you very much|thanks|thanks for watching|thank you for watching|"
        "please subscribe|see you next time|bye|bye bye|music|applause|laughter|silence"
    ).split("|")
)
# Whisper's own limit for "this goes round in circles". People do repeat themselves, so it is a loop only
# if many of its words lie on no sound: 2 in 5 of a loop, 1 in 17 of a refrain that was really read.
LARGEST_COMPRESSION = 2.4
SHORTEST_WORD_MS = 30
LOOPING_SHARE = 0.2


class HeardWord(Protocol):
    """What is used of a word of faster-whisper: a new word has a space before it; times in seconds."""

    word: str
    start: float
    end: float
    probability: float


class HeardSegment(Protocol):
    """What is used of a segment of faster-whisper."""

    words: Sequence[HeardWord] | None
    no_speech_prob: float
    avg_logprob: float
    compression_ratio: float


def transcribe(
    samples: Samples,
    model: SpeechModel,
    *,
    prompt: str | None,
    progress: Callable[[float], None] | None,
    left_out: Callable[[Word], None] | None = None,
) -> tuple[Word, ...]:
    """The words said in a recording, in order, at the times of the speech around them.

    samples: float32, shape (n,), mono, 16 kHz. prompt: words to expect, before every window, of
    which the model reads the last 223 tokens. progress: called with the part done, 0 to 1.
    Raises UnusableModel: the model's files cannot be loaded.
    """
    speech = find_speech(samples)
    words: list[Word] = []
    if speech:
        for segment in hear_stretches(samples, widen(speech, len(samples)), model, prompt=prompt):
            words.extend(words_said(segment, left_out))
            if progress:
                progress(min(1.0, segment.end * SAMPLE_RATE / len(samples)))
    if progress:
        progress(1.0)
    spans = [(samples_to_ms(begin), samples_to_ms(finish)) for begin, finish in speech]
    return number_phrases(snap_to_speech(words, spans))


def words_said(segment: HeardSegment, left_out: Callable[[Word], None] | None) -> tuple[Word, ...]:
    """The words of a segment, none if it is noise: `left_out` is told of that."""
    if not is_noise(segment):
        return segment_to_words(segment)
    if left_out and (phrase := _as_one_word(segment)):
        left_out(phrase)
    return ()


def is_noise(segment: HeardSegment) -> bool:
    """Whether the model itself holds a segment for no speech: by both its limits, or by one where it says
    only what is often written into noise.
    """
    doubts = (segment.no_speech_prob > NO_SPEECH_PROBABILITY) + (segment.avg_logprob < LEAST_LOG_PROBABILITY)
    if not doubts:
        return False
    said = "".join(heard.word for heard in segment.words or ())
    return doubts == 2 or " ".join(re.findall("[a-z]+", said.lower())) in STOCK


def _as_one_word(segment: HeardSegment) -> Word | None:
    heard = segment.words or ()
    said = "".join(word.word for word in heard).strip()
    if not any(character.isalnum() for character in said):
        return None
    least = min(word.probability for word in heard)
    return Word(said, seconds_to_ms(heard[0].start), seconds_to_ms(heard[-1].end), least)


def segment_to_words(segment: HeardSegment) -> tuple[Word, ...]:
    """The words of one segment.

    What has no space before it belongs to the word before: "two", "-way" is one word, "95", "%" too.
    """
    words: list[Word] = []
    for heard in segment.words or ():
        start, end = seconds_to_ms(heard.start), seconds_to_ms(heard.end)
        if words and not heard.word.startswith(" "):
            before = words.pop()
            probability = min(before.probability or 0.0, heard.probability)
            words.append(Word(before.text + heard.word.strip(), before.start_ms, end, probability))
        elif heard.word.strip():
            words.append(Word(heard.word.strip(), start, end, heard.probability))
    return _without_loop(words) if segment.compression_ratio > LARGEST_COMPRESSION else tuple(words)


def _without_loop(words: list[Word]) -> tuple[Word, ...]:
    """The words that lie on some sound, if too many do not; else all."""
    sounding = [word for word in words if word.end_ms - word.start_ms >= SHORTEST_WORD_MS]
    return tuple(words if len(words) - len(sounding) < LOOPING_SHARE * len(words) else sounding)


def finish_prompt(prompt: str | None) -> str | None:
    """The prompt as whole sentences. After an open one the model takes the first words for said."""
    if prompt is None or not prompt.strip():
        return None
    prompt = prompt.strip().rstrip(",;:")
    return prompt if prompt.endswith((".", "?", "!")) else f"{prompt}."


def cached_folder(name: str) -> Path | None:
    """The folder of a model in faster-whisper's cache, or None. The network is never asked."""
    from faster_whisper import download_model
    from huggingface_hub.errors import HFValidationError, LocalEntryNotFoundError

    try:
        return Path(download_model(name, local_files_only=True))
    except (ValueError, LocalEntryNotFoundError, HFValidationError):
        return None


def hear_stretches(
    samples: Samples,
    stretches: Sequence[Stretch],
    model: SpeechModel,
    *,
    prompt: str | None,
    beam_size: int = BEAM_SIZE,
) -> Iterable[Any]:
    """faster-whisper's segments for the stretches to be heard, at their times in the recording.

    Only its batches put the prompt before every window, and they never sample, so that the same
    sound always gives the same words.
    """
    from faster_whisper import BatchedInferencePipeline
    from faster_whisper.transcribe import restore_speech_timestamps

    segments, _ = BatchedInferencePipeline(_load(model.folder)).transcribe(
        np.concatenate([samples[begin:finish] for begin, finish in stretches]),
        language="en",
        clip_timestamps=[
            {"start": begin / SAMPLE_RATE, "end": end / SAMPLE_RATE} for begin, end in pack(stretches)
        ],
        beam_size=beam_size,
        batch_size=BATCH_SIZE,
        word_timestamps=True,
        initial_prompt=finish_prompt(prompt),
    )
    chunks = [{"start": begin, "end": finish} for begin, finish in stretches]
    return restore_speech_timestamps(segments, chunks, SAMPLE_RATE)  # type: ignore[no-any-return]


@lru_cache(maxsize=1)
def _load(folder: Path) -> Any:
    """The model in a folder, kept for the next clip."""
    from faster_whisper import WhisperModel

    try:
        return WhisperModel(str(folder), device="cpu", compute_type="int8", local_files_only=True)
    except (RuntimeError, ValueError, OSError) as error:
        raise UnusableModel(
            f"{folder}: this speech model cannot be loaded ({str(error).splitlines()[0]}); get it again."
        ) from error
