"""Conditional reads: JSON that has no tag of its own is tagged by its bytes.

Over a poor link an answer that the other side holds already costs a few hundred bytes and not its
length. The tag is of what is answered, not of what it was made from, so it can never hold back an
answer that would be another one.
"""

import hashlib

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from wheelover.api.replies import holds

_JSON = "application/json"
_STARTS = "/api/v1/"
_NEVER = ("/api/v1/session", "/api/v1/sign-in")
"""Who is signed in is asked anew each time."""


def is_conditional(method: str, path: str) -> bool:
    """Return whether what a place answers is tagged here where it has no tag of its own."""
    return method == "GET" and path.startswith(_STARTS) and not path.startswith(_NEVER)


class Conditional:
    """ASGI middleware: tags whole JSON answers to GET, and answers If-None-Match with 304."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on and tag its answer."""
        if scope["type"] != "http" or not is_conditional(scope["method"], scope["path"]):
            await self.app(scope, receive, send)
            return
        await self.app(scope, receive, _Tagging(scope, send))


class _Tagging:
    """A send that holds an answer back until it is whole, and tags it."""

    def __init__(self, scope: Scope, send: Send) -> None:
        self._held = Headers(scope=scope).get("if-none-match", "")
        self._send = send
        self._start: Message | None = None
        self._body: list[bytes] = []

    async def __call__(self, message: Message) -> None:
        """Send a part of an answer."""
        if message["type"] == "http.response.start" and _wants_tag(message):
            self._start = message
            return
        if self._start is None or message["type"] != "http.response.body":
            await self._send(message)
            return
        self._body.append(message.get("body", b""))
        if not message.get("more_body", False):
            await self._send_tagged(self._start, b"".join(self._body))

    async def _send_tagged(self, start: Message, body: bytes) -> None:
        """Send the whole answer with its tag, or that it has not changed."""
        tag = f'"{hashlib.sha256(body).hexdigest()[:32]}"'
        headers = MutableHeaders(scope=start)
        headers["ETag"] = tag
        if holds(self._held, tag):
            for name in ("content-length", "content-type"):
                del headers[name]
            start, body = {**start, "status": 304, "headers": headers.raw}, b""
        await self._send(start)
        await self._send({"type": "http.response.body", "body": body})


def _wants_tag(message: Message) -> bool:
    """Return whether an answer is whole JSON that has no tag yet."""
    headers = Headers(raw=message["headers"])
    is_json = headers.get("content-type", "").partition(";")[0] == _JSON
    return message["status"] == 200 and is_json and "etag" not in headers
