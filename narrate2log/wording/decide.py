"""Mis-heard trade terms: corrected, offered, or left as they were heard.

What the user has taught comes first, then the mis-hearings that the lexicon lists, then what the sound
says. The weights lie in `data/model.toml`; `tests/fitting/fit.py` makes them and prints how well they do.
"""

from __future__ import annotations

import tomllib
from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cache, partial

import numpy as np

from narrate2log.records import Choice, Correction, Offer, Transcript, Word
from narrate2log.wording.candidates import Candidate, SoundIndex
from narrate2log.wording.evidence import FEATURES, Setting, features, sense_gained, span
from narrate2log.wording.folding import fold_phrase
from narrate2log.wording.learned import Learned, apply_lessons
from narrate2log.wording.lexicon import Lexicon
from narrate2log.wording.mishearings import NEAR_WORDS, correct
from narrate2log.wording.sound import DATA
from narrate2log.wording.talk import Talk, talk
from narrate2log.wording.term_cache import cached_terms
from narrate2log.wording.windows import windows

MOST_CHOICES = 3
# A term must make the words around it likelier by this (natural logarithm): with 0 or less in its place
# tests/fitting/fit.py finds fewer right candidates among the best.
LEAST_SENSE = 2.0
# What the lexicon must find within NEAR_WORDS, or it may be ordinary English and is only offered.
TRADE_SECTIONS = frozenset({"feature", "material", "unit", "clock"})
# "In" may stand for inches, "the" for per: no sign of the trade.
LEAST_LETTERS = 4


@dataclass(frozen=True)
class Model:
    """A logistic model over FEATURES, and the scores from which a candidate corrects or is offered.

    Beside a thing or a measure of the trade it is offered from `offer_beside_at` on already.
    """

    weights: tuple[float, ...]
    constant: float
    correct_at: float
    offer_at: float
    offer_beside_at: float

    def scores(self, rows: Sequence[Sequence[float]]) -> list[float]:
        """How likely each candidate is right, 0 to 1; rows of FEATURES, one a candidate."""
        totals = np.array(rows, dtype=float).reshape(-1, len(FEATURES)) @ np.array(self.weights)
        # The logistic function, by tanh since exp overflows.
        scores: list[float] = (0.5 + 0.5 * np.tanh((totals + self.constant) / 2)).tolist()
        return scores


@dataclass(frozen=True)
class Scored:
    """A candidate, its score, and its figures of FEATURES.

    `probability` is the recogniser's of its least sure word, None where the source tells none.
    """

    candidate: Candidate
    score: float
    values: tuple[float, ...]
    probability: float | None

    @property
    def reason(self) -> str:
        """The evidence in words, for a person."""
        figure = dict(zip(FEATURES, self.values, strict=True))
        if self.candidate.distance == 0:
            near = "sounds the same"
        else:
            near = f"{self.candidate.distance:.1f} of {self.candidate.length} phones apart"
        heard = "" if self.probability is None else f"; heard with {self.probability:.0%} certainty"
        return f"{near}; likelier here by {figure['sense_gained']:.1f}{heard}"

    @property
    def words(self) -> range:
        """The heard words it stands for."""
        return range(self.candidate.first, self.candidate.last + 1)


@cache
def model() -> Model:
    """The model that ships with the tool."""
    data = tomllib.loads((DATA / "model.toml").read_text(encoding="utf-8"))
    weights = tuple(float(data["weights"][name]) for name in FEATURES)
    return Model(
        weights,
        float(data["constant"]),
        float(data["correct_at"]),
        float(data["offer_at"]),
        float(data["offer_beside_at"]),
    )


_INDEXES: dict[str, SoundIndex] = {}


def index_of(lexicon: Lexicon) -> SoundIndex:
    """The terms of a lexicon by their sound, built once for all lexicons that say the same."""
    key = lexicon.fingerprint
    if key not in _INDEXES:
        _INDEXES[key] = SoundIndex(cached_terms(lexicon))
    return _INDEXES[key]


def weigh(
    words: Sequence[Word], index: SoundIndex, talk: Talk, barred: Collection[int] = ()
) -> list[tuple[Candidate, tuple[float, ...]]]:
    """Every candidate in the words that are not barred, with its figures of FEATURES."""
    setting = Setting.of(words, talk)
    spans = [
        (first, last)
        for first, last in windows(setting)
        if not any(at in barred for at in range(first, last + 1))
    ]
    around = cache(partial(span, setting, talk))
    found = []
    for candidate in index.candidates([word.text.strip(".,?!;:") for word in words], spans):
        heard = around(candidate.first, candidate.last)
        sense = sense_gained(candidate.term, heard, talk)
        if sense > LEAST_SENSE:
            found.append((candidate, features(candidate, heard, sense)))
    return found


def score_all(transcript: Transcript, lexicon: Lexicon, barred: Collection[int] = ()) -> list[Scored]:
    """Every candidate in the words that are not barred, the likeliest first."""
    found = weigh(transcript.words, index_of(lexicon), talk(), barred)
    scores = model().scores([values for _, values in found])
    scored = [
        Scored(candidate, score, values, _least_sure(transcript, candidate))
        for (candidate, values), score in zip(found, scores, strict=True)
    ]
    return sorted(scored, key=lambda s: (-s.score, s.candidate.first, s.candidate.distance))


def _least_sure(transcript: Transcript, candidate: Candidate) -> float | None:
    heard = transcript.words[candidate.first : candidate.last + 1]
    return min((word.probability for word in heard if word.probability is not None), default=None)


def hear_terms(
    transcript: Transcript, lexicon: Lexicon, learned: Learned | None = None
) -> tuple[tuple[Correction, ...], tuple[Offer, ...]]:
    """The trade terms for which other words were heard: those put right, and those a person must choose.

    Both in the order of their words; no two touch the same word. A name and a number are never
    changed by sound, and words confirmed as heard are left.
    """
    taught, left = apply_lessons(transcript, learned or Learned())
    taken = {at for change in taught for at in change.words} | left
    changes = list(taught)
    for change in correct(transcript, lexicon):
        if not any(at in taken for at in change.words):
            changes.append(change)
            taken.update(change.words)
    offered: dict[tuple[int, int], list[Scored]] = defaultdict(list)
    standing: dict[int, tuple[int, int]] = {}
    for scored in score_all(transcript, lexicon, taken):
        candidate = scored.candidate
        if scored.score < model().offer_beside_at:
            break
        if any(at in taken for at in scored.words):
            continue
        overlapped = {standing[at] for at in scored.words if at in standing}
        if overlapped:
            # Another reading of words that are offered already is one more choice, if of the same words.
            if overlapped == {(candidate.first, candidate.last)}:
                offered[candidate.first, candidate.last].append(scored)
            continue
        beside = cache(partial(_among_trade_words, transcript, candidate, lexicon))
        # The lower bound was fitted on what a recogniser heard; typed words are seldom wrong.
        heard_so = scored.probability is not None
        if scored.score < model().offer_at and not (heard_so and beside()):
            continue
        if scored.score >= model().correct_at and beside():
            heard = _heard(transcript, candidate)
            reason = f"by sound, {scored.score:.2f}: {scored.reason}"
            changes.append(Correction(candidate.first, candidate.last, heard, candidate.term.text, reason))
            taken.update(scored.words)
        else:
            offered[candidate.first, candidate.last].append(scored)
            standing.update(dict.fromkeys(scored.words, (candidate.first, candidate.last)))
    offers = [
        Offer(
            first,
            last,
            _heard(transcript, found[0].candidate),
            tuple(Choice(s.candidate.term.text, round(s.score, 2), s.reason) for s in found[:MOST_CHOICES]),
        )
        for (first, last), found in offered.items()
    ]
    return tuple(sorted(changes, key=lambda c: c.first)), tuple(sorted(offers, key=lambda o: o.first))


def _among_trade_words(transcript: Transcript, candidate: Candidate, lexicon: Lexicon) -> bool:
    """Whether the lexicon finds a thing or a measure beside the words."""
    words, first, past = transcript.words, candidate.first, candidate.last + 1
    for side in (words[max(0, first - NEAR_WORDS) : first], words[past : past + NEAR_WORDS]):
        folded = fold_phrase(" ".join(word.text for word in side))
        for hit in lexicon.find(folded):
            found = " ".join(folded[hit.start : hit.end])
            if hit.entry.section in TRADE_SECTIONS and len(found) >= LEAST_LETTERS:
                return True
    return False


def _heard(transcript: Transcript, candidate: Candidate) -> str:
    return transcript.heard(candidate.first, candidate.last).strip(".,?!;:")
