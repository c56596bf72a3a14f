"""Tilt and grade numbers read off the monitor, told apart from footages, amounts and teaching."""

from __future__ import annotations

from dataclasses import dataclass, replace

from narrate2log.reading.language import Sentence
from narrate2log.reading.numbers import SOUNDS
from narrate2log.reading.quantities import Quantity
from narrate2log.records import SaidSlope
from narrate2log.units import Milliseconds, SlopeUnit

# A pushed pipe steeper than this is a drop, and a number larger than this a temperature or a fitting.
STEEPEST = {"degree": 20.0, "percent": 30.0, "in/ft": 4.0, "bare": 15.0}
# Degrees that steep, told without a sign or the gauge's name, are the weather's or a fitting's.
UNSIGNED_STEEPEST = 9.0
UNIT: dict[str, SlopeUnit] = {"degree": "deg", "percent": "pct", "in/ft": "in/ft"}
# How long after a reading a bare series still belongs to it.
RUN_ON_MS = 8_000
TAKEN_BACK = (
    {"no"},
    {"sorry"},
    {"scratch"},
    {"correction"},
    {"make", "that"},
    {"mean"},
    {"strike"},
    {"wait"},
)


@dataclass
class SlopeState:
    """What earlier readings say about the next: the run's unit, how many there were, when the last was,
    the furthest footage said (feet), until when a bare zero is the counter's, and whether it was announced
    that the tilt would be read out ("the gradient is in percent")."""

    unit: SlopeUnit | None = None
    count: int = 0
    last_ms: Milliseconds = -RUN_ON_MS
    last_footage: float = 0.0
    armed_ms: Milliseconds = -RUN_ON_MS
    counter_ms: Milliseconds = -RUN_ON_MS
    announced: bool = False


# A sentence that begins so and ends in a question mark tells no number; "minus two, see that?" does.
ASKING = frozenset("is are was be do does did can could would should what how".split())
# A reading right after one of these at the head of a sentence replaces the one before.
CORRECTING = frozenset("no sorry correction scratch strike".split())
# What may follow a bare one that is a reading.
FOLLOWING = frozenset("and again still now then here at so but there".split())
COUNTER = frozenset("counter footage odometer".split())


def _with_sign_of_range(sentence: Sentence, quantities: list[Quantity]) -> list[Quantity]:
    """ "Minus one to two degrees": the sign said once holds for both ends."""
    signed = list(quantities)
    for i in range(1, len(signed)):
        a, b = signed[i - 1], signed[i]
        if a.signed == -1 and b.signed is None and sentence.lowers[a.end : b.start] in (("to",), ("or",)):
            signed[i] = replace(b, value=-b.value, low=-b.low, high=-b.high, signed=-1)
    return signed


def _told_on(run: list[Quantity], quantities: list[Quantity], taken: set[int]) -> bool:
    """Whether bare decimals follow a reading of their sentence: "1.4 percent and, a moment later, 1.3"."""
    decimals = all(q.kind == "bare" and q.form == "decimal" for q in run)
    last = max(taken, default=None)
    return decimals and last is not None and abs(quantities[last].value - run[0].value) <= 1


def _counters_zero(sentence: Sentence, q: Quantity, state: SlopeState) -> bool:
    """Whether an unsigned zero is read off the counter: in a sentence about it, or just after one."""
    if q.value or q.signed or q.kind != "bare":
        return False
    about = bool(COUNTER & set(sentence.folds))
    return about or (sentence.start_ms - state.counter_ms <= RUN_ON_MS and len(sentence.tokens) <= 5)


def takes_back(sentence: Sentence, before: SaidSlope, said: SaidSlope) -> bool:
    """Whether `said`, first of its sentence, corrects the reading told just before.

    In so many words ("Minus two. No, minus one point two"), or by the decimal point that the first
    lacked ("two. Point two").
    """
    if not 0 <= said.time_ms - before.time_ms <= RUN_ON_MS or before.sentence < sentence.index - 2:
        return False
    if sentence.folds[0] in CORRECTING and before.sentence == sentence.index - 1:
        return said.first_word - sentence.first_word <= 3
    same = before.unit == said.unit and before.value != 0
    return same and abs(before.value - 10 * said.value) < 1e-9


def _taken_back(sentence: Sentence, a: Quantity, b: Quantity) -> bool:
    between = set(sentence.folds[a.end : b.start])
    return b.start - a.end <= 6 and any(words <= between for words in TAKEN_BACK)


def _blocked(sentence: Sentence, q: Quantity) -> bool:
    """Whether the number stands in an explanation: a `no-reading` cue in its clause, or a ratio."""
    clauses = sentence.clauses
    if sentence.folds[q.end : q.end + 1] == ("in",) and any(n.start == q.end + 1 for n in sentence.numbers):
        return True
    told = any(
        hit.end <= q.start and clauses[hit.start] == clauses[q.start] and q.start - hit.end <= 5
        for hit in sentence.cues("slope.toml", "gauge")
    )
    for hit in sentence.cues("slope.toml", "no-reading"):
        same = clauses[hit.start] == clauses[q.start]
        if same and not (told and hit.start > q.end):
            return True
        if not told and not q.signed and abs(clauses[hit.start] - clauses[q.start]) == 1:
            return True
    return False


def _series(sentence: Sentence, quantities: list[Quantity]) -> list[list[int]]:
    """Indexes of quantities that follow each other with only commas, "and", "then" or "again" between."""
    runs: list[list[int]] = []
    links = {",", "and", "then", "again", "still", "now"}
    for i, q in enumerate(quantities):
        between = sentence.lowers[quantities[i - 1].end : q.start] if i else ()
        if runs and runs[-1][-1] == i - 1 and between and all(word in links for word in between):
            runs[-1].append(i)
        else:
            runs.append([i])
    return runs


def _small(q: Quantity) -> bool:
    return (
        q.kind in ("bare", "degree", "percent", "in/ft")
        and abs(q.value) <= 12
        and q.low == q.high
        and q.form not in ("year", "ordinal")
    )


def _may_be_bare(
    sentence: Sentence, run: list[Quantity], state: SlopeState, gauge: bool, flat: bool, head: bool
) -> bool:
    """Whether a run of numbers without sign or unit is read off the tilt gauge."""
    if not all(_small(q) for q in run):
        return False
    after = sentence.lowers[run[-1].end : run[-1].end + 1]
    if run[-1].form == "one" and after and after[0].isalpha() and after[0] not in FOLLOWING:
        return False  # "one long bend"
    if any(q.form == "fraction" and q.kind == "bare" for q in run) and state.unit != "in/ft" and not gauge:
        return False
    words = [f for f in sentence.folds if f.isalnum() or f[:1].isdigit()]
    first = run[0].start == 0 or all(
        w in (",", "and", "okay", "so", "now", "then", "again", "uh") for w in sentence.lowers[: run[0].start]
    )
    if run[0].form == "decimal" and abs(run[0].value) < 1 and state.count >= 2:
        # "point nine" by itself between commas, where no footage is below one any more
        lone = sentence.lowers[run[0].start - 1] == "," and not sentence.lowers[
            run[-1].end : run[-1].end + 1
        ][:1] not in ((), (",",), (".",))
        first = first or (lone and state.last_footage > 12)
    recent = sentence.start_ms - state.last_ms <= RUN_ON_MS
    if sentence.asks and not gauge:
        return False
    if sentence.start_ms - state.armed_ms <= RUN_ON_MS and first:
        return True
    if all(q.kind == "percent" for q in run):
        # in a run read in percent, small ones told by themselves are grades and no amounts
        told = (state.unit == "pct" and state.count >= 1) or (flat and run[0].value == 0)
        return first and told and all(q.value <= 4 for q in run)
    zeros = all(q.value == 0 for q in run)
    climbing = len(run) >= 3 and 3 <= run[0].value < run[1].value < run[2].value
    if len(run) >= 3 and first and (not climbing or state.count >= 4):
        return True
    if zeros:
        return flat or gauge or (state.count >= 1 and first and len(words) <= 5)
    if len(run) == 2 and first and state.count >= 2 and abs(run[0].value - run[1].value) <= 6:
        return True
    if (
        run[0].form in ("decimal", "fraction")
        and first
        and (state.count >= 1 or state.announced)
        and abs(run[0].value) < 10
        and state.last_footage > 12
    ):
        return True
    if run[0].form in ("decimal", "fraction") and first and recent and state.count:
        return True
    habit = state.count >= 4 and state.last_footage > abs(run[0].value) + 5
    return first and habit and (head or len(words) <= 2)


def find_slopes(
    sentence: Sentence, quantities: list[Quantity], state: SlopeState, quiet: bool, zeroing: bool
) -> tuple[list[SaidSlope], set[int]]:
    """The readings of a sentence and the indexes of the quantities they used; `state` is brought on.

    `quiet`: the sentence teaches or supposes, so only a number with the gauge named counts.
    `zeroing`: the sentence is about the counter, so a bare zero is the counter's.
    """
    gauges = sentence.cues("slope.toml", "gauge")
    flat = bool(sentence.cues("slope.toml", "flat"))
    head = bool(sentence.cues("slope.toml", "head"))
    clauses = sentence.clauses
    taken: set[int] = set()
    quantities = _with_sign_of_range(sentence, quantities)
    asked = sentence.asks and sentence.folds[0] in ASKING
    for name, unit in (("percent", "pct"), ("degree", "deg")):
        if gauges and name in sentence.folds and not any(q.kind in UNIT for q in quantities):
            state.unit = unit  # type: ignore[assignment]
            state.announced = True
    counter = zeroing or bool(COUNTER & set(sentence.folds))
    if gauges and not quiet and not counter and not any(_small(q) for q in quantities):
        state.armed_ms = sentence.end_ms
    for run in _series(sentence, quantities):
        members = [quantities[i] for i in run]
        explicit = [
            q.kind in ("degree", "in/ft") or q.signed is not None or (q.kind == "percent" and bool(gauges))
            for q in members
        ]
        gauge = any(
            hit.end <= members[0].start + 1
            and clauses[members[0].start] - clauses[hit.start] <= 1
            and members[0].start - hit.end <= 8
            for hit in gauges
        )
        bare = _may_be_bare(sentence, members, state, gauge, flat, head) or _told_on(
            members, quantities, taken
        )
        named = gauge and members[0].kind in ("bare", "percent") and all(_small(q) for q in members)
        if asked or (zeroing and all(q.value == 0 for q in members)):
            continue
        signs = any(q.signed for q in members)
        running = signs or gauge or sentence.start_ms - state.last_ms <= RUN_ON_MS
        for i, q, said in zip(run, members, explicit, strict=True):
            limit = STEEPEST.get(q.kind)
            if limit is None or abs(q.value) > limit or q.low != q.high or q.form == "ordinal":
                continue
            if not (said or bare or named or (any(explicit) and _small(q))):
                continue
            if _blocked(sentence, q) or (quiet and not (gauge or signs)):
                continue
            if _counters_zero(sentence, q, state) or (q.value > UNSIGNED_STEEPEST and not running):
                continue
            taken.add(i)
    order = sorted(taken)
    # one taken back is a number said, but no reading
    kept = [
        i
        for i in order
        if not any(j > i and _taken_back(sentence, quantities[i], quantities[j]) for j in order)
    ]
    found = []
    units = [UNIT[quantities[i].kind] for i in kept if quantities[i].kind in UNIT]
    for i in kept:
        q = quantities[i]
        unit = UNIT.get(q.kind) or (units[-1] if units else None) or state.unit or "deg"
        said = q.kind in UNIT or bool(units)
        doubts: tuple[str, ...] = () if said or state.unit else ("unit of the tilt reading not said",)
        if SOUNDS.keys() & set(sentence.lowers[q.start : q.end]):
            doubts += ("number taken by its sound",)
        token = min(q.start, len(sentence.times) - 1)
        found.append(
            SaidSlope(
                q.value,
                unit,
                sentence.times[token][0],
                sentence.index,
                sentence.tokens[q.start].word,
                sentence.tokens[q.end - 1].word,
                doubts,
            )
        )
    if counter:
        state.counter_ms = sentence.end_ms
    if found:
        state.count += len(found)
        state.last_ms = sentence.end_ms
        if units:
            state.unit = units[-1]
    return found, taken


def told_of(sentence: Sentence, said: list[SaidSlope]) -> list[SaidSlope]:
    """The readings of a sentence; those of the gauge on a level, or of how the head sits, are marked so."""
    if sentence.cues("slope.toml", "level-check"):
        return [replace(s, of="level") for s in said]
    if head_up(sentence):
        # "plus one, but the skid has the head up two degrees": what stands after it is the lift
        cue = sentence.cues("slope.toml", "head-up")[0]
        return [
            replace(s, of="lift") if s.first_word > sentence.tokens[cue.end - 1].word else s for s in said
        ]
    return said


def head_up(sentence: Sentence) -> bool:
    """Whether the head is said to ride up all along, not just over a joint."""
    return bool(sentence.cues("slope.toml", "head-up")) and "over" not in sentence.folds


def disown(sentence: Sentence, said: list[SaidSlope]) -> list[SaidSlope]:
    """All readings so far, those that this sentence gives to the head and not to the pipe marked so.

    They are the ones before the words in the sentence, else those of the sentence before. The sentence
    has a `disown` cue.
    """
    word = sentence.tokens[sentence.cues("slope.toml", "disown")[-1].start].word
    here = [s for s in said if s.sentence == sentence.index and s.first_word < word]
    before = [s for s in said if s.sentence == sentence.index - 1]
    meant = {s.first_word for s in (here or before)}
    return [replace(s, of="head") if s.first_word in meant and s.of == "pipe" else s for s in said]
