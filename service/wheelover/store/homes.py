"""Where a plan is at home: only there its draft is edited and its master decides."""

from sqlalchemy import Connection, insert, select

from wheelover.core.errors import Conflict
from wheelover.store.parcel_tables import library_home, peer, plan_home

MADE_ELSEWHERE_TOO = frozenset({"shore_returned", "shore_agreed", "shore_read", "conflict_found"})
"""Kinds of events that a side which is not the plan's home may record."""


class Homes:
    """Where the plans and the library of one unit of work are at home."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def of_plan(self, plan_id: str) -> str | None:
        """Return the peer at which a plan is at home, None for one that is at home here."""
        wanted = select(plan_home.c.peer_id).where(plan_home.c.plan_id == plan_id)
        found = self._connection.execute(wanted).scalar()
        return None if found is None else str(found)

    def of_item(self, item_id: str) -> str | None:
        """Return the peer at which a ship or hazard set is at home, None for one of our own."""
        wanted = select(library_home.c.peer_id).where(library_home.c.item_id == item_id)
        found = self._connection.execute(wanted).scalar()
        return None if found is None else str(found)

    def set_plan(self, plan_id: str, peer_id: str) -> None:
        """Note that a plan is at home at a peer."""
        row = {"plan_id": plan_id, "peer_id": peer_id}
        self._connection.execute(insert(plan_home).values(row))

    def set_item(self, item_id: str, peer_id: str) -> None:
        """Note that a ship or hazard set is at home at a peer."""
        row = {"item_id": item_id, "peer_id": peer_id}
        self._connection.execute(insert(library_home).values(row))

    def all(self) -> list[tuple[str, str]]:
        """Return what is at home elsewhere, plans and things of the library, and at which peer."""
        plans = select(plan_home.c.plan_id.label("id"), plan_home.c.peer_id)
        items = select(library_home.c.item_id.label("id"), library_home.c.peer_id)
        rows = self._connection.execute(plans.union_all(items))
        return sorted((str(row.id), str(row.peer_id)) for row in rows)

    def plans_of(self, peer_id: str) -> list[str]:
        """Return the plans that are at home at a peer."""
        wanted = select(plan_home.c.plan_id).where(plan_home.c.peer_id == peer_id)
        return [row.plan_id for row in self._connection.execute(wanted.order_by("plan_id"))]

    def require_plan(self, plan_id: str, kind: str = "") -> None:
        """Refuse a change of a plan that is at home elsewhere.

        Parameters
        ----------
        plan_id : str
            The plan.
        kind : str
            The kind of the event that would be recorded; nothing for a change of the draft.

        Raises
        ------
        Conflict
            Naming the home.
        """
        home = self.of_plan(plan_id)
        if home is None or kind in MADE_ELSEWHERE_TOO:
            return
        raise Conflict(
            f"This plan is at home at {self._name(home)}: only there it is edited and decided. "
            "Here it can be read, commented on and answered as shore does."
        )

    def require_item(self, item_id: str) -> None:
        """Refuse a new edition of a ship or hazard set that is at home elsewhere.

        Raises
        ------
        Conflict
            Naming the home.
        """
        home = self.of_item(item_id)
        if home is not None:
            raise Conflict(
                f"It is at home at {self._name(home)}, where new editions are made. Copy it under "
                "a name of your own to change it here."
            )

    def _name(self, peer_id: str) -> str:
        """Return what a peer is called."""
        wanted = select(peer.c.name).where(peer.c.id == peer_id)
        return f"{self._connection.execute(wanted).scalar_one()} ({peer_id})"
