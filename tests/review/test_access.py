"""The page's server lets in the page of this start and nobody else, and gives out nothing but the run."""

from __future__ import annotations

import http.client
import json
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from reviewing import SAMPLES, heard_from, served

from narrate2log.errors import UnusableCommand
from narrate2log.review.server import _listen


@pytest.fixture
def address(folder: Path) -> Iterator[str]:
    heard_from(folder, SAMPLES / "narration.ogg", 351.64)
    with served(folder) as at:
        yield at


def ask(
    address: str, path: str, method: str = "GET", body: bytes | None = None, **headers: str
) -> tuple[int, dict[str, str], bytes]:
    """Status, headers and body; `path` is put on the wire as it is."""
    at = urlsplit(address)
    connection = http.client.HTTPConnection(at.netloc, timeout=20)
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    connection.putrequest(method, path.replace("TOKEN", at.path.strip("/")), skip_host="Host" in named)
    for name, value in named.items():
        connection.putheader(name, value.replace("OWN", at.netloc))
    if body is not None:
        connection.putheader("Content-Length", str(len(body)))
    connection.endheaders(body)
    answer = connection.getresponse()
    told = answer.status, {name.lower(): value for name, value in answer.getheaders()}, answer.read()
    connection.close()
    return told


ADMITTED = {
    "the page": ("GET", "/TOKEN/", {}, 200),
    "one of its modules": ("GET", "/TOKEN/main.js", {}, 200),
    "the state": ("GET", "/TOKEN/state", {}, 200),
    "from the page itself": ("GET", "/TOKEN/state", {"Origin": "http://OWN"}, 200),
    "no token": ("GET", "/", {}, 403),
    "no token, a file": ("GET", "/main.js", {}, 403),
    "another token": ("GET", "/AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA/", {}, 403),
    "half of the token": ("GET", "/TOKE/", {}, 403),
    "another name for this machine": ("GET", "/TOKEN/state", {"Host": "rebound.example"}, 403),
    "another port": ("GET", "/TOKEN/state", {"Host": "127.0.0.1:1"}, 403),
    "another site's look": ("GET", "/TOKEN/state", {"Origin": "http://elsewhere.example"}, 403),
    "another site's picture": ("GET", "/TOKEN/original/0", {"Sec_Fetch_Site": "cross-site"}, 403),
    "an answer without an origin": ("POST", "/TOKEN/decide", {}, 403),
    "another site's answer": ("POST", "/TOKEN/decide", {"Origin": "http://elsewhere.example"}, 403),
    "an answer of no site": ("POST", "/TOKEN/decide", {"Origin": "null"}, 403),
    "out of the page": ("GET", "/TOKEN/../server.py", {}, 404),
    "out of the folder": ("GET", "/TOKEN/../../../../etc/passwd", {}, 404),
    "out, encoded": ("GET", "/TOKEN/%2e%2e/observations.json", {}, 404),
    "a file of the run": ("GET", "/TOKEN/decisions.jsonl", {}, 404),
    "a module of Python": ("GET", "/TOKEN/__init__.py", {}, 404),
}


@pytest.mark.parametrize("case", ADMITTED)
def test_who_is_let_in(address: str, case: str) -> None:
    method, path, headers, status = ADMITTED[case]
    body = b"{}" if method == "POST" else None
    got, told, content = ask(address, path, method, body, **headers)
    assert got == status
    assert "default-src 'none'" in told["content-security-policy"]
    assert "unsafe" not in told["content-security-policy"]
    assert told["referrer-policy"] == "no-referrer"
    assert b"root:" not in content


def test_a_part_of_the_recording_is_given_as_asked(address: str) -> None:
    whole = (SAMPLES / "narration.ogg").read_bytes()
    while not json.loads(ask(address, "/TOKEN/sources")[2])["settled"]:
        pass
    status, told, content = ask(address, "/TOKEN/original/0", Range="bytes=100000-100999")
    assert (status, content) == (206, whole[100_000:101_000])
    assert told["content-range"] == f"bytes 100000-100999/{len(whole)}"
    assert told["content-type"] == "audio/ogg"
    assert ask(address, "/TOKEN/original/7")[0] == 400


ANSWERS = {
    "no JSON": (b"kind=stands", 400),
    "no object": (b"[1]", 400),
    "no revision": (b'{"kind": "stands", "row": "x", "after": {}, "token": "t"}', 400),
    "an unknown kind": (b'{"kind": "gild", "row": null, "after": {}, "revision": 0, "token": "t"}', 400),
    "an unknown row": (b'{"kind": "stands", "row": "no", "after": {}, "revision": 0, "token": "t"}', 400),
    "far too long": (b" " * 1_000_001 + b"{}", 413),
}


@pytest.mark.parametrize("case", ANSWERS)
def test_an_answer_that_is_none_is_told_in_a_sentence(address: str, folder: Path, case: str) -> None:
    body, status = ANSWERS[case]
    got, _, content = ask(address, "/TOKEN/decide", "POST", body, Origin="http://OWN")
    assert got == status
    assert json.loads(content)["error"].endswith(".")
    assert not (folder / "decisions.jsonl").exists()


def test_a_taken_port_is_told_in_a_sentence() -> None:
    with _listen(None) as listening:
        port = listening.getsockname()[1]
        with pytest.raises(UnusableCommand, match=f"--port: {port} cannot be used here"):
            _listen(port)
