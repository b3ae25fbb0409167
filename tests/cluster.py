"""PostgreSQL servers of one's own in temporary folders, stopped by their own processes."""

import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from psycopg import Connection, OperationalError

_ACCOUNT = "postgres"
_START_S, _STOP_S = 30.0, 60.0
USER = "wheelover"

QUICK = {
    "fsync": "off",
    "synchronous_commit": "off",
    "full_page_writes": "off",
    "autovacuum": "off",
    "max_connections": "200",
    "shared_buffers": "64MB",
}
"""For tests of what is kept and what is refused, none of which outlives a crash."""


def binaries() -> Path | None:
    """Return the programs of the newest PostgreSQL that Debian's packages have put here."""
    found = [one.parent for one in Path("/usr/lib/postgresql").glob("*/bin/initdb")]
    return max(found, key=lambda path: float(path.parent.name), default=None)


def account() -> dict[str, Any]:
    """Return under whom the server runs: it refuses to run as root."""
    if os.geteuid() != 0:
        return {}
    return {"user": _ACCOUNT, "group": _ACCOUNT, "extra_groups": []}


@dataclass
class Cluster:
    """One server: its folder, what it is set to, and its process while it runs."""

    folder: Path
    programs: Path
    settings: dict[str, str]
    process: "subprocess.Popen[bytes] | None" = field(default=None, repr=False)

    @property
    def _common(self) -> dict[str, Any]:
        return {"cwd": self.folder, "env": {"PATH": os.defpath, "LC_ALL": "C.UTF-8"}, **account()}

    @property
    def dsn(self) -> str:
        """Return how libpq reaches the server, by its socket."""
        return f"host={self.folder} user={USER} dbname=postgres"

    def url(self, database: str) -> str:
        """Return the URL of one of its databases."""
        return f"postgresql://{USER}@/{database}?host={self.folder}"

    def make(self) -> None:
        """Make the files of the server."""
        command: list[str | Path] = [self.programs / "initdb", "-D", self.folder / "data"]
        command += ["-U", USER, "--auth=trust", "--no-sync", "-E", "UTF8", "--data-checksums"]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, **self._common)

    def start(self) -> None:
        """Start the server and wait until it takes a connection."""
        options = [part for item in self.settings.items() for part in ("-c", "=".join(item))]
        command: list[str | Path] = [self.programs / "postgres", "-D", self.folder / "data"]
        command += ["-k", self.folder, "-h", "", *options]
        with (self.folder / "log").open("ab") as log:
            self.process = subprocess.Popen(command, stdout=log, stderr=log, **self._common)
        self.connect().close()

    def stop(self, how: int = signal.SIGINT) -> None:
        """Stop the server: by an interrupt fast, by SIGQUIT at once, by SIGKILL as a crash."""
        if self.process is None:
            return
        # Killed, the server leaves its processes behind, each at its work.
        children = self._children() if how == signal.SIGKILL else []
        self.process.send_signal(how)
        for child in children:
            with suppress(ProcessLookupError):
                os.kill(child, how)
        self.process.wait(_STOP_S)
        self.process = None

    def _children(self) -> list[int]:
        """Return the processes that the server has started."""
        assert self.process is not None
        pid = self.process.pid
        return [int(one) for one in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]

    def connect(self, database: str = "postgres") -> Connection[Any]:
        """Return a connection as soon as the server takes one."""
        until_s = time.monotonic() + _START_S
        while True:
            try:
                return Connection.connect(f"{self.dsn} dbname={database}", autocommit=True)
            except OperationalError as fault:
                if time.monotonic() > until_s or self.ended():
                    log = (self.folder / "log").read_text(errors="replace")
                    raise OperationalError(f"{fault}\n{log}") from fault
                time.sleep(0.05)

    def ended(self) -> bool:
        """Return whether the server has ended by itself."""
        return self.process is not None and self.process.poll() is not None

    def run(self, sql: str, database: str = "postgres") -> None:
        """Run one statement."""
        with self.connect(database) as connection:
            connection.execute(sql.encode())


@contextmanager
def cluster(settings: dict[str, str], programs: Path | None = None) -> Iterator[Cluster]:
    """Give a fresh server; it and its folder go afterwards.

    Raises
    ------
    OperationalError
        When the server does not start.
    """
    found = programs or binaries()
    if found is None:
        raise FileNotFoundError("PostgreSQL is not installed")
    folder = Path(tempfile.mkdtemp(prefix="wo-pg-"))
    server = Cluster(folder, found, settings)
    try:
        if os.geteuid() == 0:
            shutil.chown(folder, _ACCOUNT, _ACCOUNT)
        server.make()
        server.start()
        yield server
    finally:
        server.stop()
        shutil.rmtree(folder)
