"""A PostgreSQL server of one's own in a temporary folder, reached by a Unix socket only."""

import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from psycopg import Connection, OperationalError


def _newest() -> str:
    """Return the newest version that Debian's packages have put here, with PostGIS."""
    found = Path("/usr/share/postgresql").glob("*/extension/postgis.control")
    return max((path.parts[-3] for path in found), key=float, default="none")


BINARIES = Path("/usr/lib/postgresql") / _newest() / "bin"
_ACCOUNT = "postgres"
_START_S, _STOP_S = 30.0, 60.0

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


def _account() -> dict[str, Any]:
    """Return under whom the server runs: it refuses to run as root."""
    if os.geteuid() != 0:
        return {}
    return {"user": _ACCOUNT, "group": _ACCOUNT, "extra_groups": []}


@contextmanager
def cluster() -> Iterator[Connection]:
    """Yield a connection to a fresh server with PostGIS; the server and its folder go afterwards.

    Raises
    ------
    OperationalError
        When the server does not start.
    """
    folder = Path(tempfile.mkdtemp(prefix="bench-pg-"))
    try:
        if os.geteuid() == 0:
            shutil.chown(folder, _ACCOUNT, _ACCOUNT)
        with _server(folder), _connected(folder) as connection:
            connection.execute("CREATE EXTENSION postgis")
            yield connection
    finally:
        shutil.rmtree(folder)


@contextmanager
def _server(folder: Path) -> Iterator[None]:
    """Run a server on the folder, and stop it by its own process."""
    data = folder / "data"
    common = {"cwd": folder, "env": {"PATH": os.defpath, "LC_ALL": "C.UTF-8"}, **_account()}
    subprocess.run(
        [BINARIES / "initdb", "-D", data, "-U", "bench", "--auth=trust", "--no-sync", "-E", "UTF8"],
        check=True,
        stdout=subprocess.DEVNULL,
        **common,
    )
    options = [part for key, value in SETTINGS.items() for part in ("-c", f"{key}={value}")]
    with (folder / "log").open("wb") as log:
        server = subprocess.Popen(
            [BINARIES / "postgres", "-D", data, "-k", folder, "-h", "", *options],
            stdout=log,
            stderr=log,
            **common,
        )
        try:
            yield
        finally:
            # An interrupt asks for a fast shutdown.
            server.send_signal(signal.SIGINT)
            server.wait(_STOP_S)


def _connected(folder: Path) -> Connection:
    """Return a connection as soon as the server takes one."""
    until_s = time.monotonic() + _START_S
    while True:
        try:
            return Connection.connect(f"host={folder} dbname=postgres user=bench", autocommit=True)
        except OperationalError as fault:
            if time.monotonic() > until_s:
                log = (folder / "log").read_text(errors="replace")
                raise OperationalError(f"{fault}\n{log}") from fault
            time.sleep(0.1)
