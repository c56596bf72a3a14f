"""How many trade terms heard as other words are put right or offered, and at what harm, in one table.

    PYTHONPATH=tests python tests/benchmarks/hearing_terms.py [--folds FOLDER]

On the narrations as the embedded model heard them (tests/fitting/heard), set beside what was said; on
ordinary English (the part of tests/fitting/prose.txt.gz that nothing was fitted to) and on
tests/wording/lookalikes.txt.
FOLDER is what `tests/fitting/fit.py --out FOLDER` wrote: then each voice is decided on by a model and counts
that never met it; without it the shipped ones are used, which met them all.

The ways:

    nothing      the words as heard
    spelling     rapidfuzz on letters alone: one to three words to the nearest term, from 80 of 100 on
    known list   the mis-hearings that the lexicon lists, found where their neighbours agree
    narrate2log  the known list, then sound and context

A term is mis-heard where other words were heard from which the lexicon reads another thing or none: "pvc" for
"P V C" and "down spout" for "downspout" count as heard. Printed for each way, of the terms so mis-heard:
recovered; recovered or offered (the right one among the choices); offers and wrong changes a 1,000 words;
error rates of terms and of words; then false changes and offers a 1,000 words of English.

Then the error rates of terms and words before and after, by voice, by noise, and for the larger model
(tests/fitting/heard_base) on the narrations that both models heard.
"""

from __future__ import annotations

import argparse
import time
import tomllib
from collections import Counter
from pathlib import Path
from unittest import mock

from fitting import pairs, texts
from fitting.alignment import tokens
from rapidfuzz import fuzz, process
from rapidfuzz.distance import Levenshtein

from narrate2log.records import Correction, Transcript
from narrate2log.wording import decide
from narrate2log.wording.candidates import SoundIndex
from narrate2log.wording.evidence import FEATURES
from narrate2log.wording.folding import fold_phrase
from narrate2log.wording.lexicon import load_lexicon
from narrate2log.wording.mishearings import correct
from narrate2log.wording.talk import is_number, talk, unpack
from narrate2log.wording.terms import LINKS, LONGEST, terms

LEXICON = load_lexicon()
LEAST_SPELLING = 80
LOOKALIKES = Path(__file__).parents[1] / "wording" / "lookalikes.txt"
THINGS = ("feature", "material")
TERMS = [
    term
    for term in terms(LEXICON, talk())
    if any(hit.entry.section in THINGS for hit in LEXICON.find(fold_phrase(term.text)))
]
SAID = {tuple(tokens([term.text])[0]) for term in TERMS}
# Speech over noise, decibels: the edges between loud, middling and quiet surroundings.
NOISE = (16, 21)


def nothing(transcript):
    return (), ()


def spelling(transcript):
    texts_ = [term.text for term in TERMS]
    words = [word.text.lower().strip(".,?!") for word in transcript.words]
    rows = {}
    for first in range(len(words)):
        for last in range(first, min(first + 3, len(words))):
            row = " ".join(words[first : last + 1])
            if len(row) > 3 and row not in texts_ and not any(map(is_number, words[first : last + 1])):
                rows[first, last] = row
    found = {
        row: process.extractOne(row, texts_, scorer=fuzz.ratio, score_cutoff=LEAST_SPELLING)
        for row in set(rows.values())
    }
    best = sorted((-found[row][1], span, found[row][0]) for span, row in rows.items() if found[row])
    taken, changes = set(), []
    for _, (first, last), meant in best:
        span = set(range(first, last + 1))
        if not span & taken and not all(words[at] in LINKS for at in span):
            taken |= span
            changes.append(Correction(first, last, "", meant, "spelling"))
    return tuple(sorted(changes, key=lambda one: one.first)), ()


def known_list(transcript):
    return correct(transcript, LEXICON), ()


def narrate2log(transcript):
    return decide.hear_terms(transcript, LEXICON)


WAYS = {"nothing": nothing, "spelling": spelling, "known list": known_list, "narrate2log": narrate2log}


def terms_in(said):
    """The terms in a row of tokens, longest first, none overlapping."""
    at = 0
    while at < len(said):
        length = next((n for n in range(LONGEST, 0, -1) if tuple(said[at : at + n]) in SAID), 0)
        if length:
            yield at, at + length
        at += max(1, length)


def mis_heard(aligned):
    """The terms said for which other words were heard, with their region; how many were not heard; all."""
    other, silent, total = [], 0, 0
    for begin, end in terms_in(aligned.said):
        total += 1
        for region in aligned.regions:
            if region.said[0] < end and begin < region.said[1]:
                term = aligned.said[begin:end]
                if region.heard[0] == region.heard[1]:
                    silent += 1
                elif not reads_the_same(aligned.heard, region.heard, term):
                    other.append((term, region))
                break
    return other, silent, total


def reads_the_same(heard, span, term):
    """Does the lexicon read the thing that the term names from the words heard?"""
    low, high = max(0, span[0] - len(term)), span[1] + len(term)
    meant = {hit.entry["key"] for hit in LEXICON.find(tuple(term)) if hit.entry.section in THINGS}
    found = {
        hit.entry["key"]
        for hit in LEXICON.find(tuple(heard[low:high]))
        if hit.entry.section in THINGS and low + hit.start < span[1] and span[0] < low + hit.end
    }
    return bool(meant & found)


def has(row, term):
    return any(row[at : at + len(term)] == term for at in range(len(row) - len(term) + 1))


def put_in(aligned, region, changes):
    """The tokens heard in a region, and beside it, with the changes put in."""
    low, high = max(0, region.heard[0] - 3), min(len(aligned.owner), region.heard[1] + 3)
    row = []
    for at in range(low, high):
        word = aligned.owner[at]
        change = next((one for one in changes if one.first <= word <= one.last), None)
        if change is None:
            row.append(aligned.heard[at])
        elif at == low or aligned.owner[at - 1] < change.first:
            row += tokens([change.read_as])[0]
    return row


def fold(folder, voice):
    """Decide by the model and counts made without this voice."""
    if folder is None:
        return mock.patch.multiple(decide)
    data = tomllib.loads((folder / voice / "model.toml").read_text(encoding="utf-8"))
    weights = tuple(data["weights"][name] for name in FEATURES)
    model = decide.Model(
        weights, data["constant"], data["correct_at"], data["offer_at"], data["offer_beside_at"]
    )
    counts = unpack((folder / voice / "talk.z").read_bytes())
    index = SoundIndex(terms(LEXICON, counts))
    return mock.patch.multiple(
        decide, model=lambda: model, talk=lambda: counts, index_of=lambda lexicon: index
    )


def measure(way, heard, folder):
    count = Counter()
    for one in heard:
        transcript = Transcript(one.words, ())
        with fold(folder, one.voice) if way is narrate2log and folder else mock.patch.dict({}):
            changes, offers = way(transcript)
        count["words"] += len(one.words)
        count["offers"] += len(offers)
        count["wrong"] += sum(one.aligned.mends(c.first, c.last, c.read_as) < 0 for c in changes)
        other, silent, total = mis_heard(one.aligned)
        count["terms"] += total
        count["silent"] += silent
        for term, region in other:
            count["other"] += 1
            right = has(put_in(one.aligned, region, changes), term)
            count["recovered"] += right
            choices = [Correction(o.first, o.last, "", c.read_as, "") for o in offers for c in o.choices]
            count["either"] += right or any(has(put_in(one.aligned, region, [c]), term) for c in choices)
        text = [word.text for word in one.words]
        for change in reversed(changes):
            text[change.first : change.last + 1] = [change.read_as]
        count["said"] += len(one.aligned.said)
        count["errors"] += Levenshtein.distance(one.aligned.said, tokens(text)[0])
    return count


def term_errors(count):
    return (count["silent"] + count["other"] - count["recovered"]) / max(1, count["terms"])


def word_errors(count):
    return count["errors"] / max(1, count["said"])


def noise(one):
    loud, middling = NOISE
    return "loud" if one.snr < loud else "middling" if one.snr < middling else "quiet"


def print_groups(folder):
    """Error rates before and after by voice and noise, then by model."""
    heard, larger = pairs.load(), pairs.load(texts.HEARD_BY_BASE)
    both = {one.name for one in larger}
    groups = {f"voice {one.voice}": [] for one in sorted(heard, key=lambda one: one.voice)}
    groups |= {f"noise {level}": [] for level in ("loud", "middling", "quiet")}
    for one in heard:
        groups[f"voice {one.voice}"].append(one)
        groups[f"noise {noise(one)}"].append(one)
    groups["embedded model"] = [one for one in heard if one.name in both]
    groups["larger model"] = larger
    print(f"\n{'':18}{'cases':>6}{'terms wrong':>13}{'after':>7}{'words wrong':>13}{'after':>7}")
    for name, cases in groups.items():
        before, after = measure(nothing, cases, None), measure(narrate2log, cases, folder)
        print(
            f"{name:18}{len(cases):6}{term_errors(before):13.1%}{term_errors(after):7.1%}"
            f"{word_errors(before):13.1%}{word_errors(after):7.1%}"
        )


def main():
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--folds", type=Path, metavar="FOLDER", help="models that have not met the voice")
    options = parser.parse_args()

    heard = pairs.load()
    prose = Transcript(texts.prose(to_fit=False), ())
    everything = LOOKALIKES.read_text(encoding="utf-8").splitlines()
    lines = [line for line in everything if not line.startswith("#")]
    alike = Transcript(texts.words_of(lines), ())
    first = measure(nothing, heard, None)
    print(
        f"{first['words']} words heard in {len(heard)} narrations; {first['terms']} terms said, of which"
        f" {first['silent']} were not heard at all and {first['other']} were heard as other words"
    )
    print(
        f"{'':13}{'recovered':>10}{'or offered':>11}{'offers/k':>9}{'wrong/k':>8}{'terms':>7}{'words':>7}"
        f"{'prose: false/k':>15}{'offers/k':>9}{'look-alikes: false':>19}{'offers':>7}{'ms/100 words':>13}"
    )
    for name, way in WAYS.items():
        count = measure(way, heard, options.folds)
        changes, offers = way(prose)
        same, asked = way(alike)
        begin = time.perf_counter()
        for one in heard:
            way(Transcript(one.words, ()))
        spent = (time.perf_counter() - begin) / count["words"] * 1e5
        print(
            f"{name:13}{count['recovered'] / count['other']:10.1%}{count['either'] / count['other']:11.1%}"
            f"{1000 * count['offers'] / count['words']:9.1f}{1000 * count['wrong'] / count['words']:8.2f}"
            f"{term_errors(count):7.1%}{word_errors(count):7.1%}"
            f"{1000 * len(changes) / len(prose.words):15.2f}{1000 * len(offers) / len(prose.words):9.2f}"
            f"{len(same):19}{len(asked):7}{spent:13.1f}"
        )
    print_groups(options.folds)


if __name__ == "__main__":
    main()
