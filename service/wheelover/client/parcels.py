"""Parcels between ship and shore: making, fetching and taking them, and what is where."""

from collections.abc import Iterator, Sequence
from typing import Literal

from wheelover.client.link import Document, Link
from wheelover.client.types import ParcelOut, ParcelTaken, PeerOut, SyncOut

MEDIA_TYPE = "application/vnd.wheelover.parcel"


class Parcels(Link):
    """What goes between ship and shore."""

    def peers(self) -> Iterator[PeerOut]:
        """Yield the installations this one is paired with."""
        return self._pages("/peers")

    def make_parcel(
        self,
        peer_id: str,
        plans: Sequence[str] = (),
        since: Literal["last", "acknowledged", "nothing"] = "last",
        by: Document | None = None,
    ) -> ParcelOut:
        """Make the next parcel for a peer: what it lacks of its plans, and of these from now on."""
        body = {"plans": list(plans), "since": since} | ({} if by is None else {"by": by})
        made = self._change("POST", f"/peers/{peer_id}/parcels", json=body)
        parcel: ParcelOut = self._document(made)
        return parcel

    def parcel(self, peer_id: str, sequence: int) -> bytes:
        """Return the bytes of a parcel that was made."""
        return self._send("GET", f"/peers/{peer_id}/parcels/{sequence}").content

    def take_parcel(self, body: bytes) -> ParcelTaken:
        """Take a parcel: all of it or nothing; the same again changes nothing."""
        headers = {"Content-Type": MEDIA_TYPE}
        answer = self._change("POST", "/parcels", content=body, headers=headers)
        taken: ParcelTaken = self._document(answer)
        return taken

    def sync(self, plan_id: str) -> SyncOut:
        """Return what of a plan is on which side."""
        sync: SyncOut = self._document(self._send("GET", f"/plans/{plan_id}/sync"))
        return sync
