"""How long a request may take to arrive: a sender that dawdles does not hold a connection for ever.

A request's head has five seconds. A body has twenty for every 64 KB, so that a parcel over a poor
link arrives (26 kbit/s is enough) and one that drips does not.
"""

import asyncio
from typing import Any

from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol

HEAD_S = 5.0
BODY_S = 20.0
BODY_STEP_BYTES = 64 * 1024

_LATE = (
    b"HTTP/1.1 408 Request Timeout\r\ncontent-type: application/problem+json\r\n"
    b"connection: close\r\ncontent-length: %d\r\n\r\n%s"
)
_DETAIL = (
    b'{"type":"/problems/too-slow","title":"Too slow","status":408,'
    b'"detail":"The request did not arrive in time. Nothing was changed; send it again."}'
)


class PatientProtocol(HttpToolsProtocol):
    """Reads requests as uvicorn does, and closes a connection whose request does not come on."""

    def __init__(self, *arguments: Any, **more: Any) -> None:
        super().__init__(*arguments, **more)
        self._deadline: asyncio.TimerHandle | None = None
        self._taken_bytes = 0

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for the head of the first request."""
        super().connection_made(transport)
        self._wait(HEAD_S)

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no longer."""
        self._stop()
        super().connection_lost(exc)

    def on_message_begin(self) -> None:
        """Begin to wait for the head of a later request."""
        super().on_message_begin()
        self._wait(HEAD_S)

    def on_headers_complete(self) -> None:
        """Begin to wait for the body."""
        self._taken_bytes = 0
        self._wait(BODY_S)
        super().on_headers_complete()

    def on_body(self, body: bytes) -> None:
        """Wait on for as long as enough of the body comes."""
        self._taken_bytes += len(body)
        if self._taken_bytes >= BODY_STEP_BYTES:
            self._taken_bytes = 0
            self._wait(BODY_S)
        super().on_body(body)

    def on_message_complete(self) -> None:
        """Wait no longer: the request is here, and the answer may take its time."""
        self._stop()
        super().on_message_complete()

    def _wait(self, seconds: float) -> None:
        """Give what comes next so many seconds."""
        self._stop()
        self._deadline = self.loop.call_later(seconds, self._too_late)

    def _stop(self) -> None:
        """Wait no longer."""
        if self._deadline is not None:
            self._deadline.cancel()
            self._deadline = None

    def _too_late(self) -> None:
        """Say that it took too long, and close the connection."""
        if not self.transport.is_closing():
            self.transport.write(_LATE % (len(_DETAIL), _DETAIL))
            self.transport.close()
