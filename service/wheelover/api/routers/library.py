"""Stored ships, hazard sets and limit sets: the same places for all."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path, Request, Response
from pydantic import BaseModel

from wheelover.api.body import raw_json, read_model
from wheelover.api.deps import Now, Page, StoreGiven, TagsNeeded, Who
from wheelover.api.guarded import guarded
from wheelover.api.openapi import NOT_CHANGED, json_body, problem_answers
from wheelover.api.replies import reply, unchanged
from wheelover.api.schemas.hazards import HazardSetIn, HazardsIn, NamedHazards, chart_of
from wheelover.api.schemas.limit_set import LimitSetIn
from wheelover.api.schemas.ship import ShipIn
from wheelover.api.schemas.stored import (
    HazardSetList,
    HazardSetRecord,
    LimitSetList,
    LimitSetRecord,
    ShipList,
    ShipRecord,
)
from wheelover.core.errors import Fault, InvalidChart, InvalidShip
from wheelover.formats.strict_json import read_json
from wheelover.usecases import library
from wheelover.usecases.library import Contents, Edition, Kind

Document = dict[str, Any]
Raw = Annotated[bytes, Depends(raw_json)]
Number = Annotated[int, Path(ge=1, le=2**31)]


def _ship(raw: bytes) -> Contents:
    """Return the ship of a body."""
    ship, value = read_model(raw, ShipIn)
    try:
        ship.to_core()
    except InvalidShip as error:
        raise InvalidShip(str(error), _without(error.faults, "/ship")) from error
    return library.ship_contents(value)


def _hazard_set(raw: bytes) -> Contents:
    """Return the hazard set of a body: named, or a bare FeatureCollection."""
    value = read_json(raw)
    bare = isinstance(value, dict) and "type" in value and "hazards" not in value
    if bare:
        hazards, _ = read_model(raw, HazardsIn)
        name, source, given = hazards.name or "Hazard set", None, value
    else:
        named, _ = read_model(raw, HazardSetIn)
        hazards, name, source, given = named.hazards, named.name, named.source, value["hazards"]
    try:
        chart_of([NamedHazards(source=name, hazards=hazards)])
    except InvalidChart as error:
        faults = _without(error.faults, "/hazards") if bare else error.faults
        raise InvalidChart(str(error), faults) from error
    return library.hazard_set_contents(name, given, source)


def _limit_set(raw: bytes) -> Contents:
    """Return the limit set of a body."""
    limit_set, value = read_model(raw, LimitSetIn)
    return library.limit_set_contents(value, limit_set.rule_count)


def _without(faults: tuple[Fault, ...], prefix: str) -> tuple[Fault, ...]:
    """Return faults with pointers into a body that stands at ``prefix`` in a plan."""
    return tuple(fault.within(prefix) for fault in faults)


def _ship_record(edition: Edition, contents: Document) -> Document:
    """Return a ship as it is answered."""
    return {**_line(edition), "newest_edition": edition.newest, "ship": contents}


def _set_record(edition: Edition, contents: Document) -> Document:
    """Return a hazard set as it is answered."""
    return {**_set_line(edition), "newest_edition": edition.newest, "hazards": contents}


def _limits_record(edition: Edition, contents: Document) -> Document:
    """Return a limit set as it is answered."""
    return {**_set_line(edition), "newest_edition": edition.newest, "limit_set": contents}


def _line(edition: Edition) -> Document:
    """Return what a list says of a ship."""
    return {
        "id": edition.id,
        "edition": edition.edition,
        "name": edition.name,
        "created_utc": edition.created_utc,
        "sha256": edition.sha256,
    }


def _set_line(edition: Edition) -> Document:
    """Return what a list says of a hazard set or a limit set."""
    return {**_line(edition), "source": edition.source, "item_count": edition.item_count}


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """One kind of stored thing: where it is found and how it goes in and out."""

    place: str
    kind: Kind
    what: str
    contents_of: Callable[[bytes], Contents]
    record: Callable[[Edition, Document], Document]
    line: Callable[[Edition], Document]
    body_model: type[BaseModel]
    record_model: type[BaseModel]
    list_model: type[BaseModel]

    def answer(self, edition: Edition, contents: Document, status: int = 200) -> Response:
        """Return an edition with its tag, and its place when it is new."""
        location = f"/api/v1/{self.place}/{edition.id}" if status == 201 else None
        return reply(self.record(edition, contents), library.edition_tag(edition), status, location)

    def answers(self, status: int, *problems: int) -> dict[int | str, Document]:
        """Return the description of what a place of this shelf answers."""
        return {status: {"model": self.record_model}, **problem_answers(*problems)}


def _router(shelf: Shelf) -> APIRouter:
    """Return the places of one kind of stored thing."""
    router = guarded(prefix=f"/api/v1/{shelf.place}", tags=[shelf.place])
    _writing(router, shelf)
    _reading(router, shelf)
    return router


def _writing(router: APIRouter, shelf: Shelf) -> None:
    """Add the places where a thing is kept and renewed."""

    @router.post(
        "",
        status_code=201,
        summary=f"Keep a {shelf.what}",
        response_class=Response,
        responses=shelf.answers(201, 403, 413, 415, 422, 503, 507),
        openapi_extra=json_body(shelf.body_model),
    )
    def create(raw: Raw, store: StoreGiven, who: Who, now: Now) -> Response:
        """Keep a new one; the answer carries its place and its ETag."""
        kept = library.keep(store, shelf.kind, shelf.contents_of(raw), now, who)
        return shelf.answer(*kept, 201)

    @router.put(
        "/{item_id}",
        summary=f"Make a new edition of a {shelf.what}",
        response_class=Response,
        responses=shelf.answers(200, 403, 404, 412, 413, 415, 422, 428, 503, 507),
        openapi_extra=json_body(shelf.body_model),
    )
    def renew(
        item_id: str, raw: Raw, store: StoreGiven, who: Who, tags: TagsNeeded, now: Now
    ) -> Response:
        """Make a new edition. Plans keep the edition they use until someone moves them."""
        contents = shelf.contents_of(raw)
        return shelf.answer(*library.renew(store, shelf.kind, item_id, contents, tags, now, who))


def _reading(router: APIRouter, shelf: Shelf) -> None:
    """Add the places where things are listed and read."""

    @router.get("", summary=f"List every {shelf.what}", response_model=shelf.list_model)
    def listed(store: StoreGiven, who: Who, page: Page) -> Document:
        """Return their newest editions, last changed first, a page at a time."""
        rows, following = library.listed(store, shelf.kind, page.limit, page.before, who.vessels)
        return {
            "items": [shelf.line(one) for one in rows],
            "next_cursor": None if following is None else str(following),
        }

    @router.get(
        "/{item_id}",
        summary=f"Read a {shelf.what}",
        response_class=Response,
        responses={**shelf.answers(200, 404, 503), **NOT_CHANGED},
    )
    def read(item_id: str, request: Request, store: StoreGiven) -> Response:
        """Return the newest edition."""
        edition, contents = library.read(store, shelf.kind, item_id)
        return unchanged(request, library.edition_tag(edition)) or shelf.answer(edition, contents)

    @router.get(
        "/{item_id}/editions/{number}",
        summary=f"Read an edition of a {shelf.what}",
        response_class=Response,
        responses={**shelf.answers(200, 404, 422, 503), **NOT_CHANGED},
    )
    def read_edition(item_id: str, number: Number, request: Request, store: StoreGiven) -> Response:
        """Return one edition; only ``newest_edition`` in it changes, and with it the ETag."""
        edition, contents = library.read(store, shelf.kind, item_id, number)
        return unchanged(request, library.edition_tag(edition)) or shelf.answer(edition, contents)


ships = _router(
    Shelf(
        place="ships",
        kind="ship",
        what="ship",
        contents_of=_ship,
        record=_ship_record,
        line=_line,
        body_model=ShipIn,
        record_model=ShipRecord,
        list_model=ShipList,
    )
)
hazard_sets = _router(
    Shelf(
        place="hazard-sets",
        kind="hazard_set",
        what="hazard set",
        contents_of=_hazard_set,
        record=_set_record,
        line=_set_line,
        body_model=HazardSetIn,
        record_model=HazardSetRecord,
        list_model=HazardSetList,
    )
)
limit_sets = _router(
    Shelf(
        place="limit-sets",
        kind="limit_set",
        what="limit set",
        contents_of=_limit_set,
        record=_limits_record,
        line=_set_line,
        body_model=LimitSetIn,
        record_model=LimitSetRecord,
        list_model=LimitSetList,
    )
)
