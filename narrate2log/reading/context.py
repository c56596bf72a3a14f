"""What has been said so far, and one sentence with all that was found in it."""

from __future__ import annotations

from dataclasses import dataclass, field

from narrate2log.reading.attributes import Attribute
from narrate2log.reading.language import Sentence
from narrate2log.reading.places import Said
from narrate2log.reading.quantities import Quantity
from narrate2log.reading.slopes import SlopeState
from narrate2log.reading.things import Thing
from narrate2log.records import Direction, Mention, Motion, SaidSlope, SaidTime, SpokenOffset, SpokenPlace
from narrate2log.units import LengthUnit, Milliseconds

# A remark without a thing of its own still speaks of the last one for this long.
TOPIC_MS = 10_000

SIGHT = frozenset({"seen", "possible"})

EVENTS = frozenset(
    "start counter-reset pull-back end-of-run flush flush-arrival locate water-on water-off".split()
)


@dataclass
class Context:
    """What has been said so far that the next sentence may lean on."""

    unit: LengthUnit
    mentions: list[Mention] = field(default_factory=list)
    places: list[SpokenPlace] = field(default_factory=list)
    offsets: list[SpokenOffset] = field(default_factory=list)
    flush_times: list[SaidTime] = field(default_factory=list)
    motions: list[Motion] = field(default_factory=list)
    slopes: list[SaidSlope] = field(default_factory=list)
    directions: list[tuple[Milliseconds, Direction]] = field(default_factory=list)
    falling_sign: int | None = None
    head_up: bool = False
    slope: SlopeState = field(default_factory=SlopeState)
    topic: list[int] = field(default_factory=list)
    topic_ms: Milliseconds = -TOPIC_MS
    open: list[int] = field(default_factory=list)
    asked: list[int] = field(default_factory=list)
    asked_sentence: int = -9
    material: str | None = None
    material_ms: Milliseconds = -TOPIC_MS
    back: bool = False
    flushed: bool = False
    phone_until: int = -1
    repeated: str | None = None
    above_ground: frozenset[str] = frozenset()
    countable: frozenset[str] = frozenset()
    marks: frozenset[str] = frozenset()
    families: dict[str, frozenset[str]] = field(default_factory=dict)
    correcting: int = -1
    struck: tuple[int, list[int]] = (-9, [])
    pending: tuple[int, dict[str, object]] = (-9, {})
    questioned: bool = False
    summing_up: bool = False
    # what else a doubted mention might be, by its last word
    alternatives: dict[str, int] = field(default_factory=dict)

    def told_amounts(self) -> list[int]:
        """The last mentions, of which an amount may have been told just before."""
        return list(range(max(0, len(self.mentions) - 3), len(self.mentions)))

    def open_at_back(self, sentence: Sentence) -> bool:
        """Whether "out" may be out of a belly on the way home rather than out of the pipe."""
        near = [m for m in self.mentions[-4:] if sentence.start_ms - m.end_ms <= TOPIC_MS]
        return any(m.feature == "belly" for m in near)

    def say(self, mention: Mention) -> int:
        """Keep a mention; returns its index."""
        self.mentions.append(mention)
        return len(self.mentions) - 1


@dataclass
class View:
    """One sentence with all that was found in it."""

    sentence: Sentence
    quantities: list[Quantity]
    attributes: list[Attribute]
    said: list[Said]
    things: list[Thing]
    correcting: bool = False
    offsets: tuple[SpokenOffset, ...] = ()

    def token_ms(self, i: int) -> Milliseconds:
        """When token `i` was said; past the end, the last one."""
        return self.sentence.times[min(i, len(self.sentence.times) - 1)][0]

    def names_a_defect(self) -> bool:
        """Whether the sentence names a defect or says what the pipe is."""
        return any(t.entry["kind"] in ("defect", "pipe") for t in self.things)

    def quantities_elsewhere(self) -> bool:
        """Whether a number of the sentence counts years, people or money."""
        return any(q.kind in ("other", "second", "year") for q in self.quantities)

    def words(self) -> set[str]:
        """The folded words of the sentence."""
        return set(self.sentence.folds)
