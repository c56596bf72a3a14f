"""Denials read beside negspacy, on one list of sentences, both results shown (pytest -s).

negspacy 1.0 and later (MIT, https://pypi.org/project/negspacy/) carries NegEx (Chapman et al., 2001, from
memory) for spaCy; here on the blank English pipeline, with its own general English cues and the marked
words as the entities. The sentences are those of tests/reading/sentences/standing.txt that expect one
row, seen or not seen: negspacy knows no other standing. Ours must be as good on each class.
"""

import re

import pytest
import spacy
from negspacy.negation import Negex  # noqa: F401 (registers the pipe)
from negspacy.termsets import termset
from reading.marked import MARK, SENTENCES, Marked, load, rows_of
from spacy.language import Language

NAME = "standing.txt"
NEGATED = {True: "not-seen", False: "seen"}


@pytest.fixture(scope="module")
def sentences() -> list[tuple[Marked, re.Match[str]]]:
    """Each sentence with its mark."""
    lines = (SENTENCES / NAME).read_text(encoding="utf-8").splitlines()
    return [
        (marked, mark)
        for marked in load(NAME)
        if len(marked.rows) == 1 and marked.rows[0].standing in NEGATED.values()
        for mark in MARK.finditer(lines[marked.line - 1])
    ]


@pytest.fixture(scope="module")
def negspacy(sentences: list[tuple[Marked, re.Match[str]]]) -> Language:
    nlp = spacy.blank("en")
    nlp.add_pipe("sentencizer")
    ruler = nlp.add_pipe("entity_ruler", config={"phrase_matcher_attr": "LOWER"})
    ruler.add_patterns([{"label": "TERM", "pattern": words} for words in {mark[1] for _, mark in sentences}])
    nlp.add_pipe("negex", config={"neg_termset": termset("en").get_patterns(), "ent_types": ["TERM"]})
    return nlp


def negspacy_says(nlp: Language, marked: Marked, mark: re.Match[str]) -> str:
    # What stands before the mark stands before its words in the text.
    start = mark.start()
    terms = [entity for entity in nlp(marked.text).ents if entity.start_char <= start < entity.end_char]
    return NEGATED[terms[0]._.negex] if terms else "nothing"


def we_say(marked: Marked) -> str:
    rows = [row for row in rows_of(marked.text) if row.feature == marked.rows[0].feature]
    return rows[0].standing if len(rows) == 1 else "nothing" if not rows else "two rows"


def test_denials_at_least_as_good_as_negspacy(
    sentences: list[tuple[Marked, re.Match[str]]], negspacy: Language
) -> None:
    right = {(who, standing): 0 for who in ("ours", "negspacy") for standing in NEGATED.values()}
    counted = dict.fromkeys(NEGATED.values(), 0)
    print(f"\n{'line':>5} {'marked':<9}{'ours':<10}{'negspacy':<10}")
    for marked, mark in sentences:
        want = marked.rows[0].standing
        ours, theirs = we_say(marked), negspacy_says(negspacy, marked, mark)
        counted[want] += 1
        right["ours", want] += ours == want
        right["negspacy", want] += theirs == want
        print(f"{marked.line:>5} {want:<9}{ours:<10}{theirs:<10}{marked.text}")
    for standing, of in counted.items():
        print(
            f"{standing:<9} ours {right['ours', standing]}/{of}, negspacy {right['negspacy', standing]}/{of}"
        )

    assert min(counted.values()) >= 40
    for standing in counted:
        assert right["ours", standing] >= right["negspacy", standing]
    # The comparison says something only if negspacy was run as it should be.
    assert right["negspacy", "not-seen"] > 0.25 * counted["not-seen"]
