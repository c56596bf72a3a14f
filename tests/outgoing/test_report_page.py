"""The page: whole in itself, nothing run, nothing fetched, a head and a language."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from outgoing.clips import chequers, video
from outgoing.folders import made, row, run


class Page(HTMLParser):
    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Page:
    folder = tmp_path_factory.mktemp("run")
    clip = video(folder / "clip.mp4", 3, lambda number: chequers(number))
    run(folder, row(time=1.0), row("crack", at=10.0, time=2.0), row("hole", at=None, standing="not-seen"))
    made(folder, "html", videos=[clip])
    return Page((folder / "report.html").read_text(encoding="utf-8"))


def test_it_has_a_language_a_width_and_one_head(page: Page) -> None:
    names = [name for name, _ in page.tags]
    assert ("html", {"lang": "en"}) in page.tags
    assert {"name": "viewport", "content": "width=device-width, initial-scale=1"} in [a for _, a in page.tags]
    assert names.count("h1") == names.count("title") == names.count("main") == 1


def test_nothing_is_run_or_fetched(page: Page) -> None:
    assert not {"script", "iframe", "object", "link", "form"} & {name for name, _ in page.tags}
    for name, attributes in page.tags:
        assert not any(attribute.startswith("on") for attribute in attributes)
        if attributes.get("src") is not None:
            assert name == "img"
            assert str(attributes["src"]).startswith("data:image/")
        if attributes.get("href") is not None:
            assert str(attributes["href"]).startswith("#")
    policy = next(a["content"] for name, a in page.tags if name == "meta" and "http-equiv" in a)
    assert str(policy).startswith("default-src 'none'")


def test_every_picture_is_told_in_words_and_every_link_leads_somewhere(page: Page) -> None:
    pictures = [attributes for name, attributes in page.tags if name == "img"]
    assert len(pictures) == 3
    assert all(picture.get("alt") for picture in pictures)
    places = {attributes["id"] for _, attributes in page.tags if "id" in attributes}
    links = {str(attributes["href"])[1:] for name, attributes in page.tags if name == "a"}
    assert links
    assert links <= places


def test_every_cell_tells_its_column_on_a_narrow_screen(page: Page) -> None:
    cells = [attributes for name, attributes in page.tags if name == "td"]
    assert cells
    assert all(cell.get("data-column") for cell in cells)
    assert all(attributes.get("scope") == "col" for name, attributes in page.tags if name == "th")


def test_the_stamp_of_a_draft_stays_in_view(tmp_path: Path) -> None:
    run(tmp_path, row())
    made(tmp_path, "html")
    text = (tmp_path / "report.html").read_text(encoding="utf-8")
    assert re.search(r'<p class="stamp">Draft: written by a program', text)
    assert "position: sticky" in text
