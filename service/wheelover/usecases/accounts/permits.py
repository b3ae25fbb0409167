"""What an account or a key may do on which vessel, and who decides on a shared computer."""

from collections.abc import Iterable

from wheelover.core.errors import Fault, InvalidInput, NotAllowed, NotSignedIn
from wheelover.core.types.people import Person
from wheelover.store import Store, Unit
from wheelover.store.accounts import AccountRow, Grant
from wheelover.store.keys import KeyRow
from wheelover.store.sealing import Seal
from wheelover.usecases.accounts.roles import ROLE_ACTIONS, SCOPE_ACTIONS, roles_for
from wheelover.usecases.accounts.signed_in import (
    SignedIn,
    account_name,
    checked,
    is_whole,
    needs_code,
    person_of,
    refused,
)
from wheelover.usecases.accounts.where import Where
from wheelover.usecases.people import By

Allowed = dict[str, frozenset[str]]
_CODE = "/by/code"


def of_account(unit: Unit, account: AccountRow) -> Allowed:
    """Return the actions an account may do, by vessel."""
    given = [(one, ROLE_ACTIONS[one.role]) for one in account.grants if one.reach != "all"]
    return _spread(unit, given)


def of_key(unit: Unit, key: KeyRow) -> Allowed:
    """Return the actions a key may do, by vessel."""
    actions = frozenset().union(*(SCOPE_ACTIONS[one] for one in key.scopes.split()))
    return _spread(unit, [(Grant(role="key", reach=key.reach, of=key.of), actions)])


def manages_accounts(account: AccountRow) -> bool:
    """Return whether an account may manage accounts, vessels and keys."""
    return any("manage_accounts" in ROLE_ACTIONS[one.role] for one in account.grants)


def _spread(unit: Unit, given: Iterable[tuple[Grant, frozenset[str]]]) -> Allowed:
    """Return actions by vessel, those of a fleet on each of her vessels."""
    found: Allowed = {}
    given = list(given)
    fleets = [one.of for one, _ in given if one.reach == "fleet"]
    members = unit.vessels.in_fleets(fleets) if fleets else {}
    for one, actions in given:
        if one.reach == "vessel":
            places = [one.of]
        else:
            places = [vessel for vessel, fleet in members.items() if fleet == one.of]
        for place in places:
            found[place] = found.get(place, frozenset()) | actions
    return found


def confirmed(
    store: Store,
    seal: Seal,
    signed: SignedIn,
    by: By | None,
    rule: tuple[str, bool],
    vessel_id: str,
    where: Where,
) -> Person:
    """Return who decides, after the password was typed again.

    ``rule`` is the action, and whether it needs a password: without one, and with nobody named, it
    is whoever is signed in. So it is for whom the outside provider asked who it is a moment before.
    On a shared bridge computer it may be another account than the one signed in: it is recorded
    then, with its own role on that vessel. An account that signs in from ashore gives a one-time
    code here too.

    Raises
    ------
    InvalidInput
        When no password or code was given, or a name was typed where accounts say who one is.
    NotSignedIn, TooManyTries
        When password or code is not right, or too many were not.
    NotAllowed
        When that account may not do this on that vessel.
    """
    (action, needs_password), own = rule, signed.account
    if by is None and not needs_password:
        return person_of(own)
    if by is None or by.account is None:
        with store.reading() as unit:
            _require(unit, own, action, vessel_id)
    if by is None and where.now_utc < (signed.decides_until_utc or ""):
        return person_of(own)
    if by is None or by.password is None:
        raise _by("the password of whoever decides is needed", "/by/password")
    if by.name is not None or by.rank is not None:
        raise _by("name and rank are those of the account and are not typed", "/by")
    account = _proved(store, seal, own, by, by.password, where)
    with store.reading() as unit:
        _require(unit, account, action, vessel_id)
    return person_of(account)


def _proved(
    store: Store, seal: Seal, own: AccountRow, by: By, password: str, where: Where
) -> AccountRow:
    """Return the account of a ``by`` whose password, and code where it needs one, are right.

    Of another account than one's own, nothing but a right answer says whether it needs a code.
    """
    name = account_name(by.account or own.name)
    if name == own.name and needs_code(own) and not by.code:
        raise _by("a one-time code is needed beside the password: you sign in from ashore", _CODE)
    try:
        account, tried = checked(store, name, password, where)
    except NotSignedIn as error:
        raise _not_right(by, own, name, str(error)) from error
    with store.writing() as unit:
        whole = is_whole(unit, account, tried, seal, by.code, where)
    if not whole:
        raise _not_right(by, own, name, str(refused(tried)))
    return account


def _not_right(by: By, own: AccountRow, name: str, words: str) -> NotSignedIn:
    """Return the refusal of what was typed; it says what may be missing, never what is."""
    if by.code:
        message = "password or code is not right; each code is good once, wait for the next one"
    elif name == own.name:
        return NotSignedIn(words)
    else:
        message = "not right; and an account that signs in from ashore needs its one-time code here"
    return NotSignedIn(words, (Fault(pointer=_CODE, message=message),))


def _require(unit: Unit, account: AccountRow, action: str, vessel_id: str) -> None:
    """Refuse an account that may not do something on a vessel, with the role that may."""
    if action not in of_account(unit, account).get(vessel_id, frozenset()):
        raise NotAllowed(
            f"This needs the role {' or '.join(roles_for(action))} on this vessel, which "
            f"{account.person} has not."
        )


def _by(message: str, pointer: str) -> InvalidInput:
    """Return the refusal of a ``by``."""
    return InvalidInput(message, (Fault(pointer=pointer, message=message),))
