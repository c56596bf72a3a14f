"""The review page on an hour-long recording, and killed again and again.

    python tests/benchmarks/review_page.py [--kills 50]

Prints how long the page takes until it can be used (without and with the wave's peaks at hand), how long from
a key until the next item sounds, how long an answer takes to be kept; and, with --kills, whether every answer
that the page was told is kept was found on the disk after each `kill -9` at a random moment. Needs a Chromium
and ffmpeg. The hour is the sample's narration over and over, each time a new push.
"""

from __future__ import annotations

import argparse
import random
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from reviewing import FLAGS, SAMPLES, Program, heard_from, installed_browser, journal, sample_run, text_run

SAMPLE_S = 351.64
TIMES = 11
READY = "() => document.documentElement.dataset.ready && performance.now()"
WHOLE = "() => document.documentElement.dataset.whole && performance.now()"
WATCH = """() => {
  window.pressed = 0; window.sounded = []; window.kept = [];
  addEventListener('keydown', () => { window.pressed = performance.now(); }, true);
  for (const player of document.querySelectorAll('#picture video')) {
    const heard = () => {
      if (!player.classList.contains('behind') && !player.paused && window.pressed) {
        window.sounded.push(performance.now() - window.pressed);
        window.pressed = 0;
      }
    };
    player.addEventListener('playing', heard);
  }
}"""
ACKNOWLEDGED = """() => {
  window.acknowledged = [];
  const ask = window.fetch;
  window.fetch = async (path, how) => {
    const answer = await ask(path, how);
    if (answer.ok && /^(decide|undo)$/.test(path)) {
      const token = JSON.parse(how.body).token;
      const json = answer.json.bind(answer);
      answer.json = async () => { const told = await json(); window.acknowledged.push(token); return told; };
    }
    return answer;
  };
}"""


def later(narration: str, seconds: float) -> str:
    """The cues of a WebVTT moved on."""

    def moved(found: re.Match[str]) -> str:
        hours, minutes, rest = found[0].split(":")
        at = int(hours) * 3600 + int(minutes) * 60 + float(rest) + seconds
        return f"{int(at // 3600):02}:{int(at // 60 % 60):02}:{at % 60:06.3f}"

    return re.sub(r"\d\d:\d\d:\d\d\.\d{3}", moved, narration.removeprefix("WEBVTT\n"))


def hour_run(work: Path) -> Path:
    once = (SAMPLES / "narration.vtt").read_text(encoding="utf-8")
    told = "WEBVTT\n" + "\n".join(later(once, at * SAMPLE_S) for at in range(TIMES))
    folder = text_run(work / "hour", told)
    sound = work / "hour.ogg"
    subprocess.run(
        ["ffmpeg", "-loglevel", "error", "-stream_loop", str(TIMES - 1), "-i", str(SAMPLES / "narration.ogg"),
         "-c", "copy", str(sound)],
        check=True,
    )  # fmt: skip
    heard_from(folder, sound, TIMES * SAMPLE_S)
    return folder


def hour(browser: Any, work: Path) -> None:
    folder = hour_run(work)
    program = Program(folder)
    for name in ("without peaks", "with peaks"):
        program.start()
        ready, whole = [], []
        for _ in range(5):
            page = browser.new_page()
            page.goto(program.address)
            ready.append(page.wait_for_function(READY).json_value())
            whole.append(page.wait_for_function(WHOLE).json_value())
            page.close()
        for what, (first, *again) in (("usable", ready), ("all there", whole)):
            print(f"{name}: {what} after {first:.0f} ms, opened again {statistics.median(again):.0f} ms")
        page = browser.new_page()
        page.goto(program.address)
        page.wait_for_function(READY)
        page.wait_for_function("() => document.querySelector('#picture video').readyState >= 2")
        page.evaluate(WATCH)
        count = int(page.inner_text("#left").split()[0])
        for _ in range(min(count - 1, 20)):
            page.keyboard.press("n")
            page.wait_for_timeout(900)
        gone = page.evaluate("() => window.sounded")
        page.evaluate("() => { window.sounded = []; }")
        kept = []
        for _ in range(10):
            begun = time.perf_counter()
            page.keyboard.press("Enter")
            page.wait_for_function("() => document.querySelector('#kept').dataset.is === 'well'")
            kept.append((time.perf_counter() - begun) * 1000)
            page.wait_for_timeout(900)
        settled = page.evaluate("() => window.sounded")
        for what, times in (("next", gone), ("settled, next", settled)):
            print(
                f"{name}: {what} item sounds after {statistics.median(times):.0f} ms (half),"
                f" {max(times):.0f} ms (longest of {len(times)})"
            )
        print(f"{name}: an answer is kept after {statistics.median(kept):.0f} ms, longest {max(kept):.0f} ms")
        while not list((folder / ".review").glob("*.peaks")):
            time.sleep(0.5)
        page.close()
        program.kill()


def killed(browser: Any, work: Path, kills: int) -> None:
    folder = sample_run(work / "killed")
    program = Program(folder)
    rng = random.Random(6)
    acknowledged: list[str] = []
    for _ in range(kills):
        program.start()
        page = browser.new_page()
        page.goto(program.address)
        page.wait_for_function(READY)
        page.evaluate(ACKNOWLEDGED)
        timer = threading.Timer(rng.uniform(0.05, 1.5), program.kill)
        timer.start()
        while timer.is_alive():
            page.keyboard.press(rng.choice(["Enter", "x", "u", "u"]))
            page.wait_for_timeout(rng.uniform(0, 25))
        acknowledged += page.evaluate("() => window.acknowledged")
        page.close(run_before_unload=False)
    on_disk = [line["id"] for line in journal(folder)]
    lost = set(acknowledged) - set(on_disk)
    print(
        f"killed {kills} times: {len(acknowledged)} answers acknowledged, {len(lost)} of them lost,"
        f" {len(on_disk) - len(set(on_disk))} there twice,"
        f" {len(set(on_disk) - set(acknowledged))} kept but never acknowledged"
    )


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--kills", type=int, default=0)
    kills = options.parse_args().kills
    found = installed_browser()
    if found is None or shutil.which("ffmpeg") is None:
        sys.exit("This needs a Chromium and ffmpeg; install them.")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver, tempfile.TemporaryDirectory() as work:
        browser = driver.chromium.launch(executable_path=found, args=FLAGS)
        if kills:
            killed(browser, Path(work), kills)
        else:
            hour(browser, Path(work))
        browser.close()


if __name__ == "__main__":
    main()
