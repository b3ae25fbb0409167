"""Routers whose every place asks first who is asking and how often, and what nobody reads.

The places of a router go into the application as they were made. Included the usual way, every
application makes each of them anew at its first request, which is a third of a second at every
start, and looks for each request in two steps.
"""

from collections.abc import Sequence
from enum import Enum

from fastapi import APIRouter, Depends, FastAPI, params
from fastapi.routing import APIRoute

from wheelover.api.access import decide
from wheelover.api.asked import known_query
from wheelover.api.rates import limit

FIRST = (Depends(decide), Depends(limit), Depends(known_query))
"""What every place asks before anything else."""


def guarded(
    *, tags: list[str | Enum], prefix: str = "", dependencies: Sequence[params.Depends] = ()
) -> APIRouter:
    """Return a router whose places are decided on and counted before anything else.

    Parameters
    ----------
    tags : list of str
        What its places are grouped under in the description.
    prefix : str
        What their paths begin with.
    dependencies : sequence of fastapi.params.Depends
        What else they need.
    """
    return APIRouter(prefix=prefix, tags=tags, dependencies=[*FIRST, *dependencies])


def take(app: FastAPI, router: APIRouter) -> None:
    """Let an application answer at the places of a router.

    Raises
    ------
    TypeError
        For a place that asks nobody: it would be open to everybody.
    """
    for route in router.routes:
        calls = (
            [one.call for one in route.dependant.dependencies]
            if isinstance(route, APIRoute)
            else []
        )
        if calls[:3] != [decide, limit, known_query]:
            raise TypeError(f"{route} is not guarded")
    app.router.routes.extend(router.routes)
