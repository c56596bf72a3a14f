"""What the README and DEVELOPERS.md say can be done can be done."""

import re
import shlex
import tomllib
from pathlib import Path
from typing import Any

import pytest
import typer

from narrate2log import errors
from narrate2log.cli import EXIT_CODES, app
from narrate2log.wording.lexicon import load_lexicon

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
DOCS = {"README.md": README, "DEVELOPERS.md": DEVELOPERS}

BLOCK = re.compile(r"^```(\w*)\n(.*?)^```", re.MULTILINE | re.DOTALL)
SPAN = re.compile(r"`([^`\n]+)`")
# Of the folders at the top; what a user names (`mine/defects.toml`) is not ours.
OURS = re.compile(r"(?:narrate2log|lexicon|tests|samples|\.ci)/[\w./-]*|[\w-]+\.(?:md|py)")


def code(text: str) -> list[str]:
    """Every command line shown, and every span of code."""
    lines = [line for language, block in BLOCK.findall(text) if not language for line in block.splitlines()]
    return lines + SPAN.findall(BLOCK.sub("", text))


def commands_of_ours(text: str) -> list[list[str]]:
    """The arguments of every call of narrate2log that is shown."""
    calls = [shlex.split(part) for line in code(text) for part in line.split("&&") if "narrate2log " in part]
    return [call[1:] for call in calls if Path(call[0]).name == "narrate2log"]


def options_of(command: Any) -> set[str]:
    return {option for parameter in command.params for option in parameter.opts if option.startswith("--")}


WHOLE = typer.main.get_command(app)
# typer brings its own copy of click, so no class of click's is named here.
COMMANDS: dict[str, Any] = WHOLE.commands  # type: ignore[attr-defined]
ALL_OPTIONS = options_of(WHOLE) | set().union(*map(options_of, COMMANDS.values())) | {"--help"}


@pytest.mark.parametrize("arguments", commands_of_ours(README) + commands_of_ours(DEVELOPERS), ids=" ".join)
def test_commands_shown_exist(arguments: list[str]) -> None:
    named = [word for word in arguments if not word.startswith("-")]
    assert not named or named[0] in COMMANDS
    assert {word for word in arguments if word.startswith("--")} <= ALL_OPTIONS


def test_the_readme_shows_a_draft() -> None:
    assert any(call[0] == "draft" for call in commands_of_ours(README))


def test_options_shown_are_those_there_are() -> None:
    shown = {span.split()[0] for span in SPAN.findall(README) if span.startswith("--")}
    told = ("draft", "listen", "slope", "review", "log", "report")
    named = set().union(*(options_of(COMMANDS[name]) for name in told))
    named |= {option for parameter in COMMANDS["listen"].params for option in parameter.secondary_opts}
    assert shown == named - {"--help"}


def test_exit_codes_shown_are_those_there_are() -> None:
    shown = dict(re.findall(r"^\| (\d) \| (.+) \|$", README, re.MULTILINE))
    assert shown == dict(re.findall(r"^  (\d)  (.+)$", EXIT_CODES, re.MULTILINE))
    refusals = [
        kind for kind in vars(errors).values() if isinstance(kind, type) and kind is not errors.Refusal
    ]
    assert {str(kind.exit_code) for kind in refusals if issubclass(kind, errors.Refusal)} <= shown.keys()


def test_the_two_commands_are_one_line_each_and_ask_for_what_there_is() -> None:
    lines = [line for line in code(README) if line.startswith("python3 -m venv ")]
    assert len(lines) == 2
    extras = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"][
        "optional-dependencies"
    ]
    for line in lines:
        asked = re.search(r"pip install -e '\.\[(\w+)\]'", line)
        assert asked
        assert asked[1] in extras
    assert lines[1].endswith("&& .venv/bin/pytest -n 2")


@pytest.mark.parametrize("name", DOCS)
def test_files_named_are_there(name: str) -> None:
    named = {path for line in code(DOCS[name]) for path in OURS.findall(line)}
    # Inside the wheel only, and named without its folder.
    named -= {"narrate2log/_lexicon", "recogniser.py"}
    assert named
    assert [path for path in sorted(named) if not (ROOT / path).exists()] == []


@pytest.mark.parametrize("name", DOCS)
def test_lexicon_examples_load(name: str, tmp_path: Path) -> None:
    examples = [block for language, block in BLOCK.findall(DOCS[name]) if language == "toml"]
    assert examples
    for number, example in enumerate(examples):
        folder = tmp_path / str(number)
        folder.mkdir()
        (folder / "defects.toml").write_text(example, encoding="utf-8")
        assert load_lexicon(folder).entries != load_lexicon().entries


def test_marked_sentences_shown_are_read_so() -> None:
    from reading.marked import differences, parse

    (shown,) = (block for language, block in BLOCK.findall(DEVELOPERS) if "|crack" in block)
    lines = [parse("DEVELOPERS.md", number, line) for number, line in enumerate(shown.splitlines())]
    assert any(line.rows for line in lines)
    assert [differences(line) for line in lines] == [[] for _ in lines]
