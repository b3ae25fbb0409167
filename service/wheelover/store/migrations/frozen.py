"""Tables that take new rows only: what is frozen is never changed and never removed."""

from alembic import op

_REFUSAL = "wheelover_never_changed"


def freeze(*tables: str) -> None:
    """Make tables take new rows only, in the database being migrated.

    A breach is an integrity error that names the table. In PostgreSQL a table cannot be emptied
    either, and the triggers fire for replicated changes too.
    """
    if op.get_bind().dialect.name == "postgresql":
        _refusal()
        for table in tables:
            op.execute(
                f"CREATE TRIGGER {table}_frozen BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
                f"FOR EACH STATEMENT EXECUTE FUNCTION {_REFUSAL}()"
            )
            op.execute(f"ALTER TABLE {table} ENABLE ALWAYS TRIGGER {table}_frozen")
        return
    for table in tables:
        for what in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_no_{what.lower()} BEFORE {what} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{table} is never changed'); END"
            )


def thaw(*tables: str) -> None:
    """Let a migration change the rows of tables; it calls ``freeze`` for them when it is done."""
    for table in tables:
        if op.get_bind().dialect.name == "postgresql":
            op.execute(f"DROP TRIGGER {table}_frozen ON {table}")
            continue
        for what in ("update", "delete"):
            op.execute(f"DROP TRIGGER {table}_no_{what}")


def _refusal() -> None:
    """Make the function that refuses, once in a database."""
    op.execute(
        f"CREATE OR REPLACE FUNCTION {_REFUSAL}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        "RAISE EXCEPTION USING MESSAGE = TG_TABLE_NAME || ' is never changed', "
        "ERRCODE = 'restrict_violation'; END $$"
    )
