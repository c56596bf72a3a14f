"""The lexicon found in a checkout and in a wheel, laid under a user's, and refused where it is wrong."""

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from narrate2log.errors import UnusableLexicon
from narrate2log.wording.folding import fold_phrase
from narrate2log.wording.lexicon import APART, Lexicon, lexicon_folder, load_lexicon, load_names

CHECKOUT = Path(__file__).parents[2]
FEATURE = '[[feature]]\nkey = "crack"\nkind = "defect"\nlabel = "Crack"\n'
# Where a caller sees which lexicon a package uses, and that all of it can be read.
TELL = """
from narrate2log.wording.lexicon import lexicon_folder, load_lexicon
print(lexicon_folder())
print(len(load_lexicon().entries))
"""


def found(lexicon: Lexicon, phrase: str) -> set[str]:
    return {hit.entry["key"] for hit in lexicon.find(fold_phrase(phrase)) if hit.entry["key"]}


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A user's lexicon folder with one file, to be filled."""
    return tmp_path / "defects.toml"


def test_found_in_a_checkout() -> None:
    assert lexicon_folder() == CHECKOUT / "lexicon"


def test_found_in_a_wheel(tmp_path: Path) -> None:
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "--target", "wheel", "--directory", str(tmp_path)],
        cwd=CHECKOUT,
        check=True,
        capture_output=True,
    )
    (wheel,) = tmp_path.glob("*.whl")
    unpacked = tmp_path / "unpacked"
    zipfile.ZipFile(wheel).extractall(unpacked)
    told = subprocess.run(
        [sys.executable, "-c", f"import sys; sys.path.insert(0, {str(unpacked)!r}){TELL}"],
        cwd=tmp_path,
        check=True,
        capture_output=True,
        text=True,
    )
    assert told.stdout.splitlines() == [
        str(unpacked / "narrate2log" / "_lexicon"),
        str(len(load_lexicon().entries)),
    ]
    assert {path.name for path in (unpacked / "narrate2log" / "_lexicon").iterdir()} == {
        path.name for path in (CHECKOUT / "lexicon").iterdir()
    }


def test_a_wheel_without_its_lexicon_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        "narrate2log.wording.lexicon.__file__", str(tmp_path / "narrate2log" / "wording" / "x.py")
    )
    with pytest.raises(UnusableLexicon, match="install narrate2log again"):
        lexicon_folder()


def test_own_words_are_added(own: Path) -> None:
    own.write_text(FEATURE + 'say = ["zigzag line"]\n', encoding="utf-8")
    lexicon = load_lexicon(own.parent)
    assert found(lexicon, "a zigzag line") == {"crack"}
    assert found(lexicon, "a crack") == {"crack"}
    assert len(lexicon.entries) == len(load_lexicon().entries)


def test_own_values_win(own: Path) -> None:
    own.write_text(FEATURE.replace('"Crack"', '"Split pipe"') + 'say = ["zigzag"]\n', encoding="utf-8")
    assert load_lexicon(own.parent).features["crack"]["label"] == "Split pipe"
    assert load_lexicon().features["crack"]["label"] == "Crack"


def test_own_other_senses_silence_a_word(own: Path) -> None:
    own.write_text(FEATURE + 'say = ["zigzag"]\nnot = ["crack of the whip"]\n', encoding="utf-8")
    assert found(load_lexicon(), "crack of the whip") == {"crack"}
    assert found(load_lexicon(own.parent), "crack of the whip") == set()
    assert found(load_lexicon(own.parent), "crack of the pipe") == {"crack"}


def test_own_sets_are_used(own: Path) -> None:
    own.write_text('[sets]\nzig = ["zig", "zag"]\n' + FEATURE + 'say = ["<zig> line"]\n', encoding="utf-8")
    assert found(load_lexicon(own.parent), "zag line") == {"crack"}


def test_own_new_entry_in_a_file_of_its_own(tmp_path: Path) -> None:
    mine = '[[material]]\nkey = "cast-iron"\nlabel = "cast iron"\nsay = ["soil stack pipe"]\n'
    (tmp_path / "nicknames.toml").write_text(mine, encoding="utf-8")
    lexicon = load_lexicon(tmp_path)
    assert "cast-iron" in found(lexicon, "soil stack pipe")
    assert "cast-iron" in found(lexicon, "cast iron")


def test_an_empty_folder_changes_nothing(tmp_path: Path) -> None:
    assert load_lexicon(tmp_path).entries == load_lexicon().entries


def test_own_folder_may_say_again_what_ours_says(own: Path) -> None:
    own.write_text(FEATURE + 'say = ["crack", "zigzag"]\n', encoding="utf-8")
    assert len(load_lexicon(own.parent).find(["crack"])) == len(load_lexicon().find(["crack"]))


def test_own_other_sense_silences_a_phrase_of_ours(own: Path) -> None:
    own.write_text(FEATURE + 'say = ["zigzag"]\nnot = ["crack"]\n', encoding="utf-8")
    assert found(load_lexicon(own.parent), "a crack") == set()


def test_a_folder_named_like_a_file_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "x.toml").mkdir()
    assert load_lexicon(tmp_path).entries == load_lexicon().entries


def test_a_longer_phrase_in_another_sense_wins() -> None:
    assert "crack" in found(load_lexicon(), "a crack")
    assert "crack" not in found(load_lexicon(), "at the crack of dawn")


REFUSED = {
    "unknown key": (
        FEATURE + 'says = ["zig"]\nsay = ["zag"]\n',
        "line 5: [[feature]] knows no 'says'; allowed are ",
    ),
    "unknown section": (
        "# mine\n\n[[defect]]\nkey = 'crack'\n",
        "line 3: no section 'defect'; allowed are [[feature]], [[material]], [[cue]],",
    ),
    "unknown mark": (
        '[[mark]]\nkind = "wave"\nsay = ["hello there"]\n',
        "line 2: no mark 'wave'; allowed are look, strike, note",
    ),
    "missing key": (FEATURE, "line 1: [[feature]] needs 'say'"),
    "empty list": (FEATURE + "say = []\n", "line 5: 'say' must be a list of at least one phrase"),
    "empty list of other senses": (
        FEATURE + 'say = ["zig"]\nnot = []\n',
        "line 6: 'not' must be a list of at least one phrase",
    ),
    "text for a list": (FEATURE + 'say = "zig"\n', "line 5: 'say' must be a list of at least one phrase"),
    "number in a list": (FEATURE + "say = [4]\n", "line 5: 'say' must be a list of at least one phrase"),
    "unknown kind": (
        FEATURE.replace("defect", "problem") + 'say = ["zig"]\n',
        "line 3: no kind 'problem'; allowed are landmark, defect, pipe, water, event, note",
    ),
    "unknown unit": (
        '[[unit]]\nkind = "furlong"\nsay = ["furlong"]\n',
        "line 2: no unit 'furlong'; allowed are foot, metre,",
    ),
    "unknown reach": (
        '[[cue]]\neffect = "denied"\nreach = "far"\nsay = ["zilch"]\n',
        "line 3: no reach 'far'; allowed are forward, backward, both, sentence,",
    ),
    "unknown effect": (
        '[[cue]]\neffect = "refused"\nreach = "forward"\nsay = ["zilch"]\n',
        "line 2: no effect 'refused'; allowed are denied, hedged, reported, affirmed, nothing",
    ),
    "unknown covered feature": (
        FEATURE + 'covers = ["cracks"]\nsay = ["zig"]\n',
        "line 5: no 'cracks'; allowed are",
    ),
    "hours off the clock": ('[[clock]]\nhours = [13]\nsay = ["attic"]\n', "line 2: "),
    "hours that are no list": ('[[clock]]\nhours = 12\nsay = ["attic"]\n', "line 2: "),
    "percent over the whole": ('[[amount]]\npercent = 400\nsay = ["loads"]\n', "line 2: "),
    "percent in words": ('[[amount]]\npercent = "many"\nsay = ["loads"]\n', "line 2: "),
    "percent that is neither": (
        "[[amount]]\npercent = nan\nsay = ['loads']\n",
        "line 2: 'percent' must be a number",
    ),
    "hour that is a flag": (
        "[[clock]]\nhours = [true]\nsay = ['attic']\n",
        "line 2: 'hours' must be a list of",
    ),
    "key that is a list": (
        "[[feature]]\nkind = 'note'\nkey = ['crack']\nlabel = 'Crack'\nsay = ['zig']\n",
        "line 3: 'key' must be words in quotes",
    ),
    "flag in words": (FEATURE + 'place = "yes"\nsay = ["zig"]\n', "line 5: 'place' must be true or false"),
    "unknown motion": (
        FEATURE + 'motion = "back"\nsay = ["zig"]\n',
        "line 5: no motion 'back'; allowed are zero, start, pull-back, end",
    ),
    "covered feature that is no list": (
        FEATURE + 'covers = "hole"\nsay = ["zig"]\n',
        "line 5: 'covers' must be a list of keys",
    ),
    "one unknown covered feature of several": (
        FEATURE + 'covers = [\n  "hole",  # "a" comment\n  "cracks",\n]\nsay = ["zig"]\n',
        "line 7: no 'cracks'; allowed are ",
    ),
    "unknown material of a caution": (
        '[[caution]]\nkey = "zig"\ntext = "Zig."\ndefer_to = "zag"\nsay = ["zig"]\nmaterials = ["wood"]\n',
        "line 6: no 'wood'; allowed are ",
    ),
    "table where a list of them belongs": (
        "\n[feature]\nkey = 'crack'\n",
        "line 2: write each feature under a",
    ),
    "inline list of tables": (
        'feature = [{key = "crack", kind = "defect", label = "Crack", say = ["zig"]}]\n',
        "line 1: write each feature under a line [[feature]] of its own",
    ),
    "header in quotes": (
        FEATURE.replace("feature", '"feature"') + 'say = ["zig"]\n',
        "line 1: write each feature under a line [[feature]] of its own",
    ),
    "number for a section": ("# mine\nfeature = 3\n", "line 2: write each feature under a line [[feature]]"),
    "sets that are no table": ("\nsets = 3\n", "line 2: [sets] must hold named lists of words"),
    "sets that are many": ("[[sets]]\nmine = ['zig']\n", "line 1: [sets] must hold named lists of words"),
    "set of numbers": (
        "[sets]\nzig = ['zag']\nmine = [3]\n",
        "line 3: the set 'mine' must be a list of at least",
    ),
    "empty set": ("[sets]\nmine = []\n", "line 2: the set 'mine' must be a list of at least one word"),
    "key named in a phrase before": (
        FEATURE + 'say = ["kind", "zig"]\nkind_of = "zag"\n',
        "line 6: [[feature]] knows no 'kind_of'; allowed are ",
    ),
    "phrase hidden by its own other sense": (
        FEATURE + 'say = ["zig", "zags"]\nnot = [\n  "zigzag",\n  "zag",\n]\n',
        "line 8: 'zag' in 'not' hides 'zags' in 'say' for good; take one of them out",
    ),
    "lone phrase hidden by its own other sense": (
        FEATURE + 'say = ["zig"]\nalone = ["zag"]\nnot = ["zag"]\n',
        "line 7: 'zag' in 'not' hides 'zag' in 'alone' for good; take one of them out",
    ),
    "phrase hidden by another sense of ours": (
        FEATURE + 'say = [\n  "zig",\n  "crack of dawn",\n]\n',
        "line 7: 'crack of dawn' is hidden for good by 'crack of dawn' in 'not' of the tool's defects.toml",
    ),
    "set that is no list": ("[sets]\nmine = 3\n", "line 2: "),
    "phrase of another feature": (
        FEATURE.replace("crack", "hole") + 'say = ["zig", "crack"]\n',
        "line 5: 'crack' stands for 'crack' already",
    ),
    "phrase that only looks new": (
        FEATURE.replace("crack", "hole") + 'say = ["zig", "Cracks"]\n',
        "line 5: 'Cracks' stands for 'crack' already",
    ),
    "phrase said twice": (
        FEATURE + 'say = [\n  "zig",\n  "zag",\n  "zig",\n]\n',
        "line 8: 'zig' stands for 'crack' already",
    ),
    "phrase of another material": (
        '[[material]]\nkey = "lead"\nlabel = "lead"\nsay = ["cast iron"]\n',
        "line 4: 'cast iron' stands for 'cast-iron' already",
    ),
    "pattern without a word at its end": (
        FEATURE + 'say = [\n  "zig",\n  "zag ..",\n]\n',
        "line 7: 'zag ..' needs a word at both ends",
    ),
    "unknown set": (FEATURE + 'say = ["<zig> line"]\n', "line 5: there is no set <zig>"),
}


@pytest.mark.parametrize(("text", "told"), REFUSED.values(), ids=REFUSED.keys())
def test_refused_with_file_line_and_what_is_allowed(own: Path, text: str, told: str) -> None:
    own.write_text(text, encoding="utf-8")
    with pytest.raises(UnusableLexicon) as refusal:
        load_lexicon(own.parent)
    message = str(refusal.value)
    assert message.startswith(f"{own}, {told}")
    assert message.endswith(".")
    assert "\n" not in message


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"[[feature\n", "is not TOML"),
        ("caf\u00e9".encode("latin-1"), "is not UTF-8 text"),
        (b"[[feature]]\nkey = " + b"[" * 9999, "lists lie too deep in lists"),
        (b"[[feature]]\nkey = " + b"9" * 9999, "is not TOML"),
    ],
)
def test_a_file_that_cannot_be_read(own: Path, content: bytes, told: str) -> None:
    own.write_bytes(content)
    with pytest.raises(UnusableLexicon, match=told) as refusal:
        load_lexicon(own.parent)
    assert str(refusal.value).startswith(str(own))


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(UnusableLexicon, match=r"is no folder: give --lexicon a folder of TOML files\.$"):
        load_lexicon(tmp_path / "nowhere")


@pytest.mark.parametrize("header", ["[[feature]]  # my own", "[[ feature ]]", "  [[feature]]"])
def test_a_header_as_toml_lets_it_be_written(own: Path, header: str) -> None:
    own.write_text(FEATURE.replace("[[feature]]", header) + 'say = ["zigzag"]\n', encoding="utf-8")
    assert found(load_lexicon(own.parent), "a zigzag") == {"crack"}


@pytest.mark.parametrize("path", sorted((CHECKOUT / "lexicon").glob("*.toml")), ids=lambda path: path.stem)
def test_every_entry_of_ours_is_found_by_its_first_phrase(path: Path) -> None:
    lexicon = load_lexicon()
    lost = []
    for entry in lexicon.entries:
        if entry.file != path.name or entry.section in APART:
            continue
        # One way of saying the phrase: of each choice the first, of optional words none, of a gap nothing.
        slots = [slot for slot in lexicon.slots(entry.say[0]) if not slot.optional and not slot.is_gap]
        words = [word for slot in slots for word in slot.choices[0]]
        if not any(hit.entry is entry for hit in lexicon.find(words)):
            lost.append(entry.say[0])
    assert lost == []


def test_the_prompt_names_features_and_materials_but_no_notes() -> None:
    prompt = load_lexicon().prompt()
    assert "joint offset" in prompt
    assert "cast iron" in prompt
    assert "recommendation" not in prompt


def test_names_alone_are_those_of_the_whole_lexicon(tmp_path: Path) -> None:
    mine = '[[feature]]\nkey = "zig"\nkind = "defect"\nlabel = "Zig"\nsay = ["zig in the pipe"]\n'
    (tmp_path / "mine.toml").write_text(mine, encoding="utf-8")
    assert load_names(tmp_path).entries == load_lexicon(tmp_path).entries
