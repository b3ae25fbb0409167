"""Writes the dumps of a released schema: ``python -m tests.faults.released.dump FILE``.

FILE is a SQLite store that a release has written, of that release's schema. The same rows go into a
PostgreSQL with the tables of that schema. Both dumps are kept for ever and never made again: they
say what the release left behind, whatever becomes of its migrations.
"""

import sqlite3
import subprocess
import sys
from pathlib import Path

from sqlalchemy import create_engine, insert, select

from tests.cluster import QUICK, account, cluster
from wheelover.store.emptiness import take_out_seeds
from wheelover.store.migrate import make_tables, schema_of
from wheelover.store.open import database_at
from wheelover.store.restore import _references_later
from wheelover.store.rows import tables_in

HERE = Path(__file__).parent


def main(path: Path) -> None:
    """Write both dumps."""
    source = create_engine(f"sqlite:///{path}")
    with cluster(QUICK) as server, source.begin() as old:
        schema = schema_of(old)
        assert schema is not None
        server.run("CREATE DATABASE released")
        database = database_at(server.url("released"))
        with database.writer.begin() as connection, _references_later(connection):
            make_tables(connection, schema)
            take_out_seeds(connection)
        with database.writer.begin() as connection, _references_later(connection):
            made = {table.name: table for table in tables_in(connection)}
            for table in tables_in(old):
                rows = [row._asdict() for row in old.execute(select(table))]
                if rows:
                    connection.execute(insert(made[table.name]), rows)
        database.close()
        dumped = subprocess.run(
            [server.programs / "pg_dump", "--inserts", "--no-owner", "-h", server.folder,
             "-U", "wheelover", "released"],
            check=True, capture_output=True, **account(), cwd=server.folder,
        ).stdout.decode()  # fmt: skip
    lines = [one for one in dumped.splitlines() if one and not one.startswith(("\\", "--"))]
    (HERE / f"{schema}.postgresql.sql").write_text("\n".join(lines) + "\n")
    with sqlite3.connect(path) as connection:
        (HERE / f"{schema}.sqlite.sql").write_text("\n".join(connection.iterdump()) + "\n")
    connection.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
