import io
import json
import subprocess
import sys
import wave
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from draft_files import DRAFT_FILES
from typer.testing import CliRunner

from narrate2log import __version__, errors
from narrate2log.cli import app
from narrate2log.hearing.models import NAMES
from narrate2log.records import Caution, Draft, Fields, Observation, Placement, Source, Standing, Transcript

# A draft made from the command line also knows where its recordings lie.
LEFT = DRAFT_FILES | {"recordings.json"}


def observation(
    feature: str = "roots",
    *,
    at_mm: int | None = 3_048,
    standing: Standing = "seen",
    check: tuple[str, ...] = (),
) -> Observation:
    return Observation(
        id=feature,
        row=1,
        kind="defect",
        feature=feature,
        standing=standing,
        placement=Placement(1, "out", at_mm, at_mm, at_mm, "none" if at_mm is None else "spoken"),
        end_distance_mm=None,
        fields=Fields(),
        time_ms=1_000,
        time_end_ms=2_000,
        sightings_ms=(1_000,),
        heard=feature,
        read_as=feature,
        remark=f"{feature}.",
        confidence=0.9,
        check=check,
        rules=(feature,),
    )


def draft_of(
    *observations: Observation, problems: tuple[str, ...] = (), sources: Sequence[Path] = ()
) -> Draft:
    clips = tuple(Source(source.name, "ab" * 32, 1_000, 0) for source in sources)
    return Draft("ft", Transcript((), clips), (), (), observations, (), problems)


@pytest.fixture(autouse=True)
def in_an_own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Sentences show paths as they were given, so the tests give them relative."""
    monkeypatch.chdir(tmp_path)


@pytest.fixture
def drafts(monkeypatch: pytest.MonkeyPatch) -> Callable[..., list[dict[str, object]]]:
    """Let every run be drafted as this; the calls for a draft are in the list."""

    def will_be(
        *observations: Observation, problems: tuple[str, ...] = (), cautions: tuple[Caution, ...] = ()
    ) -> list[dict[str, object]]:
        calls: list[dict[str, object]] = []

        def draft(sources: Sequence[Path], **options: object) -> Draft:
            calls.append({"sources": list(sources), **options})
            made = draft_of(*observations, problems=problems, sources=sources)
            return replace(made, cautions=cautions)

        monkeypatch.setattr("narrate2log.draft.draft", draft)
        return calls

    return will_be


def run(*arguments: str, code: int = 0) -> tuple[str, str]:
    """What the command prints on stdout and on stderr."""
    result = CliRunner().invoke(app, arguments)
    assert (result.exit_code, result.exception if result.exit_code == 1 else None) == (code, None), (
        result.output
    )
    return result.stdout, result.stderr


def names_in(folder: str) -> set[str]:
    return {path.name for path in Path(folder).iterdir()}


# --- help --------------------------------------------------------------------------------------


def test_version() -> None:
    assert run("--version") == (f"narrate2log {__version__}\n", "")


@pytest.mark.parametrize("arguments", [["--help"], ["draft", "--help"]])
def test_help_gives_every_exit_code(arguments: list[str]) -> None:
    shown, _ = run(*arguments)
    codes = {refusal.exit_code for refusal in errors.Refusal.__subclasses__()} | {0, errors.Refusal.exit_code}
    listed = [line.split()[0] for line in shown.partition("Exit codes:")[2].splitlines() if line.strip()]
    assert listed == [str(code) for code in sorted(codes)]


def test_help_waits_for_nothing_heavy() -> None:
    heavy = ["av", "ctranslate2", "faster_whisper", "numpy", "pandas", "rapidfuzz", "rich", "spacy"]
    script = (
        "import sys\nfrom narrate2log.cli import app\n"
        "try: app(['--help'])\nexcept SystemExit: pass\n"
        f"print('loaded:', *sorted(set(sys.modules) & set({heavy})))"
    )
    shown = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True).stdout
    assert shown.splitlines()[-1] == "loaded:"


def test_shell_completion_is_offered() -> None:
    assert "--install-completion" in run("--help")[0]


# --- what a draft prints ------------------------------------------------------------------------


def test_a_draft_that_asks(drafts: Callable[..., object]) -> None:
    drafts(
        observation(),
        observation("crack", check=("no distance was said",)),
        problems=("counter.csv: line 3 left out for want of a time or a distance.",),
    )
    assert run("draft", "a.wav", "--out", "run-a") == (
        "run-a: 2 rows, 1 to look at.\n"
        "Note: counter.csv: line 3 left out for want of a time or a distance.\n"
        "Next: run `narrate2log review run-a` and settle each row that gives a reason under 'check'.\n",
        "",
    )
    assert names_in("run-a") == LEFT


def test_a_draft_that_asks_nothing(drafts: Callable[..., object]) -> None:
    drafts(observation())
    assert run("draft", "a.wav", "--out", "run-a") == (
        "run-a: 1 row, none to look at.\nNext: read run-a/observations.csv once before you send it on.\n",
        "",
    )


def test_a_draft_without_rows(drafts: Callable[..., object]) -> None:
    drafts()
    assert run("draft", "a.wav", "--out", "run-a") == (
        "run-a: no rows; nothing was heard that tells of the pipe.\n"
        "Next: read run-a/transcript.vtt; if it lacks the narration, check the recording's sound.\n",
        "",
    )


@pytest.mark.parametrize("options", [[], ["--json"]])
def test_what_cannot_wait_is_said_at_once(drafts: Callable[..., object], options: list[str]) -> None:
    cross_bore = Caution("cross-bore", "Stop.", "the gas utility", True, (3048, None))
    later = Caution("manhole", "Never enter it.", "a trained crew", False, (0,))
    drafts(observation("cross-bore"), cautions=(cross_bore, later))
    _, stderr = run("draft", "a.wav", "--out", "run-a", *options)
    assert stderr == "CAUTION, at 10.0 ft, at an unknown distance: Stop. Defer to the gas utility.\n"


def test_quiet_prints_nothing(drafts: Callable[..., object]) -> None:
    drafts(observation("cross-bore", check=("look",)), problems=("odd",))
    assert run("draft", "a.wav", "--out", "run-a", "--quiet") == ("", "")
    assert names_in("run-a") == LEFT


def test_json_prints_one_object(drafts: Callable[..., object]) -> None:
    drafts(observation(), observation(check=("look",)), problems=("odd",))
    stdout, stderr = run("draft", "a.wav", "--out", "run-a", "--json")
    assert json.loads(stdout) == {
        "folder": "run-a",
        "rows": 2,
        "asking": 1,
        "offers": 0,
        "problems": ["odd"],
    }
    assert stderr == ""


# --- what is drafted ----------------------------------------------------------------------------


def test_several_sources_are_one_run(drafts: Callable[..., list[dict[str, object]]]) -> None:
    calls = drafts()
    options = "--units m --counter log.csv --model tiny.en --lexicon words"
    run("draft", "a.wav", "b.wav", "--out", "run", *options.split())
    assert calls == [
        {
            "sources": [Path("a.wav"), Path("b.wav")],
            "counter": Path("log.csv"),
            "units": "m",
            "length": None,
            "model": "tiny.en",
            "lexicon_folder": Path("words"),
            "progress": None,
        }
    ]


def test_each_source_a_run(drafts: Callable[..., list[dict[str, object]]]) -> None:
    calls = drafts(observation())
    stdout, _ = run("draft", "day/a.wav", "day/b.mp4", "--out", "drafts", "--each", "--json")
    assert [call["sources"] for call in calls] == [[Path("day/a.wav")], [Path("day/b.mp4")]]
    assert [json.loads(line)["folder"] for line in stdout.splitlines()] == ["drafts/a", "drafts/b"]
    assert names_in("drafts") == {"a", "b"}
    assert names_in("drafts/b") == LEFT


def test_one_bad_source_does_not_cost_the_others(monkeypatch: pytest.MonkeyPatch) -> None:
    def draft(sources: Sequence[Path], **options: object) -> Draft:
        if sources[0].name == "a.wav":
            raise errors.UnusableSource("a.wav: this file is empty; copy it from the recorder again.")
        return draft_of(sources=sources)

    monkeypatch.setattr("narrate2log.draft.draft", draft)
    _, stderr = run("draft", "a.wav", "b.wav", "--out", "drafts", "--each", code=3)
    assert stderr == "narrate2log: a.wav: this file is empty; copy it from the recorder again.\n"
    assert names_in("drafts") == {"b"}


def test_force_replaces_a_draft(drafts: Callable[..., object]) -> None:
    drafts()
    run("draft", "a.wav", "--out", "run-a")
    drafts(observation())
    run("draft", "a.wav", "--out", "run-a", "--force")
    assert len(json.loads(Path("run-a/observations.json").read_text())["observations"]) == 1


@pytest.mark.parametrize(("refusal", "code"), [(errors.UnusableModel, 4), (errors.UnusableLexicon, 5)])
def test_refusals_of_the_stages_are_told(
    monkeypatch: pytest.MonkeyPatch, refusal: type[errors.Refusal], code: int
) -> None:
    def draft(sources: Sequence[Path], **options: object) -> Draft:
        raise refusal("what, where; what to do.")

    monkeypatch.setattr("narrate2log.draft.draft", draft)
    assert run("draft", "a.wav", "b.wav", "--out", "run", "--each", code=code) == (
        "",
        "narrate2log: what, where; what to do.\n",
    )
    assert not Path("run").exists()


# --- bad input ----------------------------------------------------------------------------------


def silence(seconds: int) -> bytes:
    file = io.BytesIO()
    with wave.open(file, "wb") as recording:
        recording.setnchannels(1)
        recording.setsampwidth(2)
        recording.setframerate(16_000)
        recording.writeframes(bytes(2 * 16_000 * seconds))
    return file.getvalue()


VTT = "WEBVTT\n\n00:01.000 --> 00:03.000\nCrack at ten feet.\n"

FILES: dict[str, str | bytes] = {
    "good.vtt": VTT,
    "other/good.srt": "",
    "empty.wav": b"",
    "letter.wav": "Dear neighbour, this is no recording.\n",
    "silent.wav": silence(2),
    "broken.vtt": "WEBVTT\n\n00:01.000 --> soon\nCrack at ten feet.\n",
    "binary.srt": b"\xff\xfe\x00\x01",
    "folder/a.txt": "",
    "backward.csv": "time_s,distance\n5,2\n4,3\n3,4\n",
    "words.csv": "time_s,distance\n1,nought\n2,ten\n",
    "photo.csv": b"\x89PNG\r\n\x1a\n",
    "taken/observations.json": '{"sources": [{"file": "monday.mp4"}]}',
    "mine/transcript.vtt": VTT,
}

BAD_INPUT: dict[str, tuple[str, int, str]] = {
    "missing source": (
        "absent.wav --out run",
        3,
        "absent.wav: there is no such file; check the name and the folder.",
    ),
    "missing text": (
        "absent.vtt --out run",
        3,
        "absent.vtt: there is no such file; check the name and the folder.",
    ),
    "empty source": (
        "empty.wav --out run",
        3,
        "empty.wav: this file is empty; copy it from the recorder again.",
    ),
    "second clip empty": (
        "good.vtt empty.wav --out run",
        3,
        "empty.wav: this file is empty; copy it from the recorder again.",
    ),
    "folder as source": (
        "folder --out run",
        3,
        "folder: this is a folder, not a file; name the recordings in it one by one.",
    ),
    "no recording": (
        "letter.wav --out run",
        3,
        "letter.wav: this is no recording that can be read (invalid data found when processing input); copy"
        " it from the recorder again, or give another file.",
    ),
    "broken timed text": (
        "broken.vtt --out run",
        3,
        "broken.vtt: line 3 is no timing like 00:01:02.000 --> 00:01:04.000; mend it, or give the recording"
        " itself.",
    ),
    "timed text that is no text": (
        "binary.srt --out run",
        3,
        "binary.srt: line 1 is not UTF-8 text; save the file as UTF-8.",
    ),
    "unknown unit": ("good.vtt --out run --units yards", 2, "--units: unknown unit 'yards'; use ft or m."),
    "missing counter log": (
        "good.vtt --out run --counter absent.csv",
        3,
        "absent.csv: this counter log cannot be opened (No such file or directory); check its name and"
        " permissions, or leave out --counter.",
    ),
    "backward counter log": (
        "good.vtt --out run --counter backward.csv",
        3,
        "backward.csv, line 2: the time runs backward here and at 1 more lines; give the log of one run in"
        " order of time, or leave out --counter.",
    ),
    "text in the counter log": (
        "good.vtt --out run --counter words.csv",
        3,
        "words.csv: no line has both a time and a distance; give the log of this run, or leave out"
        " --counter.",
    ),
    "counter log that is no text": (
        "good.vtt --out run --counter photo.csv",
        3,
        "photo.csv, line 1: this is no heading with the columns time_s and distance; name them so, or leave"
        " out --counter.",
    ),
    "one counter log for two runs": (
        "good.vtt letter.wav --out run --each --counter words.csv",
        2,
        "--counter: words.csv is the log of one run; draft that run alone, without --each.",
    ),
    "two runs for one folder": (
        "good.vtt other/good.srt --out run --each",
        2,
        "--each: good.vtt and other/good.srt would share the folder run/good; rename one of them.",
    ),
    "folder of another draft": (
        "good.vtt --out taken",
        6,
        "taken: this folder already holds a draft of monday.mp4; name another folder for --out, or add"
        " --force to replace it.",
    ),
    "file for a folder": (
        "good.vtt --out words.csv",
        6,
        "words.csv: this is a file, not a folder; name another folder for --out.",
    ),
    "draft over its own source": (
        "mine/transcript.vtt --out mine --force",
        6,
        "mine/transcript.vtt: this input lies where the draft would be written; name another folder for"
        " --out.",
    ),
    "unknown model": (
        "silent.wav --out run --model huge",
        4,
        "huge: there is no such speech model on this machine; name a folder that holds one, or one of"
        f" {', '.join(NAMES)}.",
    ),
}


def all_files() -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in Path().rglob("*") if path.is_file()}


@pytest.mark.parametrize(("arguments", "code", "sentence"), BAD_INPUT.values(), ids=BAD_INPUT.keys())
def test_bad_input_is_one_sentence_and_leaves_nothing(arguments: str, code: int, sentence: str) -> None:
    for name, content in FILES.items():
        Path(name).parent.mkdir(exist_ok=True)
        Path(name).write_bytes(content.encode() if isinstance(content, str) else content)
    before = all_files()
    assert run("draft", *arguments.split(), code=code) == ("", f"narrate2log: {sentence}\n")
    assert all_files() == before
    assert not Path("run").exists()


def test_what_is_missing_on_the_command_line_is_told() -> None:
    assert "Missing option '--out'" in run("draft", "a.wav", code=2)[1]


def test_the_track_of_a_draft_is_shown_with_what_was_put_aside(tmp_path: Path) -> None:
    told = [
        (10, "Starting."),
        (40, "Ten feet."),
        (70, "Twenty feet."),
        (80, "Ninety feet."),
        (110, "Thirty."),
    ]
    cues = "".join(
        f"00:{s // 60:02}:{s % 60:02}.000 --> 00:{s // 60:02}:{s % 60 + 2:02}.000\n{t}\n\n" for s, t in told
    )
    Path("run.vtt").write_text(f"WEBVTT\n\n{cues}", encoding="utf-8")
    assert CliRunner().invoke(app, ["draft", "run.vtt", "--out", "run", "--quiet"]).exit_code == 0
    shown = CliRunner().invoke(app, ["track", "run"])
    assert shown.exit_code == 0
    assert shown.output.splitlines()[0].split() == ["leg", "time", "pass", "ft", "from", "used"]
    lines = [line.split(maxsplit=5) for line in shown.output.splitlines()[1:]]
    assert [(line[3], line[5][:3]) for line in lines] == [
        ("0.0", "yes"), ("10.0", "yes"), ("20.0", "yes"), ("90.0", "no:"), ("30.0", "yes"),
    ]  # fmt: skip
    assert lines[3][5].startswith("no: the others put the camera near 22 ft then; 90 is easily heard for 19")


def test_no_track_where_there_is_no_draft(tmp_path: Path) -> None:
    shown = CliRunner().invoke(app, ["track", "nowhere"])
    assert shown.exit_code == errors.UnusableFolder.exit_code
    assert "nowhere: no track of a draft can be read here" in shown.stderr


@pytest.mark.parametrize(
    "text",
    [
        "[1]",
        "{",
        "{}",
        '{"schema": "narrate2log/track/0", "units": "ft", "anchors": []}',
        '{"schema": "narrate2log/track/1", "units": "ft"}',
        '{"schema": "narrate2log/track/1", "units": "ft", "anchors": [3]}',
        '{"schema": "narrate2log/track/1", "units": "ft", "anchors": [{"leg": 1, "used": true}]}',
        '{"schema": "narrate2log/track/1", "units": "ft", "anchors": [{"leg": 1, "used": true, "pass": "out",'
        ' "time": "soon", "distance": 1.0, "source": "zero"}]}',
    ],
)
def test_a_broken_track_is_told_in_one_sentence(text: str) -> None:
    Path("broken").mkdir()
    Path("broken/track.json").write_text(text, encoding="utf-8")
    shown = CliRunner().invoke(app, ["track", "broken"])
    assert shown.exit_code == errors.UnusableFolder.exit_code
    assert shown.output == (
        "narrate2log: broken/track.json: this track is broken or another version wrote it;"
        " draft the run again with --force.\n"
    )


@pytest.mark.parametrize("length", ["0", "-3", "5000", "nan"])
def test_a_length_that_is_none_is_refused(tmp_path: Path, length: str) -> None:
    Path("run.vtt").write_text("WEBVTT\n\n00:01.000 --> 00:02.000\nStarting.\n", encoding="utf-8")
    told = CliRunner().invoke(app, ["draft", "run.vtt", "--out", "run", "--length", length])
    assert told.exit_code == errors.UnusableCommand.exit_code
    assert "is no length of a run; give a number above 0, below 1000." in told.stderr


@pytest.fixture
def drafted(tmp_path: Path) -> str:
    """The folder of a draft of a run whose tilt was read out over 40 ft."""
    lines = ["Zero the counter.", "Starting in the cleanout, heading down.", "Four inch clay pipe."]
    lines += [f"{at} feet. Minus {1 + at // 10 % 2} degrees." for at in range(5, 45, 5)]
    minutes = [(f"00:{10 * i // 60:02}", 10 * i % 60) for i in range(len(lines))]
    cues = [
        f"{minute}:{second:02}.000 --> {minute}:{second + 5:02}.000\n{line}\n\n"
        for (minute, second), line in zip(minutes, lines, strict=True)
    ]
    source = tmp_path / "run.vtt"
    source.write_text("WEBVTT\n\n" + "".join(cues), encoding="utf-8")
    run("draft", str(source), "--out", str(tmp_path / "drafted"))
    return str(tmp_path / "drafted")


def test_slope_prints_the_stretches_of_a_draft(drafted: str) -> None:
    told, _ = run("slope", drafted)
    assert "against 0.125 in/ft" in told
    assert "4 in vitrified clay" in told
    assert "no code test" in told
    other, _ = run("slope", drafted, "--size", "4", "--code", "upc-sewer")
    assert "against 0.25 in/ft" in other


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (["--code", "xyz"], 2, "unknown code 'xyz'; use ipc"),
        (["--size", "four"], 2, "--size: 'four' is no pipe size; give inches as a number, 1 to 96."),
        (["--size", "0"], 2, "'0' is no pipe size"),
        (["--size", "nan"], 2, "'nan' is no pipe size"),
        (["--size", "400"], 2, "'400' is no pipe size"),
        (["--material", "cheese"], 2, "unknown material 'cheese'"),
        (["--minimums", "none.toml"], 5, "cannot be read"),
    ],
)
def test_slope_refuses_what_it_does_not_know(drafted: str, words: list[str], code: int, told: str) -> None:
    said = run("slope", drafted, *words, code=code)[1]
    assert told in said
    assert said.count("\n") == 1


def test_slope_needs_a_draft(tmp_path: Path) -> None:
    assert "no draft to read here" in run("slope", str(tmp_path), code=6)[1]
    (tmp_path / "observations.json").write_text('{"units": "ft"}', encoding="utf-8")
    assert "draft the run again" in run("slope", str(tmp_path), code=6)[1]


def test_slope_refuses_a_draft_that_was_changed_by_hand(drafted: str) -> None:
    file = Path(drafted) / "observations.json"
    document = json.loads(file.read_text(encoding="utf-8"))
    document["slope_profiles"][0]["stretches"][0]["grade_pct"]["value"] = "steep"
    file.write_text(json.dumps(document), encoding="utf-8")
    said = run("slope", drafted, code=6)[1]
    assert "draft the run again" in said
    assert said.count("\n") == 1
