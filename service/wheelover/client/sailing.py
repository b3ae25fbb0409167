"""The plan under way and what is read beside it: amendments, log, differences, audit, charts."""

from collections.abc import Iterator
from typing import Literal

from wheelover.client.link import Document, Kept, Link
from wheelover.client.types import ConflictList, ConflictOut, RevisionState


class Sailing(Link):
    """A plan that is sailed, and how it can be verified."""

    def amend(
        self,
        plan: Kept,
        reason: str,
        place: tuple[float, float],
        next_waypoint_id: str,
        at_utc: str | None = None,
        kind: Literal["deviation", "pilot"] = "deviation",
        start_from: Literal["revision", "draft"] | None = None,
    ) -> Kept:
        """Amend a plan under way, from a position to a waypoint.

        Parameters
        ----------
        plan : Kept
            As it was read.
        reason : str
            Why.
        place : tuple of float
            Latitude and longitude of the ship, degrees.
        next_waypoint_id : str
            Where she sails from there.
        at_utc : str or None
            When she is there; needed where the plan has times.
        kind : str
            What amends it.
        start_from : str or None
            The revision in use or the draft, where the draft holds what that does not.
        """
        body = {
            "kind": kind,
            "reason": reason,
            "lat_deg": place[0],
            "lon_deg": place[1],
            "next_waypoint_id": next_waypoint_id,
        }
        given = {"at_utc": at_utc, "start_from": start_from}
        body |= {name: value for name, value in given.items() if value is not None}
        headers = {"If-Match": plan.etag}
        made = self._change("POST", f"/plans/{plan.id}/amendments", json=body, headers=headers)
        return self._kept(made)

    def keep_log(
        self,
        plan_id: str,
        number: int,
        words: str = "",
        waypoint_id: str | None = None,
        actual_utc: str | None = None,
        by: Document | None = None,
    ) -> RevisionState:
        """Keep an actual time at a waypoint, or a remark, beside a revision."""
        given = {"waypoint_id": waypoint_id, "actual_utc": actual_utc, "by": by}
        body = {"words": words} | {name: one for name, one in given.items() if one is not None}
        answer = self._change("POST", f"/plans/{plan_id}/revisions/{number}/log", json=body)
        record: RevisionState = self._document(answer)
        return record

    def differences(self, plan_id: str, was: int, now: int | Literal["draft"]) -> Document:
        """Return what differs between two revisions, or between one and the draft."""
        query = {"was": was, "now": now}
        return self._values(self._send("GET", f"/plans/{plan_id}/differences", params=query))

    def recomputed(self, plan_id: str, number: int) -> Document:
        """Return whether this engine makes the frozen result again, byte for byte."""
        place = f"/plans/{plan_id}/revisions/{number}/recomputed"
        return self._values(self._send("GET", place))

    def conflicts(self, plan_id: str) -> list[ConflictOut]:
        """Return what two sides hold differently of a plan; nothing is merged silently."""
        return self.held_differently(plan_id)["conflicts"]

    def held_differently(self, plan_id: str) -> ConflictList:
        """Return the open conflicts of a plan, and the revisions whose numbers others have."""
        found: ConflictList = self._document(self._send("GET", f"/plans/{plan_id}/conflicts"))
        return found

    def other_revision(self, plan_id: str, sha256: str) -> Document:
        """Return a revision whose number another one has, as the other side froze it."""
        return self._values(self._send("GET", f"/plans/{plan_id}/other-revisions/{sha256}"))

    def pick(
        self,
        plan_id: str,
        conflict_id: str,
        side: Literal["here", "other"],
        words: str = "",
        by: Document | None = None,
    ) -> ConflictList:
        """Settle a conflict as the master picks, at the plan's home; return those still open.

        Parameters
        ----------
        plan_id, conflict_id : str
            The plan, and one of its ``conflicts``.
        side : {"here", "other"}
            ``here``: what this side holds stands. ``other``: the inputs of the other revision
            become the draft, to be offered and decided anew; of a decision, the one made here
            stands no longer.
        words : str
            Why.
        by : dict or None
            Name and rank, where nobody signs in.

        Raises
        ------
        ProblemError
            404 for a conflict that is not known; 409 for one that is settled already, or of a plan
            that is at home elsewhere.
        """
        body = {"pick": side, "words": words} | ({} if by is None else {"by": by})
        place = f"/plans/{plan_id}/conflicts/{conflict_id}"
        left: ConflictList = self._document(self._change("POST", place, json=body))
        return left

    def audit(self, vessel_id: str = "own") -> Iterator[Document]:
        """Yield the entries of a vessel's audit log."""
        return self._pages("/audit", vessel_id=vessel_id)

    def charts(self) -> Iterator[Document]:
        """Yield the stored chart cells."""
        return self._pages("/charts")
