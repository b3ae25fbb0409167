"""A small typed client of the API, for other systems.

::

    with Client("http://127.0.0.1:8765") as client:
        kept = client.keep_plan({"route": ..., "ship": ...})
        revision = client.offer(kept.id, by={"name": "A. Berg", "rank": "second officer"})
        record = client.record(kept.id, revision["number"])

Requests that change something carry an ``Idempotency-Key`` and are sent again after a lost answer
or a 503, so that nothing is made twice. Every error of the service is a :class:`ProblemError`.
"""

import time
import uuid
from collections.abc import Iterator
from dataclasses import dataclass, field
from types import TracebackType
from typing import Any, Literal

import httpx

Document = dict[str, Any]

TRIES = 4
TIMEOUT_S = 60.0
_API = "/api/v1"
_WAIT_S = 0.5


@dataclass(frozen=True, slots=True)
class ProblemFault:
    """One member or line at fault, as the service names it."""

    message: str
    pointer: str | None = None
    line: int | None = None
    column: int | None = None


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
    """

    def __init__(self, status: int, document: Document) -> None:
        super().__init__(document.get("detail") or document.get("title") or f"HTTP {status}")
        self.status = status
        self.type = str(document.get("type", "about:blank"))
        self.faults = tuple(ProblemFault(**one) for one in document.get("errors", ()))


@dataclass(frozen=True, slots=True)
class Kept:
    """A stored thing: its id, the tag its next change is held against, and what is in it."""

    id: str
    etag: str
    document: Document = field(repr=False)


class Client:
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

    def __enter__(self) -> "Client":
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

    def plan(self, inputs: Document) -> Document:
        """Return the plan of a request; nothing is stored."""
        return self._document(self._send("POST", "/plan", json=inputs))

    def keep_plan(self, inputs: Document) -> Kept:
        """Keep a new plan and return it."""
        return self._kept(self._change("POST", "/plans", json=inputs))

    def read_plan(self, plan_id: str) -> Kept:
        """Return a plan as its draft stands."""
        return self._kept(self._send("GET", f"/plans/{plan_id}"))

    def edit_plan(self, plan: Kept, inputs: Document) -> Kept:
        """Change the draft of a plan that nobody changed since it was read."""
        headers = {"If-Match": plan.etag}
        return self._kept(self._change("PUT", f"/plans/{plan.id}", json=inputs, headers=headers))

    def plans(self) -> Iterator[Document]:
        """Yield every plan, last changed first."""
        return self._pages("/plans")

    def keep_ship(self, ship: Document) -> Kept:
        """Keep a ship and return her."""
        return self._kept(self._change("POST", "/ships", json=ship))

    def keep_hazard_set(self, name: str, hazards: Document, source: str | None = None) -> Kept:
        """Keep a hazard set and return it."""
        body = {"name": name, "hazards": hazards} | ({"source": source} if source else {})
        return self._kept(self._change("POST", "/hazard-sets", json=body))

    def keep_limit_set(self, limit_set: Document) -> Kept:
        """Keep a limit set and return it."""
        return self._kept(self._change("POST", "/limit-sets", json=limit_set))

    def renew(
        self, place: Literal["ships", "hazard-sets", "limit-sets"], kept: Kept, body: Document
    ) -> Kept:
        """Make a new edition of a stored thing that nobody changed since it was read."""
        headers = {"If-Match": kept.etag}
        return self._kept(self._change("PUT", f"/{place}/{kept.id}", json=body, headers=headers))

    def offer(self, plan_id: str, by: Document | None = None, words: str = "") -> Document:
        """Freeze the draft as the next revision, and return it."""
        body = {"words": words} | ({"by": by} if by else {})
        return self._document(self._change("POST", f"/plans/{plan_id}/revisions", json=body))

    def revision(self, plan_id: str, number: int) -> Document:
        """Return a frozen revision."""
        return self._document(self._send("GET", f"/plans/{plan_id}/revisions/{number}"))

    def record(self, plan_id: str, number: int) -> Document:
        """Return what is recorded beside a revision."""
        return self._document(self._send("GET", f"/plans/{plan_id}/revisions/{number}/record"))

    def export(self, plan_id: str, number: int, format_name: str) -> bytes:
        """Return a revision as a file."""
        place = f"/plans/{plan_id}/revisions/{number}/export/{format_name}"
        return self._send("GET", place).content

    def changes(self, vessel_id: str = "own", after: int = 0) -> Iterator[Document]:
        """Yield what changed after an entry, oldest first, until nothing is left."""
        while True:
            query = {"vessel_id": vessel_id, "after": after}
            page = self._document(self._send("GET", "/changes", params=query))
            yield from page["items"]
            if not page["items"]:
                return
            after = page["last_number"]

    def _pages(self, place: str) -> Iterator[Document]:
        """Yield the items of a list, page by page."""
        cursor: str | None = None
        while True:
            query = {"cursor": cursor} if cursor else {}
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
            if answer.status_code == 503 and tried < TRIES:
                time.sleep(float(answer.headers.get("retry-after", _WAIT_S)))
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
    def _document(answer: httpx.Response) -> Document:
        """Return an answer as JSON values."""
        document: Document = answer.json()
        return document

    def _kept(self, answer: httpx.Response) -> Kept:
        """Return an answer as a stored thing."""
        document = self._document(answer)
        return Kept(id=document["id"], etag=answer.headers["etag"], document=document)
