"""The whole way from the recordings of one run to its draft, one stage after the other."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from narrate2log.drawing.axes import clock_text
from narrate2log.footage.counter_faults import in_the_unit_said, mend
from narrate2log.footage.counter_log import read_counter_log
from narrate2log.footage.course import anchor_uses, contradictions, course
from narrate2log.footage.place import place
from narrate2log.footage.track import Track
from narrate2log.hearing.hear import hear
from narrate2log.reading import read
from narrate2log.reading.marks import find_marks, marked_words, outside
from narrate2log.records import CounterReading, Draft, Mark, Narration, Transcript
from narrate2log.slope.evidence import derive, weigh
from narrate2log.slope.flush import flush_tests
from narrate2log.slope.minimums import usual_table
from narrate2log.slope.profile import build_profiles
from narrate2log.slope.readings import grade
from narrate2log.table import build
from narrate2log.table.build import narration_times
from narrate2log.table.cautions import cautions_of
from narrate2log.table.marked import mark_rows, with_taken
from narrate2log.table.meetings import meetings
from narrate2log.table.number_offers import with_numbers
from narrate2log.units import (
    LengthUnit,
    Millimetres,
    Milliseconds,
    length_to_mm,
    ms_to_seconds,
)
from narrate2log.wording.decide import hear_terms
from narrate2log.wording.learned import Learned, load_learned, settled_words
from narrate2log.wording.lexicon import Lexicon, load_lexicon


def left_out(transcript: Transcript) -> tuple[str, ...]:
    """What was taken for noise, told so that somebody may listen there; nothing if there was none."""
    told = [
        f"{phrase.text!r} at {clock_text(ms_to_seconds(phrase.start_ms))}" for phrase in transcript.left_out
    ]
    if not told:
        return ()
    return (f"Left out as noise: {', '.join(told)}; listen there if somebody may have spoken.",)


def locate(
    narration: Narration,
    counter: tuple[CounterReading, ...],
    last_ms: Milliseconds,
    length_mm: Millimetres | None = None,
) -> Track:
    """The track of a run of `last_ms`, whose last leg is `length_mm` long if that is known."""
    entries_ms, homes_ms, far_ends = narration_times(narration)
    tell_track = partial(
        place,
        narration,
        counter,
        entries_ms=entries_ms,
        homes_ms=homes_ms,
        far_ends=far_ends,
        last_ms=last_ms,
        length_mm=length_mm,
    )
    # What is met again, or feet are told from, says where the camera was once its own place is known.
    return tell_track(met=meetings(narration, tell_track()))


def draft(
    sources: Sequence[Path],
    *,
    counter: Path | None = None,
    units: LengthUnit = "ft",
    length: float | None = None,
    model: str | None = None,
    lexicon_folder: Path | None = None,
    marks: Sequence[Mark] = (),
    progress: Callable[[float], None] | None = None,
) -> Draft:
    """The draft of one run, whose clips are `sources` in order.

    `counter` is a log of the cable counter, `length` how far the camera went in all, both in `units`;
    `model` the name or folder of a speech model, or None for the best one here; `lexicon_folder` lies
    over the words that ship with the tool; `marks` were taken while the run was listened to; `progress` is
    called with the part of the run that has been listened to, 0 to 1.

    Raises UnusableLexicon, UnusableSource or UnusableModel; what is merely odd about the input
    becomes a problem of the draft.
    """
    # What takes no time comes first, so that a bad lexicon or log is refused before the listening.
    lexicon = load_lexicon(lexicon_folder)
    learned, learned_problems = load_learned()
    counter_log, counter_problems = read_counter_log(counter, units) if counter else ((), ())
    transcript = hear(sources, model=model, prompt=lexicon.prompt(), progress=progress)
    length_mm = None if length is None else length_to_mm(length, units)
    return tabulate(
        transcript,
        counter_log,
        lexicon,
        learned,
        units=units,
        length_mm=length_mm,
        marks=marks,
        problems=(*learned_problems, *counter_problems),
    )


def tabulate(
    transcript: Transcript,
    counter: tuple[CounterReading, ...],
    lexicon: Lexicon,
    learned: Learned,
    *,
    units: LengthUnit,
    length_mm: Millimetres | None = None,
    marks: Sequence[Mark] = (),
    problems: tuple[str, ...] = (),
) -> Draft:
    """The draft of what was heard, of a finished run as of one that goes on.

    `counter` is what a log told, `marks` are those taken before, whether or not they are heard again;
    `problems` is what is known to be odd about the input so far.
    """
    heard_marks = find_marks(transcript, lexicon)
    corrections, offers = hear_terms(transcript, lexicon, learned)
    corrections, offers = outside(heard_marks, corrections), outside(heard_marks, offers)
    narration = read(transcript, corrections, lexicon, units, heard_marks)
    counter, faults = mend(counter, [source.offset_ms for source in transcript.sources[1:]])
    counter, other_unit = in_the_unit_said(counter, narration.places)
    last_ms = sum(source.duration_ms for source in transcript.sources)
    track = locate(narration, counter, last_ms, length_mm)
    settled = settled_words(transcript, corrections, learned) | marked_words(heard_marks)
    offers = with_numbers(offers, transcript, narration, track, units, settled)
    slope_readings = grade(narration, track, transcript)
    legs, observations = build(narration, track, transcript, corrections, offers, lexicon, units)
    all_marks = with_taken(heard_marks, marks)
    observations, told = mark_rows(observations, all_marks)
    profiles = build_profiles(slope_readings, legs, observations, head_up=narration.head_up)
    return Draft(
        units=units,
        transcript=transcript,
        corrections=corrections,
        offers=offers,
        legs=legs,
        observations=weigh(observations, profiles, slope_readings),
        slope_readings=slope_readings,
        problems=(*problems, *faults, *other_unit, *left_out(transcript), *contradictions(track), *told),
        cautions=cautions_of(observations, lexicon),
        anchors=anchor_uses(track),
        course=course(track, last_ms),
        slope_profiles=profiles,
        flush_tests=flush_tests(observations, legs, narration.flush_times),
        derived=derive(profiles, usual_table(), units),
        marks=all_marks,
    )
