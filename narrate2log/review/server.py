"""The page's server: it answers the page from the session, and keeps nothing itself."""

from __future__ import annotations

import json
import mimetypes
import socket
import threading
import webbrowser
from collections.abc import Callable
from importlib import resources
from pathlib import Path
from typing import Any

import typer
import uvicorn
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from narrate2log.errors import Refusal, UnusableCommand, UnusableSource
from narrate2log.log.journal import NotKept
from narrate2log.review.access import Guard, new_token
from narrate2log.review.recordings import Recordings
from narrate2log.review.session import Conflict, Session

HOST = "127.0.0.1"
# What never changes while a review is open; the page asks for it once.
LASTING = ("words", "course", "features", "materials")
MOST_BYTES = 1_000_000
# A recording that is being played does not keep the program from ending.
GOODBYE_S = 1
TYPES = {".html": "text/html", ".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}
# Names that browsers refuse by their type although they can often play what is inside.
AS_MP4 = frozenset({".mov", ".m4v", ".qt"})

Answer = dict[str, Any]


def serve(session: Session, *, port: int | None = None) -> None:
    """Show the page of a review until the program is told to end (Ctrl-C).

    port: the one to listen on, any that is free if None. Raises UnusableCommand where it is taken.
    """
    token = new_token()
    with _listen(port) as listening:
        number = listening.getsockname()[1]
        address = f"http://{HOST}:{number}/{token}/"
        recordings = Recordings(session.folder, session.sources)
        recordings.start()
        config = uvicorn.Config(
            Guard(make_app(session, recordings), token=token, port=number),
            http="h11",
            ws="none",
            lifespan="off",
            access_log=False,
            log_level="error",
            server_header=False,
            timeout_graceful_shutdown=GOODBYE_S,
        )
        typer.echo(f"The review of {session.folder} is open at\n\n  {address}\n\nCtrl-C ends it.")
        threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()
        try:
            uvicorn.Server(config).run(sockets=[listening])
        except KeyboardInterrupt:
            # uvicorn has ended in good order and passes the key on.
            return


def make_app(session: Session, recordings: Recordings) -> ASGIApp:
    """The page and what it asks for, addresses without the token."""

    def state(request: Request) -> Response:
        now = session.state()
        seen = request.query_params.get("seen")
        if seen == str(now["revision"]):
            return Response(status_code=204)
        return JSONResponse(now if seen is None else _brief(now))

    def sources(_: Request) -> Response:
        return JSONResponse({"sources": recordings.told(), "settled": recordings.settled()})

    def decide(told: Answer) -> Answer:
        return _brief_answer(
            session.decide(
                str(told.get("kind")),
                told.get("row"),
                told.get("after", {}),
                revision=_revision(told),
                token=str(told.get("token", "")),
            )
        )

    def undo(told: Answer) -> Answer:
        return _brief_answer(session.undo(revision=_revision(told), token=str(told.get("token", ""))))

    def redo(told: Answer) -> Answer:
        return _brief_answer(session.redo(revision=_revision(told), token=str(told.get("token", ""))))

    def suggest(told: Answer) -> Answer:
        return session.suggest(_index(told, "first"), _index(told, "last"))

    def write(_: Answer) -> Answer:
        session.write_log()
        return {"written": str(session.folder / "log.csv")}

    def where(told: Answer) -> Answer:
        recordings.tell(_index(told, "source"), str(told.get("path", "")))
        return {}

    def copy(told: Answer) -> Answer:
        recordings.convert(_index(told, "source"))
        return {}

    def file(what: Callable[[int], Path | None]) -> Callable[[Request], Response]:
        def answer(request: Request) -> Response:
            path = what(request.path_params["source"])
            if path is None or not path.is_file():
                return _refused("This recording is not at hand; say where it is.", 404)
            return FileResponse(path, media_type=_media_type(path))

        return answer

    answers = {
        "decide": decide,
        "undo": undo,
        "redo": redo,
        "suggest": suggest,
        "log": write,
        "where": where,
        "copy": copy,
    }
    page = _page()
    app = Starlette(
        routes=[
            *(Route(f"/{name}", _shown(*content)) for name, content in page.items()),
            Route("/", _shown(*page["index.html"])),
            Route("/state", state),
            Route("/sources", sources),
            *(Route(f"/{name}", _told(answer), methods=["POST"]) for name, answer in answers.items()),
            Route("/original/{source:int}", file(recordings.original)),
            Route("/copied/{source:int}", file(recordings.copied)),
            Route("/peaks/{source:int}", file(recordings.drawn)),
        ]
    )
    app.add_exception_handler(Refusal, _tell)  # type: ignore[arg-type]
    return app


def _listen(port: int | None) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):
            # Windows would let two programs listen on one port.
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            # Else a start right after another one ended would find the port still taken.
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((HOST, port or 0))
        listening.listen(128)
    except (OSError, OverflowError) as error:
        listening.close()
        raise UnusableCommand(
            f"--port: {port} cannot be used here ({getattr(error, 'strerror', None) or error}); give another"
            " one, or none to take any that is free."
        ) from error
    return listening


def _page() -> dict[str, tuple[bytes, str]]:
    """Content and type of every file of the page, by name: nothing else is ever served from the package."""
    files = resources.files("narrate2log.review").joinpath("page").iterdir()
    return {
        file.name: (file.read_bytes(), TYPES[Path(file.name).suffix])
        for file in files
        if Path(file.name).suffix in TYPES
    }


def _shown(content: bytes, media_type: str) -> Callable[[Request], Response]:
    def answer(_: Request) -> Response:
        return Response(content, media_type=media_type)

    return answer


def _told(answer: Callable[[Answer], Answer]) -> Callable[[Request], Any]:
    """An endpoint that takes a JSON object and gives one."""

    async def endpoint(request: Request) -> Response:
        body = b""
        async for chunk in request.stream():
            body += chunk
            if len(body) > MOST_BYTES:
                return _refused("This is more than an answer can be; make it shorter.", 413)
        try:
            told = json.loads(body)
        except ValueError:
            told = None
        if not isinstance(told, dict):
            return _refused("This is no answer of the page; open the page again.", 400)
        return JSONResponse(await run_in_threadpool(answer, told))

    return endpoint


def _tell(_: Request, refusal: Refusal) -> Response:
    """A refusal as the page can tell it; what it may try again is a 5xx."""
    if isinstance(refusal, Conflict):
        return JSONResponse({"error": str(refusal), "row": refusal.row, "state": _brief(refusal.state)}, 409)
    return _refused(str(refusal), 507 if isinstance(refusal, NotKept) else 400)


def _refused(sentence: str, status: int) -> Response:
    return JSONResponse({"error": sentence}, status)


def _brief(state: Answer) -> Answer:
    return {key: value for key, value in state.items() if key not in LASTING}


def _brief_answer(answer: Answer) -> Answer:
    return {**answer, "state": _brief(answer["state"])}


def _index(told: Answer, name: str) -> int:
    value = told.get(name)
    if not isinstance(value, int) or isinstance(value, bool):
        raise UnusableSource(f"{name}: {value!r} is no number; open the page again.")
    return value


def _revision(told: Answer) -> int:
    return _index(told, "revision")


def _media_type(path: Path) -> str:
    if path.suffix.lower() in AS_MP4:
        return "video/mp4"
    return mimetypes.guess_type(path.name)[0] or "application/octet-stream"
