"""One browser for all tests of the page; a new, empty window for each."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from reviewing import FLAGS, installed_browser, sample_run, served


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    found = installed_browser()
    if found is None:
        reason = "no Chromium is installed (Debian: apt-get install chromium), so the page was not tried"
        # Where a browser was promised, a test left out would hide a broken page.
        if os.environ.get("NARRATE2LOG_NEEDS_BROWSER"):
            pytest.fail(reason)
        pytest.skip(reason)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=found, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture
def window(chromium: Any) -> Iterator[Callable[..., Any]]:
    """Opens an address in a window of its own, and sees to it that nothing goes wrong in there."""
    contexts = []
    wrong: list[str] = []

    def outside(request: Any) -> None:
        if not request.url.startswith("http://127.0.0.1:"):
            wrong.append(request.url)

    def open_window(address: str, **how: Any) -> Any:
        context = chromium.new_context(**({"viewport": {"width": 1280, "height": 900}} | how))
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(20_000)
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on("request", outside)
        page.goto(address)
        page.wait_for_selector("html[data-whole]")
        return page

    yield open_window
    for context in contexts:
        context.close()
    assert not wrong


@pytest.fixture(scope="session")
def drafted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample's draft; copied, never changed."""
    return sample_run(tmp_path_factory.mktemp("drafted") / "sample-run")


@pytest.fixture
def run(drafted: Path, tmp_path: Path) -> Path:
    import shutil

    return Path(shutil.copytree(drafted, tmp_path / "sample-run"))


@pytest.fixture
def address(run: Path) -> Iterator[str]:
    with served(run) as at:
        yield at
