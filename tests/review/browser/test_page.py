"""The page in a real browser, used as a person would: by key, by word, by mouse, in two windows."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from reviewing import MISHEARD, SAMPLES, Program, doubted, heard_from, journal, served, text_run

Window = Callable[..., Any]


def title(page: Any) -> str:
    return str(page.inner_text("#title"))


def kept(page: Any, count: int, folder: Path) -> list[dict[str, Any]]:
    """Wait until the page says that all is kept, then what is on the disk."""
    page.wait_for_function(
        "count => document.querySelector('#kept').dataset.is === 'well' && window.kept() >= count", arg=count
    )
    return journal(folder)


@pytest.fixture
def page(window: Window, address: str) -> Any:
    return watched(window(address))


def watched(page: Any) -> Any:
    """A page that counts how often it said that something is kept."""
    page.evaluate(
        """() => {
            let kept = 0;
            const told = document.querySelector('#told');
            const said = /^(Kept|Undone|Redone|Learned)/;
            new MutationObserver(() => { if (said.test(told.textContent)) kept += 1; })
              .observe(told, { childList: true, characterData: true, subtree: true });
            window.kept = () => kept;
        }"""
    )
    return page


def test_the_whole_queue_by_keyboard_one_key_a_row(page: Any, run: Path) -> None:
    asking = re.match(r"\d+", page.inner_text("#left"))
    assert asking is not None
    count = int(asking[0])
    assert count >= 3
    seen = set()
    for turn in range(count):
        seen.add(title(page))
        page.keyboard.press("Enter")
        kept(page, turn + 1, run)
    assert len(seen) == count
    assert title(page) == "Nothing asks for a look any more."
    decisions = journal(run)
    assert [decision["kind"] for decision in decisions] == ["stands"] * count
    assert {decision["by"] for decision in decisions} == {"Kim"}
    page.wait_for_selector("text=The log is written")
    assert json.loads((run / "log.json").read_bytes())["review"]["complete"] is True


def test_each_item_plays_its_words_by_itself_from_a_second_before(page: Any) -> None:
    page.evaluate(
        """() => { for (const player of document.querySelectorAll('#picture video'))
            player.addEventListener('playing', () => { window.begun = player.currentTime; }); }"""
    )
    page.keyboard.press("n")
    page.wait_for_function("() => window.begun")
    first = page.evaluate("document.querySelector('#text .here').dataset.w")
    words = page.evaluate("fetch('state').then(answer => answer.json()).then(state => state.words)")
    assert page.evaluate("window.begun") == pytest.approx(words[int(first)]["start"] - 1, abs=0.3)
    page.keyboard.press("s")
    assert page.evaluate("document.querySelector('#picture video:not(.behind)').playbackRate") == 0.75
    page.keyboard.press(" ")
    assert page.evaluate("document.querySelector('#picture video:not(.behind)').paused")


def test_choices_are_one_key_and_undo_has_no_end(page: Any, run: Path) -> None:
    assert "Possible crack" in title(page)
    page.keyboard.press("2")
    kept(page, 1, run)
    page.keyboard.press("x")
    kept(page, 2, run)
    rows = json.dumps(json.loads(page.evaluate("fetch('state').then(a => a.text())"))["rows"])
    assert '"standing": "not-seen"' in rows
    page.keyboard.press("u")
    kept(page, 3, run)
    page.keyboard.press("u")
    kept(page, 4, run)
    assert "Possible crack" in title(page)
    page.keyboard.press("U")
    decisions = kept(page, 5, run)
    assert [decision["kind"] for decision in decisions] == [
        "changed",
        "dropped",
        "undone",
        "undone",
        "undone",
    ]
    assert page.inner_text("#left").startswith("2 ask")


def test_a_word_typed_over_is_learned_and_offered_elsewhere(
    window: Window, tmp_path: Path, nothing_learned: Path
) -> None:
    folder = text_run(tmp_path / "run", MISHEARD)
    doubted(folder, "glimmer", 0.21)
    with served(folder) as address:
        page = watched(window(address))
        assert page.inner_text(".heard .doubt").startswith("glimmer")
        assert "21 % sure" in page.text_content(".heard .doubt")
        page.keyboard.press("e")
        words = page.locator("textarea").first
        words.fill(words.input_value().replace("glimmer", "grease"))
        page.keyboard.press("Enter")
        page.wait_for_selector("text=always to be read as")
        assert "“glimmer”" in title(page)
        page.keyboard.press("y")
        decisions = kept(page, 2, folder)
        assert decisions[-1]["kind"] == "taught"
        assert "glimmer" in next(nothing_learned.glob("learned*")).read_text()
        assert "glimmer" in title(page)
        page.keyboard.press("1")
        decisions = kept(page, 3, folder)
        assert "grease" in json.dumps(decisions[-1]["after"])


def test_moved_joined_parted_and_added_by_key(page: Any, run: Path) -> None:
    page.click("#table tr:has-text('City connection') button")
    page.keyboard.press("m")
    page.keyboard.type("58-60")
    page.keyboard.press("Enter")
    moved = kept(page, 1, run)[-1]["after"]
    assert (moved["distance"], moved["distance_low"], moved["distance_high"]) == (59, 58, 60)

    page.click("#table tr:has-text('Start of run') button")
    page.keyboard.press("j")
    page.keyboard.press("Enter")
    assert kept(page, 2, run)[-1]["kind"] == "joined"

    page.click("#table tr:has-text('Branch') button")
    page.keyboard.press("p")
    page.locator("fieldset input").last.check()
    page.keyboard.press("Tab")
    page.locator("form button[type=submit]").click()
    assert kept(page, 3, run)[-1]["kind"] == "parted"

    page.focus("#text")
    page.keyboard.press("Home")
    page.keyboard.press("Shift+ArrowRight")
    page.keyboard.press("a")
    page.get_by_label("What it is").select_option(label="Roots")
    page.get_by_label("Where (ft)").fill("12")
    page.keyboard.press("Enter")
    added = kept(page, 4, run)[-1]
    assert added["kind"] == "added"
    assert added["after"]["feature"] == "roots"
    assert page.locator("#table tr:has-text('12.0 ft')").count() == 1


@pytest.mark.parametrize("typed", ["twelve", "12 to 3", "-3"])
def test_a_place_that_is_none_is_told_and_nothing_is_kept(page: Any, run: Path, typed: str) -> None:
    page.keyboard.press("m")
    page.keyboard.type(typed)
    page.keyboard.press("Enter")
    page.wait_for_function(
        "() => [...document.querySelectorAll('.wrong, #trouble')].some(one => one.textContent)"
    )
    assert journal(run) == []


def test_a_click_anywhere_goes_everywhere_else(page: Any) -> None:
    page.click("#legs button[aria-label*='Roots']")
    assert "Roots" in title(page)
    assert "Roots" in page.inner_text("#table tr[aria-current]")
    here = page.inner_text("#text p:has(.here)")
    assert "root" in here.lower()

    page.click("#text button[aria-label*='Branch'] >> nth=0")
    assert "Branch" in title(page)
    assert "Branch" in page.get_attribute("#legs button[aria-current]", "aria-label")

    page.click("#legs svg", position={"x": 640, "y": 100})
    page.wait_for_function("() => /the camera was at/.test(document.querySelector('#told').textContent)")
    at = float(re.search(r"at ([\d.]+) ft", page.inner_text("#told"))[1])
    assert 24 < at < 34
    camera = page.evaluate("document.querySelector('.camera').getBoundingClientRect().left")
    assert abs(camera - 660) < 40
    assert page.locator("#text .now").count() == 1


def test_two_windows_agree_and_the_later_answer_on_one_row_is_told(
    window: Window, address: str, run: Path
) -> None:
    one, other = watched(window(address)), watched(window(address))
    # The second window does not look for news in this test before it answers.
    other.route("**/state?seen=*", lambda route: route.abort())
    one.keyboard.press("2")
    kept(one, 1, run)
    other.keyboard.press("1")
    other.wait_for_selector("#trouble:has-text('Kim settled this meanwhile')")
    assert len(journal(run)) == 1
    assert "No crack seen" in title(other)
    other.unroute("**/state?seen=*")
    other.keyboard.press("n")
    other.keyboard.press("Enter")
    kept(other, 1, run)
    one.wait_for_function("() => /^1 asks/.test(document.querySelector('#left').textContent)")
    assert len(journal(run)) == 2


def test_reload_mid_way_goes_on_where_it_was(page: Any, run: Path) -> None:
    page.keyboard.press("Enter")
    page.reload()
    page.wait_for_selector("html[data-whole]")
    assert len(journal(run)) == 1
    assert page.inner_text("#left").startswith("2 ask")
    assert page.is_enabled("#undo")


def test_a_lost_answer_is_sent_again_and_counts_once(page: Any, run: Path) -> None:
    lost = []

    def lose(route: Any) -> None:
        if len(lost) < 2:
            lost.append(route.fetch().status)
            route.abort()
        else:
            route.continue_()

    page.route("**/decide", lose)
    page.keyboard.press("Enter")
    page.wait_for_selector("#kept:has-text('Not kept yet')")
    kept(page, 1, run)
    assert lost == [200, 200]
    assert len(journal(run)) == 1


def test_a_full_disk_keeps_the_answer_waiting_until_there_is_room(page: Any, run: Path) -> None:
    # A folder where the journal has to be is refused by every disk, to root as well.
    (run / "decisions.lock").mkdir()
    page.keyboard.press("Enter")
    page.wait_for_selector("#kept:has-text('Not kept yet')")
    assert "make room" in page.inner_text("#kept")
    (run / "decisions.lock").rmdir()
    assert len(kept(page, 1, run)) == 1


def test_killed_and_started_again_nothing_kept_is_lost(window: Window, run: Path) -> None:
    program = Program(run)
    for life, key in enumerate(("Enter", "x"), 1):
        page = watched(window(program.start()))
        page.keyboard.press(key)
        kept(page, 1, run)
        program.kill()
        page.keyboard.press("u")
        page.wait_for_selector("#kept:has-text('Not kept yet')")
        assert len(journal(run)) == life
    program.start()
    program.interrupt()
    assert json.loads((run / "log.json").read_bytes())["review"]["decisions"] == 2


# --- recordings --------------------------------------------------------------------------------------


def test_a_moved_recording_is_asked_for_and_checked(window: Window, run: Path, tmp_path: Path) -> None:
    away = tmp_path / "card" / "renamed.ogg"
    away.parent.mkdir()
    shutil.copy(SAMPLES / "narration.ogg", away)
    (run / "recordings.json").unlink()
    with served(run) as address:
        page = watched(window(address))
        page.wait_for_selector("text=Where is narration.ogg now?")
        page.get_by_label("Where is narration.ogg now?").fill(str(SAMPLES / "counter.csv"))
        page.keyboard.press("Enter")
        page.wait_for_selector("text=this is another recording")
        # All else works meanwhile.
        page.click("#title")
        page.keyboard.press("Enter")
        kept(page, 1, run)
        page.get_by_label("Where is narration.ogg now?").fill(str(away))
        page.keyboard.press("Enter")
        page.wait_for_selector("text=Where is narration.ogg now?", state="detached")
        page.wait_for_function("() => document.querySelector('#picture video').readyState >= 2")
    assert str(away) in (run / "recordings.json").read_text()


def test_timed_text_is_reviewed_without_sound(window: Window, tmp_path: Path) -> None:
    folder = text_run(tmp_path / "run", MISHEARD)
    with served(folder) as address:
        page = watched(window(address))
        page.wait_for_selector("text=there is nothing to hear")
        page.keyboard.press("Enter")
        kept(page, 1, folder)


@pytest.mark.skipif(shutil.which("ffmpeg") is None, reason="needs ffmpeg to make a recording of an old kind")
def test_a_recording_the_browser_cannot_play_gets_a_copy_and_a_picture(
    window: Window, run: Path, tmp_path: Path
) -> None:
    old = tmp_path / "old.avi"
    subprocess.run(
        ["ffmpeg", "-loglevel", "error", "-f", "lavfi", "-i", "testsrc=size=160x120:rate=5", "-ss", "180",
         "-t", "25", "-i", str(SAMPLES / "narration.ogg"), "-t", "25", "-c:v", "msmpeg4v2",
         "-c:a", "adpcm_ms", str(old)],
        check=True,
    )  # fmt: skip
    heard_from(run, old, 25.0)
    with served(run) as address:
        page = watched(window(address))
        page.wait_for_function(
            "() => fetch('sources').then(a => a.json()).then(t => t.sources[0].copy === 'picture')",
            timeout=15000,
        )
        page.click("#text [data-w='5']")
        page.wait_for_function(
            "() => document.querySelector('#picture video:not(.behind)').videoWidth === 160"
        )
        page.wait_for_function(
            "() => document.querySelector('#picture video:not(.behind)').currentTime > 0.1"
        )
        page.click("#table tr:has-text('Roots') button >> nth=0")
        page.keyboard.press("f")
        still = kept(page, 1, run)[-1]
        assert still["kind"] == "still"
        assert still["after"]["still"] >= 0
    assert not list((run / ".review").glob("*.part"))
