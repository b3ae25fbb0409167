"""The order of changes: numbers that only grow, so that no clock is needed to page through."""

import secrets

from sqlalchemy import Connection, Table, func, select


def next_seq(connection: Connection, table: Table) -> int:
    """Return the next number of a table's order.

    It is unique because one transaction writes at a time, on either engine (``store/open.py``).
    """
    newest = connection.execute(select(func.max(table.c.changed_seq))).scalar()
    return int(newest or 0) + 1


def new_id(prefix: str) -> str:
    """Return an id that nobody can guess or meet twice (80 bits of chance)."""
    return f"{prefix}-{secrets.token_hex(10)}"
