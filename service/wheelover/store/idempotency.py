"""Keys of requests that may be sent again: kept in the transaction of the change they made.

The key is written by the unit of work itself, so that a service that dies between the change and
its answer knows the key when the request is sent again: nothing is made twice.
"""

import contextvars
import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, delete, insert, select, update
from sqlalchemy.exc import IntegrityError

from wheelover.core.errors import Conflict
from wheelover.formats.strict_json import read_json
from wheelover.store.tables import idempotency


@dataclass(frozen=True, slots=True, kw_only=True)
class Pending:
    """The key of the request at work, digests of key and request, and the time it came."""

    key_sha256: str
    request_sha256: str
    at_utc: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """What is known of a key: its request, and the answer where it was kept.

    ``place`` is where what was made is found, for an answer that was lost or too large.
    """

    request_sha256: str
    place: str | None
    status: int | None
    headers: dict[str, str]
    body: bytes | None


PENDING: contextvars.ContextVar[Pending | None] = contextvars.ContextVar("pending", default=None)
"""The key of the request whose change is being made, set by the door."""


class Idempotency:
    """The keys of one unit of work."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def known(self, key_sha256: str) -> Answered | None:
        """Return what is known of a key, None for one that made no change yet."""
        wanted = select(idempotency).where(idempotency.c.key_sha256 == key_sha256)
        found = self._connection.execute(wanted).first()
        if found is None:
            return None
        headers: dict[str, str] = {} if found.headers is None else read_json(found.headers.encode())
        return Answered(
            request_sha256=found.request_sha256,
            place=found.place,
            status=found.status,
            headers=headers,
            body=found.body,
        )

    def note(self, pending: Pending, entry: dict[str, Any] | None) -> None:
        """Keep a key with the change it makes; the same key twice makes the second change fail.

        Parameters
        ----------
        pending : Pending
            The key.
        entry : dict or None
            The last entry of the audit log of this change, which names what was made.

        Raises
        ------
        Conflict
            When another process makes a change with this key just now.
        """
        row = {
            "key_sha256": pending.key_sha256,
            "request_sha256": pending.request_sha256,
            "at_utc": pending.at_utc,
            "place": place_of(entry),
        }
        try:
            self._connection.execute(insert(idempotency).values(row))
        except IntegrityError as error:
            raise Conflict("A request with this Idempotency-Key was made meanwhile.") from error

    def answer(self, key_sha256: str, status: int, headers: dict[str, str], body: bytes) -> None:
        """Keep the answer of a key."""
        values = {"status": status, "headers": json.dumps(headers), "body": body}
        this = idempotency.c.key_sha256 == key_sha256
        self._connection.execute(update(idempotency).where(this).values(values))

    def forget_before(self, at_utc: str) -> None:
        """Forget the keys of requests before a time."""
        self._connection.execute(delete(idempotency).where(idempotency.c.at_utc < at_utc))


def place_of(entry: dict[str, Any] | None) -> str | None:
    """Return where the thing is found that an entry of the audit log tells of.

    Examples
    --------
    >>> place_of({"what": "plan.approved", "plan_id": "plan-1", "revision": 2})
    '/api/v1/plans/plan-1/revisions/2/record'
    """
    if entry is None:
        return None
    if "plan_id" in entry:
        plan = f"/api/v1/plans/{entry['plan_id']}"
        return f"{plan}/revisions/{entry['revision']}/record" if entry.get("revision") else plan
    kinds = {
        "ship": "ships",
        "hazard_set": "hazard-sets",
        "limit_set": "limit-sets",
        "chart_cell": "charts",
    }
    kind = kinds.get(str(entry.get("what", "")).partition(".")[0])
    return None if kind is None else f"/api/v1/{kind}/{entry.get('item_id')}"
