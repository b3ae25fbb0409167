"""What a plan's inputs point at in the store, edition by edition."""

from dataclasses import dataclass, replace
from typing import Any, Literal

from wheelover.charts.land import land_version
from wheelover.core.errors import Fault, NotFound
from wheelover.core.types.cells import Cell
from wheelover.formats.strict_json import read_json
from wheelover.store import Store, Unit
from wheelover.store.charts import ChartEdition
from wheelover.store.library import Edition, Kind
from wheelover.usecases.chart_boxes import heights, touched
from wheelover.usecases.stored_cells import STORED_CELLS

Document = dict[str, Any]

ChartsTaken = Literal["named", "settled", "as_given"]

_SINGLE: tuple[Kind, ...] = ("ship", "limit_set")
_POINTERS = ("ship_id", "hazard_set_ids", "limit_set_id", "all_charts", "chart_ids")


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
    """The inputs of a plan with every edition named, and what they point at.

    ``cells`` are those of ``charts``, in their order; they are read only where a plan is computed.
    """

    inputs: Document
    ship: Loaded | None = None
    hazard_sets: tuple[Loaded, ...] = ()
    limit_set: Loaded | None = None
    charts: tuple[ChartEdition, ...] = ()
    cells: tuple[Cell, ...] = ()

    @property
    def points_somewhere(self) -> bool:
        """Return whether the inputs point at anything beside themselves."""
        single = self.ship is not None or self.limit_set is not None
        return single or self.checks_land or bool(self.hazard_sets or self.charts)

    @property
    def checks_land(self) -> bool:
        """Return whether the plan is to be held against the coastline."""
        return bool(self.inputs.get("check_land"))

    @property
    def digests(self) -> Document:
        """Return which editions are in use, with their digests: what the inputs' digest covers."""
        single = (("ship", self.ship), ("limit_set", self.limit_set))
        named = {member: _named(one) for member, one in single if one is not None}
        charts = {"charts": [_charted(one) for one in self.charts]} if self.charts else {}
        coast = {"coastline": land_version()} if self.checks_land else {}
        sets = [_named(one) for one in self.hazard_sets]
        return {**named, "hazard_sets": sets, **charts, **coast}

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


def _charted(edition: ChartEdition) -> Document:
    """Return an edition of a chart cell as a digest names it."""
    return {
        "id": edition.id,
        "edition": edition.edition,
        "name": edition.name,
        "producer_edition": edition.producer_edition,
        "producer_update": edition.producer_update,
        "sha256": edition.sha256,
    }


def gather(
    store: Store,
    inputs: Document,
    vessels: frozenset[str] | None = None,
    charts_of: frozenset[str] | None = None,
) -> Gathered:
    """Return a plan's inputs with what they point at.

    Parameters
    ----------
    store : Store
        Where ships, hazard sets and charts are kept.
    inputs : dict
        A plan request, read and found valid.
    vessels : frozenset of str or None
        Whose ships, sets and charts it may use, besides those for all; None for everybody's.
    charts_of : frozenset of str or None
        Whose charts alone, where they are looked for and ``vessels`` is None.

    Raises
    ------
    NotFound
        For something that is not stored or may not be used, naming the member.
    """
    if not any(inputs.get(member) for member in _POINTERS):
        return Gathered(inputs=without_editions(inputs))
    with store.reading() as unit:
        found = gather_in(unit, inputs, vessels, charts_of=charts_of)
        bodies = {
            one.sha256: unit.charts.body(one)
            for one in found.charts
            if STORED_CELLS.known(one) is None
        }
    cells = []
    for one in found.charts:
        known = STORED_CELLS.taken(one, bodies[one.sha256]) if one.sha256 in bodies else None
        cells.append(known or _cell(store, one))
    return replace(found, cells=tuple(cells))


def _cell(store: Store, edition: ChartEdition) -> Cell:
    """Return a cell that was kept ready a moment ago."""

    def body() -> bytes:
        with store.reading() as unit:
            return unit.charts.body(edition)

    return STORED_CELLS.of(edition, body)


def gather_in(
    unit: Unit,
    inputs: Document,
    vessels: frozenset[str] | None = None,
    *,
    charts: ChartsTaken = "named",
    charts_of: frozenset[str] | None = None,
) -> Gathered:
    """Return a plan's inputs with what they point at, inside a unit of work.

    Exactly the chart editions ``named`` are taken, so that what was computed once is computed again
    from the same. ``settled``, those of ``all_charts`` are looked for anew among those of
    ``charts_of``: one named with its edition keeps it, others that the route touches now come with
    their newest. ``as_given``, what is named is not looked for: it may be kept elsewhere only.
    """
    pinned = without_editions(inputs)
    single: dict[str, Loaded] = {}
    for kind in _SINGLE:
        if inputs.get(f"{kind}_id"):
            number = inputs.get(f"{kind}_edition")
            single[kind] = _load(unit, kind, inputs[f"{kind}_id"], number, f"/{kind}_id", vessels)
            pinned[f"{kind}_edition"] = single[kind].edition.edition
    ids = inputs.get("hazard_set_ids") or []
    wanted = inputs.get("hazard_set_editions") or {}
    sets = tuple(
        _load(unit, "hazard_set", one, wanted.get(one), f"/hazard_set_ids/{index}", vessels)
        for index, one in enumerate(ids)
    )
    if sets:
        pinned["hazard_set_editions"] = {one.edition.id: one.edition.edition for one in sets}
    if charts == "as_given":
        if "chart_editions" in inputs:
            pinned["chart_editions"] = inputs["chart_editions"]
        return _gathered(pinned, single, sets)
    whose = vessels if charts_of is None else charts_of
    limit_set = single["limit_set"].contents if "limit_set" in single else None
    asked = inputs if limit_set is None else {**inputs, "limit_set": limit_set}
    found = _charts(unit, asked, whose, settle=charts == "settled")
    if found or inputs.get("all_charts"):
        # Also where none is touched: that there was none is what the plan was computed with.
        pinned["chart_editions"] = {one.id: one.edition for one in found}
    return _gathered(pinned, single, sets, found)


def _gathered(
    pinned: Document,
    single: dict[str, Loaded],
    sets: tuple[Loaded, ...],
    charts: tuple[ChartEdition, ...] = (),
) -> Gathered:
    """Return what was found."""
    return Gathered(
        inputs=pinned,
        ship=single.get("ship"),
        limit_set=single.get("limit_set"),
        hazard_sets=sets,
        charts=charts,
    )


def _charts(
    unit: Unit, inputs: Document, vessels: frozenset[str] | None, *, settle: bool
) -> tuple[ChartEdition, ...]:
    """Return the chart cells of a plan, in the order of their names."""
    wanted: dict[str, int] = inputs.get("chart_editions") or {}
    if not inputs.get("all_charts"):
        rows = [
            _chart(unit, one, wanted.get(one), f"/chart_ids/{index}", vessels)
            for index, one in enumerate(inputs.get("chart_ids") or [])
        ]
    elif inputs.get("chart_editions") is not None and not settle:
        rows = [
            _chart(unit, one, number, f"/chart_editions/{one}", vessels)
            for one, number in wanted.items()
        ]
    else:
        found = touched(unit.charts.in_use(*heights(inputs), vessels), inputs)
        rows = [unit.charts.get(one.id, wanted.get(one.id)) for one in found]
    return tuple(sorted(rows, key=lambda one: (one.name, one.id)))


def _chart(
    unit: Unit, cell_id: str, number: int | None, pointer: str, vessels: frozenset[str] | None
) -> ChartEdition:
    """Return a stored cell, or say which member names one that is not there for these vessels."""
    try:
        if vessels is not None:
            unit.charts.require_for(cell_id, vessels)
        return unit.charts.get(cell_id, number)
    except NotFound as error:
        raise NotFound(str(error), (Fault(pointer=pointer, message=str(error)),)) from error


def without_editions(inputs: Document) -> Document:
    """Return inputs without the editions, which only stand beside what they are editions of."""
    aside = ("ship_edition", "limit_set_edition", "hazard_set_editions", "chart_editions")
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
