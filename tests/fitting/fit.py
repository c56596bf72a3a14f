"""Fit the model that decides on mis-heard terms, and print how well it does on voices it has not met.

    PYTHONPATH=tests python tests/fitting/fit.py [--write] [--out FOLDER]

Needs scikit-learn, which the tool itself does not. For each voice the counts of inspection talk and the
weights are made from the narrations of the other voices; each narration has one voice and one text, so what
is measured was neither heard nor read before. `--write` then fits to all and writes
narrate2log/wording/data/model.toml; `--out` writes, for each voice, the model and the counts made without
it, to measure whole drafts with.
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np
from sklearn.linear_model import LogisticRegression
from sklearn.preprocessing import StandardScaler

from fitting import pairs, texts
from narrate2log.wording.candidates import SoundIndex
from narrate2log.wording.evidence import FEATURES
from narrate2log.wording.lexicon import load_lexicon
from narrate2log.wording.sound import DATA
from narrate2log.wording.talk import pack, talk
from narrate2log.wording.terms import terms

# Chosen on this table: from the first on few corrections are wrong, from the second on offers are few.
CORRECT_AT = 0.5
OFFER_AT = 0.3
# Beside words of the trade the least score will do that asks no more than this often in 1,000 words, of
# inspections and of ordinary English.
MOST_OFFERS, MOST_IN_PROSE = 10.0, 1.0
OFFER_STEPS = np.arange(0.1, OFFER_AT, 0.01).round(2)
STEPS = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)


def rows_of_voice(voice: str) -> list[pairs.Row]:
    """The candidates in what a voice read, by counts that have not met it."""
    talk = pairs.talk_without({voice})
    index = SoundIndex(terms(load_lexicon(), talk))
    return [row for heard in pairs.load() if heard.voice == voice for row in pairs.rows(heard, index, talk)]


def rows_of_prose() -> list[pairs.Row]:
    """The candidates in the part of the ordinary English that is fitted to; none of them is right."""
    known = talk()
    return pairs.prose_rows(SoundIndex(terms(load_lexicon(), known)), known, texts.prose(to_fit=True))


def fitted(rows: Sequence[pairs.Row]) -> tuple[np.ndarray, float]:
    """Weights and constant over the features as they are."""
    values = np.array([row.values for row in rows])
    right = np.array([row.mends > 0 for row in rows])
    scaler = StandardScaler().fit(values)
    model = LogisticRegression(C=1.0, max_iter=3000).fit(scaler.transform(values), right)
    weights = model.coef_[0] / scaler.scale_
    return weights, float(model.intercept_[0] - weights @ scaler.mean_)


def scores(rows: Sequence[pairs.Row], weights: np.ndarray, constant: float) -> np.ndarray:
    return 1 / (1 + np.exp(-(np.array([row.values for row in rows]) @ weights + constant)))


def chosen(rows: Sequence[pairs.Row], score: np.ndarray, least: float) -> list[int]:
    """The rows that stand, the likeliest first, no two over the same word."""
    taken: dict[str, set[int]] = defaultdict(set)
    kept = []
    for at in np.argsort(-score):
        if score[at] < least:
            break
        row = rows[at]
        span = set(range(row.candidate.first, row.candidate.last + 1))
        if not span & taken[row.case]:
            taken[row.case] |= span
            kept.append(int(at))
    return kept


def offers_per_thousand(
    rows: Sequence[pairs.Row], score: np.ndarray, words: int, least: float
) -> tuple[float, float]:
    """How often is asked in 1,000 words from a score on, and of that how often rightly."""
    asked = [at for at in chosen(rows, score, least) if score[at] < CORRECT_AT]
    return 1000 * len(asked) / words, 1000 * sum(rows[at].mends > 0 for at in asked) / words


def least_to_offer(
    rows: Sequence[pairs.Row], score: np.ndarray, words: int, prose: Sequence[pairs.Row], weights: np.ndarray,
    constant: float,
) -> float:  # fmt: skip
    """The lowest score from which there are few enough offers."""
    ordinary = scores(prose, weights, constant)
    return next(
        float(least)
        for least in OFFER_STEPS
        if offers_per_thousand(rows, score, words, least)[0] <= MOST_OFFERS
        and offers_per_thousand(prose, ordinary, texts.PROSE_TO_FIT, least)[0] <= MOST_IN_PROSE
    )


def write_model(folder: Path, weights: np.ndarray, constant: float, beside: float) -> None:
    lines = [
        "# Made by tests/fitting/fit.py; what each figure means is FEATURES in wording/evidence.py.",
        f"correct_at = {CORRECT_AT}",
        f"offer_at = {OFFER_AT}",
        f"offer_beside_at = {beside}",
        f"constant = {constant:.4f}",
        "",
        "[weights]",
        *(f"{name} = {weight:.4f}" for name, weight in zip(FEATURES, weights, strict=True)),
    ]
    (folder / "model.toml").write_text("\n".join(lines) + "\n", encoding="utf-8")


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--write", action="store_true", help="fit to all and write the model that ships")
    parser.add_argument(
        "--out", type=Path, metavar="FOLDER", help="a folder of models, one without each voice"
    )
    options = parser.parse_args()

    heard = pairs.load()
    voices = sorted({one.voice for one in heard})
    with ProcessPoolExecutor(2) as pool:
        prose = pool.submit(rows_of_prose)
        by_voice = dict(zip(voices, pool.map(rows_of_voice, voices), strict=True))
        ordinary = prose.result()
    rows: list[pairs.Row] = []
    parts = []
    models = {}
    for voice in voices:
        others = [row for other in voices if other != voice for row in by_voice[other]]
        models[voice] = fitted([*others, *ordinary])
        rows += by_voice[voice]
        parts.append(scores(by_voice[voice], *models[voice]))
    score = np.concatenate(parts)
    words = sum(len(one.words) for one in heard)
    print(f"{len(heard)} narrations, {len(voices)} voices, {words} words, {len(rows)} candidates")
    print(
        f"{'from score':>10}{'changed':>9}{'right':>7}{'no nearer':>11}{'wrong':>7}{'wrong/1000 words':>18}"
    )
    for least in STEPS:
        kept = chosen(rows, score, least)
        right = sum(rows[at].mends > 0 for at in kept)
        wrong = sum(rows[at].mends < 0 for at in kept)
        counted = f"{len(kept):9}{right:7}{len(kept) - right - wrong:11}{wrong:7}"
        print(f"{least:10.1f}{counted}{1000 * wrong / words:18.2f}")
    final = fitted([*rows, *ordinary])
    beside = least_to_offer(rows, score, words, ordinary, *final)
    asked, right = offers_per_thousand(rows, score, words, beside)
    print(f"beside trade words offered from {beside} on: {asked:.1f} in 1,000 words, {right:.1f} right")
    for voice, model in models.items():
        if options.out:
            folder = options.out / voice
            folder.mkdir(parents=True, exist_ok=True)
            write_model(folder, *model, beside)
            (folder / "talk.z").write_bytes(pack(pairs.talk_without({voice})))
    if options.write:
        write_model(DATA, *final, beside)


if __name__ == "__main__":
    main()
