"""Plans, ships and hazard sets: the draft, undo, frozen revisions, files, what changes."""

import hashlib
from collections.abc import Iterator, Sequence
from typing import Literal

from wheelover.client.link import Document, Kept, Link
from wheelover.client.types import RevisionState


class Plans(Link):
    """What is kept."""

    def plan(self, inputs: Document) -> Document:
        """Return the plan of a request; nothing is stored."""
        return self._values(self._send("POST", "/plan", json=inputs))

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

    def undo(self, plan: Kept) -> Kept:
        """Take back the last step of a draft that nobody changed since it was read."""
        headers = {"If-Match": plan.etag}
        return self._kept(self._change("POST", f"/plans/{plan.id}/undo", headers=headers))

    def redo(self, plan: Kept) -> Kept:
        """Make the step again that was taken back last."""
        headers = {"If-Match": plan.etag}
        return self._kept(self._change("POST", f"/plans/{plan.id}/redo", headers=headers))

    def move_departure(
        self, plan_id: str, shifts_s: Sequence[float] = (), departures_utc: Sequence[str] = ()
    ) -> Document:
        """Return the draft of a plan at other departures: seconds later than its own, or times.

        Nothing is stored.
        """
        asked: dict[str, list[float] | list[str]] = {}
        if shifts_s:
            asked["shifts_s"] = list(shifts_s)
        if departures_utc:
            asked["departures_utc"] = list(departures_utc)
        return self._values(self._send("POST", f"/plans/{plan_id}/departures", json=asked))

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
        return self._values(self._change("POST", f"/plans/{plan_id}/revisions", json=body))

    def revision(self, plan_id: str, number: int) -> Document:
        """Return a frozen revision."""
        return self._values(self._send("GET", f"/plans/{plan_id}/revisions/{number}"))

    def document(self, plan_id: str, number: int) -> bytes:
        """Return the frozen bytes of a revision, held against their digest.

        Raises
        ------
        ValueError
            When they are not what their digest says.
        """
        answer = self._send("GET", f"/plans/{plan_id}/revisions/{number}/document")
        if f'"{hashlib.sha256(answer.content).hexdigest()}"' != answer.headers["etag"]:
            raise ValueError("the bytes of the revision are not what their digest says")
        return answer.content

    def record(self, plan_id: str, number: int) -> RevisionState:
        """Return what is recorded beside a revision."""
        place = f"/plans/{plan_id}/revisions/{number}/record"
        record: RevisionState = self._document(self._send("GET", place))
        return record

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
