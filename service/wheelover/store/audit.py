"""The audit log: every change, one chain of hashes per vessel, written with the change itself."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import rfc8785
from sqlalchemy import Connection, func, insert, select

from wheelover.store.tables import audit

_MARK = b"wo-audit-v1"
START = "0" * 64
"""What stands before the first entry of a chain."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditRow:
    """One entry of a chain. ``entry`` is canonical JSON."""

    vessel_id: str
    number: int
    at_utc: str
    entry: str
    hash: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """The end of a chain: how many entries it has, and the hash of the last."""

    vessel_id: str
    number: int
    hash: str


def chained(previous: str, entry: str) -> str:
    """Return the hash of an entry: SHA-256 over the mark, the hash before it and its bytes."""
    return hashlib.sha256(_MARK + bytes.fromhex(previous) + entry.encode()).hexdigest()


class Audit:
    """The audit log of one unit of work."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self.last: dict[str, Any] | None = None
        """The last entry that this unit of work wrote."""

    def add(self, vessel_id: str, what: dict[str, Any], now_utc: str) -> Head:
        """Write an entry at the end of a vessel's chain.

        Parameters
        ----------
        vessel_id : str
            Whose chain.
        what : dict
            What was done, to what and by whom, as JSON values; never a password or a key.
        now_utc : str
            The time, RFC 3339.
        """
        before = self.head(vessel_id)
        number = before.number + 1
        entry = rfc8785.dumps(
            {**what, "vessel_id": vessel_id, "number": number, "at_utc": now_utc}
        ).decode()
        row = {
            "vessel_id": vessel_id,
            "number": number,
            "at_utc": now_utc,
            "entry": entry,
            "hash": chained(before.hash, entry),
        }
        self._connection.execute(insert(audit).values(row))
        self.last = what
        return Head(vessel_id=vessel_id, number=number, hash=str(row["hash"]))

    def head(self, vessel_id: str) -> Head:
        """Return the end of a vessel's chain; an empty one has number 0."""
        wanted = (
            select(audit.c.number, audit.c.hash)
            .where(audit.c.vessel_id == vessel_id)
            .order_by(audit.c.number.desc())
            .limit(1)
        )
        found = self._connection.execute(wanted).first()
        if found is None:
            return Head(vessel_id=vessel_id, number=0, hash=START)
        return Head(vessel_id=vessel_id, number=found.number, hash=found.hash)

    def hash_at(self, vessel_id: str, number: int) -> str | None:
        """Return the hash of an entry, None where the chain does not reach so far."""
        wanted = select(audit.c.hash).where(
            audit.c.vessel_id == vessel_id, audit.c.number == number
        )
        found = self._connection.execute(wanted).scalar()
        return None if found is None else str(found)

    def vessels(self) -> list[str]:
        """Return whose chains there are."""
        wanted = select(audit.c.vessel_id).group_by(audit.c.vessel_id).order_by(audit.c.vessel_id)
        return [str(row.vessel_id) for row in self._connection.execute(wanted)]

    def chain(self, vessel_id: str) -> Iterator[AuditRow]:
        """Yield a vessel's entries in order."""
        wanted = select(audit).where(audit.c.vessel_id == vessel_id).order_by(audit.c.number)
        for row in self._connection.execute(wanted):
            yield AuditRow(**row._mapping)

    def after(self, vessel_id: str, number: int, limit: int) -> list[AuditRow]:
        """Return entries of a vessel after a number, oldest first."""
        wanted = select(audit).where(audit.c.vessel_id == vessel_id, audit.c.number > number)
        wanted = wanted.order_by(audit.c.number).limit(limit)
        return [AuditRow(**row._mapping) for row in self._connection.execute(wanted)]

    def page(self, vessel_id: str, limit: int, before: int | None) -> list[AuditRow]:
        """Return entries of a vessel, newest first, those before a number."""
        wanted = select(audit).where(audit.c.vessel_id == vessel_id)
        if before is not None:
            wanted = wanted.where(audit.c.number < before)
        wanted = wanted.order_by(audit.c.number.desc()).limit(limit)
        return [AuditRow(**row._mapping) for row in self._connection.execute(wanted)]

    def count(self) -> int:
        """Return how many entries there are in all chains."""
        return int(self._connection.execute(select(func.count()).select_from(audit)).scalar_one())
