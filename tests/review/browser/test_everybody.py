"""Everybody can use the page: WCAG 2.1 AA as axe-core checks it, a phone's width, no mouse.

Source: the rules of axe-core 4 (Deque Systems) tagged for WCAG 2.0 and 2.1, levels A and AA.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from reviewing import MISHEARD, SAMPLES, doubted, heard_from, served, text_run

RULES = {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}
CONTRAST = {"type": "rule", "values": ["color-contrast"]}
# What is looked at, each reached from the one before by these keys.
SIGHTS: dict[str, list[str]] = {
    "the first item": [],
    "the keys": ["?"],
    "typing over": ["?", "e"],
    "one row put aside, all done": ["Escape", "x"],
}


def violations(page: Any, rules: dict[str, Any]) -> list[str]:
    found = Axe().run(page, options={"runOnly": rules}).response["violations"]
    return [f"{one['id']}: {one['nodes'][0]['html'][:120]}" for one in found]


@pytest.fixture
def short(tmp_path: Path) -> Iterator[str]:
    """A page of few words: to judge the contrast of each takes long."""
    folder = text_run(tmp_path / "short", MISHEARD)
    heard_from(folder, SAMPLES / "narration.ogg", 60.0)
    doubted(folder, "glimmer", 0.2)
    with served(folder) as address:
        yield address


@pytest.mark.parametrize(("width", "height"), [(1280, 900), (390, 844)])
def test_no_rule_is_broken(window: Callable[..., Any], short: str, width: int, height: int) -> None:
    page = window(short, viewport={"width": width, "height": height})
    broken = {}
    for sight, keys in SIGHTS.items():
        for key in keys:
            page.keyboard.press(key)
        page.wait_for_function("() => document.querySelector('#kept').dataset.is === 'well'")
        page.emulate_media(color_scheme="light")
        found = violations(page, RULES)
        page.emulate_media(color_scheme="dark")
        found += violations(page, CONTRAST)
        if found:
            broken[sight] = found
    assert page.inner_text("#title") == "Nothing asks for a look any more."
    assert broken == {}


def test_no_rule_is_broken_on_the_sample(window: Callable[..., Any], address: str) -> None:
    assert violations(window(address), RULES) == []


def test_nothing_is_wider_than_a_phone(window: Callable[..., Any], address: str) -> None:
    page = window(address, viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    for name in ("Stands as read", "Again", "Not a finding"):
        box = page.get_by_role("button", name=name).first.bounding_box()
        assert box["height"] >= 44


def test_what_happens_is_said_aloud(window: Callable[..., Any], address: str) -> None:
    page = window(address)
    assert page.evaluate("document.activeElement.id") == "title"
    page.keyboard.press("Enter")
    page.wait_for_selector("[role=status]:has-text('Kept: Crack')")
    assert page.evaluate("document.activeElement.id") == "title"
