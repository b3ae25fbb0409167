"""The one place that decides access: every place of the service with the action it needs.

``RULES`` is the whole list. With accounts, a place that is not in it is refused to everybody, and a
test fails on it. What somebody may not see is answered as what is not there, byte for byte.
"""

from dataclasses import dataclass, replace
from functools import partial
from typing import Annotated, Literal

from fastapi import Depends, Request
from starlette.requests import HTTPConnection

from wheelover.api.deps import Now, StoreGiven
from wheelover.api.door import Door
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
    Action,
    roles_for,
    scopes_for,
)
from wheelover.usecases.accounts.signed_in import (
    ACCOUNTS_CHAIN,
    SignedIn,
    Where,
    person_of,
    used,
    who,
)
from wheelover.usecases.accounts.times import after
from wheelover.usecases.people import LOCAL_ACTOR, SHARED, Actor

Subject = Literal["nothing", "any", "plan", "item", "peer", "new", "log"]

_SAFE_METHODS = ("GET", "HEAD")
_NOTE_EVERY_S = 60
NOTHING_THERE = "There is nothing of that id here."


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """What a place needs: an action, and on what. ``nothing`` concerns no vessel.

    ``any`` is whatever vessel: what comes says itself whose it is, and the place looks at that.
    ``plan``, ``item`` and ``peer`` are named in the path; ``new`` is a vessel that something will
    belong to, named by the query ``vessel_id`` or the only one there is; ``log`` is one whose audit
    log is read. ``password``: whoever does it types a password again, and stands for it by name;
    the role that counts is then that person's.
    """

    action: Action
    on: Subject = "nothing"
    password: bool = False


Rules = dict[tuple[str, str], Rule]


def _all(action: Action, on: Subject, *places: str, password: bool = False) -> Rules:
    """Return the same rule for places written as method and path under /api/v1."""
    rule = Rule(action=action, on=on, password=password)
    split = (place.partition(" ") for place in places)
    return {(method, f"/api/v1{path}"): rule for method, _, path in split}


RULES: Rules = {
    ("GET", "/"): Rule(action="open"),
    ("GET", "/plans/{_plan_id}"): Rule(action="open"),
    ("GET", "/plans/{_plan_id}/r/{_number}"): Rule(action="open"),
    ("GET", "/plans/{_plan_id}/r/{_number}/turns/{_waypoint_id:path}"): Rule(action="open"),
    ("GET", "/favicon.ico"): Rule(action="open"),
    ("GET", "/healthz"): Rule(action="open"),
    ("GET", "/readyz"): Rule(action="open"),
    **_all(
        "open",
        "nothing",
        "GET /session",
        "POST /session",
        "POST /session/enrolment",
        "GET /sign-in/outside",
        "GET /sign-in/outside/return",
    ),
    **_all("self", "nothing", "DELETE /session", "POST /session/unlock", "POST /session/password"),
    **_all(
        "compute",
        "nothing",
        "POST /plan",
        "POST /routes/read",
        "POST /positions/read",
        "POST /positions/offset",
        "POST /turns/about-mark",
        "POST /turns/about-mark-between",
        "POST /turns/card",
        "POST /turns/helm-orders",
        "POST /manoeuvre",
        "POST /ships/fit",
        "POST /ships/fit/read",
        "GET /coastline/{zoom}/{column}/{row}",
        "GET /demonstration",
        # Lists show what is visible and nothing else; to whom nothing is, they are empty.
        "GET /plans",
        "GET /ships",
        "GET /hazard-sets",
        "GET /vessels",
        "GET /peers",
        "GET /peers/self",
    ),
    **_all(
        "manage_accounts",
        "nothing",
        "GET /accounts",
        "POST /accounts",
        "GET /accounts/{account_id}",
        "PUT /accounts/{account_id}",
        "POST /accounts/{account_id}/reset",
        "POST /vessels",
        "PUT /vessels/{vessel_id}",
        "GET /keys",
        "POST /keys",
        "DELETE /keys/{key_id}",
        "PUT /peers/self",
        "POST /peers/self/keys",
        "POST /peers",
        "DELETE /peers/{peer_id}",
        "GET /webhooks",
        "GET /webhooks/{webhook_id}/deliveries",
    ),
    **_all("edit", "new", "POST /plans"),
    **_all(
        "read",
        "plan",
        "GET /plans/{plan_id}",
        "GET /plans/{plan_id}/computed",
        "GET /plans/{plan_id}/differences",
        "GET /plans/{plan_id}/threads",
        "GET /plans/{plan_id}/explanations",
        "GET /plans/{plan_id}/sync",
        "GET /plans/{plan_id}/conflicts",
        "GET /plans/{plan_id}/other-revisions/{sha256}",
        "GET /plans/{plan_id}/pen",
        "GET /plans/{plan_id}/export/{format_name}",
        "GET /plans/{plan_id}/revisions",
        "GET /plans/{plan_id}/revisions/{number}",
        "GET /plans/{plan_id}/revisions/{number}/export/{format_name}",
        "GET /plans/{plan_id}/revisions/{number}/record",
        "GET /plans/{plan_id}/revisions/{number}/recomputed",
    ),
    **_all("read", "log", "GET /audit", "GET /changes"),
    **_all(
        "edit",
        "plan",
        "PUT /plans/{plan_id}",
        "POST /plans/{plan_id}/undo",
        "POST /plans/{plan_id}/redo",
        "POST /plans/{plan_id}/pen",
        "DELETE /plans/{plan_id}/pen",
        "POST /plans/{plan_id}/amendments",
        "POST /plans/{plan_id}/revisions/{number}/log",
    ),
    **_all("sign", "plan", "POST /plans/{plan_id}/revisions/{number}/verified-courses"),
    **_all("sign", "plan", "POST /plans/{plan_id}/revisions/{number}/sign-offs", password=True),
    **_all("check", "plan", "POST /plans/{plan_id}/revisions/{number}/checks", password=True),
    **_all("decide", "plan", "POST /plans/{plan_id}/revisions/{number}/decisions", password=True),
    **_all("decide", "plan", "POST /plans/{plan_id}/conflicts/{conflict_id}", password=True),
    **_all("read", "peer", "GET /peers/{peer_id}"),
    **_all(
        "parcel",
        "peer",
        "POST /peers/{peer_id}/parcels",
        "GET /peers/{peer_id}/parcels/{sequence}",
    ),
    **_all(
        "parcel",
        "any",
        "POST /parcels",
        "POST /parcels/uploads",
        "GET /parcels/uploads/{upload_id}",
        "PUT /parcels/uploads/{upload_id}/chunks/{number}",
        "POST /parcels/uploads/{upload_id}/finish",
    ),
    **_all(
        "discuss",
        "plan",
        "POST /plans/{plan_id}/threads",
        "POST /plans/{plan_id}/threads/{thread_id}/notes",
        "POST /plans/{plan_id}/threads/{thread_id}/resolve",
        "POST /plans/{plan_id}/threads/{thread_id}/reopen",
    ),
    **_all("explain", "plan", "POST /plans/{plan_id}/explanations"),
    **_all("decide", "plan", "POST /plans/{plan_id}/explanations/{explanation_id}/answers"),
    **_all("shore_decide", "plan", "POST /plans/{plan_id}/revisions/{number}/shore-decisions"),
    **_all("offer", "plan", "POST /plans/{plan_id}/revisions"),
    **_all("manage_library", "new", "POST /ships", "POST /hazard-sets"),
    **_all("manage_library", "item", "PUT /ships/{item_id}", "PUT /hazard-sets/{item_id}"),
    **_all(
        "read",
        "item",
        "GET /ships/{item_id}",
        "GET /ships/{item_id}/editions/{number}",
        "GET /hazard-sets/{item_id}",
        "GET /hazard-sets/{item_id}/editions/{number}",
    ),
}
"""Every place of the service and what it needs. A new place goes in here."""


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
    request.state.actor = _actor(request, store, door, asker, rule, now)


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
    if asker.account is None:
        return actor
    where = Where(address=door.address_of(request.scope), now_utc=now)
    confirm = partial(
        permits.confirmed,
        store,
        asker.account,
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
    return Where(address=door.address_of(request.scope), now_utc=now)


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
