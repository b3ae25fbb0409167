"""The pen of a draft: who may edit it just now, and who waits for it."""

from collections.abc import Sequence
from typing import Any

import rfc8785
from sqlalchemy import Connection, update

from wheelover.formats.strict_json import read_json
from wheelover.store.plans import PlanRow
from wheelover.store.tables import plan


class Pens:
    """The pens of one unit of work."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def give(self, row: PlanRow, account_id: str, name: str, now_utc: str) -> None:
        """Give a draft's pen to an account; nobody waits for it any more."""
        self._set(row, pen_account=account_id, pen_name=name, pen_since_utc=now_utc, pen_asked=None)

    def lay_down(self, row: PlanRow) -> None:
        """Lay a draft's pen down."""
        self._set(row, pen_account=None, pen_name=None, pen_since_utc=None, pen_asked=None)

    def ask(self, row: PlanRow, asked: Sequence[dict[str, Any]]) -> None:
        """Keep who waits for a draft's pen, with their notes."""
        self._set(row, pen_asked=rfc8785.dumps(list(asked)).decode())

    def _set(self, row: PlanRow, **values: str | None) -> None:
        """Set the columns of a pen."""
        self._connection.execute(update(plan).where(plan.c.id == row.id).values(values))


def asked_of(row: PlanRow) -> list[dict[str, Any]]:
    """Return who waits for a draft's pen, with their notes."""
    if row.pen_asked is None:
        return []
    asked: list[dict[str, Any]] = read_json(row.pen_asked.encode())
    return asked
