"""Who may see and fill in the page: this machine, and with a one-time key one other; never another site."""

from __future__ import annotations

import ipaddress
import secrets
from collections.abc import Awaitable, Callable, Mapping, MutableMapping
from typing import Any, NamedTuple

from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response

Scope = MutableMapping[str, Any]
Next = Callable[[Scope, Callable[[], Awaitable[Any]], Callable[[Any], Awaitable[None]]], Awaitable[None]]

HEADERS = {
    "content-security-policy": "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cache-control": "no-store",
}


class Manners(NamedTuple):
    """How a page is answered: the name of its pass, the headers of every answer, what an entry is sent as."""

    cookie: str
    headers: Mapping[str, str]
    kind: str


BENCH = Manners("bench", HEADERS, "application/json")
"""A page that sends its entries by script."""
FORMS = Manners(
    "lesson",
    {**HEADERS, "referrer-policy": "same-origin", "content-security-policy":
        "default-src 'none'; style-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"},
    "application/x-www-form-urlencoded",
)  # fmt: skip
"""A page of plain forms, without a script; a browser names where a form comes from only if that may be referred to."""


class Admission:
    """Lets requests in.  ``key`` opens the page once to another machine; without one there is none."""

    def __init__(self, port: int, key: str = "", manners: Manners = BENCH) -> None:
        self.port, self.manners = port, manners
        self._key = key
        self._pass = secrets.token_urlsafe(32)

    def refuse(self, request: Request) -> Response | None:
        """Return why a request is not let in, or None."""
        host = request.headers.get("host", "")
        if not self._is_our_host(host):
            return PlainTextResponse("this page is called by an address of this machine, not by another name", 421)
        elsewhere = not _is_here(request.client.host if request.client else "")
        if elsewhere and not self._is_known(request):
            return self._by_key(request)
        if request.method not in ("GET", "HEAD") and not self._is_from_our_page(request, host):
            return PlainTextResponse("entries come from the page itself", 403)
        return None

    def middleware(self, app: Next) -> Next:
        """Return an application that lets in what may come in, with the headers of the page on every answer."""

        async def admitted(scope: Scope, receive: Any, send: Any) -> None:
            if scope["type"] != "http":
                await app(scope, receive, send)
                return
            refusal = self.refuse(Request(scope))

            async def with_headers(message: Any) -> None:
                if message["type"] == "http.response.start":
                    message["headers"] += [(k.encode(), v.encode()) for k, v in self.manners.headers.items()]
                await send(message)

            await (refusal or app)(scope, receive, with_headers)

        return admitted

    def _is_our_host(self, host: str) -> bool:
        """Return whether a Host header names this machine by an address: a name could be somebody else's."""
        name, _, port = host.rpartition(":")
        if port != str(self.port):
            return False
        if name in ("localhost", "127.0.0.1", "[::1]"):
            return True
        return bool(self._key) and _is_address(name.strip("[]"))

    def _is_from_our_page(self, request: Request, host: str) -> bool:
        origin = request.headers.get("origin", "")
        same = request.headers.get("sec-fetch-site", "same-origin") == "same-origin"
        kind = request.headers.get("content-type", "").partition(";")[0].strip()
        return origin == f"http://{host}" and same and kind == self.manners.kind

    def _is_known(self, request: Request) -> bool:
        return secrets.compare_digest(request.cookies.get(self.manners.cookie, ""), self._pass)

    def _by_key(self, request: Request) -> Response:
        """Let another machine in by the key, which is then used up."""
        given = request.query_params.get("key", "")
        if not self._key or not given or not secrets.compare_digest(given.encode(), self._key.encode()):
            return PlainTextResponse("this page opens on its own machine, or once with the key that it printed", 403)
        self._key = "used up: " + secrets.token_urlsafe(32)
        answer = RedirectResponse("/", 303)
        answer.set_cookie(self.manners.cookie, self._pass, httponly=True, samesite="strict")
        return answer


def new_key() -> str:
    """Return a key that nobody guesses and one can type."""
    return "-".join(secrets.token_hex(3) for _ in range(3))


def _is_here(address: str) -> bool:
    return _is_address(address) and ipaddress.ip_address(address).is_loopback


def _is_address(text: str) -> bool:
    try:
        ipaddress.ip_address(text)
    except ValueError:
        return False
    return True
