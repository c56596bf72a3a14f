"""WebVTT and SubRip read beside two reference parsers of the package index.

webvtt-py 0.5 and later (MIT, https://pypi.org/project/webvtt-py/) reads and writes the WebVTT files,
srt 3.5 and later (MIT, https://pypi.org/project/srt/) the SubRip files. What one of them writes or reads,
this project must read as the same phrases at the same times.
"""

import html
import re
from datetime import timedelta
from io import StringIO

import pytest
import srt
import webvtt
from hypothesis import given
from hypothesis import strategies as st

from narrate2log.hearing.timed_text import ms_to_timestamp, srt_to_words, transcript_to_vtt, vtt_to_words
from narrate2log.records import Transcript, Word

VTT = """\
WEBVTT Side run
Kind: captions
Language: en

NOTE
Not spoken.

STYLE
::cue(b) { color: red }

REGION
id:bill

1
00:00.000 --> 00:04.250 region:bill align:left size:50%
<v Surveyor>Out at the <b>cleanout</b>.</v>

01:02:03.004 --> 01:02:05.500
Water &lt; two inches
and <c.loud>no roots</c>.

NOTE one line

named cue
27:46:40.000 --> 27:46:41.000
Gravel &amp; grit
"""

SRT = """\
1
00:00:00,000 --> 00:00:04,250
Out at the cleanout.

7
01:02:03,004 --> 01:02:05,500
Water < two inches
and no roots.

8
27:46:40,000 --> 27:46:41,000 X1:1 X2:2
Gravel & grit
"""


def phrases(words):
    """(start, end, text) of each phrase, times in milliseconds."""
    numbers = sorted({word.phrase for word in words})
    grouped = [[word for word in words if word.phrase == number] for number in numbers]
    return [(g[0].start_ms, g[-1].end_ms, " ".join(word.text for word in g)) for g in grouped]


def seen_by_webvtt_py(text):
    captions = webvtt.from_buffer(StringIO(text))
    return [
        (stamp_to_ms(c.start), stamp_to_ms(c.end), " ".join(html.unescape(c.text).split())) for c in captions
    ]


def stamp_to_ms(stamp):
    hours, minutes, seconds, thousandths = map(int, re.split(r"[:.]", stamp))
    return ((hours * 60 + minutes) * 60 + seconds) * 1000 + thousandths


def seen_by_srt(text):
    ms = timedelta(milliseconds=1)
    return [(c.start // ms, c.end // ms, " ".join(c.content.split())) for c in srt.parse(text)]


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_webvtt_reads_as_webvtt_py_reads_it(line_end):
    expected = seen_by_webvtt_py(VTT)

    assert len(expected) == 3
    assert phrases(vtt_to_words(VTT.replace("\n", line_end))) == expected


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_subrip_reads_as_srt_reads_it(line_end):
    expected = seen_by_srt(SRT)

    assert len(expected) == 3
    assert phrases(srt_to_words(SRT.replace("\n", line_end))) == expected


LINE = st.from_regex(r"[A-Za-z0-9'&][A-Za-z0-9'&.,?! -]{0,20}", fullmatch=True).map(str.strip)
CUES = st.lists(
    st.tuples(st.integers(0, 9000), st.integers(1, 9000), st.lists(LINE, min_size=1, max_size=3)), max_size=8
)


def placed(cues):
    """Gaps and lengths in a row to (start, end, lines), times in milliseconds."""
    now = 0
    for gap, length, lines in cues:
        start = now + gap
        now = start + length
        yield start, now, lines


@given(CUES)
def test_what_webvtt_py_writes_is_read_back(cues):
    file = webvtt.WebVTT(
        captions=[
            webvtt.Caption(
                ms_to_timestamp(start), ms_to_timestamp(end), [html.escape(x, False) for x in lines]
            )
            for start, end, lines in placed(cues)
        ]
    )

    assert phrases(vtt_to_words(file.content)) == [
        (start, end, " ".join(" ".join(lines).split())) for start, end, lines in placed(cues)
    ]


@given(CUES)
def test_what_srt_writes_is_read_back(cues):
    text = srt.compose(
        srt.Subtitle(index, timedelta(milliseconds=start), timedelta(milliseconds=end), "\n".join(lines))
        for index, (start, end, lines) in enumerate(placed(cues), start=1)
    )

    assert phrases(srt_to_words(text)) == [
        (start, end, " ".join(" ".join(lines).split())) for start, end, lines in placed(cues)
    ]


@given(CUES)
def test_webvtt_py_reads_what_is_written_here(cues):
    words = tuple(
        Word(text, start, end, 0.9, phrase)
        for phrase, (start, end, lines) in enumerate(placed(cues))
        for text in " ".join(lines).split()
    )

    assert seen_by_webvtt_py(transcript_to_vtt(Transcript(words, ()))) == phrases(words)
