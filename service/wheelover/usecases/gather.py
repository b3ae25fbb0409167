"""What a plan's inputs point at in the store: her ship and its hazard sets, edition by edition."""

from dataclasses import dataclass
from typing import Any

from wheelover.charts.land import land_version
from wheelover.core.errors import Fault, NotFound
from wheelover.formats.strict_json import read_json
from wheelover.store import Store, Unit
from wheelover.store.library import Edition

Document = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Loaded:
    """One stored thing that a plan uses, and the JSON text of what is in it."""

    edition: Edition
    body: bytes

    @property
    def contents(self) -> Document:
        """Return what is in it, read anew."""
        contents: Document = read_json(self.body)
        return contents

    @property
    def label(self) -> str:
        """Return what it is called in a basis: its name and edition."""
        return f"{self.edition.name}, edition {self.edition.edition}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Gathered:
    """The inputs of a plan with every edition named, and what they point at."""

    inputs: Document
    ship: Loaded | None = None
    hazard_sets: tuple[Loaded, ...] = ()

    @property
    def checks_land(self) -> bool:
        """Return whether the plan is to be held against the coastline."""
        return bool(self.inputs.get("check_land"))

    @property
    def points_at_something(self) -> bool:
        """Return whether the inputs point at anything beside themselves."""
        return self.ship is not None or bool(self.hazard_sets) or self.checks_land

    @property
    def digests(self) -> Document:
        """Return which editions are in use, with their digests: what the inputs' digest covers."""
        ship = {} if self.ship is None else {"ship": _named(self.ship)}
        coast = {"coastline": land_version()} if self.checks_land else {}
        return {**ship, "hazard_sets": [_named(one) for one in self.hazard_sets], **coast}

    @property
    def with_ship(self) -> Document:
        """Return the inputs with the ship in place of where she is stored."""
        if self.ship is None:
            return self.inputs
        members = {k: v for k, v in self.inputs.items() if k not in ("ship_id", "ship_edition")}
        return {**members, "ship": self.ship.contents}


def _named(loaded: Loaded) -> Document:
    """Return an edition as a digest names it."""
    edition = loaded.edition
    return {
        "id": edition.id,
        "edition": edition.edition,
        "name": edition.name,
        "sha256": edition.sha256,
    }


def gather(store: Store, inputs: Document, vessels: frozenset[str] | None = None) -> Gathered:
    """Return a plan's inputs with what they point at.

    Parameters
    ----------
    store : Store
        Where ships and hazard sets are kept.
    inputs : dict
        A plan request, read and found valid.
    vessels : frozenset of str or None
        Whose ships and hazard sets it may use, besides those for all; None for everybody's.

    Raises
    ------
    NotFound
        For a ship or a hazard set that is not stored or may not be used, naming the member.
    """
    if not inputs.get("ship_id") and not inputs.get("hazard_set_ids"):
        return Gathered(inputs=without_editions(inputs))
    with store.reading() as unit:
        return gather_in(unit, inputs, vessels)


def gather_in(unit: Unit, inputs: Document, vessels: frozenset[str] | None = None) -> Gathered:
    """Return a plan's inputs with what they point at, inside a unit of work."""
    pinned = without_editions(inputs)
    ship = None
    if inputs.get("ship_id"):
        number = inputs.get("ship_edition")
        ship = _load(unit, "ship", inputs["ship_id"], number, "/ship_id", vessels)
        pinned["ship_edition"] = ship.edition.edition
    ids = inputs.get("hazard_set_ids") or []
    wanted = inputs.get("hazard_set_editions") or {}
    sets = tuple(
        _load(unit, "hazard_set", one, wanted.get(one), f"/hazard_set_ids/{index}", vessels)
        for index, one in enumerate(ids)
    )
    if sets:
        pinned["hazard_set_editions"] = {one.edition.id: one.edition.edition for one in sets}
    return Gathered(inputs=pinned, ship=ship, hazard_sets=sets)


def without_editions(inputs: Document) -> Document:
    """Return inputs without the editions, which only stand beside what they are editions of."""
    aside = ("ship_edition", "hazard_set_editions")
    return {member: value for member, value in inputs.items() if member not in aside}


def _load(
    unit: Unit,
    kind: Any,
    item_id: str,
    number: int | None,
    pointer: str,
    vessels: frozenset[str] | None,
) -> Loaded:
    """Return a stored thing, or say which member names one that is not there for these vessels."""
    try:
        if vessels is not None:
            unit.library.require_for(kind, item_id, vessels)
        edition = unit.library.get(kind, item_id, number)
    except NotFound as error:
        raise NotFound(str(error), (Fault(pointer=pointer, message=str(error)),)) from error
    return Loaded(edition=edition, body=unit.library.body(edition))
