"""What the routers are given: the store, the clock, tags and places in a list."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, TypeVar

from fastapi import Depends, Query, Request

from wheelover.api.problems import DoorError
from wheelover.core.errors import Fault, InvalidInput
from wheelover.store import Store
from wheelover.usecases.people import LOCAL_ACTOR, Actor

_Item = TypeVar("_Item")
_TAG = re.compile(r'(?:W/)?"[^"]*"')


@dataclass(frozen=True, slots=True, kw_only=True)
class Folders:
    """Where the page and the sample routes lie."""

    web: Path
    samples: Path


def now_of(request: Request) -> str:
    """Return the time of a request, by the clock the application was made with."""
    return str(request.app.state.clock())


def store_of(request: Request) -> Store:
    """Return the store the application was made with."""
    store = request.app.state.store
    if not isinstance(store, Store):
        raise TypeError("the application was made without its store")
    return store


def actor_of(request: Request) -> Actor:
    """Return who sends a request, as ``access`` has found; without accounts, whoever sits here."""
    actor = getattr(request.state, "actor", LOCAL_ACTOR)
    if not isinstance(actor, Actor):
        raise TypeError("the actor of a request is not one")
    return actor


def tags_if_given(request: Request) -> tuple[str, ...] | None:
    """Return the tags of If-Match, None without one.

    Raises
    ------
    DoorError
        With 422 for a header that holds none: a condition that nobody can read is no condition.
        So is ``*``, which says of nothing that it was read.
    """
    header = request.headers.get("if-match")
    if header is None:
        return None
    tags = tuple(_TAG.findall(header))
    if not tags:
        raise DoorError(
            422, "invalid-if-match", "If-Match needs the ETag last read, in quotes: * does not "
            "say that anything was read, and only what was read is changed or decided."
        )  # fmt: skip
    return tags


def readable_tags(request: Request) -> None:
    """Refuse a change under an If-Match that says of nothing that it was read, needed or not."""
    if request.method not in ("GET", "HEAD"):
        tags_if_given(request)


def tags_needed(request: Request) -> tuple[str, ...]:
    """Return the tags of If-Match.

    Raises
    ------
    DoorError
        With 428 without one: a change must say what it is a change of.
    """
    tags = tags_if_given(request)
    if tags is None:
        raise DoorError(
            428, "if-match-missing", "Send If-Match with the ETag last read, so that nobody's "
            "change is lost."
        )  # fmt: skip
    return tags


@dataclass(frozen=True, slots=True, kw_only=True)
class Paging:
    """Which part of a list is asked for. ``before`` is where the last page ended."""

    limit: int
    before: int | None


def paging(
    limit: Annotated[int, Query(ge=1, le=500, description="Most items in the answer")] = 50,
    cursor: Annotated[str | None, Query(description="next_cursor of the page before")] = None,
) -> Paging:
    """Return which part of a list is asked for.

    Raises
    ------
    InvalidInput
        For a cursor that is not one of ours.
    """
    if not cursor:
        return Paging(limit=limit, before=None)
    if not re.fullmatch(r"[0-9]{1,15}", cursor, re.ASCII):
        raise _no_cursor()
    return Paging(limit=limit, before=int(cursor))


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Which part of a list is asked for that is answered whole unless a limit is given."""

    limit: int | None
    after: str | None

    def of(
        self, items: Sequence[_Item], id_of: Callable[[_Item], str]
    ) -> tuple[Sequence[_Item], str | None]:
        """Return the part of a list that was asked for, and the cursor of the next one.

        Raises
        ------
        InvalidInput
            For a cursor that names nothing in the list.
        """
        start = 0
        if self.after is not None:
            places = [i for i, one in enumerate(items, 1) if id_of(one) == self.after]
            if not places:
                raise _no_cursor()
            start = places[0]
        end = len(items) if self.limit is None else start + self.limit
        return items[start:end], id_of(items[end - 1]) if end < len(items) else None


def part(
    limit: Annotated[
        int | None, Query(ge=1, le=500, description="Most items in the answer; without it, all")
    ] = None,
    cursor: Annotated[
        str | None, Query(max_length=200, description="next_cursor of the page before")
    ] = None,
) -> Part:
    """Return which part of a list is asked for."""
    return Part(limit=limit, after=cursor or None)


def _no_cursor() -> InvalidInput:
    """Return the refusal of what is no cursor of ours."""
    message = "cursor must be the next_cursor of the page before"
    return InvalidInput(message, (Fault(pointer="/cursor", message=message),))


StoreGiven = Annotated[Store, Depends(store_of)]
Who = Annotated[Actor, Depends(actor_of)]
Now = Annotated[str, Depends(now_of)]
TagsIfGiven = Annotated[tuple[str, ...] | None, Depends(tags_if_given)]
ONLY_WHAT_WAS_READ = [Depends(readable_tags)]
"""For routers whose places decide on something frozen, which is named by its number."""
TagsNeeded = Annotated[tuple[str, ...], Depends(tags_needed)]
Page = Annotated[Paging, Depends(paging)]
PartGiven = Annotated[Part, Depends(part)]
