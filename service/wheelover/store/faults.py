"""What goes wrong between us and the database, as errors of ours."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from wheelover.core.errors import NoRoom, Unavailable, WheeloverError

_FULL = sqlite3.SQLITE_FULL
_PG_DISK_FULL = "53100"
# Classes of SQLSTATE (PostgreSQL, appendix A) that say something of the server and the moment: no
# connection, transaction state, rolled back by others, no resources, locks and settings, an
# operator, the system, the server itself. 42501 is a right that was taken away. Any other is a
# mistake of ours.
_PG_PASSING = ("08", "25", "40", "53", "55", "57", "58", "F0", "XX", "42501")

_NOTHING = "Nothing was kept; try again."
_IN_DOUBT = "It is not known whether the change was kept: look before trying again."


class StoreRefused(WheeloverError):
    """A store that this version must not open, with the remedy in one sentence."""


@contextmanager
def translated(*, in_doubt: bool = False) -> Iterator[None]:
    """Turn faults of the database into ours; a breach of a constraint stays what it is, a bug.

    Parameters
    ----------
    in_doubt : bool
        Whether a fault leaves it open if anything was kept: while a server far away commits.

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
        if _is_ours(error):
            raise
        if is_full(error):
            raise NoRoom("The disk is full. Nothing was kept; make room and try again.") from error
        after = _IN_DOUBT if in_doubt else _NOTHING
        raise Unavailable(f"The store cannot be reached. {after}") from error


def sqlstate_of(error: DBAPIError) -> str | None:
    """Return the code that a PostgreSQL server gave its refusal; None where no server spoke."""
    state = getattr(error.orig, "sqlstate", None)
    return state if isinstance(state, str) else None


def is_full(error: DBAPIError) -> bool:
    """Return whether the disk is full."""
    code = getattr(error.orig, "sqlite_errorcode", None)
    if code is not None and code & 0xFF == _FULL:
        return True
    return sqlstate_of(error) == _PG_DISK_FULL or "is full" in str(error.orig)


def _is_ours(error: DBAPIError) -> bool:
    """Return whether a fault is a mistake of ours and nothing that passes."""
    if type(error.orig).__name__ == "IntegrityError":
        return True
    state = sqlstate_of(error)
    return state is not None and not state.startswith(_PG_PASSING)
