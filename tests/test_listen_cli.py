"""`narrate2log listen` as a program: real sound, real model, and killed where it may be."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from narrate2log.cli import app
from narrate2log.hearing.media import decode
from narrate2log.listening.live_journal import LiveJournal
from narrate2log.listening.recording import read_samples

SAMPLE = Path(__file__).parents[1] / "samples" / "narration.ogg"
COMMAND = [sys.executable, "-c", "from narrate2log.cli import app; app()", "listen", "--plain"]
FAST = "40"


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("NARRATE2LOG_HOME", str(tmp_path / "home"))
    return tmp_path


@pytest.fixture(scope="module")
def two_minutes(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample's first two minutes, as bare samples."""
    path = tmp_path_factory.mktemp("sound") / "sound.raw"
    path.write_bytes((decode(SAMPLE)[: 120 * 16_000] * 32767).astype("<i2").tobytes())
    return path


def sizes(folder: Path) -> int:
    return sum(clip.stat().st_size for clip in folder.glob("sound-*.wav"))


def wait_for(program: subprocess.Popen[bytes], happened: Callable[[], bool]) -> None:
    while not happened():
        assert program.poll() is None
        time.sleep(0.02)


def listen(*arguments: object) -> tuple[int, str]:
    done = CliRunner().invoke(app, ["listen", "--plain", *map(str, arguments)])
    return done.exit_code, done.output


def send(sound: Path, *arguments: object) -> subprocess.CompletedProcess[str]:
    """The program, with a file of samples sent to it."""
    with sound.open("rb") as samples:
        return subprocess.run(
            [*COMMAND, "--from", "-", "--model", "tiny.en", *map(str, arguments)],
            stdin=samples,
            capture_output=True,
            text=True,
        )


def entries(folder: Path, what: str) -> list[dict[str, object]]:
    lines = (folder / "live.jsonl").read_bytes().split(b"\n")[:-1]
    return [entry for entry in map(json.loads, lines) if entry["what"] == what]


def rows_of(folder: Path) -> set[str]:
    document = json.loads((folder / "observations.json").read_bytes())
    return {row["feature"] for row in document["observations"]}


@pytest.mark.speech
def test_a_run_is_listened_to_and_drafted(home: Path, two_minutes: Path) -> None:
    folder = home / "run"
    done = send(two_minutes, "--out", folder)
    assert done.returncode == 0, done.stderr
    shown = [line for line in done.stdout.splitlines() if line[:1].isdigit()]
    assert any("Counter zeroed at 0.0 ft." in line for line in shown)
    assert any("Joint offset" in line for line in shown)
    # The sound is all there, to the sample.
    kept = read_samples(folder / "sound-1.wav", 0)
    assert len(kept) == 120 * 16_000
    assert np.abs(kept - np.frombuffer(two_minutes.read_bytes(), "<i2") / 32767).max() < 1e-4
    # What was shown is in the journal, and the draft has what was shown.
    told = LiveJournal(folder / "live.jsonl").told()
    assert told.ended
    assert {row.told.feature for row in told.rows if not row.gone} <= rows_of(folder) | {"pipe-size"}
    assert json.loads((folder / "recordings.json").read_bytes())["recordings"]
    assert f"run `narrate2log review {folder}`" in done.stdout


@pytest.mark.speech
@pytest.mark.skipif(os.name == "nt", reason="signals of Unix")
@pytest.mark.parametrize("by", [signal.SIGKILL, signal.SIGTERM])
def test_a_run_that_is_broken_off_is_taken_up_again(home: Path, by: signal.Signals) -> None:
    folder = home / "run"
    program = subprocess.Popen(
        [*COMMAND, "--from", SAMPLE, "--pace", "8", "--out", folder, "--model", "tiny.en"],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert program.stdout is not None
    shown = []
    for line in program.stdout:
        shown.append(line)
        if "Counter zeroed" in line:
            break
    program.send_signal(by)
    shown += program.stdout.readlines()
    assert program.wait(timeout=20) == (0 if by != signal.SIGKILL else -signal.SIGKILL)
    before = LiveJournal(folder / "live.jsonl").told()
    assert before.ended is (by != signal.SIGKILL)
    assert not (folder / "observations.json").exists()
    if by != signal.SIGKILL:
        assert f"listen --resume {folder} --finish" in "".join(shown)
    remarks = {row["remark"] for entry in entries(folder, "phrase") for row in entry["rows"]}  # type: ignore[attr-defined]
    for line in shown:
        if line[:1].isdigit() and "Not understood" not in line:
            assert any(remark in line for remark in remarks), line

    more = home / "more.raw"
    more.write_bytes(bytes(2 * 16_000 * 3))
    done = send(more, "--resume", folder)
    assert done.returncode == 0, done.stderr
    after = LiveJournal(folder / "live.jsonl").told()
    assert [clip[0] for clip in after.clips] == ["sound-1.wav", "sound-2.wav"]
    assert [row.number for row in after.rows][: len(before.rows)] == [row.number for row in before.rows]
    sources = json.loads((folder / "observations.json").read_bytes())["sources"]
    assert [source["file"] for source in sources] == ["sound-1.wav", "sound-2.wav"]
    assert "counter-reset" in rows_of(folder)


@pytest.mark.speech
def test_what_was_recorded_is_drafted_without_more_sound(home: Path, two_minutes: Path) -> None:
    folder = home / "run"
    program = subprocess.Popen(
        [*COMMAND, "--from", SAMPLE, "--pace", FAST, "--out", folder, "--model", "tiny.en"],
        stdout=subprocess.PIPE,
    )
    wait_for(program, lambda: (folder / "sound-1.wav").exists() and sizes(folder) > 10**6)
    program.kill()
    program.communicate()
    code, output = listen("--resume", folder, "--finish", "--model", "tiny.en")
    assert code == 0, output
    assert "counter-reset" in rows_of(folder)


def test_two_may_not_listen_into_one_folder(home: Path) -> None:
    folder = home / "run"
    program = subprocess.Popen(
        [*COMMAND, "--from", "-", "--out", folder, "--model", "tiny.en"], stdin=subprocess.PIPE
    )
    wait_for(program, (folder / "sound-1.wav").exists)
    code, output = listen("--from", SAMPLE, "--resume", folder)
    program.communicate(b"")
    assert code == 6
    assert f"{folder}: another `narrate2log listen` writes here; end that one" in output


def test_a_folder_with_a_run_or_a_draft_is_refused(home: Path) -> None:
    folder = home / "run"
    folder.mkdir()
    (folder / "live.jsonl").write_bytes(b"")
    code, output = listen("--from", SAMPLE, "--out", folder)
    assert (code, "go on in it with `narrate2log listen --resume" in output) == (6, True)
    (folder / "live.jsonl").rename(folder / "observations.json")
    code, output = listen("--from", SAMPLE, "--out", folder)
    assert (code, "this folder holds a draft" in output) == (6, True)


@pytest.mark.parametrize(
    ("arguments", "code", "told"),
    [
        ([], 2, "--out: give it for a new run, or --resume"),
        (["--out", "a", "--resume", "b"], 2, "--out: give it for a new run, or --resume"),
        (["--out", "a", "--finish"], 2, "--finish: it goes with --resume"),
        (["--out", "a", "--pace", "0"], 2, "--pace: 0 is no pace"),
        (["--out", "a", "--units", "yd"], 2, "--units: unknown unit 'yd'"),
        (["--out", "a", "--mute", "gong"], 2, "--mute: there is no tone 'gong'"),
        (["--out", "a", "--length", "-3"], 2, "--length: -3 ft is no length of a run"),
        (["--out", "a", "--from", "nowhere.wav"], 3, "nowhere.wav: there is no such file"),
        (["--out", "a", "--from", "-", "--model", "tinier"], 4, "tinier: there is no such speech model"),
        (["--from", "-", "--resume", "nowhere"], 6, "nowhere: no run was listened to here"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(
    home: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str], code: int, told: str
) -> None:
    monkeypatch.chdir(home)
    found, output = listen(*arguments)
    assert (found, told in output) == (code, True), output
    assert len(output.strip().splitlines()) == 1
    assert not (home / "nowhere").exists()


def test_a_stream_that_is_no_samples_is_refused_and_leaves_a_usable_folder(home: Path) -> None:
    done = subprocess.run(
        [*COMMAND, "--from", "-", "--out", home / "run", "--model", "tiny.en"],
        input=b"RIFF" + bytes(100),
        capture_output=True,
    )
    assert done.returncode == 3
    assert b"this is a WAV file, not a stream of samples" in done.stderr
    assert LiveJournal(home / "run" / "live.jsonl").told().ended
