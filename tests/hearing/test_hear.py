import hashlib

import pytest

from narrate2log.errors import UnusableModel, UnusableSource
from narrate2log.hearing import hear as hear_module
from narrate2log.hearing import recogniser
from narrate2log.hearing.hear import hear, is_timed_text
from narrate2log.hearing.models import SpeechModel
from narrate2log.records import Source, Transcript, Word

from .recordings import write_recording

FIRST = "WEBVTT\n\n00:01.000 --> 00:02.000\nroots\n\n00:03.000 --> 00:04.500\nbelly\n"
SECOND = "1\n00:00:00,500 --> 00:00:01,000\nclay\n"


def sha256(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


@pytest.fixture
def texts(tmp_path):
    paths = [tmp_path / "first.vtt", tmp_path / "second.srt"]
    for path, text in zip(paths, (FIRST, SECOND), strict=True):
        path.write_text(text)
    return paths


@pytest.fixture
def deaf(monkeypatch):
    """No model is looked for, and each recording gives one word; the prompts it was given."""
    prompts = []

    def transcribe(samples, model, *, prompt, progress, left_out):
        prompts.append(prompt)
        for part in (0.5, 1.0):
            if progress:
                progress(part)
        return (Word("scale", 250, 500, 0.75, 0),)

    monkeypatch.setattr(recogniser, "transcribe", transcribe)
    monkeypatch.setattr(hear_module, "find_model", lambda name: SpeechModel(name or "best", None))
    return prompts


def test_clips_run_on_from_each_other(texts):
    first, second = texts

    assert hear(texts) == Transcript(
        words=(
            Word("roots", 1000, 2000, None, 0),
            Word("belly", 3000, 4500, None, 1),
            Word("clay", 5000, 5500, None, 2),
        ),
        sources=(
            Source("first.vtt", sha256(first), 4500, 0),
            Source("second.srt", sha256(second), 1000, 4500),
        ),
        model=None,
    )


def test_recordings_and_texts_may_be_mixed(tmp_path, texts, deaf):
    recording = tmp_path / "middle.wav"
    write_recording(recording, seconds=2.0)

    transcript = hear([texts[0], recording, texts[1]], model="small.en", prompt="Roots.")

    assert [(word.text, word.start_ms, word.phrase) for word in transcript.words] == [
        ("roots", 1000, 0),
        ("belly", 3000, 1),
        ("scale", 4750, 2),
        ("clay", 7000, 3),
    ]
    assert [(source.duration_ms, source.offset_ms) for source in transcript.sources] == [
        (4500, 0),
        (2000, 4500),
        (1000, 6500),
    ]
    assert transcript.model == "small.en"
    assert deaf == ["Roots."]


def test_one_clip_given_twice_is_heard_twice(texts):
    transcript = hear([texts[1], texts[1]])

    assert [(word.text, word.start_ms, word.phrase) for word in transcript.words] == [
        ("clay", 500, 0),
        ("clay", 1500, 1),
    ]


def test_a_clip_in_which_nobody_speaks_takes_its_time_and_no_phrase(tmp_path, texts, monkeypatch, deaf):
    monkeypatch.setattr(recogniser, "transcribe", lambda *_, **__: ())
    silent = tmp_path / "silent.wav"
    write_recording(silent, seconds=3.0)

    transcript = hear([silent, texts[1]])

    assert transcript.words == (Word("clay", 3500, 4000, None, 0),)


def test_progress_is_that_of_the_whole_run(tmp_path, deaf):
    short, long = tmp_path / "short.wav", tmp_path / "long.wav"
    write_recording(short, seconds=1.0)
    write_recording(long, seconds=3.0)
    told = []

    hear([short, long], progress=told.append)

    assert told == pytest.approx([0.125, 0.25, 0.625, 1.0], abs=0.001)


def test_texts_need_no_model(texts, monkeypatch):
    def refuse(name):
        raise UnusableModel("no model here")

    monkeypatch.setattr(hear_module, "find_model", refuse)

    assert hear(texts).model is None


@pytest.mark.parametrize("bad", ["missing.wav", "missing.vtt", "prose.mp3", "broken.srt"])
def test_a_bad_last_clip_is_refused_before_the_first_is_heard(tmp_path, bad, deaf):
    good = tmp_path / "good.wav"
    write_recording(good, seconds=1.0)
    (tmp_path / "prose.mp3").write_text("roots " * 1000)
    (tmp_path / "broken.srt").write_text("roots")

    with pytest.raises(UnusableSource, match=bad):
        hear([good, tmp_path / bad])

    assert deaf == []


@pytest.mark.parametrize(
    ("name", "timed"), [("a.vtt", True), ("a.SRT", True), ("a.json", True), ("a.wav", False), ("vtt", False)]
)
def test_timed_text_is_known_by_its_name(tmp_path, name, timed):
    assert is_timed_text(tmp_path / name) is timed


def test_what_is_left_out_as_noise_keeps_its_time_in_the_run(tmp_path, monkeypatch):
    def transcribe(samples, model, *, left_out, **_):
        left_out(Word("Thank you.", 500, 900, 0.4))
        return ()

    monkeypatch.setattr(recogniser, "transcribe", transcribe)
    clips = [tmp_path / "1.wav", tmp_path / "2.wav"]
    for clip in clips:
        write_recording(clip, seconds=3.0)

    transcript = hear(clips)

    assert [(word.text, word.start_ms) for word in transcript.left_out] == [
        ("Thank you.", 500),
        ("Thank you.", 3500),
    ]
