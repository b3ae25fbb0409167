"""One's own sessions: which browsers are signed in, and ending one of them or all the others."""

import hashlib
from dataclasses import dataclass

from wheelover.core.errors import Conflict, Locked, NotFound
from wheelover.store import Store
from wheelover.store.sessions import SessionRow
from wheelover.usecases.accounts import tries
from wheelover.usecases.accounts.signed_in import (
    ABSOLUTE_S,
    IDLE_S,
    SignedIn,
    checked,
    note,
)
from wheelover.usecases.accounts.times import after
from wheelover.usecases.accounts.where import Where

OTHERS = "others"


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnSession:
    """A browser that one is signed in with. ``id`` opens nothing: it only names it in the list.

    ``used_utc`` is when something was last done there, ``locked`` that this is too long ago for
    changes; ``this`` is the one that asks.
    """

    id: str
    started_utc: str
    used_utc: str
    until_utc: str
    locked: bool
    this: bool


def own_sessions(store: Store, signed: SignedIn, now_utc: str) -> tuple[OwnSession, ...]:
    """Return the sessions of an account that have not ended, the newest first."""
    with store.reading() as unit:
        rows = unit.sessions.of_account(signed.account.id, after(now_utc, -ABSOLUTE_S))
    return tuple(
        OwnSession(
            id=_name(row),
            started_utc=row.started_utc,
            used_utc=row.used_utc,
            until_utc=after(row.started_utc, ABSOLUTE_S),
            locked=now_utc >= after(row.used_utc, IDLE_S),
            this=row.token_sha256 == signed.token_sha256,
        )
        for row in rows
    )


def end_sessions(
    store: Store, signed: SignedIn, session_id: str, password: str | None, where: Where
) -> int:
    """End one session of one's own, or as ``others`` all but this; return how many ended.

    The password is typed for it, so that whoever finds a browser open turns nobody out; for five
    minutes after the outside provider asked who it is none is needed.

    Raises
    ------
    Locked
        In a session in which nothing was done for too long.
    NotSignedIn, TooManyTries
        When the password is not right, or too many were not.
    NotFound
        For an id that is none of one's own sessions.
    Conflict
        For the session that asks: that is signing out.
    """
    if signed.locked:
        raise Locked("Nothing was done here for 15 minutes. Type your password again.")
    tried = None
    if where.now_utc >= (signed.decides_until_utc or ""):
        tried = checked(store, signed.account.name, password or "", where)[1]
    with store.writing() as unit:
        if tried is not None:
            tries.was_right(unit, tried, where)
        rows = unit.sessions.of_account(signed.account.id, after(where.now_utc, -ABSOLUTE_S))
        ending = [one for one in rows if _is_meant(one, signed, session_id)]
        if session_id != OTHERS and not ending:
            raise NotFound("That is no session of yours, or it has ended.")
        for one in ending:
            unit.sessions.end(one.token_sha256)
            note(unit, "session.ended", signed.account, where.now_utc, by="another session")
    return len(ending)


def _is_meant(row: SessionRow, signed: SignedIn, session_id: str) -> bool:
    """Return whether a session is to end."""
    this = row.token_sha256 == signed.token_sha256
    if session_id == OTHERS:
        return not this
    if _name(row) != session_id:
        return False
    if this:
        raise Conflict("That is the session you are in: sign out to end it.")
    return True


def _name(row: SessionRow) -> str:
    """Return what names a session: made of what is kept of its token, and good for nothing else."""
    named = hashlib.sha256(f"wheelover session {row.token_sha256}".encode()).hexdigest()
    return f"session-{named[:20]}"
