"""Files of a SQLite store: whose they are, what lies beside them."""

import os
import stat
from collections.abc import Callable
from pathlib import Path

from sqlalchemy import URL

from wheelover.store.faults import StoreRefused

COMPANIONS = ("-wal", "-shm", "-journal")
"""What SQLite keeps beside a file: write-ahead log, its index, rollback journal."""


def file_of(url: URL) -> Path:
    """Return the file of a database URL.

    Raises
    ------
    StoreRefused
        For a database in memory, which would keep nothing.
    """
    if not url.database or url.database == ":memory:":
        raise StoreRefused("A SQLite store needs a file: sqlite:/// and its path.")
    return Path(url.database)


def make_private(path: Path) -> None:
    """Make the file and its folder for the owner alone, before SQLite makes them for all.

    Raises
    ------
    StoreRefused
        When they cannot be made, or the file is another user's or read-only.
    """
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        path.touch(mode=0o600, exist_ok=True)
        status = path.stat()
        # What another user makes beside the file (write-ahead log, journal) locks the owner out.
        _require_owner(path, status.st_uid)
        if stat.S_IMODE(status.st_mode) & 0o077:
            path.chmod(stat.S_IMODE(status.st_mode) & 0o700)
    except OSError as error:
        raise StoreRefused(
            f"The database {path.name} cannot be made or opened ({error.strerror}); "
            "set WHEELOVER_DATABASE to a place that its user may write."
        ) from error
    if not stat.S_IMODE(status.st_mode) & 0o200 or not os.access(path, os.W_OK):
        raise StoreRefused(f"The database {path.name} is read-only; make it writable (chmod u+w).")


def _require_owner(path: Path, owner: int) -> None:
    """Refuse a file that belongs to another user than the one who runs the service."""
    effective: Callable[[], int] | None = getattr(os, "geteuid", None)
    if effective is not None and owner != effective():
        raise StoreRefused(
            f"The database {path.name} belongs to user {owner} and the service runs as user "
            f"{effective()}; run it as its owner, or give it the file (chown)."
        )


def beside(path: Path, suffix: str) -> Path:
    """Return the file whose name is that of another and a suffix."""
    return path.with_name(path.name + suffix)


def remove(path: Path) -> None:
    """Remove a database file and what belongs to it."""
    for suffix in ("", *COMPANIONS):
        beside(path, suffix).unlink(missing_ok=True)


def sync_folder(folder: Path) -> None:
    """Wait until the names in a folder are on the disk."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
