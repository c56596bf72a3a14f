"""Elements of a drawing: whatever text goes in, the file stays well-formed (read back by expat)."""

from __future__ import annotations

from xml.etree import ElementTree

from hypothesis import given
from hypothesis import strategies as st

from narrate2log.drawing.svg import NAMESPACE, band, document, element, polyline, to_text

XML_CHARS = st.characters(min_codepoint=32, max_codepoint=0xD7FF)


@given(st.text(XML_CHARS), st.text(XML_CHARS))
def test_text_and_attributes_come_back_as_they_went_in(text: str, attribute: str) -> None:
    read = ElementTree.fromstring(to_text(element("text", text, class_=attribute)))
    assert (read.text or "", read.get("class")) == (text, attribute)


@given(st.text())
def test_no_text_makes_a_broken_file(text: str) -> None:
    file = document(10, 20, element("text", text), title=text, description=text, style="")
    ElementTree.fromstring(file)


def test_markup_in_text_stays_text() -> None:
    root = ElementTree.fromstring(
        document(1, 1, element("text", "</text><script>x</script>"), title="t", description="d", style="")
    )
    assert root.find(f"{{{NAMESPACE}}}script") is None
    assert root.findtext(f"{{{NAMESPACE}}}text") == "</text><script>x</script>"


def test_a_file_says_what_it_shows_and_how_large_it_is() -> None:
    root = ElementTree.fromstring(document(640, 480, title="A run", description="Feet by time", style="a{}"))
    assert root.get("viewBox") == "0 0 640 480"
    assert root.get("role") == "img"
    assert [root.findtext(f"{{{NAMESPACE}}}{tag}") for tag in ("title", "desc", "style")] == [
        "A run",
        "Feet by time",
        "a{}",
    ]


def test_text_between_elements_keeps_its_place() -> None:
    assert to_text(element("text", "a", element("tspan", "b"), "c")) == "<text>a<tspan>b</tspan>c</text>"


def test_attributes() -> None:
    made = to_text(element("rect", x=-0.0001, stroke_width=1.23456, fill=None, width=3))
    assert made == '<rect x="0" stroke-width="1.23" width="3" />'


def test_lines_and_bands() -> None:
    assert polyline([(0, 1), (2.5, 3)]).get("points") == "0,1 2.5,3"
    assert band([(0, 1), (2, 1)], [(0, 5), (2, 5)]).get("points") == "0,1 2,1 2,5 0,5"
