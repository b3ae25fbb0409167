"""What administrators do: accounts with their grants, and vessels with their fleets."""

from typing import get_args

from wheelover.core.errors import Conflict, Fault, InvalidInput, NotFound, Stale
from wheelover.store import Store, Unit
from wheelover.store.accounts import AccountData, AccountRow, Grant
from wheelover.store.vessels import VesselRow
from wheelover.usecases.accounts.enrolment import new_code
from wheelover.usecases.accounts.roles import Role
from wheelover.usecases.accounts.signed_in import ACCOUNTS_CHAIN, account_name, note

LAST = "This is the last account that can manage accounts; make another one first."


def add_account(
    store: Store, name: str, data: AccountData, by: str, now_utc: str
) -> tuple[AccountRow, str]:
    """Keep a new account; return it and the code by which its owner sets a password.

    Raises
    ------
    InvalidInput
        For a name that cannot be one, or a grant that cannot be given.
    Conflict
        When the name is taken.
    """
    known = account_name(name)
    if len(known) < 3 or not all(one.isalnum() or one in "._-@" for one in known):
        message = "a sign-in name has 3 to 64 letters, digits, points, dashes or @"
        raise InvalidInput(message, (Fault(pointer="/account", message=message),))
    with store.writing() as unit:
        _require_grants(unit, data.grants)
        account = unit.accounts.add(known, data, now_utc)
        note(unit, "account.added", account, now_utc, by=by, grants=_words(data.grants))
        return account, new_code(unit, account, now_utc, by)


def change_account(
    store: Store,
    account_id: str,
    data: AccountData,
    tags: tuple[str, ...],
    by: str,
    now_utc: str,
) -> AccountRow:
    """Change an account; disabling it, or other grants, ends its sessions.

    Raises
    ------
    Stale
        When it was changed since it was read.
    Conflict
        When nobody could manage accounts any more.
    """
    with store.writing() as unit:
        before = unit.accounts.get(account_id)
        if account_tag(before) not in tags:
            message = "The account was changed since it was read. Read it again."
            raise Stale(message, etag=account_tag(before))
        _require_grants(unit, data.grants)
        after = unit.accounts.change(before, data)
        if unit.accounts.administrators() == 0:
            raise Conflict(LAST)
        if after.disabled or after.grants != before.grants or after.ashore != before.ashore:
            unit.sessions.end_all(account_id)
        more = {"disabled": after.disabled, "grants": _words(after.grants)}
        note(unit, "account.changed", after, now_utc, by=by, **more)
        return after


def reset_account(store: Store, account_id: str, by: str, now_utc: str) -> tuple[AccountRow, str]:
    """Take password and second factor from an account; return it and a code for new ones."""
    with store.writing() as unit:
        account = unit.accounts.get(account_id)
        return account, new_code(unit, account, now_utc, by)


def account_of(store: Store, account_id: str) -> AccountRow:
    """Return an account.

    Raises
    ------
    NotFound
        For an id that stands for none.
    """
    with store.reading() as unit:
        return unit.accounts.get(account_id)


def account_tag(account: AccountRow) -> str:
    """Return the entity tag of an account."""
    return f'"{account.id}-{account.edit}"'


def add_vessel(store: Store, name: str, fleet: str, by: str, now_utc: str) -> VesselRow:
    """Keep a vessel and return her."""
    with store.writing() as unit:
        row = unit.vessels.add(name, fleet, now_utc)
        entry = {"what": "vessel.added", "vessel": row.id, "name": name, "fleet": fleet, "by": by}
        unit.audit.add(ACCOUNTS_CHAIN, entry, now_utc)
        return row


def change_vessel(
    store: Store, vessel_id: str, name: str, fleet: str, by: str, now_utc: str
) -> VesselRow:
    """Give a vessel another name or fleet; who may see her changes with the fleet."""
    with store.writing() as unit:
        row = unit.vessels.change(vessel_id, name, fleet)
        entry = {"what": "vessel.changed", "vessel": row.id, "name": name, "fleet": fleet, "by": by}
        unit.audit.add(ACCOUNTS_CHAIN, entry, now_utc)
        return row


def require_reach(unit: Unit, reach: str, of: str, pointer: str) -> None:
    """Refuse a vessel or a fleet that is not there.

    Raises
    ------
    InvalidInput
        Naming the member.
    """
    if reach == "fleet":
        known = bool(of) and bool(unit.vessels.in_fleets([of]))
    else:
        known = _is_vessel(unit, of)
    if not known:
        message = f"there is no {reach} {of[:80]!r}"
        raise InvalidInput(message, (Fault(pointer=f"{pointer}/of", message=message),))


def _is_vessel(unit: Unit, vessel_id: str) -> bool:
    """Return whether there is a vessel of that id."""
    try:
        unit.vessels.get(vessel_id)
    except NotFound:
        return False
    return True


def _require_grants(unit: Unit, grants: tuple[Grant, ...]) -> None:
    """Refuse grants that cannot be given: whoever manages accounts does nothing else."""
    for index, one in enumerate(grants):
        pointer = f"/grants/{index}"
        if one.role not in get_args(Role):
            _refuse(f"{pointer}/role", f"roles are {', '.join(get_args(Role))}")
        if (one.role == "administrator") != (one.reach == "all"):
            _refuse(f"{pointer}/reach", "administrators, and nobody else, are for all vessels")
        if one.reach == "all":
            if one.of:
                _refuse(f"{pointer}/of", "a role for all vessels names none")
        else:
            require_reach(unit, one.reach, one.of, pointer)
    if len({one.role == "administrator" for one in grants}) > 1:
        _refuse("/grants", "an administrator has no other role: make two accounts")


def _refuse(pointer: str, message: str) -> None:
    """Raise the refusal of a member."""
    raise InvalidInput(message, (Fault(pointer=pointer, message=message),))


def _words(grants: tuple[Grant, ...]) -> list[str]:
    """Return grants as the audit log says them."""
    return [" ".join(part for part in (one.role, one.reach, one.of) if part) for one in grants]
