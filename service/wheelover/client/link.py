"""How the client asks: headers, tries again, errors, pages."""

import time
import uuid
from collections.abc import Iterator
from dataclasses import dataclass, field
from types import TracebackType
from typing import Any, Self

import httpx

Document = dict[str, Any]

TRIES = 4
PAGE_COUNT = 50
TIMEOUT_S = 60.0
_API = "/api/v1"
_WAIT_S = 0.5
LONGEST_WAIT_S = 60.0
"""A service that asks for more patience than this is not waited for."""


@dataclass(frozen=True, slots=True)
class ProblemFault:
    """One member or line at fault, as the service names it."""

    message: str
    pointer: str | None = None
    line: int | None = None
    column: int | None = None


@dataclass(frozen=True, slots=True)
class ProblemChange:
    """One thing that somebody else changed meanwhile, with both values."""

    sentence: str
    was: Any
    now: Any
    unit: str | None = None


class ProblemError(Exception):
    """An error of the service (RFC 9457).

    Attributes
    ----------
    status : int
        HTTP status.
    type : str
        The problem's type, as ``/problems/stale``.
    faults : tuple of ProblemFault
        What is at fault, member by member.
    etag : str or None
        With 412, the present tag of what was changed meanwhile.
    held_by : str or None
        With 412, who holds the pen of the draft.
    changes : tuple of ProblemChange or None
        With 412, what differs between what was read and what is stored; None where that is not
        known.
    changes_left_out_count : int
        How many more differ.
    """

    def __init__(self, status: int, document: Document) -> None:
        super().__init__(document.get("detail") or document.get("title") or f"HTTP {status}")
        self.status = status
        self.type = str(document.get("type", "about:blank"))
        self.faults = tuple(ProblemFault(**one) for one in document.get("errors", ()))
        self.etag: str | None = document.get("etag")
        self.held_by: str | None = document.get("held_by")
        changes = document.get("changes")
        self.changes = None if changes is None else tuple(ProblemChange(**one) for one in changes)
        self.changes_left_out_count = int(document.get("changes_left_out_count", 0))


@dataclass(frozen=True, slots=True)
class Kept:
    """A stored thing: its id, the tag its next change is held against, and what is in it."""

    id: str
    etag: str
    document: Document = field(repr=False)


class Link:
    """The service at an address.

    Parameters
    ----------
    base_url : str
        Address of the service, as ``http://127.0.0.1:8765``.
    key : str or None
        An API key, where the service has accounts.
    timeout_s : float
        How long to wait for an answer, seconds.
    """

    def __init__(self, base_url: str, key: str | None = None, timeout_s: float = TIMEOUT_S) -> None:
        headers = {"X-Wheelover": "1"} | ({"Authorization": f"Bearer {key}"} if key else {})
        self._http = httpx.Client(base_url=base_url, headers=headers, timeout=timeout_s)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the connections."""
        self._http.close()

    def _pages(self, place: str, **asked: Any) -> Iterator[Any]:
        """Yield the items of a list, page by page."""
        cursor: str | None = None
        while True:
            query = {"limit": PAGE_COUNT, **asked} | ({"cursor": cursor} if cursor else {})
            page = self._document(self._send("GET", place, params=query))
            yield from page["items"]
            cursor = page["next_cursor"]
            if cursor is None:
                return

    def _change(self, method: str, place: str, **more: Any) -> httpx.Response:
        """Send a request that changes something, with a key under which it is done once."""
        headers = {**more.pop("headers", {}), "Idempotency-Key": str(uuid.uuid4())}
        return self._send(method, place, headers=headers, **more)

    def _send(self, method: str, place: str, **more: Any) -> httpx.Response:
        """Send a request, again after a lost answer or a busy service.

        Raises
        ------
        ProblemError
            For every answer of 400 and over.
        httpx.TransportError
            When the service cannot be reached after the last try.
        """
        for tried in range(1, TRIES + 1):
            try:
                answer = self._http.request(method, _API + place, follow_redirects=True, **more)
            except httpx.TransportError:
                if tried == TRIES:
                    raise
                time.sleep(_WAIT_S * tried)
                continue
            wait_s = float(answer.headers.get("retry-after", _WAIT_S))
            if answer.status_code in (429, 503) and tried < TRIES and wait_s <= LONGEST_WAIT_S:
                time.sleep(wait_s)
                continue
            return self._checked(answer)
        raise AssertionError("unreachable: the last try returns or raises")

    @staticmethod
    def _checked(answer: httpx.Response) -> httpx.Response:
        """Return an answer that is no error."""
        if answer.status_code < 400:
            return answer
        is_problem = answer.headers.get("content-type", "") == "application/problem+json"
        raise ProblemError(answer.status_code, answer.json() if is_problem else {})

    @staticmethod
    def _document(answer: httpx.Response) -> Any:
        """Return an answer as JSON values, which ``types`` describes."""
        return answer.json()

    def _values(self, answer: httpx.Response) -> Document:
        """Return an answer as JSON values that have no type of their own."""
        document: Document = self._document(answer)
        return document

    def _kept(self, answer: httpx.Response) -> Kept:
        """Return an answer as a stored thing."""
        document = self._values(answer)
        return Kept(id=document["id"], etag=answer.headers["etag"], document=document)
