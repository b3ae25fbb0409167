"""Tables that take new rows only."""

from alembic import op


def freeze(table: str) -> None:
    """Make a table take new rows only: a trigger refuses to change or remove one."""
    if op.get_bind().dialect.name != "sqlite":
        raise NotImplementedError("this version keeps its store in SQLite only")
    for what in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER {table}_no_{what.lower()} BEFORE {what} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{table} is never changed'); END"
        )
