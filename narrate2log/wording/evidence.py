"""What speaks for a candidate and against it, in numbers: how near it sounds, how sure the recogniser was,
whether what was heard makes sense where it stands, what is talked of around it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from narrate2log.records import Word
from narrate2log.wording.candidates import Candidate
from narrate2log.wording.folding import fold
from narrate2log.wording.talk import EDGE, NUMBER, Talk, bare
from narrate2log.wording.terms import LEAST_ODDS, LINKS

# Words on either side that may be trade words, as far as known mis-hearings look for theirs.
NEAR_WORDS = 8
# Timed text gives no probabilities: it is taken for well heard.
UNKNOWN_PROBABILITY = 0.9
LEAST_PROBABILITY = 0.03

# The features, in the order of the model's weights, and what each one is.
FEATURES = {
    "distance": "phones between heard and term",
    "part": "the same, as a part of the longer one's phones",
    "part_squared": "its square",
    "length": "phones of the longer one, natural logarithm",
    "least_sure": "the recogniser's probability of its least sure word, natural logarithm",
    "mean_sure": "mean of the same over the words",
    "sense_gained": "how much likelier the words around become with the term in place, natural logarithm",
    "sense_heard": "how likely what was heard is where it stands, a word, natural logarithm",
    "term_met": "how often the term's rarest word is met in inspection talk, natural logarithm",
    "term_belongs": "how much the term belongs to inspections rather than to English, natural logarithm",
    "named": "1 where the lexicon names the term outright",
    "heard_common": "how common the commonest heard word is in English, natural logarithm",
    "rarest_heard": "how common the rarest heard word is in English or in inspections, natural logarithm",
    "trade_lost": "heard words that belong to inspections and are not in the term",
    "links_lost": "heard words such as 'the' and 'at' that are not in the term",
    "trade_near": "trade words within eight words, at most 6",
    "none_near": "1 where there is none",
    "talk_near": "how much the words within eight words belong to inspections, the mean of their odds",
    "word_change": "words more or fewer than were heard",
    "words": "words heard",
    "break_inside": "1 where a sentence ends or a phrase changes inside",
    "sense_x_part": "sense_gained times part",
    "sure_x_part": "least_sure times part",
    "sense_x_sure": "sense_gained times least_sure",
    "part_x_words": "part times the words heard after the first",
    "part_x_links": "part times links_lost",
    "makes_row": "1 where the term names a thing, so that reading it makes a row",
}  # fmt: skip


@dataclass(frozen=True)
class Setting:
    """The words of a transcript as they are looked at, each once."""

    words: tuple[Word, ...]
    bare: tuple[str, ...]
    sure: tuple[float, ...]
    odds: tuple[float, ...]
    trade: tuple[bool, ...]

    @classmethod
    def of(cls, words: Sequence[Word], talk: Talk) -> Setting:
        """The setting of a transcript's words."""
        plain = tuple(bare(word.text) for word in words)
        sure = tuple(
            math.log(max(LEAST_PROBABILITY, UNKNOWN_PROBABILITY if w.probability is None else w.probability))
            for w in words
        )
        odds = tuple(0.0 if word == NUMBER else max(-2.0, min(4.0, talk.trade_odds(word))) for word in plain)
        return cls(tuple(words), plain, sure, odds, tuple(one >= LEAST_ODDS for one in odds))

    def ends_after(self, at: int) -> bool:
        """Does a sentence or a phrase end after this word?"""
        if at < 0 or at + 1 >= len(self.words):
            return True
        return (
            self.words[at].text.endswith((".", "?", "!", ",", ":", ";"))
            or self.words[at].phrase != self.words[at + 1].phrase
        )

    def sentence_ends_after(self, at: int) -> bool:
        """Does a sentence end after this word?"""
        return self.words[at].text.endswith((".", "?", "!"))

    def before(self, at: int) -> str:
        """The bare word before this one, or the edge of the sentence."""
        return EDGE if self.ends_after(at - 1) else self.bare[at - 1]

    def after(self, at: int) -> str:
        """The bare word after this one, or the edge of the sentence."""
        return EDGE if self.ends_after(at) else self.bare[at + 1]


def features(candidate: Candidate, setting: Setting, talk: Talk) -> tuple[float, ...]:
    """The figures of FEATURES for one candidate."""
    first, last, term = candidate.first, candidate.last, candidate.term
    heard = setting.bare[first : last + 1]
    before, after = setting.before(first), setting.after(last)
    with_heard = talk.of_row(before, heard, after)
    with_term = talk.of_row(before, map(bare, term.words), after)
    sense = max(-12.0, min(16.0, with_term - with_heard))
    part = candidate.distance / candidate.length
    sure = setting.sure[first : last + 1]
    nearby = sum(setting.trade[max(0, first - NEAR_WORDS) : first]) + sum(
        setting.trade[last + 1 : last + 1 + NEAR_WORDS]
    )
    odds = [
        *setting.odds[max(0, first - NEAR_WORDS) : first],
        *setting.odds[last + 1 : last + 1 + NEAR_WORDS],
    ]
    kept = {fold(word) for word in term.words}
    lost = [at for at in range(first, last + 1) if fold(setting.bare[at]) not in kept]
    links = sum(setting.bare[at] in LINKS for at in lost)
    return (
        candidate.distance,
        part,
        part * part,
        math.log(candidate.length),
        min(sure),
        sum(sure) / len(sure),
        sense,
        with_heard / (len(heard) + 1),
        math.log(min(talk.trade.share(bare(word)) for word in term.words) + 1e-5),
        term.belongs,
        float(term.named),
        math.log(max(talk.english.share(word) for word in heard) + 1e-6),
        math.log(min(max(talk.english.share(word), talk.trade.share(word)) for word in heard) + 1e-6),
        float(sum(setting.trade[at] for at in lost)),
        float(links),
        float(min(6, nearby)),
        float(nearby == 0),
        sum(odds) / max(1, len(odds)),
        float(abs(len(term.words) - len(heard))),
        float(len(heard)),
        float(any(setting.ends_after(at) for at in range(first, last))),
        sense * part,
        min(sure) * part,
        sense * min(sure),
        part * (len(heard) - 1),
        part * links,
        float(term.makes_row),
    )
