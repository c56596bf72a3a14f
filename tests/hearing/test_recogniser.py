from types import SimpleNamespace

import numpy as np
import pytest

from narrate2log.errors import UnusableModel
from narrate2log.hearing import recogniser
from narrate2log.hearing.media import SAMPLE_RATE, decode
from narrate2log.hearing.models import SpeechModel, find_model
from narrate2log.hearing.recogniser import finish_prompt, is_noise, segment_to_words, transcribe
from narrate2log.records import Word

from .clip import spoken_clip
from .noises import everything, mains_hum, motor, noise, reel_ticks, running_water

S = SAMPLE_RATE


def segment(*words, no_speech_prob=0.05, avg_logprob=-0.3, compression_ratio=1.5, end=0.0):
    """A segment as faster-whisper gives it, its words as (text, start, end, probability)."""
    heard = [SimpleNamespace(word=w, start=s, end=e, probability=p) for w, s, e, p in words]
    return SimpleNamespace(
        words=heard,
        no_speech_prob=no_speech_prob,
        avg_logprob=avg_logprob,
        compression_ratio=compression_ratio,
        end=end,
    )


ROOTS = (" roots", 1.0, 1.25, 0.75)


def test_words_keep_their_times_and_probabilities():
    words = segment_to_words(segment(ROOTS, (" here.", 1.25, 1.5004, 0.5)))

    assert words == (Word("roots", 1000, 1250, 0.75), Word("here.", 1250, 1500, 0.5))


@pytest.mark.parametrize(
    ("pieces", "whole"),
    [
        ([(" two", 1.0, 1.2, 0.9), ("-way", 1.2, 1.5, 0.4)], Word("two-way", 1000, 1500, 0.4)),
        ([(" 95", 1.0, 1.2, 0.4), ("%", 1.2, 1.5, 0.9)], Word("95%", 1000, 1500, 0.4)),
        ([(" 0", 1.0, 1.2, 0.9), (".5", 1.2, 1.5, 0.8)], Word("0.5", 1000, 1500, 0.8)),
    ],
)
def test_what_has_no_space_before_it_is_one_word(pieces, whole):
    assert segment_to_words(segment(*pieces)) == (whole,)


def test_the_first_word_may_lack_its_space():
    assert segment_to_words(segment(("Roots", 1.0, 1.2, 0.9))) == (Word("Roots", 1000, 1200, 0.9),)


def test_a_word_of_nothing_is_none():
    assert segment_to_words(segment((" ", 1.0, 1.2, 0.9))) == ()


def test_a_segment_without_words_has_none():
    assert segment_to_words(SimpleNamespace(**vars(segment()) | {"words": None})) == ()


@pytest.mark.parametrize(
    ("figures", "kept"),
    [
        # Only both together mean that nobody spoke.
        ({"no_speech_prob": 0.9, "avg_logprob": -1.5}, False),
        ({"no_speech_prob": 0.9, "avg_logprob": -0.5}, True),
        ({"no_speech_prob": 0.1, "avg_logprob": -1.5}, True),
    ],
)
def test_a_segment_that_the_model_itself_doubts_is_dropped(figures, kept):
    assert is_noise(segment(ROOTS, **figures)) is not kept


@pytest.mark.parametrize(
    ("said", "figures", "noise"),
    [
        ("Thank you.", {"no_speech_prob": 0.9}, True),
        ("Thanks for watching!", {"avg_logprob": -1.5}, True),
        ("[Music]", {"no_speech_prob": 0.9}, True),
        # On sound that is speech by both figures it was said.
        ("Thank you.", {}, False),
        # More than the stock phrase was said.
        ("Thank you, roots at ten.", {"no_speech_prob": 0.9}, False),
    ],
)
def test_a_stock_phrase_is_dropped_only_where_the_sound_speaks_against_it(said, figures, noise):
    words = [(f" {word}", at, at + 0.5, 0.7) for at, word in enumerate(said.split())]
    assert is_noise(segment(*words, **figures)) is noise


@pytest.mark.parametrize(
    ("compression_ratio", "soundless", "kept"),
    [
        # One word over and over, most of it on no sound: a loop, of which the part with sound is kept.
        (2.5, 6, 4),
        # As repetitive, but nearly every word was said.
        (2.5, 1, 10),
        # Soundless words alone are only badly placed.
        (2.4, 6, 10),
    ],
)
def test_a_loop_is_cut_to_what_lies_on_sound(compression_ratio, soundless, kept):
    said = [(" roots", n, n + 0.5, 0.9) for n in range(10 - soundless)]
    looping = [(" roots", 10.0, 10.02, 0.9)] * soundless

    words = segment_to_words(segment(*said, *looping, compression_ratio=compression_ratio))

    assert len(words) == kept


@pytest.mark.parametrize(
    ("prompt", "finished"),
    [
        (None, None),
        (" ", None),
        ("Cast iron, roots", "Cast iron, roots."),
        ("Cast iron, roots, ", "Cast iron, roots."),
        ("Any roots?", "Any roots?"),
    ],
)
def test_a_prompt_is_made_whole_sentences(prompt, finished):
    assert finish_prompt(prompt) == finished


@pytest.fixture
def one_speech(monkeypatch):
    """Ten seconds of recording with speech from 4 s to 6 s, heard as two segments; what was asked for."""
    asked = {}
    segments = [segment((" Roots.", 1.0, 4.5, 0.9), end=4.5), segment((" Clay.", 5.0, 5.4, 0.8), end=5.4)]

    def hear(samples, heard, model, *, prompt):
        asked.update(heard=heard, prompt=prompt)
        return iter(segments)

    monkeypatch.setattr(recogniser, "find_speech", lambda samples: [(4 * S, 6 * S)])
    monkeypatch.setattr(recogniser, "hear_stretches", hear)
    return asked


MODEL = SpeechModel("any", None)


def test_words_are_snapped_to_speech_and_numbered_by_phrase(one_speech):
    words = transcribe(np.zeros(10 * S, np.float32), MODEL, prompt="roots", progress=None)

    assert words == (Word("Roots.", 4000, 4500, 0.9, 0), Word("Clay.", 5000, 5400, 0.8, 1))
    assert one_speech["prompt"] == "roots"
    # The recogniser hears a margin around the speech.
    assert one_speech["heard"] == [(4 * S - 6400, 6 * S + 6400)]


def test_what_is_left_out_is_told(monkeypatch):
    segments = [
        segment((" Thank", 1.0, 1.5, 0.4), (" you.", 1.5, 2.0, 0.6), no_speech_prob=0.9, end=2.0),
        segment((" Roots.", 4.0, 4.5, 0.9), end=4.5),
    ]
    monkeypatch.setattr(recogniser, "find_speech", lambda samples: [(0, 10 * S)])
    monkeypatch.setattr(recogniser, "hear_stretches", lambda *_, **__: iter(segments))
    told = []

    words = transcribe(np.zeros(10 * S, np.float32), MODEL, prompt=None, progress=None, left_out=told.append)

    assert [word.text for word in words] == ["Roots."]
    assert told == [Word("Thank you.", 1000, 2000, 0.4)]


def test_progress_goes_up_to_one(one_speech):
    told = []

    transcribe(np.zeros(10 * S, np.float32), MODEL, prompt=None, progress=told.append)

    assert told == pytest.approx([0.45, 0.54, 1.0])


@pytest.mark.parametrize("seconds", [0, 3])
def test_silence_needs_no_model(seconds):
    told = []

    words = transcribe(np.zeros(seconds * S, np.float32), MODEL, prompt=None, progress=told.append)

    assert words == ()
    assert told == [1.0]


def test_files_that_are_no_model_are_refused(tmp_path):
    for name in ("model.bin", "config.json", "tokenizer.json"):
        (tmp_path / name).write_text("{}")

    with pytest.raises(UnusableModel, match="this speech model cannot be loaded"):
        recogniser._load(tmp_path)


@pytest.mark.speech
@pytest.mark.parametrize("sound", [0.3 * noise(30).clip(-3, 3), motor(30)], ids=["hiss", "motor"])
def test_noise_that_the_detector_takes_for_speech_gives_no_words(sound):
    assert recogniser.find_speech(sound)

    assert transcribe(sound, find_model("tiny.en"), prompt="Cast iron, roots.", progress=None) == ()


@pytest.mark.speech
@pytest.mark.parametrize("sound", [running_water, reel_ticks, mains_hum, everything])
def test_minutes_without_a_word_give_none(sound):
    prompt = "Sewer camera inspection: roots, crack, offset, belly, cast iron, clay."
    told = []

    words = transcribe(sound(120), find_model("tiny.en"), prompt=prompt, progress=None, left_out=told.append)

    assert words == ()
    assert told == []


@pytest.mark.speech
def test_noise_is_no_speech_even_where_the_detector_is_deaf(monkeypatch):
    monkeypatch.setattr(recogniser, "find_speech", lambda samples: [(0, 20 * S)])

    words = transcribe(everything(20), find_model("tiny.en"), prompt="Cast iron, roots.", progress=None)

    assert words == ()


@pytest.mark.speech
def test_the_first_word_after_a_silence_is_placed_at_its_speech():
    clip = decode(spoken_clip())[: 8 * S]
    clip = clip[np.argmax(np.abs(clip) > 0.05) :]
    silence = 0.001 * noise(12)

    words = transcribe(
        np.concatenate([silence, clip, silence]), find_model("tiny.en"), prompt=None, progress=None
    )

    assert words[0].text == "It"
    assert words[0].start_ms == pytest.approx(12_000, abs=150)
    assert words[-1].end_ms < 12_000 + 8_000 + 150


@pytest.mark.speech
def test_the_prompt_stands_before_every_window(monkeypatch):
    model = recogniser._load(find_model("tiny.en").folder)
    prompts = []
    generate = model.model.generate

    class Spy:
        """The engine below, its prompts written down."""

        def __getattr__(self, name):
            return getattr(engine, name)

        def generate(self, features, given, **options):
            prompts.extend(model.hf_tokenizer.decode(tokens) for tokens in given)
            return generate(features, given, **options)

    engine = model.model
    monkeypatch.setattr(model, "model", Spy())
    monkeypatch.setattr(recogniser, "_load", lambda folder: model)

    transcribe(decode(spoken_clip())[: 40 * S], find_model("tiny.en"), prompt="Cast iron", progress=None)

    assert prompts == ["Cast iron."] * 2
