"""``Idempotency-Key``: a request that changes something may be sent again, and is done once.

A client that lost an answer sends the same request with the same key. The key is kept in the
transaction of the change, so the second request changes nothing, also where the service died
between the change and its answer; then it is told where what was made is found.
"""

import hashlib
import threading

from anyio import to_thread
from starlette.datastructures import Headers
from starlette.requests import HTTPConnection
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from wheelover.api.access import asker_of
from wheelover.api.door import Door
from wheelover.api.problems import problem
from wheelover.store import Store
from wheelover.store.idempotency import PENDING, Answered, Pending
from wheelover.usecases.accounts.times import after

HEADER = "idempotency-key"
REPLAYED = "Idempotency-Replayed"
KEPT_DAYS = 2
LONGEST_KEY = 255
MOST_KEPT_BYTES = 256 * 1024
"""An answer longer than this is not kept; a second request is told where to read it."""

TOLD_ONCE = ("/api/v1/session", "/api/v1/accounts", "/api/v1/keys", "/api/v1/sign-in")
"""Places whose answers hold what is shown once; a second request is told where to read on."""

_OF_THE_REQUEST = ("content-type", "if-match")
_OF_THE_ANSWER = ("content-type", "etag", "location")


class Idempotency:
    """ASGI middleware: answers a POST whose key is known without doing it again.

    Where people sign in, whoever sends it again must still be signed in; bodies hold passwords
    there, so their digests are made with a key that is not in the database, and what is told once
    (a code, a key, a session) is not kept.
    """

    def __init__(self, app: ASGIApp, store: Store, door: Door) -> None:
        self.app = app
        self.store = store
        self.door = door
        self._at_work: set[str] = set()
        self._lock = threading.Lock()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or answer it as it was answered before."""
        key = None
        if scope["type"] == "http" and scope["method"] == "POST":
            key = Headers(scope=scope).get(HEADER)
        if key is None:
            await self.app(scope, receive, send)
            return
        if not (0 < len(key) <= LONGEST_KEY and key.isascii() and key.isprintable()):
            detail = f"Idempotency-Key must be 1 to {LONGEST_KEY} printable characters."
            await problem(422, "invalid-idempotency-key", detail)(scope, receive, send)
            return
        body = await _whole(receive)
        pending = await to_thread.run_sync(self._pending, scope, key, body)
        await self._once(pending, body, scope, send)

    async def _once(self, pending: Pending, body: bytes, scope: Scope, send: Send) -> None:
        """Do a request unless its key is known or at work."""
        with self._lock:
            busy = pending.key_sha256 in self._at_work
            self._at_work.add(pending.key_sha256)
        if busy:
            detail = "A request with this Idempotency-Key is being answered; try again in a moment."
            answer = problem(409, "idempotency-key-at-work", detail, headers={"Retry-After": "1"})
            await answer(scope, _told(body), send)
            return
        try:
            known = await to_thread.run_sync(self._known, pending.key_sha256)
            if known is None or not await to_thread.run_sync(self._is_known, scope):
                # Who may no longer ask is refused by the place itself, like any other.
                await self._first(pending, body, scope, send)
            else:
                await _again(known, pending, scope, send)
        finally:
            with self._lock:
                self._at_work.discard(pending.key_sha256)

    def _is_known(self, scope: Scope) -> bool:
        """Return whether a request comes from somebody who may still ask."""
        if not self.door.accounts:
            return True
        return asker_of(HTTPConnection(scope), self.store, self.door, _now(scope)) is not None

    def _known(self, key_sha256: str) -> Answered | None:
        """Return what is known of a key."""
        with self.store.reading() as unit:
            return unit.idempotency.known(key_sha256)

    async def _first(self, pending: Pending, body: bytes, scope: Scope, send: Send) -> None:
        """Do a request for the first time, and keep its answer."""
        taken: list[bytes] = []
        start: Message = {}

        async def noted(message: Message) -> None:
            nonlocal start
            if message["type"] == "http.response.start":
                start = message
            else:
                taken.append(message.get("body", b""))
            await send(message)

        token = PENDING.set(pending)
        try:
            await self.app(scope, _told(body), noted)
        finally:
            PENDING.reset(token)
        answer = b"".join(taken)
        kept = len(answer) <= MOST_KEPT_BYTES and not scope["path"].startswith(TOLD_ONCE)
        if start and start["status"] < 400 and kept:
            headers = Headers(raw=start["headers"])
            told = {name: headers[name] for name in _OF_THE_ANSWER if name in headers}
            await to_thread.run_sync(self._keep, pending, start["status"], told, answer)

    def _pending(self, scope: Scope, key: str, body: bytes) -> Pending:
        """Return the digests of a key and of the request that came with it."""
        headers = Headers(scope=scope)
        sender = self._sender(scope)
        asked = [scope["method"], scope["path"], scope["query_string"].decode("latin-1")]
        asked += [headers.get(name, "") for name in _OF_THE_REQUEST]
        digest = self.door.seal.digest if self.door.accounts else _digest
        return Pending(
            key_sha256=digest(f"{key}\n{sender}".encode()),
            request_sha256=digest("\n".join(asked).encode() + b"\n" + body),
            at_utc=_now(scope),
        )

    def _sender(self, scope: Scope) -> str:
        """Return whose key it is: the account or API key that asks; a session may change."""
        if not self.door.accounts:
            return ""
        asker = asker_of(HTTPConnection(scope), self.store, self.door, _now(scope))
        return "nobody" if asker is None else str(asker.person.account_id)

    def _keep(self, pending: Pending, status: int, headers: dict[str, str], body: bytes) -> None:
        """Keep the answer of a key, and forget keys that are old."""
        with self.store.writing() as unit:
            unit.idempotency.answer(pending.key_sha256, status, headers, body)
            unit.idempotency.forget_before(after(pending.at_utc, -KEPT_DAYS * 86_400.0))


async def _again(known: Answered, pending: Pending, scope: Scope, send: Send) -> None:
    """Answer a request whose key is known."""
    if known.request_sha256 != pending.request_sha256:
        detail = "This Idempotency-Key was sent with another request. Use a new key for a new one."
        await problem(422, "idempotency-key-reused", detail)(scope, _told(b""), send)
        return
    if known.status is not None:
        headers = {**known.headers, REPLAYED: "true"}
        answer = Response(known.body or b"", status_code=known.status, headers=headers)
    else:
        headers = {"Location": known.place or "/api/v1/audit", REPLAYED: "true"}
        answer = Response(status_code=303, headers=headers)
    await answer(scope, _told(b""), send)


def _now(scope: Scope) -> str:
    """Return the time by the clock that the places of the service go by."""
    now: str = scope["app"].state.clock()
    return now


def _digest(text: bytes) -> str:
    """Return the sha256 of some bytes."""
    return hashlib.sha256(text).hexdigest()


async def _whole(receive: Receive) -> bytes:
    """Return the body of a request."""
    parts = []
    while True:
        message = await receive()
        parts.append(message.get("body", b""))
        if message["type"] == "http.disconnect" or not message.get("more_body"):
            return b"".join(parts)


def _told(body: bytes) -> Receive:
    """Return a receive that tells a body that was read already."""

    async def told() -> Message:
        return {"type": "http.request", "body": body, "more_body": False}

    return told
