from narrate2log.records import Correction, Draft, Source, Transcript, Word
from narrate2log.report.transcript_vtt import transcript_vtt


def test_words_as_heard_and_not_as_corrected() -> None:
    transcript = Transcript(
        words=(
            Word("Some", 1_000, 1_300, phrase=0),
            Word("routes.", 1_300, 1_900, phrase=0),
            Word("Clear.", 4_000, 4_500, phrase=1),
        ),
        sources=(Source("run-a.wav", "ab" * 32, 5_000, 0),),
    )
    draft = Draft("ft", transcript, (Correction(1, 1, "routes", "roots", "sounds alike"),), (), (), ())
    assert transcript_vtt(draft).decode() == (
        "WEBVTT\n\n00:00:01.000 --> 00:00:01.900\nSome routes.\n\n00:00:04.000 --> 00:00:04.500\nClear.\n"
    )
