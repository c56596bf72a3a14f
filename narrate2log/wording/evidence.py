"""What speaks for a candidate and against it, in numbers: how near it sounds, how sure the recogniser was,
whether what was heard makes sense where it stands, what is talked of around it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, zip_longest

from narrate2log.records import Word
from narrate2log.wording.candidates import Candidate
from narrate2log.wording.folding import fold
from narrate2log.wording.mishearings import NEAR_WORDS
from narrate2log.wording.talk import EDGE, NUMBER, Talk, bare
from narrate2log.wording.terms import LEAST_ODDS, LINKS, Term

# Timed text gives no probabilities: it is taken for well heard.
UNKNOWN_PROBABILITY = 0.9
LEAST_PROBABILITY = 0.03
SENTENCE_ENDS = (".", "?", "!")
PHRASE_ENDS = (*SENTENCE_ENDS, ",", ":", ";")

# The features, in the order of the model's weights, and what each one is.
FEATURES = {
    "distance": "phones between heard and term",
    "part": "the same, as a part of the longer one's phones",
    "part_squared": "its square",
    "least_sure": "the recogniser's probability of its least sure word, natural logarithm",
    "mean_sure": "mean of the same over the words",
    "sense_gained": "how much likelier the words around become with the term in place, natural logarithm",
    "term_met": "how often the term's rarest word is met in inspection talk, natural logarithm",
    "rarest_heard": "how common the rarest heard word is in English or in inspections, natural logarithm",
    "links_lost": "heard words such as 'the' and 'at' that are not in the term",
    "none_near": "1 where no trade word stands within eight words",
    "talk_near": "how much the words within eight words belong to inspections, the mean of their odds",
    "word_change": "words more or fewer than were heard",
    "words": "words heard",
    "break_inside": "1 where a sentence ends or a phrase changes inside",
    "sense_x_part": "sense_gained times part",
    "sure_x_part": "least_sure times part",
    "part_x_links": "part times links_lost",
}  # fmt: skip


@dataclass(frozen=True)
class Setting:
    """The words of a transcript as they are looked at, each once.

    `ends` tells where a phrase ends, `sentence_ends` where a sentence does. `odds_until` and `trade_until`
    are sums over the words before each place, one longer than the words: how much they belong to
    inspections, and how many are trade words. `inner`, `entered`, `left` are likelihoods, natural logarithms:
    of each word after the one before it, whatever lies between; after the one before it in its phrase; and of
    what follows it in its phrase.
    """

    words: tuple[Word, ...]
    bare: tuple[str, ...]
    sure: tuple[float, ...]
    ends: tuple[bool, ...]
    sentence_ends: tuple[bool, ...]
    odds_until: tuple[float, ...]
    trade_until: tuple[int, ...]
    inner: tuple[float, ...]
    entered: tuple[float, ...]
    left: tuple[float, ...]

    @classmethod
    def of(cls, words: Sequence[Word], talk: Talk) -> Setting:
        """The setting of a transcript's words."""
        plain = tuple(bare(word.text) for word in words)
        sure = tuple(
            math.log(max(LEAST_PROBABILITY, UNKNOWN_PROBABILITY if w.probability is None else w.probability))
            for w in words
        )
        ends = tuple(
            after is None or word.text.endswith(PHRASE_ENDS) or word.phrase != after.phrase
            for word, after in zip_longest(words, words[1:])
        )
        likely = talk.likelihood
        before = [EDGE if at == 0 or ends[at - 1] else plain[at - 1] for at in range(len(plain))]
        after = [EDGE if end else plain[at + 1] for at, end in enumerate(ends)]
        odds = [0.0 if word == NUMBER else max(-2.0, min(4.0, talk.trade_odds(word))) for word in plain]
        return cls(
            tuple(words),
            plain,
            sure,
            ends,
            tuple(word.text.endswith(SENTENCE_ENDS) for word in words),
            tuple(accumulate(odds, initial=0.0)),
            tuple(accumulate((one >= LEAST_ODDS for one in odds), initial=0)),
            tuple(map(likely, (EDGE, *plain), plain)),
            tuple(map(likely, before, plain)),
            tuple(map(likely, plain, after)),
        )

    def likelihood(self, first: int, last: int) -> float:
        """How likely words `first` to `last` are where they stand: `Talk.of_row` of them."""
        return sum(self.inner[first + 1 : last + 1], self.entered[first]) + self.left[last]

    def before(self, at: int) -> str:
        """The bare word before this one, or the edge of the phrase."""
        return EDGE if at == 0 or self.ends[at - 1] else self.bare[at - 1]

    def after(self, at: int) -> str:
        """The bare word after this one, or the edge of the phrase."""
        return EDGE if self.ends[at] else self.bare[at + 1]


@dataclass(frozen=True, slots=True)
class Span:
    """What is known of heard words in a row, whatever they may stand for."""

    before: str
    heard: tuple[str, ...]
    folded: tuple[str, ...]
    after: str
    likelihood: float
    least_sure: float
    mean_sure: float
    rarest: float
    none_near: float
    talk_near: float
    break_inside: float


def span(setting: Setting, talk: Talk, first: int, last: int) -> Span:
    """The heard words `first` to `last` (inclusive) and what stands around them."""
    heard = setting.bare[first : last + 1]
    before, after = setting.before(first), setting.after(last)
    sure = setting.sure[first : last + 1]
    begin, end = max(0, first - NEAR_WORDS), min(len(setting.words), last + 1 + NEAR_WORDS)
    odds, trade = (
        until[end] - until[begin] - (until[last + 1] - until[first])
        for until in (setting.odds_until, setting.trade_until)
    )
    return Span(
        before,
        heard,
        tuple(map(fold, heard)),
        after,
        setting.likelihood(first, last),
        min(sure),
        sum(sure) / len(sure),
        math.log(min(max(talk.english.share(word), talk.trade.share(word)) for word in heard) + 1e-6),
        float(trade == 0),
        odds / max(1, end - begin - len(heard)),
        float(any(setting.ends[first:last])),
    )


def sense_gained(term: Term, words: Span, talk: Talk) -> float:
    """How much likelier the words around become with the term in place: natural logarithm, 16 at most."""
    return min(16.0, talk.of_row(words.before, term.bare, words.after) - words.likelihood)


def features(candidate: Candidate, words: Span, sense: float) -> tuple[float, ...]:
    """The figures of FEATURES for a candidate, the heard words it would stand for, and its `sense_gained`."""
    term = candidate.term
    part = candidate.distance / candidate.length
    links = sum(
        word in LINKS and folded not in term.folded
        for word, folded in zip(words.heard, words.folded, strict=True)
    )
    return (
        candidate.distance,
        part,
        part * part,
        words.least_sure,
        words.mean_sure,
        sense,
        term.met,
        words.rarest,
        float(links),
        words.none_near,
        words.talk_near,
        float(abs(len(term.words) - len(words.heard))),
        float(len(words.heard)),
        words.break_inside,
        sense * part,
        words.least_sure * part,
        part * links,
    )
