"""What is recorded beside the revisions of a plan, each event with its entry in the audit log."""

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from typing import Any

import rfc8785
from sqlalchemy import Connection, Row, delete, func, insert, select

from wheelover.core.types.people import Person
from wheelover.core.types.record import Event
from wheelover.formats.strict_json import read_json
from wheelover.store.audit import Audit
from wheelover.store.homes import Homes
from wheelover.store.plans import PlanRow
from wheelover.store.tables import approval_use, plan_event


class Record:
    """The events of one unit of work."""

    def __init__(self, connection: Connection, audit: Audit, homes: Homes) -> None:
        self._connection = connection
        self._audit = audit
        self._homes = homes

    def add(
        self,
        plan: PlanRow,
        revision: int,
        kind: str,
        person: Person,
        body: dict[str, Any],
        now_utc: str,
    ) -> Event:
        """Record an event of a plan and return it.

        Parameters
        ----------
        plan : PlanRow
            The plan.
        revision : int
            The revision concerned, 0 for the draft.
        kind : str
            An event kind.
        person : Person
            Who did it.
        body : dict
            What belongs to the kind, as JSON values.
        now_utc : str
            The time, RFC 3339.

        Raises
        ------
        Conflict
            For a plan that is at home elsewhere and an event that is recorded there alone.
        """
        self._homes.require_plan(plan.id, kind)
        return self._insert(plan, revision, kind, person, body, now_utc, {}, now_utc)

    def follow(self, plan: PlanRow, event: Event, came: dict[str, Any], now_utc: str) -> Event:
        """Record an event that came from a peer, with its own time and a number of ours.

        Parameters
        ----------
        plan : PlanRow
            The plan.
        event : Event
            The event; its number is that of its maker.
        came : dict
            Where it came from, for the audit log.
        now_utc : str
            The time it came, RFC 3339.
        """
        return self._insert(
            plan, event.revision, event.kind, event.person, event.body, event.at_utc, came, now_utc
        )

    def _insert(
        self,
        plan: PlanRow,
        revision: int,
        kind: str,
        person: Person,
        body: dict[str, Any],
        at_utc: str,
        came: dict[str, Any],
        now_utc: str,
    ) -> Event:
        """Insert an event with its entry in the audit log."""
        newest = select(func.max(plan_event.c.number)).where(plan_event.c.plan_id == plan.id)
        number = int(self._connection.execute(newest).scalar() or 0) + 1
        text = rfc8785.dumps(body).decode()
        row = {
            "plan_id": plan.id,
            "number": number,
            "revision": revision,
            "kind": kind,
            "at_utc": at_utc,
            **asdict(person),
            "body": text,
        }
        self._connection.execute(insert(plan_event).values(row))
        entry = {
            "what": f"plan.{kind}",
            "plan_id": plan.id,
            "revision": revision,
            "event": number,
            "by": asdict(person),
            "event_sha256": _digest(row),
            **came,
        }
        self._audit.add(plan.vessel_id, entry, now_utc)
        return Event(
            number=number, revision=revision, kind=kind, at_utc=at_utc, person=person, body=body
        )

    def digests(self) -> Iterator[tuple[str, int, str]]:
        """Yield plan, number and digest of every event that the log tells of.

        Revisions frozen before there was a record stand as offered without an entry of the log.
        """
        wanted = select(plan_event).order_by(plan_event.c.plan_id, plan_event.c.number)
        for row in self._connection.execute(wanted):
            if (row.kind, row.body) != ("offered", "{}"):
                yield row.plan_id, row.number, _digest(dict(row._mapping))

    def uses(self) -> dict[tuple[str, int], set[tuple[str, str, int]]]:
        """Return what each standing approval hangs on, by plan and revision."""
        found: dict[tuple[str, int], set[tuple[str, str, int]]] = {}
        for row in self._connection.execute(select(approval_use)):
            use = (row.kind, row.item_id, row.edition)
            found.setdefault((row.plan_id, row.revision), set()).add(use)
        return found

    def offered(self) -> dict[tuple[str, int], str]:
        """Return the sha256 of every revision as it was offered, empty where that was not noted."""
        wanted = select(plan_event).where(plan_event.c.kind == "offered")
        events = ((row.plan_id, _event(row)) for row in self._connection.execute(wanted))
        return {(plan, one.revision): one.body.get("sha256", "") for plan, one in events}

    def of(self, plan_id: str) -> tuple[Event, ...]:
        """Return the events of a plan, in order."""
        return self.of_many([plan_id]).get(plan_id, ())

    def of_many(self, plan_ids: Iterable[str]) -> dict[str, tuple[Event, ...]]:
        """Return the events of some plans, in order."""
        wanted = (
            select(plan_event)
            .where(plan_event.c.plan_id.in_(list(plan_ids)))
            .order_by(plan_event.c.plan_id, plan_event.c.number)
        )
        found: dict[str, list[Event]] = {}
        for row in self._connection.execute(wanted):
            found.setdefault(row.plan_id, []).append(_event(row))
        return {plan_id: tuple(events) for plan_id, events in found.items()}

    def plans_with(self, kind: str) -> list[str]:
        """Return the ids of the plans that have an event of a kind."""
        wanted = select(plan_event.c.plan_id).where(plan_event.c.kind == kind).distinct()
        return list(self._connection.execute(wanted).scalars())

    def hang(self, plan_id: str, revision: int, uses: Iterable[tuple[str, str, int]]) -> None:
        """Note what a standing approval hangs on: kind, id and edition of each."""
        self.let_go(plan_id, revision)
        rows = [
            {
                "plan_id": plan_id,
                "revision": revision,
                "kind": kind,
                "item_id": item,
                "edition": number,
            }
            for kind, item, number in uses
        ]
        if rows:
            self._connection.execute(insert(approval_use), rows)

    def let_go(self, plan_id: str, revision: int) -> None:
        """Forget what an approval hung on: it stands no longer."""
        this = (approval_use.c.plan_id == plan_id) & (approval_use.c.revision == revision)
        self._connection.execute(delete(approval_use).where(this))

    def hanging(self) -> list[tuple[str, int]]:
        """Return every standing approval: plan and revision."""
        columns = (approval_use.c.plan_id, approval_use.c.revision)
        found = self._connection.execute(select(*columns).distinct().order_by(*columns))
        return [(row.plan_id, row.revision) for row in found]

    def hanging_on(self, kind: str, item_id: str) -> list[tuple[str, int, int]]:
        """Return which standing approvals hang on a thing: plan, revision, and the edition used."""
        columns = (approval_use.c.plan_id, approval_use.c.revision, approval_use.c.edition)
        wanted = select(*columns).where(
            approval_use.c.kind == kind, approval_use.c.item_id == item_id
        )
        found = self._connection.execute(wanted.order_by(*columns))
        return [(row.plan_id, row.revision, row.edition) for row in found]

    def not_hanging_on(self, kind: str, item_id: str) -> list[tuple[str, int, str]]:
        """Return standing approvals that hang on another thing of a kind, and on which."""
        columns = (approval_use.c.plan_id, approval_use.c.revision, approval_use.c.item_id)
        wanted = select(*columns).where(
            approval_use.c.kind == kind, approval_use.c.item_id != item_id
        )
        found = self._connection.execute(wanted.order_by(*columns))
        return [(row.plan_id, row.revision, row.item_id) for row in found]


def _digest(row: dict[str, Any]) -> str:
    """Return the digest of an event: every column of it."""
    plain = {**row, "claimed": bool(row["claimed"])}
    return hashlib.sha256(rfc8785.dumps(plain)).hexdigest()


def _event(row: Row[Any]) -> Event:
    """Return a row as an event."""
    person = Person(
        name=row.name, rank=row.rank, account_id=row.account_id, claimed=bool(row.claimed)
    )
    return Event(
        number=row.number,
        revision=row.revision,
        kind=row.kind,
        at_utc=row.at_utc,
        person=person,
        body=read_json(row.body.encode()),
    )
