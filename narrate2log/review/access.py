"""Who may talk to the page's server: the page that this start opened, on this machine, and nobody else.

Every address begins with a token made anew at each start. A request also needs the Host of this server, and
whatever is not a plain look-up needs its Origin: another site's page in the same browser, or a name that was
pointed at 127.0.0.1, has neither.
"""

from __future__ import annotations

import secrets

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

# Only what the package itself serves is loaded, and nothing may hold the page in a frame.
CONTENT_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "media-src 'self'",
        "connect-src 'self'",
        "base-uri 'none'",
        "form-action 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = {
    "Content-Security-Policy": CONTENT_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cache-Control": "no-store",
}
HARMLESS = frozenset({"GET", "HEAD"})
OWN_SITE = frozenset({None, "none", "same-origin"})


def new_token() -> str:
    """A name for this start that nobody can guess, fit for an address."""
    return secrets.token_urlsafe(24)


class Guard:
    """An ASGI application in front of another one that lets only this start's page through.

    The application behind it sees the addresses without the token.
    """

    def __init__(self, app: ASGIApp, *, token: str, port: int) -> None:
        self._app = app
        self._token = token.encode()
        self._hosts = frozenset({f"127.0.0.1:{port}", f"localhost:{port}"})
        self._origins = frozenset(f"http://{host}" for host in self._hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or refuse it in one sentence."""
        if scope["type"] != "http":
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(HEADERS)
            await send(message)

        refusal = self._refusal(scope)
        if refusal is not None:
            await PlainTextResponse(refusal + "\n", 403)(scope, receive, with_headers)
            return
        rest = scope["path"][1 + len(self._token) :]
        inside = {**scope, "path": rest, "raw_path": rest.encode(), "root_path": ""}
        await self._app(inside, receive, with_headers)

    def _refusal(self, scope: Scope) -> str | None:
        headers = Headers(scope=scope)
        origin = headers.get("origin")
        if headers.get("host") not in self._hosts:
            return "This server answers to 127.0.0.1 only; open the address that the program printed."
        if headers.get("sec-fetch-site") not in OWN_SITE or (
            origin not in self._origins
            if scope["method"] not in HARMLESS
            else origin is not None and origin not in self._origins
        ):
            return "This came from another site's page; open the address that the program printed."
        first = scope["path"].split("/", 2)[1] if scope["path"].count("/") > 1 else ""
        if not secrets.compare_digest(first.encode(), self._token):
            return "This address is not of the present start; open the one that the program printed."
        return None
