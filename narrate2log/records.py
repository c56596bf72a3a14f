"""The record of every stage, in the order they are made. Frozen; times in ms, distances in mm."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from narrate2log.units import LengthUnit, Millimetres, Milliseconds, SlopeUnit

Standing = Literal["seen", "possible", "not-seen", "reported"]
Pass = Literal["out", "back"]
Basis = Literal["spoken", "counter", "interpolated", "extrapolated", "none"]
Direction = Literal["downstream", "upstream"]
Severity = Literal["minor", "moderate", "severe"]
# What a tilt number tells of: the pipe; the head alone (a joint threw it); the gauge on a level; how far
# the head always rides up.
SlopeOf = Literal["pipe", "head", "level", "lift"]


# --- hearing ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Source:
    """One clip of a run: its name, content hash, length, and where it begins in the run."""

    file: str
    sha256: str
    duration_ms: Milliseconds
    offset_ms: Milliseconds


@dataclass(frozen=True, slots=True)
class Word:
    """One word as heard, punctuation kept. `probability` is None for timed text.

    `phrase` counts the cues or recogniser segments, so that words of one phrase share it.
    """

    text: str
    start_ms: Milliseconds
    end_ms: Milliseconds
    probability: float | None = None
    phrase: int = 0


@dataclass(frozen=True, slots=True)
class Transcript:
    """All that was heard in a run, times running on over its clips.

    `left_out` are phrases that the model wrote where by its own figures nobody spoke, one `Word` each.
    """

    words: tuple[Word, ...]
    sources: tuple[Source, ...]
    model: str | None = None
    left_out: tuple[Word, ...] = ()

    def heard(self, first: int, last: int) -> str:
        """Words `first` to `last` (inclusive), punctuation kept."""
        return " ".join(word.text for word in self.words[first : last + 1])


# --- wording ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Correction:
    """Words `first` to `last` (inclusive) of the transcript are read as another trade term."""

    first: int
    last: int
    heard: str
    read_as: str
    reason: str

    @property
    def words(self) -> range:
        """The words it stands for."""
        return range(self.first, self.last + 1)


@dataclass(frozen=True, slots=True)
class Choice:
    """What heard words may be read as, how likely that is (0 to 1), and why."""

    read_as: str
    score: float
    reason: str


@dataclass(frozen=True, slots=True)
class Offer:
    """Words `first` to `last` (inclusive) may be another trade term: left as heard, a person chooses."""

    first: int
    last: int
    heard: str
    choices: tuple[Choice, ...]


# --- reading ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Fields:
    """What was said about a thing, as said. None: not said. Sizes and amounts in inches stay inches."""

    severity: Severity | None = None
    clock_from: int | None = None
    clock_to: int | None = None
    amount_pct: float | None = None
    amount_in: float | None = None
    material: str | None = None
    size_in: float | None = None
    depth_ft: float | None = None


@dataclass(frozen=True, slots=True)
class SpokenPlace:
    """A footage said. `low` and `high` differ when a range was said ("thirty, thirty one feet").

    `relation` says how it binds to the moment it was said: `here` (the camera is there now),
    `ahead` (coming up on it), `behind` (so far back from here), `elsewhere` (no anchor: advice,
    hearsay, a recap out of order). `bare`: a number alone, with no unit and no thing.
    """

    low_mm: Millimetres
    high_mm: Millimetres
    relation: Literal["here", "ahead", "behind", "elsewhere"]
    time_ms: Milliseconds
    sentence: int
    doubt: str | None = None
    bare: bool = False


@dataclass(frozen=True, slots=True)
class SpokenOffset:
    """The camera is so far from a thing told of elsewhere: "two to three feet past the wye".

    Signed, positive beyond it as seen from the entry; `low` and `high` differ where a range was said.
    """

    feature: str
    low_mm: Millimetres
    high_mm: Millimetres
    time_ms: Milliseconds
    sentence: int


@dataclass(frozen=True, slots=True)
class Motion:
    """What the narrator said the camera or the counter does at this moment.

    `waiting` stands until what was asked for (a flush) arrives, `main` at the public sewer.
    """

    what: Literal["start", "zero", "pull-back", "back-up", "again", "still", "waiting", "main", "home", "end"]
    time_ms: Milliseconds
    sentence: int


@dataclass(frozen=True, slots=True)
class Mention:
    """One time that one thing is spoken of.

    `relation` binds it to earlier mentions: `new`, `another` (certainly a further one), `same`
    (told before, if there is such a thing), `echo` (names or judges a thing told before, and makes
    no row alone). `about` is the index of the mention that an echo points at, if the words say
    which, `ordinal` its number among its kind, `all_of_kind` every one of the kind. `general` marks
    a denial of the whole run so far. `begins`/`ends` mark the edges of something that runs over a
    length, `until` where "the rest of the way" goes, `several` that more than one of the kind is told of
    over some feet ("a couple along here"). `corrects` replaces what was said before,
    `sure` settles an earlier doubt, `home` says that the camera is back at its entry. `sense` tells
    apart things of one feature (the cause of a limit); `placed` is false where no distance applies.
    """

    feature: str
    standing: Standing
    relation: Literal["new", "another", "same", "echo"]
    sentence: int
    start_ms: Milliseconds
    end_ms: Milliseconds
    first_word: int
    last_word: int
    rule: str
    fields: Fields = Fields()
    place: SpokenPlace | None = None
    end_place: SpokenPlace | None = None
    length_mm: Millimetres | None = None
    until: Literal["material", "end"] | None = None
    begins: bool = False
    ends: bool = False
    several: bool = False
    general: bool = False
    all_of_kind: bool = False
    corrects: bool = False
    about: int | None = None
    ordinal: int | None = None
    placed: bool = True
    sense: str | None = None
    sure: bool = False
    home: bool = False
    offset: SpokenOffset | None = None
    doubts: tuple[str, ...] = ()


# The rule of a mention that the narrator took back; it stays in the record and makes no row.
TAKEN_BACK = "taken back"


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark given by voice: look here again, strike the row taken last, or a note for the office.

    `first_word` to `last_word` (inclusive) are its words in the transcript, those of the note's own text
    included; `end_ms` is where they end. `text` is what the note says, as heard; empty for the others.
    """

    kind: Literal["look", "strike", "note"]
    start_ms: Milliseconds
    end_ms: Milliseconds
    first_word: int
    last_word: int
    text: str = ""

    @property
    def words(self) -> range:
        """The words it takes."""
        return range(self.first_word, self.last_word + 1)


@dataclass(frozen=True, slots=True)
class SaidSlope:
    """A tilt or grade number as said, before it is placed and turned into a grade."""

    value: float
    unit: SlopeUnit
    time_ms: Milliseconds
    sentence: int
    first_word: int
    last_word: int
    doubts: tuple[str, ...] = ()
    of: SlopeOf = "pipe"


@dataclass(frozen=True, slots=True)
class SaidTime:
    """How many seconds a flush took to the camera, as said; two ends for a range.

    `time_ms` is when its arrival was told.
    """

    low_s: float
    high_s: float
    time_ms: Milliseconds


@dataclass(frozen=True, slots=True)
class Narration:
    """All that the reading took out of a transcript, in order of time."""

    mentions: tuple[Mention, ...]
    places: tuple[SpokenPlace, ...]
    motions: tuple[Motion, ...]
    slopes: tuple[SaidSlope, ...]
    sentences: tuple[tuple[Milliseconds, Milliseconds], ...]
    direction: tuple[tuple[Milliseconds, Direction], ...] = ()
    falling_sign: int | None = None
    head_up: bool = False
    offsets: tuple[SpokenOffset, ...] = ()
    flush_times: tuple[SaidTime, ...] = ()


# --- footage ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class CounterReading:
    """One line of a cable counter log."""

    time_ms: Milliseconds
    distance_mm: Millimetres


@dataclass(frozen=True, slots=True)
class Placement:
    """Where the camera was at a moment: distance with the interval that should hold it 9 times in 10."""

    leg: int
    going: Pass
    distance_mm: Millimetres | None
    low_mm: Millimetres | None
    high_mm: Millimetres | None
    basis: Basis


@dataclass(frozen=True, slots=True)
class AnchorUse:
    """What tied a moment to a distance, where it came from, and why it was not used (None: it was)."""

    leg: int
    going: Pass
    time_ms: Milliseconds
    distance_mm: Millimetres
    source: str
    aside: str | None


@dataclass(frozen=True, slots=True)
class TrackPoint:
    """One moment of the camera's way."""

    time_ms: Milliseconds
    placement: Placement


# --- table -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Leg:
    """A stretch with one zero of the counter. `entry` is the feature key it was entered by."""

    leg: int
    direction: Direction
    entry: str | None


@dataclass(frozen=True, slots=True)
class Observation:
    """One row: one thing, with every time it was told. DEVELOPERS.md gives the meaning of the fields."""

    id: str
    row: int
    kind: str
    feature: str
    standing: Standing
    placement: Placement
    end_distance_mm: Millimetres | None
    fields: Fields
    time_ms: Milliseconds
    time_end_ms: Milliseconds
    sightings_ms: tuple[Milliseconds, ...]
    heard: str
    read_as: str
    remark: str
    confidence: float
    check: tuple[str, ...]
    rules: tuple[str, ...]
    general: bool = False
    sense: str | None = None
    about: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SlopeReading:
    """A placed tilt reading, and the grade it stands for as said: positive falls with the flow."""

    time_ms: Milliseconds
    placement: Placement
    reading: float
    unit: SlopeUnit
    grade_pct: float
    heard: str
    check: tuple[str, ...]
    of: SlopeOf = "pipe"


@dataclass(frozen=True, slots=True)
class Band:
    """An estimate, and the interval that should hold the truth nine times in ten."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class HeadTilt:
    """How far the camera head rides up in the pipe, degrees: only while pushed, and always.

    The two show in different ways: readings at one place on both passes tell the first alone. The
    second comes from `always_from`, and where that is `prior` it was not measured at all.
    """

    pushed_up_deg: Band
    pushed_measured: bool
    always_up_deg: Band
    always_from: Literal["still water", "level check", "words", "prior"]


@dataclass(frozen=True, slots=True)
class GradeStretch:
    """A stretch of one grade. Percent, positive falls with the flow.

    `raw_pct` is the median of its readings as they stand. Outside `surely_low_pct` to
    `surely_high_pct` no reading of the numbers is left; only that carries a claim.
    """

    from_mm: Millimetres
    to_mm: Millimetres
    readings: int
    raw_pct: float | None
    grade_pct: Band
    surely_low_pct: float
    surely_high_pct: float
    shape: Literal["falls", "flat", "uphill", "cannot tell"]
    holds_water: bool


@dataclass(frozen=True, slots=True)
class ProfilePoint:
    """The invert at one distance: height over that of the first point, and the grade about there."""

    at_mm: Millimetres
    height_mm: Band
    grade_pct: Band
    uphill: float


@dataclass(frozen=True, slots=True)
class Pond:
    """Water that was seen to stand in a sag: where, and the percent of the bore if it was told."""

    from_mm: Millimetres
    to_mm: Millimetres | None
    amount_pct: float | None


@dataclass(frozen=True, slots=True)
class SlopeProfile:
    """What the tilt readings of one leg tell of the pipe, and in `lacks` what they do not.

    Where it is not known which sign falls, the falls may be rises and no stretch is told flat or uphill.

    `step_in_per_ft` is what the display shows apart, at its coarsest. `fall_mm` is from the first
    point to the last, positive with the flow.
    """

    leg: int
    direction: Direction
    size_in: float | None
    material: str | None
    sign_known: bool
    step_in_per_ft: float | None
    head: HeadTilt | None
    stretches: tuple[GradeStretch, ...]
    points: tuple[ProfilePoint, ...]
    ponds: tuple[Pond, ...]
    fall_mm: Band | None
    lacks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FlushTest:
    """A flush timed from its call to its water at the camera: ft/s, None where it cannot be worked out.

    `as_said`: the seconds were told in words, not timed by the recording.
    """

    leg: int
    seconds: float
    distance_mm: Millimetres | None
    velocity_ft_s: Band | None
    lacks: tuple[str, ...]
    as_said: bool = False


@dataclass(frozen=True, slots=True)
class Derived:
    """Something that was not said but worked out, over a stretch; it always asks for a look."""

    id: str
    feature: Literal["low-slope", "backfall"]
    leg: int
    from_mm: Millimetres
    to_mm: Millimetres
    grade_pct: Band
    remark: str
    check: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Caution:
    """A danger that the draft speaks of, and whom to defer to. `first`: it cannot wait for the review."""

    key: str
    text: str
    defer_to: str
    first: bool
    at_mm: tuple[Millimetres | None, ...]


# What an observations.json of this version says it is.
DRAFT_SCHEMA = "narrate2log/observations/1"


@dataclass(frozen=True, slots=True)
class Draft:
    """All that a draft folder holds."""

    units: LengthUnit
    transcript: Transcript
    corrections: tuple[Correction, ...]
    legs: tuple[Leg, ...]
    observations: tuple[Observation, ...]
    slope_readings: tuple[SlopeReading, ...]
    problems: tuple[str, ...] = field(default=())
    cautions: tuple[Caution, ...] = field(default=())
    anchors: tuple[AnchorUse, ...] = field(default=())
    course: tuple[TrackPoint, ...] = field(default=())
    slope_profiles: tuple[SlopeProfile, ...] = field(default=())
    flush_tests: tuple[FlushTest, ...] = field(default=())
    derived: tuple[Derived, ...] = field(default=())
    offers: tuple[Offer, ...] = field(default=())
    marks: tuple[Mark, ...] = field(default=())


# --- review ----------------------------------------------------------------------------------

DecisionKind = Literal[
    "stands", "changed", "dropped", "added", "parted", "joined", "moved", "still", "taught", "undone"
]


@dataclass(frozen=True, slots=True)
class Decision:
    """One thing that a person settled about a draft, the `n`-th in its journal.

    `id` was made by who asked, so that the same request twice is one decision; `draft` is the SHA-256 of
    the observations.json that was looked at. `before` holds the fields of the row as they were (for
    `taught` the lesson that was), `after` what they became; `undoes` is the number of what it takes back.
    """

    n: int
    id: str
    at: str
    by: str
    draft: str
    kind: DecisionKind
    row: str | None
    before: Mapping[str, Any]
    after: Mapping[str, Any]
    undoes: int | None = None
