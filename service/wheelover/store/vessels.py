"""Vessels: the real ships that plans belong to."""

from dataclasses import dataclass

from sqlalchemy import Connection, insert, select, update

from wheelover.core.errors import NotFound
from wheelover.store.sequence import new_id
from wheelover.store.tables import vessel


@dataclass(frozen=True, slots=True, kw_only=True)
class VesselRow:
    """A real ship, and the fleet she sails in."""

    id: str
    name: str
    fleet: str
    created_utc: str


class Vessels:
    """The vessels of one unit of work."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, name: str, fleet: str, now_utc: str) -> VesselRow:
        """Keep a vessel and return it."""
        row = {"id": new_id("vessel"), "name": name, "fleet": fleet, "created_utc": now_utc}
        self._connection.execute(insert(vessel).values(row))
        return VesselRow(**row)

    def get(self, vessel_id: str) -> VesselRow:
        """Return a vessel.

        Raises
        ------
        NotFound
            For an id that stands for none.
        """
        found = self._connection.execute(select(vessel).where(vessel.c.id == vessel_id)).first()
        if found is None:
            raise NotFound(f"vessel {vessel_id[:80]!r} is not stored")
        return VesselRow(**found._mapping)

    def all(self) -> list[VesselRow]:
        """Return every vessel, by fleet and name."""
        wanted = select(vessel).order_by(vessel.c.fleet, vessel.c.name, vessel.c.id)
        return [VesselRow(**row._mapping) for row in self._connection.execute(wanted)]

    def in_fleets(self, fleets: list[str]) -> dict[str, str]:
        """Return the vessels of some fleets: the fleet of each by her id."""
        wanted = select(vessel.c.id, vessel.c.fleet).where(vessel.c.fleet.in_(fleets))
        return {row.id: row.fleet for row in self._connection.execute(wanted)}

    def change(self, vessel_id: str, name: str, fleet: str) -> VesselRow:
        """Give a vessel another name or fleet and return her."""
        this = vessel.c.id == self.get(vessel_id).id
        self._connection.execute(update(vessel).where(this).values(name=name, fleet=fleet))
        return self.get(vessel_id)
