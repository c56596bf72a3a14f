"""How words sound: their phones, and how far apart two rows of phones are.

Phones are those of the CMU Pronouncing Dictionary, each written as one character, so that a word is
a string: "wye" is "wY". The dictionary lies compressed in `data/`, with its notice; what it does not
hold is sounded out by the letters in `data/letters.toml`.
"""

from __future__ import annotations

import re
import tomllib
import zlib
from collections.abc import Sequence
from functools import cache, lru_cache
from itertools import product
from pathlib import Path

import numpy as np
import numpy.typing as npt

Costs = npt.NDArray[np.float32]
# Rows of phones, as text or packed as ASCII.
Rows = Sequence[str] | npt.NDArray[np.bytes_]

DATA = Path(__file__).parent / "data"

# ARPABET (the dictionary's own alphabet) to one character: vowels are capitals, @ is the unstressed AH.
PHONES = {
    "AA": "X", "AE": "A", "AH": "V", "AH0": "@", "AO": "Q", "AW": "W", "AY": "Y", "EH": "F", "ER": "R",
    "EY": "E", "IH": "L", "IY": "I", "OW": "O", "OY": "J", "UH": "H", "UW": "U",
    "B": "b", "CH": "c", "D": "d", "DH": "x", "F": "f", "G": "g", "HH": "h", "JH": "j", "K": "k", "L": "l",
    "M": "m", "N": "n", "NG": "q", "P": "p", "R": "r", "S": "s", "SH": "$", "T": "t", "TH": "%", "V": "v",
    "W": "w", "Y": "y", "Z": "z", "ZH": "&",
}  # fmt: skip

# Where a vowel is made: height (0 low, 3 high), backness (0 front, 2 back); glides by their middle.
# After the IPA chart; the figures are this project's own.
VOWELS = {
    "X": (0, 2), "A": (0, 0), "V": (1, 1), "@": (1.5, 1), "Q": (1, 2), "W": (0.5, 1.5), "Y": (0.8, 0.8),
    "F": (1, 0), "R": (1.5, 1.2), "E": (2, 0), "L": (2.5, 0.4), "I": (3, 0), "O": (2, 2), "J": (1.8, 1.4),
    "H": (2.5, 1.6), "U": (3, 2),
}  # fmt: skip
# How a consonant is made: voice, place (0 lips ... 5 throat), manner. After the IPA chart.
CONSONANTS = {
    "b": (1, 0, "stop"), "p": (0, 0, "stop"), "d": (1, 2, "stop"), "t": (0, 2, "stop"), "g": (1, 4, "stop"),
    "k": (0, 4, "stop"), "c": (0, 3, "affricate"), "j": (1, 3, "affricate"), "f": (0, 0.5, "fricative"),
    "v": (1, 0.5, "fricative"), "%": (0, 1.5, "fricative"), "x": (1, 1.5, "fricative"),
    "s": (0, 2, "fricative"), "z": (1, 2, "fricative"), "$": (0, 3, "fricative"), "&": (1, 3, "fricative"),
    "h": (0, 5, "fricative"), "m": (1, 0, "nasal"), "n": (1, 2, "nasal"), "q": (1, 4, "nasal"),
    "l": (1, 2, "liquid"), "r": (1, 2.7, "liquid"), "w": (1, 0.7, "glide"), "y": (1, 3.3, "glide"),
}  # fmt: skip
# Manners that are taken for one another more easily than the rest.
NEAR_MANNERS = {
    frozenset(pair) for pair in (("stop", "affricate"), ("affricate", "fricative"), ("liquid", "glide"))
}

# Sounds that come and go in quick speech, and what leaving one out or putting one in costs (1: any other).
LIGHT = {
    "@": 0.4,
    "h": 0.5,
    "t": 0.6,
    "d": 0.6,
    "L": 0.6,
    "r": 0.7,
    "l": 0.7,
    "w": 0.7,
    "y": 0.5,
    "n": 0.7,
    "R": 0.7,
    "s": 0.7,
    "z": 0.6,
}
# A vowel for a consonant.
ACROSS = 1.2

_WORD = re.compile(r"[a-z']+")
# How many ways of saying a word, and a row of words, are looked at.
MOST_WAYS = 2
MOST_ROWS = 4


@cache
def _dictionary() -> bytes:
    """The dictionary: lines of word, space, ways of saying it; in order; a newline at both ends."""
    return zlib.decompress((DATA / "cmudict.z").read_bytes())


@cache
def _letters() -> dict[str, str]:
    """Letter groups and names of letters as phone characters."""
    table: dict[str, str] = tomllib.loads((DATA / "letters.toml").read_text(encoding="utf-8"))["groups"]
    return table


@cache
def _letter_names() -> dict[str, str]:
    names: dict[str, str] = tomllib.loads((DATA / "letters.toml").read_text(encoding="utf-8"))["names"]
    return names


def look_up(word: str) -> tuple[str, ...]:
    """The dictionary's ways of saying a lower-case word, none if it is not there.

    >>> look_up("wye"), look_up("joint"), look_up("xqzt")
    (('wY',), ('jJnt',), ())
    """
    lines, key = _dictionary(), word.encode()
    low, high = 0, len(lines)
    while low < high:
        middle = (low + high) // 2
        start = lines.rfind(b"\n", 0, middle) + 1
        end = lines.find(b"\n", middle)
        if end < 0 or start >= high:
            break
        found, _, ways = lines[start:end].partition(b" ")
        if found == key:
            return tuple(ways.decode().split(" "))
        if found < key:
            low = end + 1
        else:
            high = start - 1
    return ()


def sound_out(word: str) -> str:
    """Phones of a word by its letters alone: the longest group of letters first.

    >>> sound_out("thrudge")
    '%rVj'
    """
    groups = _letters()
    phones, at = "", 0
    # A final e is silent after a consonant that follows a vowel.
    if re.search(r"[aeiouy][bcdfgklmnprstvz]e$", word):
        word = word[:-1]
    while at < len(word):
        for length in (4, 3, 2, 1):
            group = word[at : at + length]
            if group in groups:
                phones += groups[group]
                at += len(group)
                break
        else:
            at += 1
    return re.sub(r"(.)\1+", r"\1", phones)


def spell(word: str) -> str:
    """Phones of a word said letter by letter.

    >>> spell("abs")
    'EbIFs'
    """
    names = _letter_names()
    return "".join(names.get(letter, "") for letter in word)


@lru_cache(maxsize=50_000)
def phones_of(word: str) -> tuple[str, ...]:
    """The likeliest ways of saying a word, at most two. Initials are also said letter by letter.

    >>> phones_of("routes")
    ('rUts', 'rWts')
    """
    bare = "".join(_WORD.findall(word.lower().replace("’", "'"))).strip("'")
    if not bare:
        return ()
    ways = list(look_up(bare)[:MOST_WAYS])
    initials = 1 < len(bare) <= 4 and (
        word.strip(".,?!").isupper() or (not ways and len(re.findall("[aeiouy]", bare)) <= len(bare) // 4)
    )
    if initials:
        return tuple(dict.fromkeys((spell(bare), *ways)))[:MOST_WAYS]
    if not ways and bare.endswith("'s"):
        ways = [way + "z" for way in phones_of(bare[:-2])]
    if not ways:
        ways = _as_two_words(bare)
    return tuple(ways) or (sound_out(bare.replace("'", "")),)


def _as_two_words(word: str) -> list[str]:
    """A word that the dictionary holds in two halves: "cleanout", "sidewall"."""
    for at in range(3, len(word) - 2):
        halves = look_up(word[:at]), look_up(word[at:])
        if halves[0] and halves[1]:
            return [halves[0][0] + halves[1][0]]
    return []


# A run that is listened to is read anew after each phrase; an hour of talk has some 25,000 rows of words.
@lru_cache(maxsize=40_000)
def phones_of_row(words: tuple[str, ...]) -> tuple[str, ...]:
    """The ways of saying words in a row, at most four."""
    rows = product(*(phones_of(word) or ("",) for word in words))
    return tuple("".join(row) for row, _ in zip(rows, range(MOST_ROWS), strict=False))


@cache
def _swap(one: str, other: str) -> float:
    """What hearing one phone for another costs, 0 to 1.2. Vowels are cheap; voicing is cheapest."""
    if one == other:
        return 0.0
    if one in VOWELS and other in VOWELS:
        (high, back), (high2, back2) = VOWELS[one], VOWELS[other]
        return min(0.7, 0.15 + 0.15 * abs(high - high2) + 0.12 * abs(back - back2))
    if one in CONSONANTS and other in CONSONANTS:
        (voice, place, manner), (voice2, place2, manner2) = CONSONANTS[one], CONSONANTS[other]
        cost = 0.2 * (voice != voice2) + min(0.45, 0.18 * abs(place - place2) + 0.1 * (place != place2))
        if manner != manner2:
            cost += 0.3 if frozenset((manner, manner2)) in NEAR_MANNERS else 0.5
        return min(1.0, cost)
    # Some vowels are half a consonant.
    if {one, other} in ({"R", "r"}, {"I", "y"}, {"U", "w"}):
        return 0.3
    return ACROSS


@cache
def _tables() -> tuple[npt.NDArray[np.intp], Costs, Costs]:
    """The phones' numbers by their character; what each swap costs, and each phone to put in or leave out."""
    every = [*VOWELS, *CONSONANTS]
    numbers = np.zeros(128, dtype=np.intp)
    numbers[[ord(phone) for phone in every]] = range(len(every))
    swaps = np.array([[_swap(one, other) for other in every] for one in every], dtype=np.float32)
    alone = np.array([LIGHT.get(phone, 1.0) for phone in every], dtype=np.float32)
    return numbers, swaps, alone


def distances(heard: Rows, meant: Rows) -> Costs:
    """The cheapest way to make each of `heard` into the one of `meant` at its place, in whole phones.

    >>> distances(["rUts", "Frl"], ["rUts", "hFrl"]).tolist()
    [0.0, 0.5]

    Each is a cell of the usual table of an edit distance (Wagner and Fischer 1974), which is filled for the
    longest pair; a shorter pair reads its own cell on the way.
    """
    _, swaps, alone = _tables()
    one, one_lengths = _numbered(heard)
    other, other_lengths = _numbered(meant)
    pairs = np.arange(len(heard))
    result = np.zeros(len(heard), dtype=np.float32)
    put_in = alone[other]
    row = np.zeros((len(other) + 1, len(heard)), dtype=np.float32)
    np.cumsum(put_in, axis=0, out=row[1:])
    for step in range(len(one) + 1):
        if step:
            phone = one[step - 1]
            left_out = alone[phone]
            # Swapped or left out, for the whole row; what is put in runs on from the cell before.
            best = np.minimum(row[:-1] + swaps[phone, other], row[1:] + left_out)
            row[0] += left_out
            for at, cost in enumerate(put_in):
                np.minimum(best[at], row[at] + cost, out=row[at + 1])
        ends = one_lengths == step
        result[ends] = row[other_lengths[ends], pairs[ends]]
    return result


def _numbered(rows: Rows) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]:
    """Rows of phones as numbers, shape (longest, rows), any number behind a shorter one; their lengths."""
    numbers, _, _ = _tables()
    packed = np.asarray(rows, dtype=np.bytes_)
    codes = packed.view(np.uint8).reshape(len(packed), packed.itemsize if len(packed) else 0)
    lengths = np.count_nonzero(codes, axis=1)
    return np.ascontiguousarray(numbers[codes[:, : lengths.max(initial=0)]].T), lengths


# Phones folded to the classes in which hearing goes wrong, to find candidates fast: their place in the
# mouth matters less than that they are there.
_GROUPS = ("XAVQWY@", "FLIE", "OUHJ", "Rr", "bp", "dt", "gk", "cj$&", "fv%x", "sz", "mnq")
_CLASSES = str.maketrans({phone: group[0] for group in _GROUPS for phone in group})


def classes(phones: str) -> str:
    """Phones folded to their classes: "pits" and "bids" are one.

    >>> classes("pLts") == classes("bLdz")
    True
    """
    return phones.translate(_CLASSES)
