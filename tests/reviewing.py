"""A run to review, its page served, and a browser that opens it."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import uvicorn

from narrate2log.draft import draft
from narrate2log.draft_folder import write_draft
from narrate2log.review.access import Guard, new_token
from narrate2log.review.recordings import Recordings
from narrate2log.review.server import HOST, _listen, make_app
from narrate2log.review.session import Session
from narrate2log.wording.lexicon import Lexicon, load_lexicon

SAMPLES = Path(__file__).parents[1] / "samples"
# Under which names Debian and others install a browser of this family.
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")
# Root may not use the browser's own sandbox; no sound leaves a test machine.
FLAGS = ["--no-sandbox", "--mute-audio"]

# Words that no rule knows, said twice; a row that asks, and some that do not.
MISHEARD = """WEBVTT

00:00:02.000 --> 00:00:05.000
Zero at the cleanout, going in.

00:00:15.000 --> 00:00:18.000
Twenty feet, there might be roots in all that glimmer here.

00:00:45.000 --> 00:00:48.000
Thirty one feet, some more glimmer on the bottom.

00:00:55.000 --> 00:00:58.000
And that is the city tap at fifty feet.
"""


def installed_browser() -> str | None:
    """The browser of this machine that tests may drive."""
    return next((found for name in BROWSERS if (found := shutil.which(name))), None)


def sample_run(folder: Path) -> Path:
    """The sample, drafted from its text in no time, told to come from the sound it was transcribed from."""
    counter = SAMPLES / "counter.csv"
    drafted = draft([SAMPLES / "narration.vtt"], counter=counter)
    write_draft(drafted, folder, inputs=[counter], force=False)
    heard_from(folder, SAMPLES / "narration.ogg", 351.64)
    return folder


def text_run(folder: Path, narration: str) -> Path:
    """A draft of a timed text."""
    source = folder.with_suffix(".vtt")
    source.write_text(narration, encoding="utf-8")
    write_draft(draft([source]), folder, inputs=[source], force=False)
    return folder


def heard_from(folder: Path, recording: Path, duration: float, name: str | None = None) -> None:
    """Make a draft's one source a recording, at hand where it lies."""
    path = folder / "observations.json"
    told = json.loads(path.read_bytes())
    sha256 = hashlib.sha256(recording.read_bytes()).hexdigest()
    told["sources"] = [
        {"file": name or recording.name, "sha256": sha256, "duration": duration, "offset": 0.0}
    ]
    path.write_text(json.dumps(told), encoding="utf-8")
    known = {"schema": "narrate2log/recordings/1", "recordings": {sha256: str(recording)}}
    (folder / "recordings.json").write_text(json.dumps(known), encoding="utf-8")


def doubted(folder: Path, word: str, probability: float) -> None:
    """Make the recogniser unsure of a word wherever it stands."""
    path = folder / "words.json"
    told = json.loads(path.read_bytes())
    for one in told["words"]:
        if one["text"].strip(".,").lower() == word:
            one["probability"] = probability
    path.write_text(json.dumps(told), encoding="utf-8")


def journal(folder: Path) -> list[dict[str, object]]:
    """What is on the disk of the decisions."""
    path = folder / "decisions.jsonl"
    return [json.loads(line) for line in path.read_text().splitlines()] if path.exists() else []


@contextlib.contextmanager
def served(folder: Path, by: str = "Kim") -> Iterator[str]:
    """The address of the page, served from a thread of this process."""
    session = Session(folder, by, _lexicon())
    recordings = Recordings(session.folder, session.sources)
    recordings.start()
    token = new_token()
    with _listen(None) as listening:
        port = listening.getsockname()[1]
        guard = Guard(make_app(session, recordings), token=token, port=port)
        server = uvicorn.Server(
            uvicorn.Config(guard, ws="none", lifespan="off", log_level="error", timeout_graceful_shutdown=1)
        )
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
        thread.start()
        try:
            yield f"http://{HOST}:{port}/{token}/"
        finally:
            server.should_exit = True
            thread.join()


@cache
def _lexicon() -> Lexicon:
    """Read once: it takes longer than all the rest of a start."""
    return load_lexicon(None)


@dataclass
class Program:
    """`narrate2log review` as a process of its own, which can be killed and started again."""

    folder: Path
    port: int | None = None
    address: str = ""
    process: subprocess.Popen[str] | None = field(default=None, repr=False)

    def start(self) -> str:
        command = [sys.executable, "-c", "from narrate2log.cli import app; app()"]
        command += ["review", str(self.folder), "--by", "Kim"]
        command += ["--port", str(self.port)] if self.port else []
        # The program opens a browser of its own; here that is nothing.
        environment = {**os.environ, "BROWSER": "true", "PYTHONUNBUFFERED": "1"}
        self.process = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, env=environment
        )
        assert self.process.stdout is not None
        told = ""
        for line in self.process.stdout:
            told += line
            if found := re.search(r"http://127\.0\.0\.1:(\d+)/\S+", line):
                self.address, self.port = found[0], int(found[1])
                return self.address
        raise AssertionError(f"the review did not start: {told}")

    def kill(self) -> None:
        """End it as a power cut would."""
        assert self.process is not None
        self.process.kill()
        self.process.wait()

    def interrupt(self) -> str:
        """End it as a person does; what it says."""
        assert self.process is not None
        self.process.send_signal(signal.SIGINT)
        return self.process.communicate(timeout=20)[0]
