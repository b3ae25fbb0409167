"""The one place that decides access, by the list in ``rules``.

With accounts, a place that is not in the list is refused to everybody. What somebody may not see is
answered as what is not there, byte for byte.
"""

import logging
from dataclasses import dataclass, replace
from functools import partial
from typing import Annotated

from fastapi import Depends, Request
from starlette.requests import HTTPConnection

from wheelover.api.deps import Now, StoreGiven
from wheelover.api.door import Door
from wheelover.api.rules import RULES, Rule
from wheelover.core.errors import Fault, InvalidInput, Locked, NotAllowed, NotFound, NotSignedIn
from wheelover.core.types.people import Person
from wheelover.store import Store
from wheelover.store.accounts import AccountRow
from wheelover.store.plans import OWN_VESSEL
from wheelover.usecases.accounts import permits
from wheelover.usecases.accounts.keys import key_of
from wheelover.usecases.accounts.roles import (
    EVERYBODY,
    SHARED_LIBRARY_ROLES,
    roles_for,
    scopes_for,
)
from wheelover.usecases.accounts.signed_in import (
    ACCOUNTS_CHAIN,
    SignedIn,
    person_of,
    used,
    who,
)
from wheelover.usecases.accounts.times import after
from wheelover.usecases.accounts.where import Where
from wheelover.usecases.people import LOCAL_ACTOR, SHARED, Actor

_log = logging.getLogger("wheelover.access")

_SAFE_METHODS = ("GET", "HEAD")
_NOTE_EVERY_S = 60
NOTHING_THERE = "There is nothing of that id here."


def door_of(request: Request) -> Door:
    """Return how the application is reached."""
    door = request.app.state.door
    if not isinstance(door, Door):
        raise TypeError("the application was made without its door")
    return door


@dataclass(frozen=True, slots=True, kw_only=True)
class Asker:
    """Who sends a request, before it is known what it is about.

    ``account`` is None for a key, ``signed`` is the session of a browser.
    """

    person: Person
    allowed: permits.Allowed
    common: frozenset[str]
    account: AccountRow | None = None
    signed: SignedIn | None = None


def decide(request: Request, store: StoreGiven, now: Now) -> None:
    """Let a request pass, with the actor it comes from, or refuse it.

    Raises
    ------
    NotSignedIn, Locked
        When nobody is signed in, or a change comes from a session left alone too long.
    NotFound
        For what is not there, and for what may not be seen.
    NotAllowed
        For what may be seen and not done; it names the role that may.
    """
    door = door_of(request)
    request.state.actor = LOCAL_ACTOR
    request.state.signed = None
    if not door.accounts:
        return
    rule = RULES.get((request.method, request.scope["route"].path))
    asker = asker_of(request, store, door, now)
    if rule is not None and rule.action == "open":
        request.state.signed = None if asker is None else asker.signed
        return
    if asker is None:
        raise NotSignedIn("Sign in first.")
    request.state.signed = asker.signed
    if rule is None:
        raise NotAllowed("Nothing says who may use this place.")
    if request.method not in _SAFE_METHODS:
        _keep_awake(store, asker, rule, now)
    try:
        request.state.actor = _actor(request, store, door, asker, rule, now)
    except (NotAllowed, NotFound):
        place = request.scope["route"].path
        _log.warning("refused: %s %s %s", asker.person.account_id, request.method, place)
        raise


def asker_of(request: HTTPConnection, store: Store, door: Door, now: str) -> Asker | None:
    """Return who sends a request, by its key or its cookie, None when nobody known."""
    header = request.headers.get("authorization")
    if header is not None:
        scheme, _, text = header.partition(" ")
        return _by_key(store, text.strip(), now) if scheme.lower() == "bearer" else None
    token = request.cookies.get(door.cookie)
    signed = who(store, token, now) if token else None
    if signed is None:
        return None
    account = signed.account
    with store.reading() as unit:
        allowed = permits.of_account(unit, account)
    manages = permits.manages_accounts(account)
    return Asker(
        person=person_of(account),
        allowed=allowed,
        common=EVERYBODY | {"self"} | ({"manage_accounts"} if manages else frozenset()),
        account=account,
        signed=signed,
    )


def _by_key(store: Store, text: str, now: str) -> Asker | None:
    """Return the other system that a key belongs to."""
    key = key_of(store, text, now)
    if key is None:
        return None
    with store.reading() as unit:
        allowed = permits.of_key(unit, key)
    person = Person(name=key.name, rank="other system", account_id=f"key-{key.id}", claimed=False)
    return Asker(person=person, allowed=allowed, common=EVERYBODY)


def _keep_awake(store: Store, asker: Asker, rule: Rule, now: str) -> None:
    """Refuse a change of a locked session; note that another one did something."""
    signed = asker.signed
    if signed is None or rule.action == "self":
        return
    if signed.locked:
        if rule.action not in EVERYBODY:
            raise Locked("Nothing was done here for 15 minutes. Type your password again.")
        return
    if signed.used_utc < after(now, -_NOTE_EVERY_S):
        used(store, signed, now)


def _actor(request: Request, store: Store, door: Door, asker: Asker, rule: Rule, now: str) -> Actor:
    """Return the actor of a request that may do what it asks for."""
    manages = "manage_accounts" in asker.common
    actor = Actor(
        person=asker.person, allowed=asker.allowed, vessel_id="", manages_accounts=manages
    )
    if rule.on == "nothing":
        if rule.action not in asker.common:
            raise _not_allowed(asker, rule.action)
        return actor
    if rule.on == "any":
        if not any(actor.may(rule.action, one) for one in asker.allowed):
            raise _not_allowed(asker, rule.action)
        return actor
    vessel_id = _vessel_of(request, store, actor, asker, rule)
    if vessel_id == SHARED:
        _require_shared(asker, rule)
        return replace(actor, vessel_id=SHARED)
    if vessel_id == ACCOUNTS_CHAIN and manages:
        return replace(actor, vessel_id=vessel_id)
    if vessel_id not in (actor.vessels or ()):
        raise NotFound(NOTHING_THERE)
    if not actor.may(rule.action, vessel_id) and not _another_may(asker, rule):
        raise _not_allowed(asker, rule.action)
    actor = replace(actor, vessel_id=vessel_id)
    if asker.signed is None:
        return actor
    where = where_of(request, door, now)
    confirm = partial(
        permits.confirmed,
        store,
        door.seal,
        asker.signed,
        rule=(rule.action, rule.password),
        vessel_id=vessel_id,
        where=where,
    )
    return replace(actor, confirm=confirm)


def _another_may(asker: Asker, rule: Rule) -> bool:
    """Return whether it is not the session that counts, but who types a password (``confirmed``).

    The bridge's computer is shared: the master decides at it whoever is signed in there.
    """
    return rule.password and asker.account is not None


def _vessel_of(request: Request, store: Store, actor: Actor, asker: Asker, rule: Rule) -> str:
    """Return the vessel that a request is about, ``all`` for what is for all vessels.

    Raises
    ------
    NotFound
        For an id that stands for nothing.
    """
    if rule.on == "new":
        return _new_vessel(request, actor, asker, rule)
    if rule.on == "log":
        return request.query_params.get("vessel_id", OWN_VESSEL)
    try:
        with store.reading() as unit:
            if rule.on == "peer":
                return unit.peers.get(request.path_params["peer_id"]).vessel_id
            if rule.on == "plan":
                return unit.plans.get(request.path_params["plan_id"]).vessel_id
            if rule.on == "chart":
                return unit.charts.vessel_of(request.path_params["chart_id"]) or SHARED
            return unit.library.vessel_of(request.path_params["item_id"]) or SHARED
    except NotFound as error:
        raise NotFound(NOTHING_THERE) from error


def _new_vessel(request: Request, actor: Actor, asker: Asker, rule: Rule) -> str:
    """Return the vessel that something new will belong to."""
    named = request.query_params.get("vessel_id")
    if named is not None:
        return named
    places = [one for one in sorted(asker.allowed) if actor.may(rule.action, one)]
    if not places:
        raise _not_allowed(asker, rule.action)
    if len(places) > 1:
        message = "say by the query vessel_id which vessel it is for"
        raise InvalidInput(message, (Fault(pointer="/vessel_id", message=message),))
    return places[0]


def _require_shared(asker: Asker, rule: Rule) -> None:
    """Let everybody who sees any vessel read what is for all of them, and shore change it."""
    if not asker.allowed:
        raise NotFound(NOTHING_THERE)
    if rule.action == "read":
        return
    roles = set() if asker.account is None else {one.role for one in asker.account.grants}
    if not roles & SHARED_LIBRARY_ROLES:
        names = " or ".join(sorted(SHARED_LIBRARY_ROLES))
        raise NotAllowed(f"What is for all vessels is changed with the role {names}.")


def _not_allowed(asker: Asker, action: str) -> NotAllowed:
    """Return the refusal that names what would be needed."""
    if asker.account is None:
        scopes = scopes_for(action)
        if not scopes:
            return NotAllowed("No key may do this: a person signs in for it.")
        return NotAllowed(f"This needs a key with the scope {' or '.join(scopes)}.")
    return NotAllowed(f"This needs the role {' or '.join(roles_for(action))}.")


DoorGiven = Annotated[Door, Depends(door_of)]


def where_of(request: Request, door: DoorGiven, now: Now) -> Where:
    """Return where a request comes from, and when."""
    signed = request.state.signed
    return Where(
        address=door.address_of(request.scope),
        now_utc=now,
        session_account="" if signed is None else signed.account.name,
        session_sha256="" if signed is None else signed.token_sha256,
        browser=request.cookies.get(door.browser_cookie, ""),
    )


def session_of(request: Request) -> SignedIn:
    """Return the session of a request.

    Raises
    ------
    NotSignedIn
        When there is none, as with a key.
    """
    signed = getattr(request.state, "signed", None)
    if not isinstance(signed, SignedIn):
        raise NotSignedIn("Sign in first.")
    return signed


WhereGiven = Annotated[Where, Depends(where_of)]
Session = Annotated[SignedIn, Depends(session_of)]
