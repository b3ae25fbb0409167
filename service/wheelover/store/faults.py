"""What goes wrong between us and the database, as errors of ours."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from wheelover.core.errors import NoRoom, Unavailable, WheeloverError

_FULL = sqlite3.SQLITE_FULL


class StoreRefused(WheeloverError):
    """A store that this version must not open, with the remedy in one sentence."""


@contextmanager
def translated() -> Iterator[None]:
    """Turn faults of the database into ours; a breach of a constraint stays what it is, a bug.

    Raises
    ------
    NoRoom
        When the disk is full.
    Unavailable
        When the database is locked, gone, read-only or damaged.
    """
    try:
        yield
    except PoolTimeout as error:
        raise Unavailable("The store is busy; try again in a moment.") from error
    except DBAPIError as error:
        if type(error.orig).__name__ == "IntegrityError":
            raise
        code = getattr(error.orig, "sqlite_errorcode", None)
        if (code is not None and code & 0xFF == _FULL) or "is full" in str(error.orig):
            raise NoRoom("The disk is full. Nothing was kept; make room and try again.") from error
        raise Unavailable("The store cannot be reached. Nothing was kept; try again.") from error
