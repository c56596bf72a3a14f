"""Listening live beside the draft of the finished recording.

    python tests/benchmarks/listen.py CASE...            # folders with narration.ogg, gold.json, counter.csv
    python tests/benchmarks/listen.py --hour CASE...     # an hour of them, one after the other
    python tests/benchmarks/listen.py --kills 100 CASE   # killed at random moments
    python tests/benchmarks/listen.py --water            # an hour of running water
    python tests/benchmarks/listen.py --hearing 5:12,2:12,2:8 CASE...

The first plays each recording at the pace it was spoken, through `narrate2log.listening` as the command has
it but for the screen, and prints: from the end of a phrase until its rows stand on the screen (half, and
nineteen in twenty), the wait for the end of speech included; the rows against the truth, live and drafted;
how many of the rows shown were taken back, and of those how many because the recogniser changed its mind. The
second also prints memory and how far the hearing was behind. The third prints how much sound was lost, and
which rows that were told as kept were not in the journal. The fourth hears water, reel and hum as
fast as it can, and prints the rows. The last compares how each phrase may be heard (beam and seconds of
company), not at a pace. For figures to quote, nothing else may run.
"""

from __future__ import annotations

import argparse
import json
import random
import resource
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np

TESTS = Path(__file__).parents[1]
sys.path.insert(0, str(TESTS))

from hearing.noises import mains_hum, reel_ticks, running_water  # noqa: E402

from narrate2log.draft import draft  # noqa: E402
from narrate2log.draft_folder import write_draft  # noqa: E402
from narrate2log.hearing import growing  # noqa: E402
from narrate2log.hearing.growing import GrowingHearing  # noqa: E402
from narrate2log.hearing.media import SAMPLE_RATE, Samples, samples_to_ms, stream  # noqa: E402
from narrate2log.hearing.models import find_model  # noqa: E402
from narrate2log.hearing.phrasing import number_phrases  # noqa: E402
from narrate2log.listening.counter import Clip  # noqa: E402
from narrate2log.listening.folder import begin  # noqa: E402
from narrate2log.listening.listener import PHRASE_ENDS_MS, Heard, Listener  # noqa: E402
from narrate2log.listening.live_journal import LiveJournal, Told  # noqa: E402
from narrate2log.listening.recording import HEADER  # noqa: E402
from narrate2log.listening.run import Listening, State  # noqa: E402
from narrate2log.listening.screens import mark_text  # noqa: E402
from narrate2log.listening.sound import RecordingSound, Tell  # noqa: E402
from narrate2log.listening.table import Table  # noqa: E402
from narrate2log.records import Draft, Word  # noqa: E402
from narrate2log.wording.learned import Learned  # noqa: E402
from narrate2log.wording.lexicon import load_lexicon  # noqa: E402

SCORER = TESTS / "narrations" / "score.py"
MODEL = "tiny.en"
# A program that is to be killed hears faster than is spoken, and lives so long at most, seconds.
PACE = 8
LONGEST_S = 10.0
# Of the runs that were killed, one in so many is drafted.
TAKEN_UP = 10


class Clocked:
    """A sound that remembers when it began."""

    def __init__(self, sounds: Sequence[RecordingSound]) -> None:
        self._sounds = sounds
        self.begun_s = 0.0

    def blocks(self, tell: Tell) -> Iterator[Samples]:
        self.begun_s = time.monotonic()
        for sound in self._sounds:
            yield from sound.blocks(tell)


class Watch:
    """A screen that notes what is shown, and when."""

    def __init__(self, sound: Clocked) -> None:
        self._sound = sound
        self.waits_s: list[float] = []
        self.row_waits_s: list[float] = []
        self.phrases: list[tuple[int, int]] = []
        self.shown = self.gone = 0
        self.memory_mb: list[float] = []
        self.troubles: list[str] = []

    def heard(self, heard: Heard, listener: Listener) -> None:
        wait = time.monotonic() - self._sound.begun_s - heard.end_ms / 1000
        self.waits_s.append(wait)
        self.phrases.append((heard.start_ms, heard.end_ms))
        for change in heard.changes:
            if change.what == "taken":
                self.shown += 1
                # from the end of the phrase that told it, which may be one before
                told_ms = change.row.told.time_ms
                end_ms = next((end for begin, end in self.phrases if begin <= told_ms <= end), heard.end_ms)
                self.row_waits_s.append(wait + (heard.end_ms - end_ms) / 1000)
            self.gone += change.what == "gone"

    def trouble(self, sentence: str) -> None:
        self.troubles.append(sentence)

    def show(self, state: State, listener: Listener) -> None:
        if not self.memory_mb or state.now_ms // 60_000 >= len(self.memory_mb):
            self.memory_mb.append(resident_mb())


class LastTable:
    """The table, which remembers the draft it made last."""

    def __init__(self, table: Table) -> None:
        self._table = table
        self.draft: Draft | None = None
        self.words: tuple[Word, ...] = ()
        self.problems = ()
        self.slept = table.slept

    def __call__(self, words: Sequence[Word], until_ms: int) -> Any:
        self.words = tuple(words)
        self.draft = self._table(words, until_ms)
        return self.draft


def resident_mb() -> float:
    """Memory held now."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * resource.getpagesize() / 1e6


def listen(cases: Sequence[Path], folder: Path, units: str, counter: Path | None) -> tuple[Watch, LastTable]:
    """Listen to recordings one after the other, as long as they were spoken."""
    lexicon = load_lexicon(None)
    hearing = GrowingHearing(find_model(MODEL), lexicon.prompt())
    hearing.warm_up()
    folder.mkdir(parents=True)
    journal, recording, run = begin(folder, units)  # type: ignore[arg-type]
    table = LastTable(Table(run, lexicon, Learned(), counter))
    sound = Clocked([RecordingSound(case / "narration.ogg", 1.0) for case in cases])
    watch = Watch(sound)
    listener = Listener(hearing, table, journal, run)
    # the first table of all loads what is loaded once
    table([], 0)
    Listening(sound, recording, hearing, listener, journal, watch).run()
    return watch, table


def counter_of(case: Path) -> Path | None:
    log = case / "counter.csv"
    return log if log.exists() else None


def units_of(case: Path) -> str:
    return str(json.loads((case / "gold.json").read_bytes())["units"])


def scores(pairs: Sequence[str]) -> str:
    """The scorer's table."""
    return subprocess.run([sys.executable, str(SCORER), *pairs], capture_output=True, text=True).stdout


def told(watch: Watch, name: str) -> str:
    waits = sorted(watch.waits_s)
    rows = sorted(watch.row_waits_s)
    return (
        f"{name}: {len(waits)} phrases, half within {statistics.median(waits):.2f} s, 19 in 20 within"
        f" {waits[int(0.95 * len(waits))]:.2f} s; {len(rows)} rows, {statistics.median(rows):.2f} and"
        f" {rows[int(0.95 * len(rows))]:.2f} s; {watch.gone} taken back by later words; behind at most"
        f" {max(waits):.1f} s; in the last sixth half within"
        f" {statistics.median(watch.waits_s[-len(waits) // 6 :]):.2f} s"
    )


def compare(cases: Sequence[Path], work: Path) -> None:
    """Live rows and drafted rows against the truth, and how long each phrase took."""
    pairs: dict[str, list[str]] = {"live": [], "drafted": []}
    watches = []
    for case in cases:
        units, counter = units_of(case), counter_of(case)
        watch, table = listen([case], work / "listened" / case.name, units, counter)
        print(told(watch, case.name), flush=True)
        watches.append(watch)
        sound = case / "narration.ogg"
        drafted = draft([sound], counter=counter, units=units, model=MODEL)  # type: ignore[arg-type]
        for name, made in (("live", table.draft), ("drafted", drafted)):
            assert made is not None
            (work / name).mkdir(exist_ok=True)
            write_draft(made, work / name / case.name)
            pairs[name].append(f"{case}={work / name / case.name}")
    for name, given in pairs.items():
        print(f"\n{name}\n{scores(given)}")
    for name in ("waits_s", "row_waits_s"):
        waits = sorted(wait for watch in watches for wait in getattr(watch, name))
        what = "phrase" if name == "waits_s" else "row"
        print(
            f"end of phrase to screen, by {what}: median {statistics.median(waits):.2f} s, 95th percentile"
            f" {waits[int(0.95 * len(waits))]:.2f} s, of {len(waits)}"
        )
    shown, gone = sum(watch.shown for watch in watches), sum(watch.gone for watch in watches)
    print(
        f"{shown} rows shown, {gone} taken back, all by later words: words that were heard stay as they are"
    )


def compare_hearing(cases: Sequence[Path], ways: str, work: Path) -> None:
    """The rows that come of ways to hear a phrase, and the processor's seconds for one."""
    lexicon = load_lexicon(None)
    for way in ways.split(","):
        beam, seconds = map(int, way.split(":"))
        growing.BEAM_SIZE, growing.COMPANY = beam, seconds * SAMPLE_RATE
        pairs, costs = [], []
        for case in cases:
            hearing = GrowingHearing(find_model(MODEL), lexicon.prompt())
            words: list[Word] = []
            for block in (*stream(case / "narration.ogg"), None):
                hearing.finish() if block is None else hearing.feed(block)
                if hearing.untaken and (
                    block is None or hearing.silence_after(hearing.ended) >= PHRASE_ENDS_MS
                ):
                    begun = time.process_time()
                    phrase = hearing.hear()
                    costs.append(time.process_time() - begun)
                    hearing.take(phrase)
                    words += phrase.words
            run = Told(units=units_of(case), clips=(("narration.ogg", Clip(0, 0)),))  # type: ignore[arg-type]
            made = Table(run, lexicon, Learned(), counter_of(case))(number_phrases(words), hearing.fed_ms)
            folder = work / way / case.name
            folder.parent.mkdir(exist_ok=True)
            write_draft(made, folder)
            pairs.append(f"{case}={folder}")
        scored = subprocess.run([sys.executable, str(SCORER), *pairs], capture_output=True, text=True).stdout
        print(
            f"beam {beam}, {seconds} s of company: {statistics.median(costs):.2f} s of the processor a phrase"
        )
        print("\n".join((scored.splitlines()[0], scored.splitlines()[-1])), flush=True)


def hour(cases: Sequence[Path], work: Path) -> None:
    """An hour of recordings: memory, drift, and how far behind."""
    seconds = 0.0
    chosen: list[Path] = []
    while seconds < 3600:
        case = cases[len(chosen) % len(cases)]
        chosen.append(case)
        seconds += json.loads((case / "gold.json").read_bytes())["duration"]
    begun = time.monotonic()
    watch, table = listen(chosen, work / "hour", "ft", None)
    passed = time.monotonic() - begun
    sound = next((work / "hour").glob("sound-*.wav"))
    kept_s = (sound.stat().st_size - HEADER) / 2 / SAMPLE_RATE
    print(told(watch, f"{kept_s / 60:.0f} minutes"))
    print("resident memory by minute, MB: " + " ".join(f"{mb:.0f}" for mb in watch.memory_mb))
    print(f"{passed:.1f} s passed for {kept_s:.3f} s of sound; {len(table.words)} words")
    print(f"troubles: {watch.troubles or 'none'}")
    print(
        f"drift of the words against the recording heard afresh: {drift_ms(sound, table.words)} ms (median)"
    )


def drift_ms(sound: Path, words: Sequence[Word]) -> float:
    """How far the words of the last five minutes lie from those of the same sound heard afresh."""
    from difflib import SequenceMatcher

    from narrate2log.hearing.recogniser import transcribe
    from narrate2log.listening.recording import read_samples

    length_ms = samples_to_ms((sound.stat().st_size - HEADER) // 2)
    begin = max(0, length_ms - 300_000)
    afresh = transcribe(
        read_samples(sound, begin), find_model(MODEL), prompt=load_lexicon(None).prompt(), progress=None
    )
    late = [word for word in words if word.start_ms >= begin]
    blocks = SequenceMatcher(
        None, [w.text.lower() for w in late], [w.text.lower() for w in afresh], autojunk=False
    ).get_matching_blocks()
    apart = [
        late[a + i].start_ms - afresh[b + i].start_ms - begin for a, b, n in blocks for i in range(n) if n > 2
    ]
    return statistics.median(apart)


def kill_again_and_again(case: Path, kills: int, work: Path) -> None:
    """Kill a listening program at random moments, take the run up again, and look what is left."""
    rng = random.Random(8)
    lost_s: list[float] = []
    rows_lost = acknowledged = failed = 0
    for number in range(kills):
        folder = work / f"killed-{number}"
        command = [sys.executable, "-c", "from narrate2log.cli import app; app()", "listen", "--plain"]
        program = subprocess.Popen(
            [*command, "--out", str(folder), "--from", str(case / "narration.ogg"), "--pace", str(PACE)],
            stdout=subprocess.PIPE,
            text=True,
        )
        while not (folder / "sound-1.wav").exists():
            time.sleep(0.01)
        begun = time.monotonic()
        time.sleep(rng.uniform(0.0, LONGEST_S))
        program.send_signal(signal.SIGKILL)
        passed = time.monotonic() - begun
        said = program.communicate()[0].splitlines()
        kept_s = ((folder / "sound-1.wav").stat().st_size - HEADER) / 2 / SAMPLE_RATE
        # What is lost is counted by the clock: at this pace a second of it is several of the sound.
        lost_s.append(max(0.0, passed - kept_s / PACE))
        told_rows = [line for line in said if line[:1].isdigit()]
        acknowledged += len(told_rows)
        entries = [json.loads(line) for line in _whole_lines(folder / "live.jsonl")]
        kept = {row["remark"] for e in entries if e["what"] == "phrase" for row in e["rows"]}
        kept |= {mark_text(mark) for mark in LiveJournal(folder / "live.jsonl").told().marks}
        kept |= {"told again", "Not understood"}
        for line in told_rows:
            if not any(text in line for text in kept):
                rows_lost += 1
                print(f"lost: {line}")
        if number % TAKEN_UP == 0:
            again = subprocess.run(
                [*command, "--resume", str(folder), "--finish"], capture_output=True, text=True
            )
            if again.returncode != 0:
                failed += 1
                print(f"not drafted: {again.stderr}")
    print(
        f"{kills} kills: at most {max(lost_s):.2f} s of sound lost, {rows_lost} of {acknowledged} shown lines"
        f" lost, {failed} of {len(range(0, kills, TAKEN_UP))} that were taken up were not drafted"
    )


def hear_water(work: Path) -> None:
    """An hour in which nobody speaks."""
    command = [sys.executable, "-c", "from narrate2log.cli import app; app()", "listen", "--plain"]
    program = subprocess.Popen(
        [*command, "--from", "-", "--out", str(work / "water"), "--model", MODEL], stdin=subprocess.PIPE
    )
    assert program.stdin is not None
    rng = np.random.default_rng(8)
    for _ in range(60):
        loud = rng.uniform([0.5, 0.0, 0.0], [1.2, 1.0, 0.6])
        sounds = (running_water(60), reel_ticks(60), mains_hum(60))
        mixed = sum(share * sound for share, sound in zip(loud, sounds, strict=True)) / 2
        program.stdin.write(
            (np.clip(np.roll(mixed, rng.integers(960_000)), -1, 1) * 32767).astype("<i2").tobytes()
        )
    program.stdin.close()
    program.wait()


def _whole_lines(journal: Path) -> list[bytes]:
    return journal.read_bytes().split(b"\n")[:-1]


def main() -> None:
    """Measure what the command line asks for."""
    parser = argparse.ArgumentParser()
    parser.add_argument("cases", nargs="*", type=Path)
    parser.add_argument("--water", action="store_true")
    parser.add_argument("--hour", action="store_true")
    parser.add_argument("--kills", type=int, default=0)
    parser.add_argument("--hearing")
    wanted = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        work = Path(name)
        if wanted.kills:
            kill_again_and_again(wanted.cases[0], wanted.kills, work)
        elif wanted.water:
            hear_water(work)
        elif wanted.hearing:
            compare_hearing(wanted.cases, wanted.hearing, work)
        elif wanted.hour:
            hour(wanted.cases, work)
        else:
            compare(wanted.cases, work)


if __name__ == "__main__":
    main()
