"""Work that one process at a time may do: a name, who has it, and until when.

The times are the database's own, so that no clock of a process decides; a process that dies leaves
its lease to run out.
"""

from sqlalchemy import Connection, delete, insert, select, text, update

from wheelover.store.tables import lease

_NOW_S = {
    "postgresql": text("SELECT extract(epoch FROM clock_timestamp())"),
    "sqlite": text("SELECT (julianday('now') - 2440587.5) * 86400.0"),
}


class Leases:
    """The leases of one unit of work."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def hold(self, name: str, holder: str, for_s: float) -> bool:
        """Take a lease, or keep one that is held, and return whether it is now the holder's.

        Parameters
        ----------
        name : str
            Of the work.
        holder : str
            Who asks.
        for_s : float
            How long it is held from now on, in seconds, unless it is kept or given back.
        """
        now_s = self.now_s()
        this = lease.c.name == name
        found = self._connection.execute(select(lease).where(this)).first()
        values = {"holder": holder, "until_s": now_s + for_s}
        if found is None:
            self._connection.execute(insert(lease).values(name=name, **values))
            return True
        if found.holder != holder and found.until_s > now_s:
            return False
        self._connection.execute(update(lease).where(this).values(values))
        return True

    def is_free(self, name: str, holder: str) -> bool:
        """Return whether a lease may be taken by a holder, or is held by it already."""
        found = self._connection.execute(select(lease).where(lease.c.name == name)).first()
        return found is None or found.holder == holder or found.until_s <= self.now_s()

    def give_back(self, name: str, holder: str) -> None:
        """Let others take a lease that a holder has."""
        mine = (lease.c.name == name) & (lease.c.holder == holder)
        self._connection.execute(delete(lease).where(mine))

    def now_s(self) -> float:
        """Return the database's time, seconds since 1970."""
        return float(self._connection.execute(_NOW_S[self._connection.dialect.name]).scalar_one())
