"""The order of changes: numbers that only grow, so that no clock is needed to page through."""

import secrets

from sqlalchemy import Connection, Table, func, select


def next_seq(connection: Connection, table: Table) -> int:
    """Return the next number of a table's order.

    It is unique because one transaction writes at a time, on either engine (``store/open.py``).
    """
    return newest_seq(connection, table) + 1


def newest_seq(connection: Connection, table: Table) -> int:
    """Return the newest number of a table's order, 0 of an empty one."""
    return int(connection.execute(select(func.max(table.c.changed_seq))).scalar() or 0)


def new_id(prefix: str) -> str:
    """Return an id that nobody can guess or meet twice (80 bits of chance)."""
    return f"{prefix}-{secrets.token_hex(10)}"
