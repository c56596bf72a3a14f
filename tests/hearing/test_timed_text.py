import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from narrate2log.errors import UnusableSource
from narrate2log.hearing.timed_text import (
    json_to_words,
    ms_to_timestamp,
    read_timed_text,
    spread_words,
    srt_to_words,
    transcript_to_vtt,
    vtt_to_words,
    words_to_json,
)
from narrate2log.records import Transcript, Word

VTT = """\
WEBVTT - a run
Kind: captions

NOTE The camera was new
and so was the cable.

STYLE
::cue { color: lime }

first cue
00:01.000 --> 00:02.000 align:start position:0%
<v The inspector>Roots &amp; <i>scale</i></v>

01:00:03.000 --> 01:00:05.000
at the
<00:00:04.000>joint
"""

SRT = """\
1
00:00:01,000 --> 00:00:02,000
{\\an8}Roots & <b>scale</b>

2
01:00:03,000 --> 01:00:05,000
at the
joint
"""

WORDS = (
    Word("Roots", 1000, 1454, None, 0),
    Word("&", 1454, 1545, None, 0),
    Word("scale", 1545, 2000, None, 0),
    Word("at", 3_603_000, 3_603_400, None, 1),
    Word("the", 3_603_400, 3_604_000, None, 1),
    Word("joint", 3_604_000, 3_605_000, None, 1),
)


def in_windows_form(text):
    return "\ufeff" + text.replace("\n", "\r\n")


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("run.vtt", VTT),
        ("run.VTT", in_windows_form(VTT)),
        ("run.srt", SRT),
        ("run.SRT", in_windows_form(SRT)),
        ("run.json", words_to_json(WORDS)),
        ("run.json", in_windows_form(words_to_json(WORDS))),
    ],
)
def test_every_form_gives_the_same_words(tmp_path, name, text):
    path = tmp_path / name
    path.write_bytes(text.encode())

    assert read_timed_text(path) == WORDS


@pytest.mark.parametrize("header", ["WEBVTT", "WEBVTT\n", "WEBVTT\t- title\n", "WEBVTT\nKind: captions\n"])
def test_a_header_is_not_spoken(header):
    words = vtt_to_words(f"{header}\n00:01.000 --> 00:02.000\nroots\n")

    assert [word.text for word in words] == ["roots"]


def test_cues_are_put_in_the_order_of_their_starts():
    words = srt_to_words(
        "1\n00:00:05,000 --> 00:00:06,000\nsecond\n\n2\n00:00:01,000 --> 00:00:02,000\nfirst\n"
    )

    assert [(word.text, word.phrase) for word in words] == [("first", 0), ("second", 1)]


def test_a_cue_that_says_nothing_is_no_phrase():
    words = vtt_to_words(
        "WEBVTT\n\n00:01.000 --> 00:02.000\n<i></i>\n\n00:03.000 --> 00:04.000\nroots\n",
    )

    assert words == (Word("roots", 3000, 4000, None, 0),)


def test_a_less_than_sign_is_no_tag():
    words = srt_to_words("1\n00:00:01,000 --> 00:00:02,000\n2 < 3 > 1\n")

    assert [word.text for word in words] == ["2", "<", "3", ">", "1"]


def test_words_share_the_time_of_a_phrase_by_their_characters():
    assert spread_words("a bcd", 1000, 2000, phrase=7) == (
        Word("a", 1000, 1250, None, 7),
        Word("bcd", 1250, 2000, None, 7),
    )


@pytest.mark.parametrize("text", ["WEBVTT", "WEBVTT\n\nNOTE nobody spoke\n"])
def test_a_text_without_cues_has_no_words(text):
    assert vtt_to_words(text) == ()


BROKEN = [
    ("run.vtt", b"", "is empty"),
    ("run.vtt", b"roots\n", "line 1 does not say WEBVTT"),
    ("run.vtt", b"WEBVTTX\n", "line 1 does not say WEBVTT"),
    ("run.vtt", b"WEBVTT\n\nroots at the joint\n", "line 3 begins a cue that has no timing"),
    ("run.vtt", b"WEBVTT\n\n\n00:01 --> 00:02\nroots\n", "line 4 is no timing"),
    ("run.vtt", b"WEBVTT\n\nname\n00:05.000 --> 00:02.000\nroots\n", "line 4 has a cue that ends before"),
    ("run.vtt", b"WEBVTT\n\n00:75.000 --> 00:80.000\nroots\n", "line 3 is no timing"),
    ("run.srt", b"1\n00:00:01,000 --> 00:00:02,000\nroots\n\n2\nbelly\n", "line 5 begins a cue"),
    (
        "run.srt",
        b"1\n00:00:01,000 --> 00:00:02,000\nroots\n2\n00:00:03,000 --> 00:00:04,000\nbelly\n",
        "line 5 begins a cue without an empty line before it",
    ),
    ("run.srt", b"\xff\xfe1\x000\x00", "line 1 is not UTF-8"),
    ("run.srt", b"1\n00:00:01,000 --> 00:00:02,000\nstra\xdfe\n", "line 3 is not UTF-8"),
    ("run.json", b'{"schema": "narrate2log/transcript/1",\n"words": [}\n', "line 2 is no JSON"),
    ("run.json", b'{"schema": "narrate2log/observations/1"}', 'line 1 does not begin a transcript with "sc'),
    ("run.json", b"[]", 'line 1 does not begin a transcript with "sc'),
    ("run.json", b'{"schema": "narrate2log/transcript/1"}', 'without a list of "words"'),
]


@pytest.mark.parametrize(("name", "content", "problem"), BROKEN)
def test_broken_text_is_refused_with_its_line(tmp_path, name, content, problem):
    path = tmp_path / name
    path.write_bytes(content)

    with pytest.raises(UnusableSource) as refusal:
        read_timed_text(path)

    assert str(refusal.value).startswith(f"{path}: ")
    assert problem in str(refusal.value)


@pytest.mark.parametrize(
    "change",
    [
        {"text": ""},
        {"text": "two words"},
        {"text": None},
        {"start": -1},
        {"start": "1"},
        {"end": 0.5},
        {"end": float("inf")},
        {"start": float("nan")},
        {"probability": 1.5},
        {"probability": "high"},
        {"phrase": None},
    ],
)
def test_a_broken_word_is_refused_by_its_number(tmp_path, change):
    good = {"text": "roots", "start": 1, "end": 2.5, "probability": None, "phrase": 0}
    path = tmp_path / "run.json"
    path.write_text(json.dumps({"schema": "narrate2log/transcript/1", "words": [good, good | change]}))

    with pytest.raises(UnusableSource, match="word 2 is not of the form"):
        read_timed_text(path)


@pytest.mark.parametrize(("ms", "timestamp"), [(0, "00:00:00.000"), (3_723_004, "01:02:03.004")])
def test_milliseconds_to_timestamp(ms, timestamp):
    assert ms_to_timestamp(ms) == timestamp


def test_a_transcript_is_written_one_cue_a_phrase():
    words = (
        Word("Roots", 1000, 1400, 0.9, 0),
        Word("&", 1400, 1500, 0.9, 0),
        Word("<scale>", 1500, 2000, 0.9, 0),
        Word("joint", 3_603_000, 3_603_000, 0.9, 1),
    )

    assert transcript_to_vtt(Transcript(words, ())) == (
        "WEBVTT\n"
        "\n"
        "00:00:01.000 --> 00:00:02.000\n"
        "Roots &amp; &lt;scale&gt;\n"
        "\n"
        "01:00:03.000 --> 01:00:03.001\n"
        "joint\n"
    )


def test_a_silent_transcript_is_an_empty_file_of_its_kind():
    assert vtt_to_words(transcript_to_vtt(Transcript((), ()))) == ()
    assert json_to_words(words_to_json(())) == ()


TEXT = st.text(st.characters(exclude_categories=("Z", "C")), min_size=1, max_size=12)


@st.composite
def words(draw):
    """Words in order, in phrases counted from 0."""
    now, phrase, made = 0, 0, []
    for text in draw(st.lists(TEXT, max_size=20)):
        start = now + draw(st.integers(0, 5000))
        now = start + draw(st.integers(0, 5000))
        made.append(Word(text, start, now, draw(st.none() | st.floats(0, 1)), phrase))
        phrase += draw(st.booleans())
    return tuple(made)


@given(words())
def test_own_json_brings_every_word_back(spoken):
    assert json_to_words(words_to_json(spoken)) == spoken


@given(words())
def test_webvtt_brings_every_phrase_back(spoken):
    back = vtt_to_words(transcript_to_vtt(Transcript(spoken, ())))

    assert [(word.text, word.phrase) for word in back] == [(word.text, word.phrase) for word in spoken]
    for phrase in {word.phrase for word in spoken}:
        said = [word for word in spoken if word.phrase == phrase]
        read = [word for word in back if word.phrase == phrase]
        assert read[0].start_ms == said[0].start_ms
        assert read[-1].end_ms == max(said[-1].end_ms, said[0].start_ms + 1)


@given(st.lists(TEXT, min_size=1, max_size=20), st.integers(0, 10**7), st.integers(0, 10**5))
def test_spread_words_fill_their_phrase_without_gaps(texts, start, length):
    spread = spread_words(" ".join(texts), start, start + length, phrase=0)

    assert [word.text for word in spread] == texts
    assert spread[0].start_ms == start
    assert spread[-1].end_ms == start + length
    assert [word.end_ms for word in spread[:-1]] == [word.start_ms for word in spread[1:]]
