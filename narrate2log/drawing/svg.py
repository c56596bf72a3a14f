"""SVG elements whose text and attributes cannot break out, and the document round them.

>>> to_text(element("text", "a < b", x=1.0, text_anchor="end"))
'<text x="1" text-anchor="end">a &lt; b</text>'
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

NAMESPACE = "http://www.w3.org/2000/svg"

# What XML 1.0 (fifth edition, section 2.2, production "Char") does not allow even when escaped.
_FORBIDDEN = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

Point = tuple[float, float]
# A drawing that a phone can show is scaled up no further than this on a wide screen.
LARGEST_SCALE = 1.75


def element(tag: str, *children: Element | str, **attributes: object) -> Element:
    """An element; in the names of attributes `_` stands for `-`, and one at the end is dropped (`class_`).

    Text is escaped; characters that XML does not allow become U+FFFD. Floats are cut to hundredths.
    An attribute that is None is left out.
    """
    made = Element(tag)
    for name, value in attributes.items():
        if value is not None:
            made.set(name.rstrip("_").replace("_", "-"), _written(value))
    for child in children:
        if isinstance(child, Element):
            made.append(child)
        elif len(made):
            made[-1].tail = (made[-1].tail or "") + _allowed(child)
        else:
            made.text = (made.text or "") + _allowed(child)
    return made


def _written(value: object) -> str:
    # Adding zero turns -0.0 into 0.0.
    return f"{round(value, 2) + 0.0:.6g}" if isinstance(value, float) else _allowed(str(value))


def _allowed(text: str) -> str:
    return _FORBIDDEN.sub("\ufffd", text)


def _points(points: Iterable[Point]) -> str:
    return " ".join(f"{_written(float(x))},{_written(float(y))}" for x, y in points)


def polyline(points: Iterable[Point], **attributes: object) -> Element:
    """A line through `points` (x, y) in the units of the drawing."""
    return element("polyline", points=_points(points), fill="none", **attributes)


def band(upper: Iterable[Point], lower: Iterable[Point], **attributes: object) -> Element:
    """The area between two lines that run the same way."""
    return element("polygon", points=_points([*upper, *reversed(list(lower))]), **attributes)


def line(start: Point, end: Point, **attributes: object) -> Element:
    """A straight line."""
    return element("line", x1=start[0], y1=start[1], x2=end[0], y2=end[1], **attributes)


def document(width: float, height: float, *parts: Element, title: str, description: str, style: str) -> bytes:
    """A whole file in UTF-8 that needs nothing else and scales to the width it is given, up to a limit.

    `title` and `description` are what a screen reader tells; `style` is CSS for the classes of `parts`.
    """
    root = element(
        "svg",
        element("title", title, id="title"),
        element("desc", description, id="description"),
        element("style", style),
        element("rect", width="100%", height="100%", fill="#fff"),
        *parts,
        xmlns=NAMESPACE,
        viewBox=f"0 0 {width:g} {height:g}",
        style=f"max-width: {LARGEST_SCALE * width:g}px; display: block; margin: 0 auto",
        role="img",
        aria_labelledby="title description",
    )
    return b'<?xml version="1.0" encoding="UTF-8"?>\n' + to_text(root).encode() + b"\n"


def to_text(made: Element) -> str:
    """An element as markup."""
    return ElementTree.tostring(made, encoding="unicode")
