"""Signing in and out, and who a request comes from."""

import hashlib
import logging
import secrets
from dataclasses import dataclass

from wheelover.core.errors import NotSignedIn
from wheelover.core.types.people import Person
from wheelover.store import Store, Unit
from wheelover.store.accounts import AccountRow
from wheelover.store.sealing import Seal
from wheelover.usecases.accounts import passwords, second_factor, tries
from wheelover.usecases.accounts.times import after
from wheelover.usecases.accounts.where import Where

_log = logging.getLogger("wheelover.accounts")

IDLE_S = 15 * 60
ABSOLUTE_S = 12 * 3600
FRESH_S = 5 * 60
"""For how long after the outside provider asked who it is nothing is asked again here."""
_ASKED = "asked."
_EPOCH_UTC = "1970-01-01T00:00:00.000Z"
ACCOUNTS_CHAIN = "accounts"
"""The chain of the audit log for what concerns no single vessel."""
WRONG = "Account, password or one-time code is not right."


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedIn:
    """A session with its account. ``locked``: nothing was done for too long, only the view is left.

    ``until_utc`` is when it ends whatever is done, ``decides_until_utc`` until when the account
    decides without a password: it was asked by the outside provider a moment before.
    """

    account: AccountRow
    token_sha256: str
    used_utc: str
    locked: bool
    until_utc: str
    decides_until_utc: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Started:
    """What a browser carries once somebody signed in; neither is kept here, their digests are.

    ``token`` is the session's. ``browser`` outlives it: all it does is that others' wrong passwords
    do not hold up whoever signed in from this browser before.
    """

    token: str
    browser: str


def digest_of(token: str) -> str:
    """Return what is kept of a token: with 256 bits of chance in it, one SHA-256 is enough."""
    return hashlib.sha256(token.encode()).hexdigest()


def account_name(name: str) -> str:
    """Return a sign-in name as it is kept: capitals make no difference."""
    return name.strip().casefold()[:64]


def person_of(account: AccountRow) -> Person:
    """Return the person of an account, as recorded."""
    return Person(name=account.person, rank=account.rank, account_id=account.id, claimed=False)


def sign_in(
    store: Store, seal: Seal, name: str, password: str, code: str | None, where: Where
) -> Started:
    """Start a session and return what the browser carries from now on.

    Raises
    ------
    NotSignedIn
        When account, password or one-time code is not right; it does not say which.
    TooManyTries
        When it must wait.
    """
    account, tried = checked(store, name, password, where)
    with store.writing() as unit:
        right = is_whole(unit, account, tried, seal, code, where)
        started = start_session(unit, account, where) if right else None
    if started is None:
        raise refused(tried)
    return started


def is_whole(
    unit: Unit, account: AccountRow, tried: tries.Try, seal: Seal, code: str | None, where: Where
) -> bool:
    """Return whether nothing is missing after a right password; a one-time code is used by this.

    Accounts that sign in from ashore need one, and nothing may have changed meanwhile.
    """
    present = unit.accounts.get(account.id)
    if present.disabled or present.password_hash != account.password_hash:
        return False
    if needs_code(present) and not second_factor.use_code(unit, present, seal, code, where.now_utc):
        return False
    tries.was_right(unit, tried, where)
    return True


def needs_code(account: AccountRow) -> bool:
    """Return whether an account needs a second factor beside its password."""
    return account.ashore


def start_session(
    unit: Unit, account: AccountRow, where: Where, how: str = "password", at_s: int | None = None
) -> Started:
    """Keep a new session of an account, and know the browser; return what it carries.

    ``at_s`` is when the outside provider asked who it is, seconds since 1970. It stands in the
    token, and as what is kept is a digest of all of it nobody can write another.
    """
    token = f"{'' if at_s is None else f'{_ASKED}{at_s}.'}{secrets.token_urlsafe(32)}"
    unit.sessions.end_started_before(after(where.now_utc, -ABSOLUTE_S))
    unit.sessions.add(digest_of(token), account.id, where.now_utc)
    note(unit, "session.started", account, where.now_utc, how=how)
    return Started(token=token, browser=tries.know_browser(unit, account.name, where))


def checked(store: Store, name: str, password: str, where: Where) -> tuple[AccountRow, tries.Try]:
    """Return the account of a name after its password was found right.

    An unknown name takes as long. The try is counted before the password is looked at; whoever
    finds everything else right too says so with ``tries.was_right``.

    Raises
    ------
    NotSignedIn
        When name or password is not right.
    TooManyTries
        When it must wait.
    """
    known = account_name(name)
    with store.writing() as unit:
        tried = tries.begin(unit, known, where)
        account = unit.accounts.named(known)
    usable = account is not None and not account.disabled
    kept = account.password_hash if account is not None and usable else None
    if not passwords.matches(kept, password) or account is None:
        raise refused(tried)
    return account, tried


def refused(tried: tries.Try) -> NotSignedIn:
    """Return the refusal of a sign-in, and log it without what was typed."""
    _log.warning(
        "sign-in refused: account %s, address %s", tried.account_sha256[:12], tried.address
    )
    return NotSignedIn(WRONG)


def who(store: Store, token: str, now_utc: str) -> SignedIn | None:
    """Return the session of a token, None when there is none or it has ended."""
    with store.reading() as unit:
        row = unit.sessions.find(digest_of(token))
        if row is None:
            return None
        until_utc = after(row.started_utc, ABSOLUTE_S)
        account = unit.accounts.get(row.account_id)
    if now_utc >= until_utc or account.disabled:
        return None
    return SignedIn(
        account=account,
        token_sha256=row.token_sha256,
        used_utc=row.used_utc,
        locked=now_utc >= after(row.used_utc, IDLE_S),
        until_utc=until_utc,
        decides_until_utc=_decides_until(token),
    )


def _decides_until(token: str) -> str | None:
    """Return until when the token of a session stands for a password, None when it never does."""
    if not token.startswith(_ASKED):
        return None
    return after(_EPOCH_UTC, int(token.split(".")[1]) + FRESH_S)


def used(store: Store, signed: SignedIn, now_utc: str) -> None:
    """Note that a session did something, so that it is not locked for a while."""
    with store.writing() as unit:
        unit.sessions.use(signed.token_sha256, now_utc)


def unlock(store: Store, signed: SignedIn, password: str, where: Where) -> Started:
    """Let a locked session change things again; return what the browser goes on with.

    It ends when it would have ended.

    Raises
    ------
    NotSignedIn
        When the password is not right.
    """
    _, tried = checked(store, signed.account.name, password, where)
    token = secrets.token_urlsafe(32)
    with store.writing() as unit:
        tries.was_right(unit, tried, where)
        unit.sessions.go_on(signed.token_sha256, digest_of(token), where.now_utc)
        browser = tries.know_browser(unit, signed.account.name, where)
    return Started(token=token, browser=browser)


def end_before(store: Store, signed: SignedIn | None) -> None:
    """End the session that a browser had when it signed in anew."""
    if signed is not None:
        with store.writing() as unit:
            unit.sessions.end(signed.token_sha256)


def sign_out(store: Store, signed: SignedIn, now_utc: str) -> None:
    """End a session."""
    with store.writing() as unit:
        unit.sessions.end(signed.token_sha256)
        note(unit, "session.ended", signed.account, now_utc)


def note(
    unit: Unit, what: str, account: AccountRow, now_utc: str, by: str | None = None, **more: object
) -> None:
    """Write into the audit log what was done with an account; never a password or a token."""
    entry = {"what": what, "account_id": account.id, "account": account.name, **more}
    unit.audit.add(ACCOUNTS_CHAIN, {**entry, **({} if by is None else {"by": by})}, now_utc)
