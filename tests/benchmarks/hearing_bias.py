"""How trade words should be put to the recogniser: accuracy, cost and harm of each way, in one table.

    python tests/benchmarks/hearing_bias.py CASE... [--model NAME] [--words "cast iron, roots, ..."]

A CASE is a folder with narration.ogg and, in narration.vtt, what was really said. The ways:

    plain         faster-whisper's own loop, nothing put to it
    hotwords      the same with the words as `hotwords`, which it puts before every window
    first prompt  the same with the words as `initial_prompt`, which it puts before the first window only
    batches       faster-whisper's own batches with the words as `initial_prompt`, before every window
    deaf          narrate2log's `transcribe` without a prompt
    narrate2log   narrate2log's `transcribe` with the words as its prompt

Printed for each: word error rate; processor seconds, and the same as a multiple of `batches`, which hears
with the same settings as narrate2log; how many of the times that one of the words was said it was heard; how
often one was heard that was not said.
"""

from __future__ import annotations

import argparse
import re
import time
from collections import Counter
from pathlib import Path

import jiwer
from faster_whisper import BatchedInferencePipeline
from num2words import num2words

from narrate2log.hearing.media import decode
from narrate2log.hearing.models import find_model
from narrate2log.hearing.recogniser import BATCH_SIZE, BEAM_SIZE, _load, transcribe
from narrate2log.hearing.timed_text import read_timed_text

WORDS = (
    "cleanout, cast iron, clay, PVC, ABS, concrete, offset, belly, holding water, roots, root ball, crack, "
    "fracture, wye, tee, saddle, tap, city main, lateral, joint, coupling, scale, grease, debris, "
    "infiltration, house trap, sweep, property line, footage, feet, o'clock, degrees, percent"
)


def to_bare_words(text):
    """'At 12.5%, um, CLEAN-OUT' -> 'at twelve point five percent cleanout'."""
    text = text.lower().replace("’", "'").replace("%", " percent ")
    text = re.sub(r"(?<=\d),(?=\d{3})", "", text)
    text = re.sub(r"\d+(\.\d+)?", lambda number: f" {num2words(number.group())} ", text)
    words = re.sub(r"[^a-z']+", " ", text).replace("clean out", "cleanout").split()
    return " ".join(word for word in words if word not in {"uh", "um", "and"})


def hear_in_loop(samples, model, **options):
    segments, _ = _load(model.folder).transcribe(
        samples,
        language="en",
        beam_size=BEAM_SIZE,
        vad_filter=True,
        word_timestamps=True,
        condition_on_previous_text=False,
        **options,
    )
    return "".join(segment.text for segment in segments)


def hear_in_batches(samples, model, prompt):
    segments, _ = BatchedInferencePipeline(_load(model.folder)).transcribe(
        samples,
        language="en",
        beam_size=BEAM_SIZE,
        batch_size=BATCH_SIZE,
        word_timestamps=True,
        initial_prompt=prompt,
    )
    return "".join(segment.text for segment in segments)


def hear_here(samples, model, prompt):
    return " ".join(word.text for word in transcribe(samples, model, prompt=prompt, progress=None))


WAYS = {
    "plain": lambda samples, model, prompt: hear_in_loop(samples, model),
    "hotwords": lambda samples, model, prompt: hear_in_loop(samples, model, hotwords=prompt),
    "first prompt": lambda samples, model, prompt: hear_in_loop(samples, model, initial_prompt=prompt),
    "batches": hear_in_batches,
    "deaf": lambda samples, model, prompt: hear_here(samples, model, None),
    "narrate2log": hear_here,
}


def main():
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("cases", nargs="+", type=Path, metavar="CASE")
    parser.add_argument("--model", help="a speech model's name or folder")
    parser.add_argument("--words", default=WORDS, help="what to put to the recogniser")
    parser.add_argument("--ways", nargs="+", choices=WAYS, default=list(WAYS))
    options = parser.parse_args()

    model = find_model(options.model)
    prompt = f"Sewer camera inspection: {options.words}."
    terms = set(to_bare_words(options.words).split())
    recordings = [decode(case / "narration.ogg") for case in options.cases]
    said = [
        to_bare_words(" ".join(word.text for word in read_timed_text(case / "narration.vtt")))
        for case in options.cases
    ]
    counts = [Counter(word for word in text.split() if word in terms) for text in said]

    # Loading the model belongs to none of the ways.
    _load(model.folder)
    print(f"{model.name}, {sum(map(len, recordings)) / 16_000 / 60:.0f} min in {len(recordings)} recordings")
    print(f"{'':14}{'WER':>7}{'cpu s':>8}{'ratio':>7}{'terms heard':>16}{'invented':>10}")
    rows = {}
    for way in options.ways:
        begin = time.process_time()
        heard = [to_bare_words(WAYS[way](samples, model, prompt)) for samples in recordings]
        seconds = time.process_time() - begin
        found = [Counter(word for word in text.split() if word in terms) for text in heard]
        rows[way] = (
            jiwer.wer(said, heard),
            seconds,
            sum((a & b).total() for a, b in zip(counts, found, strict=True)),
            sum((b - a).total() for a, b in zip(counts, found, strict=True)),
        )
    base = rows.get("batches", (0, float("nan")))[1]
    total = sum(count.total() for count in counts)
    for way, (rate, seconds, right, invented) in rows.items():
        heard_of = f"{right} of {total}"
        print(f"{way:14}{rate:7.3f}{seconds:8.0f}{seconds / base:7.2f}{heard_of:>16}{invented:>10}")


if __name__ == "__main__":
    main()
