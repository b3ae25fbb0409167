"""Signing in by the shore office's provider. Off until an administrator sets one."""

from collections.abc import Iterator
from html import escape
from typing import Annotated

import httpx
from fastapi import Depends, Query, Request, Response
from starlette.responses import RedirectResponse

from wheelover.api.access import DoorGiven, WhereGiven
from wheelover.api.deps import StoreGiven
from wheelover.api.door import Door
from wheelover.api.guarded import guarded
from wheelover.api.openapi import problem_answers
from wheelover.api.page_places import page_address
from wheelover.api.routers.session import carry
from wheelover.core.errors import Conflict
from wheelover.usecases.accounts import outside
from wheelover.usecases.accounts.outside import PENDING_S, Provider

router = guarded(prefix="/api/v1/sign-in/outside", tags=["session"])

# The session's cookie goes with no request that another site began, and being sent back here is
# one: the browser asks for the page itself, from this one.
_BACK = (
    '<!doctype html><html lang="en"><meta charset="utf-8"><title>Signed in</title>'
    '<meta http-equiv="refresh" content="0; url={to}">'
    '<p>Signed in. <a href="{to}">Go on</a></p></html>'
)


def http_client() -> Iterator[httpx.Client]:
    """Give a client that asks what it is told to and nothing else: no proxy, no redirect."""
    with httpx.Client(trust_env=False, follow_redirects=False) as client:
        yield client


Outward = Annotated[httpx.Client, Depends(http_client)]
Again = Annotated[
    bool, Query(description="The provider asks who it is, whoever it remembers; for a decision")
]

To = Annotated[
    str, Query(description="Where the browser goes on afterwards: an address of the page, a path")
]


def _carried(door: Door) -> str:
    """Return the name of the cookie that a sign-in under way is carried in."""
    return f"{door.cookie}-outside"


def _provider(door: DoorGiven) -> Provider:
    """Return the provider that is set.

    Raises
    ------
    Conflict
        When none is.
    """
    if door.outside is None:
        raise Conflict("No outside sign-in is set here; sign in with a password.")
    return door.outside


Given = Annotated[Provider, Depends(_provider)]


@router.get(
    "",
    status_code=303,
    summary="Sign in by the shore office's provider",
    response_class=Response,
    responses={303: {"description": "To the provider"}, **problem_answers(409, 422, 503)},
)
def start(
    provider: Given, door: DoorGiven, client: Outward, again: Again = False, to: To = "/"
) -> Response:
    """Send the browser to the provider that an administrator has set, and to no other.

    Afterwards it goes on to the address of the page in ``to``, and to none but of this service.
    For five minutes after the provider asked who it is, the account of the session decides without
    a password.
    """
    to = page_address(to)
    address, carried = outside.start(provider, door.seal, client, again=again, to=to)
    response = RedirectResponse(address, status_code=303)
    response.set_cookie(
        _carried(door),
        carried,
        max_age=PENDING_S,
        path="/",
        secure=door.secure,
        httponly=True,
        samesite="lax",
    )
    return response


@router.get(
    "/return",
    summary="Where the provider sends the browser back",
    response_class=Response,
    responses={
        200: {
            "description": "Signed in",
            "content": {"text/html": {"schema": {"type": "string"}}},
        },
        **problem_answers(401, 409, 503, 507),
    },
)
def back(
    request: Request,
    provider: Given,
    store: StoreGiven,
    door: DoorGiven,
    client: Outward,
    where: WhereGiven,
) -> Response:
    """Start a session for the account that is linked to whom the provider says is there."""
    carried = request.cookies.get(_carried(door))
    returned = dict(request.query_params)
    started, to = outside.finish(store, provider, door.seal, client, carried, returned, where)
    response = Response(_BACK.format(to=escape(page_address(to))), media_type="text/html")
    carry(response, door, started)
    response.delete_cookie(
        _carried(door), path="/", secure=door.secure, httponly=True, samesite="lax"
    )
    return response
