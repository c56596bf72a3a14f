"""The lexicon beside the list of a European standard, the agreed keys, and the spoken words of the trade.

- Titles of the main codes of EN 13508-2 (visual inspection of drains and sewers outside buildings): the
  titles only, from memory, as a list that the features must cover; nothing of the standard's text is used.
- The feature and material keys: those that readers of a draft rely on, fixed by this project.
- The glossary: common practice, no published source.
"""

import pytest

from narrate2log.wording.folding import fold_phrase
from narrate2log.wording.lexicon import Lexicon, load_lexicon

KEYS = {
    "landmark": """backwater-valve bend branch city-connection cleanout house-trap manhole surface-mark tank
        test-tee""",
    "defect": """backfall belly blockage break collapse corrosion crack cross-bore deformation deposit
        foreign-object fracture grease hole improper-connection infiltration intruding-connection
        intruding-seal joint-offset lining-defect low-slope open-joint roots scale vermin""",
    "pipe": "lining material pipe-size repair",
    "water": "flow water-level",
    "event": "counter-reset end-of-run flush flush-arrival locate pull-back start water-off water-on",
    "note": "limitation recommendation",
}
MATERIALS = """abs asbestos-cement bituminous-fiber brick cast-iron concrete ductile-iron hdpe lead pvc steel
    vitrified-clay"""
# Read from a material word and from a number, not from words of their own.
WITHOUT_WORDS = {"material", "pipe-size"}

EN_13508_2 = {
    "deformation": "deformation",
    "fissure": "crack fracture",
    "break or collapse": "break collapse",
    "surface damage": "corrosion scale",
    "intruding connection": "intruding-connection",
    "defective connection": "improper-connection",
    "intruding sealing material": "intruding-seal",
    "displaced joint": "joint-offset open-joint",
    "lining defect": "lining-defect",
    "defective repair": "repair",
    "porous pipe": "hole infiltration",
    "soil visible": "hole",
    "void visible": "hole",
    "roots": "roots",
    "attached deposits": "grease scale deposit",
    "settled deposits": "deposit",
    "ingress of soil": "deposit",
    "other obstacles": "foreign-object blockage cross-bore",
    "infiltration": "infiltration",
    "exfiltration": "hole open-joint",
    "vermin": "vermin",
    "connection": "branch city-connection",
    "point repair": "repair",
    "curvature": "bend",
    "start and finish node": "start end-of-run cleanout manhole",
    "inspection terminated early": "limitation end-of-run",
    "water level": "water-level belly",
    "loss of vision": "limitation",
}

# What is said, under what it must be found as: a feature, a material, or the file and kind of a cue.
GLOSSARY = {
    "roots": "roots, tree roots, hair roots, fine roots, root intrusion, root ball, root mass, tap root",
    "crack": "crack, hairline",
    "fracture": "fracture",
    "break": "break, broken, a missing piece",
    "hole": "hole, void, soil visible",
    "collapse": "collapse, caved in",
    "joint-offset": "offset, a step, lip, misaligned",
    "open-joint": "open joint, gap, separated, pulled apart",
    "belly": "belly, sag, dip, low spot, holding water, standing water, ponding, goes underwater, submerged",
    "backfall": "back-pitch, back-fall, reverse grade",
    "low-slope": "flat spot",
    "corrosion": "channel rot, bottom is gone, rust, pitting, corrosion, spalling, rebar",
    "scale": "scale, tuberculation",
    "grease": "grease, FOG deposit",
    "deposit": "debris, sludge, sediment, silt, gravel, encrustation, mineral deposit, calcite",
    "foreign-object": "wipes, foreign object",
    "blockage": "blockage, clog, stoppage, obstruction, backing up",
    "infiltration": "infiltration, weeper, dripper, gusher",
    "deformation": "ovality, egg-shaped, out of round, squashed, crushed, dent",
    "lining-defect": "blister, delamination",
    "intruding-connection": "intruding tap, protruding tap",
    "improper-connection": "break-in tap, hammer tap, downspout",
    "intruding-seal": "hanging gasket, hanging seal",
    "vermin": "vermin",
    "cross-bore": "cross bore",
    "cleanout": "cleanout, C.O., two-way cleanout, double cleanout",
    "branch": "wye, Y fitting, tee, san tee, combo, tie-in, stub-out, reinstatement, lateral",
    "test-tee": "test tee",
    "city-connection": "saddle, the tap, city tap, city connection, the main",
    "house-trap": "trap",
    "backwater-valve": "backwater valve, check valve, flapper",
    "bend": "sweep, elbow, ell, eighth bend, a forty-five, quarter bend, a ninety",
    "manhole": "manhole",
    "tank": "septic tank",
    "surface-mark": "under the property line, under the curb",
    "lining": "liner, CIPP",
    "repair": "patch",
    "flow": "good flow, water is moving",
    "water-level": "water level, surcharge",
    "flush": "flush",
    "pull-back": "retract, pull back",
    "counter-reset": "zero the counter",
    "locate": "located, got the sonde, got the beacon",
    "end-of-run": "end of the run, abandoning the run",
    "recommendation": "have that jetted, have that snaked, needs a cutter, needs the jetter, needs an auger",
    "pvc": "PVC, plastic, schedule forty, SDR thirty-five",
    "abs": "ABS, black plastic",
    "vitrified-clay": "clay, VCP, terracotta, tile, vitrified",
    "cast-iron": "cast iron",
    "ductile-iron": "ductile, ductile iron",
    "concrete": "concrete",
    "asbestos-cement": "asbestos cement, AC pipe",
    "bituminous-fiber": "bituminous fiber, pitch fiber, tar-paper fiber, bituminous",
    "hdpe": "HDPE",
    "steel": "steel, galvanized",
    "lead": "lead pipe",
    "brick": "brick",
    "slope.toml gauge": "pitch, slope, grade, fall is",
    "slope.toml flat": "level",
    "units.toml degree": "degrees",
    "units.toml percent": "percent",
    "units.toml clock": "o'clock",
    "units.toml per-foot": "inch per foot",
    "units.toml other": "hertz",
    "clock.toml 6": "invert, flow line, bottom",
    "clock.toml 12": "crown, top",
    "limits.toml lens": "lens, fogged, steamed up",
    "limits.toml head": "skid",
    "limits.toml reach": "stuck, hung up",
    "severity.toml minor": "slight, small, little, light, tiny, just a hair, nothing to worry about",
    "severity.toml moderate": "moderate, medium",
    "severity.toml severe": "heavy, bad, severe, major, wide open",
}

# Words of the glossary that stand for nothing in a draft, and why.
NO_ROW = {
    "stain": "a harmless explanation",
    "fog": "alone it is what clouds a lens",
    "gouge": "no feature says that a tool scratched the wall",
    "dye test": "what comes of it is told in words of its own",
    "service, side sewer, house line, building drain, house drain": "the pipe that is inspected",
    "stack, vent, riser, drop, floor drain, sump": "of the house; a row where it joins the pipe",
    "coupling, no-hub band, hub, bell, spigot, joint": "every joint has them",
    "reducer, bushing, transition": "a row only where the size or the material after it is said",
    "plug": "a closed end is named by what is closed",
    "springline": "both sides at once, so no one hour",
    "copper": "no material key; an unknown material is a row that asks",
    "quarter bubble": "a reading without a number",
    "turbulence, dry, draining": "how water looks, said of no thing",
    "five-twelve": "a frequency",
    "push, resume, slack, slip, spin, roll": "the camera is moved, which alone begins and ends nothing",
    "camera, head, light, centering guide, brush, star, self-leveling": "the camera",
    "reel, pushrod, cable, counter, footage, nozzle": "what goes with the camera",
    "locator, sonde, beacon, transmitter": "the finder; a row only where it has found something",
    "snapshot, rewind": "the recording",
}

TERMS = [(term, found_as) for found_as, terms in GLOSSARY.items() for term in terms.split(", ")]


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return load_lexicon()


def found_in(lexicon: Lexicon, phrase: str) -> set[str]:
    """Every key, and every file with its kind or hours, that the words of a phrase give."""
    names: set[str] = set()
    for hit in lexicon.find(fold_phrase(phrase.lower())):
        if hit.entry["key"]:
            names.add(hit.entry["key"])
        for value in (hit.entry["kind"], *(hit.entry["hours"] or ())):
            names.add(f"{hit.entry.file} {value}")
    return names


@pytest.mark.parametrize("kind", KEYS)
def test_every_feature_has_words(lexicon: Lexicon, kind: str) -> None:
    there = {key for key, entry in lexicon.features.items() if entry["kind"] == kind}
    assert there == set(KEYS[kind].split()) - WITHOUT_WORDS


def test_every_material_has_words(lexicon: Lexicon) -> None:
    assert set(lexicon.materials) == set(MATERIALS.split())


@pytest.mark.parametrize("title", EN_13508_2)
def test_every_title_has_a_feature(lexicon: Lexicon, title: str) -> None:
    assert set(EN_13508_2[title].split()) <= lexicon.features.keys()


@pytest.mark.parametrize(("term", "found_as"), TERMS)
def test_the_words_of_the_trade(lexicon: Lexicon, term: str, found_as: str) -> None:
    assert found_as in found_in(lexicon, term)


@pytest.mark.parametrize("term", [term for terms in NO_ROW for term in terms.split(", ")])
def test_words_that_name_nothing_to_record(lexicon: Lexicon, term: str) -> None:
    named = found_in(lexicon, term) & (lexicon.features.keys() | lexicon.materials.keys())
    assert named == set()
