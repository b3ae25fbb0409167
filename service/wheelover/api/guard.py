"""The door before the rooms: who may ask, how much, and what every answer carries.

A page of another origin in the same browser is the threat, signed in or not: the host must be ours,
a request must come from our own page or from no page, and a request that may change something
carries a header that a foreign page cannot set. Cookies go with no request of another site; this
stands beside that.
"""

from collections.abc import Awaitable, Callable
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from wheelover.api.door import Door, peer_of
from wheelover.api.problems import problem

MB = 1024 * 1024
LARGE_BODIES = ("/api/v1/plan", "/api/v1/routes/read", "/api/v1/hazard-sets", "/api/v1/plans")
PARCELS = "/api/v1/parcels"
CHARTS = "/api/v1/charts/imports"
LARGE_BODY_LIMIT = 20 * MB
PARCEL_BODY_LIMIT = 50 * MB
DEFAULT_BODY_LIMIT = 1 * MB

HEADER = "x-wheelover"
_SAFE_METHODS = ("GET", "HEAD", "OPTIONS")

SECURITY_HEADERS: dict[str, str] = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
        "connect-src 'self'; object-src 'none'; base-uri 'none'; form-action 'none'; "
        "frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), camera=(), microphone=()",
}


# A year, as browsers expect it at least; only where the link is https.
_STRICT_TRANSPORT = {"Strict-Transport-Security": "max-age=31536000; includeSubDomains"}
# The one place that a page of another site may send a browser to: back from the shore office's
# provider. What it brings is held against what this browser carries (usecases/accounts/outside.py).
RETURN_PLACE = "/api/v1/sign-in/outside/return"


class _TooLarge(Exception):
    """More body than the place takes."""


class Guard:
    """ASGI middleware: host, origin, header and size on the way in, headers on the way out."""

    def __init__(self, app: ASGIApp, door: Door) -> None:
        self.app = app
        self.door = door
        self.headers = {**SECURITY_HEADERS, **(_STRICT_TRANSPORT if door.secure else {})}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or answer it with a problem."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        with_headers = _with_security_headers(send, self.headers)
        refusal = self._refusal(scope)
        if refusal is not None:
            await problem(*refusal)(scope, receive, with_headers)
            return
        limit = body_limit(scope["path"])
        if scope["method"] == "HEAD":
            # Whatever can be read can be asked for its headers alone (RFC 9110, 9.3.2).
            await self._limited(
                {**scope, "method": "GET"}, receive, _without_body(with_headers), limit
            )
            return
        await self._limited(scope, receive, with_headers, limit)

    def _refusal(self, scope: Scope) -> tuple[int, str, str] | None:
        """Return status, kind and detail of a refusal, or None."""
        headers = Headers(scope=scope)
        if _host_name(headers.get("host", "")) not in self.door.hosts:
            names = "its own names" if self.door.accounts else "loopback names"
            return 421, "wrong-host", f"This service answers on {names} only."
        if self.door.proxies and peer_of(scope) not in self.door.proxies:
            return 403, "not-by-proxy", "This service is asked through its proxy only."
        if self._is_foreign(headers) and not _is_return(scope, headers):
            return 403, "foreign-origin", "A page of another origin may not ask here."
        if scope["method"] not in _SAFE_METHODS and headers.get(HEADER) != "1":
            return 403, "header-missing", "Send the header X-Wheelover: 1 with this request."
        declared = headers.get("content-length")
        limit = body_limit(scope["path"])
        if declared is not None and declared.isdigit() and int(declared) > limit:
            return 413, "too-large", _too_large(limit)
        return None

    def _is_foreign(self, headers: Headers) -> bool:
        """Return whether a request was sent by a page of another origin, as browsers say."""
        origin = headers.get("origin")
        if origin is not None:
            scheme, _, name = origin.partition("://")
            # Plain http on the same name is another origin, and anybody's on an open network.
            if name != headers.get("host") or (self.door.secure and scheme != "https"):
                return True
        return headers.get("sec-fetch-site", "none") not in ("none", "same-origin")

    async def _limited(self, scope: Scope, receive: Receive, send: Send, limit: int) -> None:
        """Pass a request on with its body counted; too much of it is answered with 413."""
        taken = 0
        started = False

        async def counted() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > limit:
                raise _TooLarge
            return message

        async def noted(message: Message) -> None:
            nonlocal started
            started = True
            await send(message)

        try:
            await self.app(scope, counted, noted)
        except _TooLarge:
            if started:
                raise
            await problem(413, "too-large", _too_large(limit))(scope, receive, send)


def _is_return(scope: Scope, headers: Headers) -> bool:
    """Return whether a browser is sent back, as a whole page, from the outside sign-in."""
    return (
        scope["method"] == "GET"
        and scope["path"] == RETURN_PLACE
        and headers.get("origin") is None
        and headers.get("sec-fetch-mode", "navigate") == "navigate"
        and headers.get("sec-fetch-dest", "document") == "document"
    )


def body_limit(path: str) -> int:
    """Return how many bytes a place takes: many for dangers, a parcel or charts."""
    if path in (PARCELS, CHARTS):
        return PARCEL_BODY_LIMIT
    large = any(path == place or path.startswith(f"{place}/") for place in LARGE_BODIES)
    return LARGE_BODY_LIMIT if large else DEFAULT_BODY_LIMIT


def _host_name(host: str) -> str | None:
    """Return the name of a Host header without its port, None when it is not one."""
    try:
        return urlsplit(f"//{host}").hostname
    except ValueError:
        return None


def _too_large(limit: int) -> str:
    """Return the sentence for a body over the limit."""
    return f"The body is over the limit of {limit // MB} MB. Nothing was read or stored."


def _without_body(send: Send) -> Send:
    """Return a send that keeps the headers of an answer and drops what is under them."""

    async def headers_only(message: Message) -> None:
        if message["type"] == "http.response.body":
            message = {**message, "body": b""}
        await send(message)

    return headers_only


def _with_security_headers(
    send: Send, always: dict[str, str]
) -> Callable[[Message], Awaitable[None]]:
    """Return a send that adds the headers every answer carries."""

    async def with_headers(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in always.items():
                # A place may be stricter with what it gives out, as with files.
                headers.setdefault(name, value)
            headers.setdefault("Cache-Control", "no-store")
        await send(message)

    return with_headers
