"""How an account gets its password: by a code that is shown once, used once, and runs out."""

import hmac
import secrets
from dataclasses import dataclass

from wheelover.core.errors import NotSignedIn
from wheelover.store import Store, Unit
from wheelover.store.accounts import AccountData, AccountRow, Grant
from wheelover.store.sealing import Seal
from wheelover.usecases.accounts import passwords, second_factor, tries
from wheelover.usecases.accounts.signed_in import (
    SignedIn,
    account_name,
    checked,
    digest_of,
    note,
    refused,
)
from wheelover.usecases.accounts.times import after
from wheelover.usecases.accounts.where import Where

CODE_S = 24 * 3600
FIRST = "administrator"
"""The account that is made where there is none."""
_PARTS, _PART_LETTERS = 4, 6
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor:
    """A second factor as its owner takes it over, shown once."""

    secret: str
    uri: str


def new_code(
    unit: Unit, account: AccountRow, now_utc: str, by: str, code: str | None = None
) -> str:
    """Return a new code for an account; its password, second factor, sessions and known browsers
    are gone.

    Twenty-four letters of thirty-two, 120 bits of chance: one SHA-256 of it is enough to keep.
    """
    code = code or _code_of(secrets.token_bytes(_PARTS * _PART_LETTERS))
    unit.accounts.set(
        account.id,
        enrol_sha256=digest_of(code),
        enrol_until_utc=after(now_utc, CODE_S),
        password_hash=None,
        factor_sealed=None,
    )
    unit.sessions.end_all(account.id)
    tries.forget_browsers(unit, account.name)
    note(unit, "account.code_made", account, now_utc, by=by)
    return code


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstCode:
    """The code of the first administrator; None and ``elsewhere`` where another key made it."""

    code: str | None
    elsewhere: bool = False


def first_code(store: Store, seal: Seal, now_utc: str) -> FirstCode:
    """Return the code of the first administrator, none where one has a password already.

    It is made once: for as long as it is good, every start and every process with the same key
    file finds the same one, and the database holds its digest alone.
    """
    with store.writing() as unit:
        account = unit.accounts.named(FIRST)
        if account is None:
            if unit.accounts.count() > 0:
                return FirstCode(code=None)
            grants = (Grant(role="administrator", reach="all"),)
            data = AccountData(person="Administrator", rank="Administrator", grants=grants)
            account = unit.accounts.add(FIRST, data, now_utc)
            note(unit, "account.added", account, now_utc, by="first start")
        if unit.accounts.administrators(ready=True) > 0 or account.disabled:
            return FirstCode(code=None)
        until = account.enrol_until_utc
        if account.enrol_sha256 is None or until is None or until <= now_utc:
            until = after(now_utc, CODE_S)
            code = _derived(seal, account.id, until)
            return FirstCode(code=new_code(unit, account, now_utc, by="first start", code=code))
        code = _derived(seal, account.id, until)
        if digest_of(code) != account.enrol_sha256:
            return FirstCode(code=None, elsewhere=True)
        return FirstCode(code=code)


def _derived(seal: Seal, account_id: str, until_utc: str) -> str:
    """Return the code that the key file gives for an account until a time."""
    digest = seal.digest(f"first code {account_id} {until_utc}".encode())
    return _code_of(bytes.fromhex(digest)[: _PARTS * _PART_LETTERS])


def _code_of(chance: bytes) -> str:
    """Return random bytes as a code, five bits of each as a letter of thirty-two."""
    letters = "".join(_LETTERS[one % len(_LETTERS)] for one in chance)
    parts = (letters[i : i + _PART_LETTERS] for i in range(0, len(letters), _PART_LETTERS))
    return "-".join(parts)


def enrol(
    store: Store, seal: Seal, name: str, code: str, password: str, where: Where
) -> Factor | None:
    """Set the password of an account by its code; return the second factor where it needs one.

    Raises
    ------
    NotSignedIn
        When account or code is not right, or the code has run out.
    InvalidInput
        When the password is not good enough; the code stays good.
    TooManyTries
        When it must wait.
    """
    known = account_name(name)
    with store.writing() as unit:
        tried = tries.begin(unit, known, where)
        account = unit.accounts.named(known)
        words = () if account is None else words_of(unit, account)
    if account is None or not _code_is(account, code, where.now_utc):
        raise refused(tried)
    with store.writing() as unit:
        unit.tries.forget(tried.number)
    passwords.require_good(password, words, "/password")
    kept = passwords.hashed(password)
    with store.writing() as unit:
        if unit.accounts.get(account.id).enrol_sha256 != account.enrol_sha256:
            raise refused(tried)
        secret = second_factor.new_secret() if account.ashore else None
        unit.accounts.set(
            account.id,
            password_hash=kept,
            enrol_sha256=None,
            enrol_until_utc=None,
            factor_sealed=None if secret is None else seal.close(secret),
        )
        tries.was_right(unit, tried, where)
        note(unit, "account.enrolled", account, where.now_utc)
    if secret is None:
        return None
    return Factor(secret=secret, uri=second_factor.address_of(secret, account.name))


def _code_is(account: AccountRow, code: str, now_utc: str) -> bool:
    """Return whether a code is the account's and has not run out."""
    given = digest_of(code.strip().upper())
    right = hmac.compare_digest(given, account.enrol_sha256 or "")
    in_time = account.enrol_until_utc is not None and now_utc < account.enrol_until_utc
    return right and in_time and not account.disabled


def change_password(
    store: Store, signed: SignedIn, password: str, new_password: str, where: Where
) -> None:
    """Set another password of one's own; every other session of the account ends.

    Raises
    ------
    NotSignedIn
        When the present password is not right.
    InvalidInput
        When the new one is not good enough.
    """
    account, tried = checked(store, signed.account.name, password, where)
    with store.reading() as unit:
        words = words_of(unit, account)
    passwords.require_good(new_password, words, "/new_password")
    kept = passwords.hashed(new_password)
    with store.writing() as unit:
        if unit.accounts.get(account.id).password_hash != account.password_hash:
            raise NotSignedIn("The password was changed meanwhile.")
        tries.was_right(unit, tried, where)
        unit.accounts.set(account.id, password_hash=kept)
        unit.sessions.end_all(account.id, but=signed.token_sha256)
        unit.sessions.use(signed.token_sha256, where.now_utc)
        note(unit, "account.password_changed", account, where.now_utc)


def words_of(unit: Unit, account: AccountRow) -> tuple[str, ...]:
    """Return the names that whoever guesses this account's password would try."""
    vessels = [word for one in unit.vessels.all() for word in (one.name, one.fleet)]
    return (account.name, account.person, account.rank, *vessels[:2000])
