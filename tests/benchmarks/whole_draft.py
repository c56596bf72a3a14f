"""What a whole draft costs beside bare faster-whisper on the same sound, and the memory it takes.

    python tests/benchmarks/whole_draft.py [--minutes 30] [--rounds 2] [--model NAME|FOLDER]

The sound is samples/narration.ogg again and again until it is long enough. Both hear it with the same model
and the same settings, each in a process of its own, by turns: bare is faster-whisper's own batches with its
voice filter, from the file to the last word; whole is `narrate2log draft` from the file to the written
folder. Printed: seconds of each by the clock and of the processor, their ratios, the most memory each held.
Exits 1 where the ratio by the clock is over 1.10 or the draft held more than 1.2 GB. Other work on the
machine falls on one of the two: where the ratios differ, run it again with nothing else going on.
"""

from __future__ import annotations

import argparse
import json
import resource
import subprocess
import sys
import tempfile
import time
import wave
from dataclasses import asdict, dataclass
from pathlib import Path
from statistics import median

SAMPLE = Path(__file__).parents[2] / "samples" / "narration.ogg"
SAMPLE_RATE = 16_000
LARGEST_RATIO = 1.10
LARGEST_GB = 1.2


def lengthen(minutes: float, path: Path) -> None:
    """The sample again and again, as one wave file."""
    import numpy as np

    from narrate2log.hearing.media import decode

    samples = (decode(SAMPLE) * 32_767).astype(np.int16)
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(SAMPLE_RATE)
        file.writeframes(np.resize(samples, round(minutes * 60 * SAMPLE_RATE)).tobytes())


def bare(source: Path, model: str | None) -> None:
    """faster-whisper alone, with the settings of the recogniser."""
    from faster_whisper import BatchedInferencePipeline, WhisperModel

    from narrate2log.hearing.models import find_model
    from narrate2log.hearing.recogniser import BATCH_SIZE, BEAM_SIZE
    from narrate2log.wording.lexicon import load_lexicon

    whisper = WhisperModel(str(find_model(model).folder), device="cpu", compute_type="int8")
    segments, _ = BatchedInferencePipeline(whisper).transcribe(
        str(source),
        language="en",
        beam_size=BEAM_SIZE,
        batch_size=BATCH_SIZE,
        vad_filter=True,
        word_timestamps=True,
        initial_prompt=load_lexicon().prompt(),
    )
    print(sum(len(segment.words or ()) for segment in segments), "words")


def whole(source: Path, model: str | None) -> None:
    """The command as a user gives it."""
    from narrate2log.cli import app

    folder = source.with_suffix("")
    arguments = ["draft", str(source), "--out", str(folder), "--force"]
    app([*arguments, "--model", model] if model else arguments, standalone_mode=False)


WAYS = {"bare": bare, "whole": whole}


@dataclass(frozen=True)
class Cost:
    """What one way took: seconds by the clock and of the processor, gigabytes held at most."""

    clock_s: float
    processor_s: float
    held_gb: float


def cost_of_this_process(clock_s: float) -> Cost:
    """All that this process has used until now."""
    used = resource.getrusage(resource.RUSAGE_SELF)
    # Kilobytes on Linux, bytes on macOS.
    unit = 1 if sys.platform == "darwin" else 1024
    return Cost(clock_s, used.ru_utime + used.ru_stime, used.ru_maxrss * unit / 1e9)


def run(way: str, source: Path, model: str | None) -> Cost:
    """The cost of one way in a process of its own."""
    model_options = ["--model", model] if model else []
    *told, last = subprocess.run(
        [sys.executable, __file__, "--way", way, "--source", str(source), *model_options],
        check=True,
        stdout=subprocess.PIPE,
        text=True,
    ).stdout.splitlines()
    cost = Cost(**json.loads(last))
    print(
        f"{way:<6}{cost.clock_s:8.1f} s by the clock{cost.processor_s:8.1f} s of the processor"
        f"{cost.held_gb:6.2f} GB   {told[0]}",
        flush=True,
    )
    return cost


def main() -> None:
    """Both ways by turns, or, in a process of its own, one of them."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--minutes", type=float, default=30)
    asked.add_argument("--rounds", type=int, default=2)
    asked.add_argument("--model")
    asked.add_argument("--way", choices=WAYS, help=argparse.SUPPRESS)
    asked.add_argument("--source", type=Path, help=argparse.SUPPRESS)
    options = asked.parse_args()
    if options.way:
        begin = time.perf_counter()
        WAYS[options.way](options.source, options.model)
        print(json.dumps(asdict(cost_of_this_process(time.perf_counter() - begin))))
        return
    with tempfile.TemporaryDirectory() as name:
        source = Path(name) / "long.wav"
        lengthen(options.minutes, source)
        runs: dict[str, list[Cost]] = {way: [] for way in WAYS}
        for _ in range(options.rounds):
            for way in WAYS:
                runs[way].append(run(way, source, options.model))
    clock = {way: median(cost.clock_s for cost in runs[way]) for way in WAYS}
    processor = {way: median(cost.processor_s for cost in runs[way]) for way in WAYS}
    ratio, worked = clock["whole"] / clock["bare"], processor["whole"] / processor["bare"]
    held = max(cost.held_gb for cost in runs["whole"])
    print(
        f"whole / bare: {ratio:.3f} by the clock, {worked:.3f} of the processor;"
        f" most memory of a draft: {held:.2f} GB"
    )
    sys.exit(ratio > LARGEST_RATIO or held > LARGEST_GB)


if __name__ == "__main__":
    main()
