"""A PostgreSQL server with PostGIS, set for speed."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from psycopg import Connection

from tests import cluster as servers


def _newest() -> str:
    """Return the newest version that Debian's packages have put here, with PostGIS."""
    found = Path("/usr/share/postgresql").glob("*/extension/postgis.control")
    return max((path.parts[-3] for path in found), key=float, default="none")


BINARIES = Path("/usr/lib/postgresql") / _newest() / "bin"

SETTINGS = {
    "fsync": "off",
    "synchronous_commit": "off",
    "full_page_writes": "off",
    "shared_buffers": "1GB",
    "work_mem": "256MB",
    "maintenance_work_mem": "512MB",
    "max_wal_size": "4GB",
    "effective_cache_size": "4GB",
    "random_page_cost": "1.0",
    "jit": "off",
    "parallel_setup_cost": "0",
    "parallel_tuple_cost": "0",
    "min_parallel_table_scan_size": "0",
    "autovacuum": "off",
}
"""Favours a warm query on data that fit the memory; nothing here need survive a crash."""


def available() -> bool:
    """Return whether server and PostGIS are installed."""
    return (BINARIES / "postgres").exists()


@contextmanager
def cluster() -> Iterator[Connection[Any]]:
    """Yield a connection to a fresh server with PostGIS; the server and its folder go afterwards.

    Raises
    ------
    OperationalError
        When the server does not start.
    """
    with servers.cluster(SETTINGS, BINARIES) as server, server.connect() as connection:
        connection.execute("CREATE EXTENSION postgis")
        yield connection
