"""What a new edition of a chart cell, a new cell, or one taken out of use changes for a plan."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from wheelover.core.arrays import Floats
from wheelover.core.charted.accuracy import position_allowance_m
from wheelover.core.types.cells import Cell
from wheelover.store.charts import ChartEdition
from wheelover.usecases.change import Change
from wheelover.usecases.reach import reach_of

Document = dict[str, Any]

_MOST_NAMED = 5
_LEFT_OUT = ", a chart at this track that is not among those of the plan"
_UNSURE_M = float(position_allowance_m("C", 0.0)[0])
"""How far from its charted place a thing may lie: the worst that a zone of confidence states."""

_ITSELF = ("scale", "depth_datum", "height_datum", "updates_missing", "superseded")


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """Something of a cell that is not what it was: what it is called and the box around it.

    ``ids`` are those by which a plan may name it.
    """

    name: str
    box_deg: tuple[float, float, float, float]
    ids: tuple[str, ...] = ()


def words_of(edition: ChartEdition) -> str:
    """Return an edition as a chart is named: cell, and its producer's edition and update."""
    return f"{edition.name} {edition.producer_edition}.{edition.producer_update}"


def chart_change(
    used: ChartEdition,
    now: ChartEdition,
    before: Cell,
    after: Cell,
    document: Document,
    *,
    left_out: bool = False,
) -> Change:
    """Return what a new edition of a cell changes near the track of a revision.

    Parameters
    ----------
    used, now : ChartEdition
        The edition the revision used and the newest.
    before, after : Cell
        What is in them.
    document : dict
        The frozen revision.
    left_out : bool
        Whether it is not among the charts of the plan, and ``used`` is what was answered for.
    """
    number = f"{now.producer_edition}.{now.producer_update}"
    named = f"cell {words_of(used)} -> {number}{_LEFT_OUT if left_out else ''}"
    moved = differing(before, after)
    near = near_track(moved, document)
    if near:
        words = f"{named}: {_count(len(near))} near the track: {_some(near)}"
    else:
        differ = "differs" if len(moved) == 1 else "differ"
        words = f"{named}: {_count(len(moved))} {differ}, none where this track looks for dangers"
    return Change(
        id=f"changed/chart_cell/{now.id}@{now.edition}",
        cause="chart_cell",
        words=words,
        counts=bool(near),
    )


def new_chart_change(now: ChartEdition, cell: Cell, document: Document) -> Change:
    """Return what a cell changes that was not there when all charts were used."""
    return _whole_change(f"cell {words_of(now)} is new", now, cell, document)


def left_out_change(now: ChartEdition, cell: Cell, document: Document) -> Change:
    """Return what a cell changes that covers the track and that the plan does not name."""
    return _whole_change(f"cell {words_of(now)}{_LEFT_OUT}", now, cell, document)


def _whole_change(named: str, now: ChartEdition, cell: Cell, document: Document) -> Change:
    """Return what all that is in a cell changes."""
    near = near_track(everything(cell), document)
    if near:
        words = f"{named}: {_count(len(near))} near the track: {_some(near)}"
    else:
        words = f"{named}: nothing in it where this track looks for dangers"
    return Change(
        id=f"changed/chart_cell/{now.id}@{now.edition}",
        cause="chart_cell",
        words=words,
        counts=bool(near),
    )


def withdrawn_change(now: ChartEdition) -> Change:
    """Return that a cell which a revision uses was taken out of use."""
    return Change(
        id=f"changed/chart_cell/{now.id}@{now.edition}-withdrawn",
        cause="chart_cell",
        words=f"cell {words_of(now)} was taken out of use",
    )


def near_track(moved: list[Moved], document: Document) -> list[Moved]:
    """Return what of it a revision looks at or names; one too many perhaps, never one too few."""
    if not moved:
        return []
    reach = reach_of(document)
    boxes = np.array([one.box_deg for one in moved])
    met = reach.holds(boxes, np.full(len(moved), reach.wanted_m + _UNSURE_M))
    return [
        one
        for one, is_met in zip(moved, met.tolist(), strict=True)
        if is_met or not reach.names.isdisjoint(one.ids)
    ]


def differing(before: Cell, after: Cell) -> list[Moved]:
    """Return what is not the same in two editions of a cell, each object and sounding once."""
    old, new = _objects(before), _objects(after)
    found = []
    for key in sorted(old.keys() | new.keys()):
        was, now = old.get(key), new.get(key)
        if was is None or now is None or was[:2] != now[:2]:
            boxes = [one[2] for one in (was, now) if one is not None and one[2] is not None]
            if boxes:
                name = _name(key, (now or was or ({},))[0])
                found.append(Moved(name=name, box_deg=_union(boxes), ids=_ids(key)))
    found += _soundings(_places(before) ^ _places(after))
    if any(getattr(before.about, one) != getattr(after.about, one) for one in _ITSELF):
        found.append(
            Moved(
                name="what the cell says of itself",
                box_deg=_union([_whole_box(before), _whole_box(after)]),
            )
        )
    return found


def everything(cell: Cell) -> list[Moved]:
    """Return every object and sounding of a cell."""
    found = [
        Moved(name=_name(key, one[0]), box_deg=one[2], ids=_ids(key))
        for key, one in _objects(cell).items()
        if one[2] is not None
    ]
    return found + _soundings(_places(cell))


_Box = tuple[float, float, float, float]
_Object = tuple[Any, bytes | None, _Box | None]


def _objects(cell: Cell) -> dict[tuple[str, str], _Object]:
    """Return attributes, shape and box of each object by its class and identifier."""
    shapes = shapely.to_wkb(cell.geometries)
    bounds = shapely.bounds(cell.geometries)
    found: dict[tuple[str, str], _Object] = {}
    for index, key in enumerate(zip(cell.classes, cell.ids, strict=True)):
        west, south, east, north = bounds[index].tolist()
        box = None if west != west else (south, west, north, east)  # noqa: PLR0124  not a number
        found[key] = (dict(cell.attributes[index]), shapes[index], box)
    return found


def _places(cell: Cell) -> set[tuple[float, float, float]]:
    """Return the soundings of a cell."""
    columns: tuple[Floats, ...] = (
        cell.soundings.lat_deg,
        cell.soundings.lon_deg,
        cell.soundings.depth_m,
    )
    return set(zip(*(one.tolist() for one in columns), strict=True))


def _soundings(places: Iterable[tuple[float, float, float]]) -> list[Moved]:
    """Return soundings that differ."""
    return [
        Moved(name=f"sounding {depth_m:g} m", box_deg=(lat, lon, lat, lon))
        for lat, lon, depth_m in sorted(places)
    ]


def _whole_box(cell: Cell) -> _Box:
    """Return the box around a cell."""
    west, south, east, north = (float(one) for one in shapely.total_bounds(cell.geometries))
    return (south, west, north, east)


def _union(boxes: list[_Box]) -> _Box:
    """Return the box around boxes."""
    south, west, north, east = zip(*boxes, strict=True)
    return (min(south), min(west), max(north), max(east))


def _name(key: tuple[str, str], attributes: Any) -> str:
    """Return what an object is called."""
    name = attributes.get("OBJNAM")
    return f"{key[0]} {name}" if name else f"{key[0]} {key[1]}"


def _ids(key: tuple[str, str]) -> tuple[str, ...]:
    """Return the ids by which a plan may name an object: with its class, and without."""
    name, own = key
    return (own,) if own.startswith(name) else (f"{name}.{own}", own)


def _count(count: int) -> str:
    """Return a number of objects in words."""
    return "1 object" if count == 1 else f"{count} objects"


def _some(moved: list[Moved]) -> str:
    """Return some of the names."""
    names = list(dict.fromkeys(one.name for one in moved))
    more = len(names) - _MOST_NAMED
    return ", ".join(names[:_MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
