"""Whether a store holds anything but what every new one holds."""

from sqlalchemy import Connection, create_engine, delete

from wheelover.store.faults import StoreRefused
from wheelover.store.migrate import make_tables, schema_of
from wheelover.store.rows import Total, tables_in, total_of


def holds_something(connection: Connection) -> bool:
    """Return whether a database holds rows that its migrations did not put there."""
    schema = schema_of(connection)
    tables = tables_in(connection)
    if schema is None:
        return bool(tables)
    found = {str(table.name): total_of(connection, table) for table in tables}
    return any(total.rows for total in found.values()) and found != _when_new(schema)


def _when_new(schema: str) -> dict[str, Total] | None:
    """Return what the tables of a schema hold when they are new; None for a newer version's."""
    engine = create_engine("sqlite://")
    try:
        with engine.begin() as connection:
            make_tables(connection, schema)
            return {str(one.name): total_of(connection, one) for one in tables_in(connection)}
    except StoreRefused:
        return None
    finally:
        engine.dispose()


def take_out_seeds(connection: Connection) -> None:
    """Remove what migrations put into new tables, so that a backup's own rows take its place."""
    for table in reversed(tables_in(connection)):
        if total_of(connection, table).rows:
            connection.execute(delete(table))
