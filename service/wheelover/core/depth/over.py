"""What each leg and turn passes beneath: dangers of the class overhead that lie on the track."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Literal

import numpy as np

from wheelover.core.arrays import Bools
from wheelover.core.charted.attributes import Attributes, number_of
from wheelover.core.depth.levels import LEVELS, is_chart_datum
from wheelover.core.margins import class_at
from wheelover.core.types.cells import CellAbout
from wheelover.core.types.chart import Hazards, Overhead, Paths, Points
from wheelover.core.types.charted import Charted
from wheelover.core.types.clearance import Infringement, Piece
from wheelover.core.types.depth import ObjectOver, OverheadSum

_MORE_M = 1.0
"""Beyond the reach, so that what lies just at it is told."""

_NO_CABLES = ("bridge", "span", "pipe", "conveyor", "gate", "gantry", "walkway", "crane", "arch")
"""Kinds of which it is known that they are no cable; of any other that is not."""
_CABLES = ("cable span", "wire", "power", "transmission")
"""Kinds that are cables whatever else they are called."""

_MAY_CROSS_ABOVE = ("overhead", "cable", "other", None)
"""Classes of which one with a clearance under it is passed beneath: what stands in water is not."""


def objects_over(
    hazards: Hazards,
    infringements: Sequence[Infringement],
    reach_m: Mapping[Piece, float],
    source: Literal["you", "chart"] = "you",
) -> tuple[ObjectOver, ...]:
    """Return what the track passes beneath, as far as positions are known.

    Parameters
    ----------
    hazards : Hazards
        The dangers that somebody typed or sent.
    infringements : sequence of Infringement
        How near the track comes to them. Those of dangers behind them are not looked at.
    reach_m : mapping of Piece to float
        How far to either side of each piece she may be with any part of her, metres: nearer than
        that she passes beneath. Of a piece that is not named, on the track itself.
    source : {"you", "chart"}
        Where they come from.
    """
    known = {one.hazard: one for one in hazards.overheads}
    found = {}
    for one in infringements:
        index = one.hazard_index
        # Charted dangers stand behind those of the plan; what is charted overhead is no danger.
        if one.clearance_m > reach_m.get(one.piece, 0.0) or index >= hazards.count:
            continue
        over = known.get(index)
        if over is None and class_at(hazards, index) != "overhead":
            continue
        found[one.piece, index] = ObjectOver(
            piece=one.piece,
            hazard_id=hazards.ids[index],
            hazard_name=hazards.names[index],
            height_m=None if over is None else over.height_m,
            datum=None if over is None else over.datum,
            datum_m=None if over is None else _typed_level_m(over),
            is_cable=_may_be_cable(hazards.kinds[index]),
            electrical_off=over is not None and over.electrical_off,
            source=source,
            what=f"under {hazards.names[index] or hazards.ids[index]}",
        )
    return tuple(found[key] for key in sorted(found, key=lambda key: (key[0].index, key[1])))


def overhead_of(hazards: Hazards) -> Bools:
    """Return which dangers cross above, shape (n,): by their class, or as a clearance is given.

    Parameters
    ----------
    hazards : Hazards
        The dangers.
    """
    above = np.array([class_at(hazards, i) == "overhead" for i in range(hazards.count)], np.bool_)
    above[[one.hazard for one in hazards.overheads]] = True
    return above


def may_cross_above(hazards: Hazards, index: int) -> bool:
    """Return whether one danger with a clearance under it does not stand in the water.

    Parameters
    ----------
    hazards : Hazards
        The dangers.
    index : int
        Its number.
    """
    return class_at(hazards, index) in _MAY_CROSS_ABOVE


def not_passed_beneath(hazards: Hazards, sums: Sequence[OverheadSum]) -> Hazards:
    """Return dangers without the places of those beneath which the track leads by a sum of air.

    The numbers of dangers stay. Whether she fits beneath is judged by the sum, which says so where
    it is not known: her hull and the corridor need not keep beside them.

    Parameters
    ----------
    hazards : Hazards
        The dangers.
    sums : sequence of OverheadSum
        What is passed beneath.
    """
    summed = {one.hazard_id for one in sums}
    beneath = [
        one.hazard
        for one in hazards.overheads
        if hazards.ids[one.hazard] in summed and may_cross_above(hazards, one.hazard)
    ]
    if not beneath:
        return hazards
    points, paths = hazards.points, hazards.paths
    kept, left = ~np.isin(points.hazard, beneath), ~np.isin(paths.hazard, beneath)
    count = np.diff(paths.starts)
    vertex = np.repeat(left, count)
    return replace(
        hazards,
        points=Points(
            hazard=points.hazard[kept], lat_deg=points.lat_deg[kept], lon_deg=points.lon_deg[kept]
        ),
        paths=Paths(
            hazard=paths.hazard[left],
            area=paths.area[left],
            starts=np.concatenate([[0], np.cumsum(count[left])]),
            lat_deg=paths.lat_deg[vertex],
            lon_deg=paths.lon_deg[vertex],
        ),
    )


def within_reach(hazards: Hazards, above: Bools, reach_m: float) -> Hazards:
    """Return dangers of which those above have so wide a limit that their passing is told.

    Parameters
    ----------
    hazards : Hazards
        The dangers; of all others the limits stay.
    above : ndarray of bool, shape (n,)
        Which cross above.
    reach_m : float
        How far to either side of the track she may be with any part of her, metres.
    """
    own_m = np.where(above, reach_m + _MORE_M, hazards.min_clearance_m)
    return replace(hazards, min_clearance_m=own_m)


def charted_objects(
    charted: Charted, infringements: Sequence[Infringement], reach_m: Mapping[Piece, float]
) -> tuple[ObjectOver, ...]:
    """Return what the track passes beneath of what cells chart overhead.

    Parameters
    ----------
    charted : Charted
        What the cells say.
    infringements : sequence of Infringement
        How near the track comes to what they chart overhead, by its numbers there.
    reach_m : mapping of Piece to float
        As for ``objects_over``.

    Notes
    -----
    The clearance is VERCSA, from which the electrical distance is taken off already, else that of
    a closed bridge, VERCCL, else VERCLR [S57A]_. It counts from the object's own VERDAT,
    else from the vertical datum of the cell.
    """
    listed = charted.overhead
    # One height is given for the plan: where its cells count from several levels, of none of them.
    one_level = len({charted.cells[cell].about.height_datum for cell in listed.cell.tolist()}) == 1
    found = {}
    for one in infringements:
        index = one.hazard_index
        if one.clearance_m > reach_m.get(one.piece, 0.0):
            continue
        name, height_m = _charted_height(listed.attributes[index])
        about = charted.cells[int(listed.cell[index])].about
        level = _level(listed.attributes[index], about)
        found[one.piece, index] = ObjectOver(
            piece=one.piece,
            hazard_id=listed.hazards.ids[index],
            hazard_name=listed.hazards.names[index],
            height_m=height_m,
            datum=level,
            datum_m=0.0 if is_chart_datum(level, about.depth_datum) else None,
            level_of_plan=level == about.height_datum and one_level,
            is_cable=listed.object_classes[index] == "CBLOHD",
            electrical_off=name == "VERCSA",
            source="chart",
            what=f"{name} of {listed.why[index]} in {about.name}",
        )
    return tuple(found[key] for key in sorted(found, key=lambda key: (key[0].index, key[1])))


def _may_be_cable(kind: str | None) -> bool:
    """Return whether something overhead is a cable, or nobody says that it is none."""
    words = " ".join((kind or "").lower().replace("_", " ").split())
    if any(word in words for word in _CABLES):
        return True
    return not any(word in words for word in _NO_CABLES)


def _typed_level_m(over: Overhead) -> float | None:
    """Return how far above chart datum a typed clearance counts from, None where not known."""
    if over.datum_m is None and is_chart_datum(over.datum):
        return 0.0
    return over.datum_m


def _level(attributes: Attributes, about: CellAbout) -> str | None:
    """Return what a charted clearance counts from: its own level, else that of its cell."""
    number = number_of(attributes, "VERDAT")
    if number is None:
        return about.height_datum
    return LEVELS.get(int(number), f"vertical datum {number:g}, which is not known")


def _charted_height(attributes: Attributes) -> tuple[str, float | None]:
    """Return the clearance under a charted object in metres, and the attribute that gives it."""
    for name in ("VERCSA", "VERCCL", "VERCLR"):
        height_m = number_of(attributes, name)
        if height_m is not None:
            return name, height_m
    return "no clearance", None
