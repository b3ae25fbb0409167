"""What an account or a key may do on which vessel, and who decides on a shared computer."""

from collections.abc import Iterable

from wheelover.core.errors import Fault, InvalidInput, NotAllowed
from wheelover.core.types.people import Person
from wheelover.store import Store, Unit
from wheelover.store.accounts import AccountRow, Grant
from wheelover.store.keys import KeyRow
from wheelover.usecases.accounts import tries
from wheelover.usecases.accounts.roles import ROLE_ACTIONS, SCOPE_ACTIONS, roles_for
from wheelover.usecases.accounts.signed_in import checked, person_of
from wheelover.usecases.accounts.where import Where
from wheelover.usecases.people import By

Allowed = dict[str, frozenset[str]]


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
    signed: AccountRow,
    by: By | None,
    rule: tuple[str, bool],
    vessel_id: str,
    where: Where,
) -> Person:
    """Return who decides, after the password was typed again.

    ``rule`` is the action, and whether it needs a password: without one, and with nobody named, it
    is whoever is signed in. On a shared bridge computer it may be another account than the one
    signed in: it is recorded then, with its own role on that vessel.

    Raises
    ------
    InvalidInput
        When no password was given, or a name was typed where accounts say who one is.
    NotSignedIn, TooManyTries
        When the password is not right, or too many were not.
    NotAllowed
        When that account may not do this on that vessel.
    """
    action, needs_password = rule
    if by is None and not needs_password:
        return person_of(signed)
    if by is None or by.account is None:
        with store.reading() as unit:
            _require(unit, signed, action, vessel_id)
    if by is None or by.password is None:
        raise _by("the password of whoever decides is needed", "/by/password")
    if by.name is not None or by.rank is not None:
        raise _by("name and rank are those of the account and are not typed", "/by")
    account, tried = checked(store, by.account or signed.name, by.password, where)
    with store.writing() as unit:
        tries.was_right(unit, tried, where)
    with store.reading() as unit:
        _require(unit, account, action, vessel_id)
    return person_of(account)


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
