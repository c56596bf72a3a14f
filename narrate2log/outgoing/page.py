"""report.html: the report as one page that needs nothing else, for a screen of any width."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Iterator
from pathlib import Path
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from narrate2log.drawing.svg import element
from narrate2log.outgoing.content import Finding, Line, Report, Table, Warned
from narrate2log.outgoing.drawings import Drawing
from narrate2log.outgoing.parcel import Made, Parcel
from narrate2log.outgoing.stills import smaller
from narrate2log.table.cautions import warning

NAME = "report.html"
# All pictures of the page together; as base64 they are a third more, and the page stays below 5 MB.
PICTURES_BYTES = 3_300_000
TYPES = {".jpg": "image/jpeg", ".jpeg": "image/jpeg", ".png": "image/png", ".svg": "image/svg+xml"}
# Nothing of the page is run or fetched, also not what a name might smuggle in.
POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"


def report_html(parcel: Parcel) -> Made:
    """The report as HTML in UTF-8."""
    root = _page(parcel.report)
    markup = ElementTree.tostring(root, encoding="unicode", method="html")
    return Made({NAME: ("<!DOCTYPE html>\n" + markup + "\n").encode("utf-8", "replace")})


def _page(report: Report) -> Element:
    style = Path(__file__).with_name("page.css").read_text(encoding="utf-8")
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", http_equiv="Content-Security-Policy", content=POLICY),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("title", report.title),
        element("style", style),
    )
    body = element("body")
    if report.stamp:
        body.append(element("p", report.stamp, class_="stamp"))
    named = element("div", *_company(report), element("h1", report.title))
    logo = [] if report.logo is None else [_logo(report.logo)]
    body.append(element("header", named, *logo))
    body.append(element("main", *_main(report)))
    body.append(element("footer", element("p", report.record)))
    return element("html", head, body, lang=report.language)


def _company(report: Report) -> Iterator[Element]:
    if report.company:
        yield element("p", report.company)


def _logo(path: Path) -> Element:
    return element("img", src=_data(path.read_bytes(), TYPES[path.suffix.lower()]), alt="Logo of the company")


def _main(report: Report) -> Iterator[Element]:
    if report.amended:
        yield element(
            "section",
            element("strong", "Amended. "),
            f"This report, made {report.made}, stands for the one made {report.amended.since[:10]}."
            " What is other:",
            _list(map(_text, report.amended.changes)),
            class_="boxed",
        )
    yield from (_warned(caution) for caution in report.cautions if caution.first)
    yield _pairs(report.particulars, blank="not given")
    yield element("h2", "What was found and advised")
    if report.conclusion:
        yield element("p", report.conclusion, class_="said")
        yield element("p", "The conclusion of the inspector.", class_="quiet")
    for group in report.groups:
        yield element("h3", f"{group.heading} ({len(group.lines)})")
        yield _list(map(_told, group.lines))
    if not report.groups:
        yield element("p", "No findings are in the log.", class_="quiet")
    yield element("h3", "Advised")
    yield _lines(report.advice, "No advice is in the log.")
    yield element("h3", "Looked for and not seen")
    yield _lines(report.not_seen, "Nothing was told of as looked for and not seen.")
    yield from (_warned(caution) for caution in report.cautions if not caution.first)
    yield element("p", report.record)
    if report.missing:
        yield element("p", element("strong", "Missing from this report. "), " ".join(report.missing))
    for drawing in (*report.pipe, *report.fall):
        yield element("h2", drawing.title)
        yield _drawing(drawing)
    yield element("h2", "All that is in the log")
    yield _table(report.table)
    if report.findings:
        yield element("h2", "The findings one by one")
    pictures = sum(len(finding.pictures) for finding in report.findings)
    most = PICTURES_BYTES // max(1, pictures)
    yield from (_finding(finding, most) for finding in report.findings)
    yield element("h2", "Slope and flow")
    if report.slope_table.rows:
        yield _table(report.slope_table)
    yield _list(map(_text, report.slope))
    yield element("h2", "Advice")
    yield _lines(report.advice, "No advice is in the log.")
    yield element("h2", "What limits this inspection")
    if report.limits_told:
        yield element("h3", "As told")
        yield _list(map(_told, report.limits_told))
    if report.limits_shown:
        yield element("h3", "As the run itself shows")
        yield _list(map(_text, report.limits_shown))
    yield element("h2", "Before anyone works on this pipe")
    yield _list(_text(warning(text, defer_to)) for text, defer_to in report.standing_cautions)
    yield element("h2", "How to read this report")
    yield _list(map(_text, report.reading))


def _text(sentence: str) -> Element:
    return element("li", sentence)


def _told(line: Line) -> Element:
    told = [f"no. {line.row}"] if line.row is not None else []
    told += [f"leg {line.leg}"] if line.leg is not None else []
    if not told:
        return _text(line.text)
    number = ", ".join(told)
    if line.finding is None:
        return element("li", f"{line.text} ", element("span", f"({number})", class_="quiet"))
    link = element("a", number, href=f"#finding-{line.finding}")
    return element("li", f"{line.text} ", element("span", "(", link, ")", class_="quiet"))


def _list(items: Iterable[Element]) -> Element:
    return element("ul", *items)


def _lines(lines: tuple[Line, ...], none: str) -> Element:
    return _list(map(_told, lines)) if lines else element("p", none, class_="quiet")


def _pairs(pairs: Iterable[tuple[str, str]], blank: str = "") -> Element:
    made = element("dl")
    for label, value in pairs:
        made.append(element("dt", label))
        made.append(element("dd", value) if value else element("dd", blank, class_="quiet"))
    return made


def _warned(caution: Warned) -> Element:
    where = f"Caution, {caution.where}. " if caution.where else "Caution. "
    text = warning(caution.text, caution.defer_to)
    return element("section", element("strong", where), text, class_="boxed")


def _table(table: Table) -> Element:
    heads = element("tr", *(element("th", name, scope="col") for name in table.columns))
    rows = [
        element(
            "tr",
            *(element("td", cell, data_column=name) for name, cell in zip(table.columns, cells, strict=True)),
        )
        for cells in table.rows
    ]
    return element("table", element("thead", heads), element("tbody", *rows))


def _drawing(drawing: Drawing) -> Element:
    picture = element("img", src=_data(drawing.svg, TYPES[".svg"]), alt=drawing.alt)
    return element(
        "figure",
        element("div", picture, class_="drawing", tabindex=0),
        element("figcaption", " ".join(drawing.key)),
    )


def _finding(finding: Finding, most: int) -> Element:
    made = element(
        "article",
        element("h3", f"No. {finding.row}: {finding.title}"),
        element("p", finding.remark),
        id=f"finding-{finding.id}",
    )
    if finding.words is not None:
        made.append(element("p", f"Said: \u201c{finding.words}\u201d"))
    made.append(_pairs(finding.facts))
    for picture in finding.pictures:
        source = _data(smaller(picture.path.read_bytes(), most), TYPES[".jpg"])
        made.append(
            element(
                "figure", element("img", src=source, alt=picture.alt), element("figcaption", picture.caption)
            )
        )
    return made


def _data(content: bytes, kind: str) -> str:
    return f"data:{kind};base64,{b64encode(content).decode()}"
