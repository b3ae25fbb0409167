"""What is asked for in the query of an address: a member that is not read is refused, not ignored.

``?before=9`` of a list that is read by ``cursor`` would answer its first page for ever.
"""

from fastapi import Request
from fastapi.dependencies.models import Dependant
from fastapi.routing import APIRoute

from wheelover.api.rules import RULES
from wheelover.core.errors import Fault, InvalidInput

_API = "/api/v1/"
_FROM_OUTSIDE = "/api/v1/sign-in/outside/return"
"""Where the provider sends the browser back, with members of its own (RFC 6749, 4.1.2)."""


def known_query(request: Request) -> None:
    """Let a request pass whose query holds nothing but what its place reads.

    Raises
    ------
    InvalidInput
        Naming every member that is not read there, with those that are, or given twice.
    """
    if not request.url.query or not request.url.path.startswith(_API):
        return
    route = request.scope["route"]
    if route.path == _FROM_OUTSIDE:
        return
    known = _read_by(route, request.method)
    given = [name for name, _ in request.query_params.multi_items()]
    faults = tuple(
        Fault(
            pointer=f"/{one[:60]}",
            message=f"this query member is not one that is read here; {_said(known)}"
            if one not in known
            else "this query member is given more than once",
        )
        for one in dict.fromkeys(given)
        if one not in known or given.count(one) > 1
    )
    if faults:
        raise InvalidInput(f"{faults[0].pointer}: {faults[0].message}", faults)


def _read_by(route: APIRoute, method: str) -> frozenset[str]:
    """Return the members that a place reads, with the vessel of what is new there."""
    declared = _declared(route.dependant)
    rule = RULES.get((method, route.path))
    of_vessel = {"vessel_id"} if rule is not None and rule.on in ("new", "log") else set[str]()
    return frozenset(declared | of_vessel)


def _declared(dependant: Dependant) -> set[str]:
    """Return the members that a place and what it depends on declare."""
    own = {one.alias for one in dependant.query_params}
    return own.union(*(_declared(one) for one in dependant.dependencies))


def _said(known: frozenset[str]) -> str:
    """Return what a place reads, in words."""
    return f"it reads {', '.join(sorted(known))}" if known else "it reads none"
