"""Webhooks: where other systems hear of changes, and the log of every delivery."""

from collections.abc import Sequence
from dataclasses import dataclass

import rfc8785
from sqlalchemy import Connection, Row, func, insert, select, update

from wheelover.core.errors import NotFound
from wheelover.formats.strict_json import read_json
from wheelover.store.sealing import Seal
from wheelover.store.sequence import new_id
from wheelover.store.tables import webhook, webhook_delivery


@dataclass(frozen=True, slots=True, kw_only=True)
class WebhookRow:
    """One address, what it hears of, and how far it has heard. No kinds: everything.

    ``secret`` is None where another key file has sealed it: nothing is told until it is rotated.
    """

    id: str
    url: str
    secret: str | None
    vessel_id: str
    kinds: tuple[str, ...]
    active: bool
    sent_number: int
    attempt_count: int
    next_utc: str
    created_utc: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DeliveryRow:
    """One attempt to deliver an entry of the audit log."""

    number: int
    entry_number: int
    attempt: int
    at_utc: str
    outcome: str
    status: int | None
    detail: str


class Webhooks:
    """The webhooks of one unit of work."""

    def __init__(self, connection: Connection, seal: Seal) -> None:
        self._connection, self._seal = connection, seal

    def add(
        self,
        url: str,
        secret: str,
        vessel_id: str,
        kinds: Sequence[str],
        from_number: int,
        now_utc: str,
    ) -> WebhookRow:
        """Keep an address that hears of what comes after an entry of the log."""
        row = {
            "id": new_id("hook"),
            "url": url,
            "secret": self._seal.kept(secret),
            "vessel_id": vessel_id,
            "kinds": rfc8785.dumps(list(kinds)).decode(),
            "active": True,
            "sent_number": from_number,
            "attempt_count": 0,
            "next_utc": now_utc,
            "created_utc": now_utc,
        }
        self._connection.execute(insert(webhook).values(row))
        return self.get(str(row["id"]))

    def get(self, webhook_id: str) -> WebhookRow:
        """Return a webhook.

        Raises
        ------
        NotFound
            For an id that stands for none.
        """
        wanted = select(webhook).where(webhook.c.id == webhook_id)
        found = self._connection.execute(wanted).first()
        if found is None:
            raise NotFound(f"webhook {webhook_id[:80]!r} is not stored")
        return self._webhook(found)

    def all(self) -> list[WebhookRow]:
        """Return every webhook, oldest first."""
        wanted = select(webhook).order_by(webhook.c.created_utc, webhook.c.id)
        return [self._webhook(row) for row in self._connection.execute(wanted)]

    def due(self, now_utc: str) -> list[WebhookRow]:
        """Return the active webhooks whose next attempt may be made."""
        return [one for one in self.all() if one.active and one.next_utc <= now_utc]

    def switch(self, webhook_id: str, *, active: bool) -> WebhookRow:
        """Let a webhook hear of changes, or no longer."""
        self.get(webhook_id)
        this = webhook.c.id == webhook_id
        self._connection.execute(update(webhook).where(this).values(active=active))
        return self.get(webhook_id)

    def rotate(self, webhook_id: str, secret: str) -> WebhookRow:
        """Sign with another secret from now on."""
        self.get(webhook_id)
        this = webhook.c.id == webhook_id
        kept = self._seal.kept(secret)
        self._connection.execute(update(webhook).where(this).values(secret=kept))
        return self.get(webhook_id)

    def move(self, webhook_id: str, sent_number: int, attempt_count: int, next_utc: str) -> None:
        """Note how far a webhook has heard, and when it is tried next."""
        values = {
            "sent_number": sent_number,
            "attempt_count": attempt_count,
            "next_utc": next_utc,
        }
        this = webhook.c.id == webhook_id
        self._connection.execute(update(webhook).where(this).values(values))

    def log(
        self,
        webhook_id: str,
        entry_number: int,
        attempt: int,
        outcome: str,
        status: int | None,
        detail: str,
        now_utc: str,
    ) -> None:
        """Write an attempt into the log of deliveries."""
        mine = webhook_delivery.c.webhook_id == webhook_id
        newest = select(func.max(webhook_delivery.c.number)).where(mine)
        row = {
            "webhook_id": webhook_id,
            "number": int(self._connection.execute(newest).scalar() or 0) + 1,
            "entry_number": entry_number,
            "attempt": attempt,
            "at_utc": now_utc,
            "outcome": outcome,
            "status": status,
            "detail": detail[:300],
        }
        self._connection.execute(insert(webhook_delivery).values(row))

    def deliveries(self, webhook_id: str, limit: int, before: int | None) -> list[DeliveryRow]:
        """Return attempts of a webhook, newest first, those before a number."""
        columns = [one for one in webhook_delivery.c if one.name != "webhook_id"]
        wanted = select(*columns).where(webhook_delivery.c.webhook_id == webhook_id)
        if before is not None:
            wanted = wanted.where(webhook_delivery.c.number < before)
        wanted = wanted.order_by(webhook_delivery.c.number.desc()).limit(limit)
        return [DeliveryRow(**row._mapping) for row in self._connection.execute(wanted)]

    def _webhook(self, row: Row[tuple[object, ...]]) -> WebhookRow:
        """Return a row as a webhook, its secret opened."""
        members = dict(row._mapping)
        members["kinds"] = tuple(read_json(str(members["kinds"]).encode()))
        members["secret"] = self._seal.read(str(members["secret"]))
        return WebhookRow(**members)
