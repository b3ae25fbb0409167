"""Dangers that somebody typed and those that cells chart, behind one another."""

from weakref import ReferenceType, ref

import numpy as np

from wheelover.core.errors import Fault, InvalidChart
from wheelover.core.types.chart import Hazards, Paths, Points
from wheelover.core.types.dangers import DangerClass

_KEPT = 4
_FEW = 5000

_Known = tuple[ReferenceType[Hazards], object, Hazards]
_KNOWN: list[_Known] = []


def joined(typed: Hazards, charted: Hazards) -> Hazards:
    """Return the typed dangers, and behind them the charted ones.

    What was joined before is kept while its charted dangers are, for the typed ones themselves or,
    where they are few, for equal ones: a plan that is edited brings the same dangers anew.

    Parameters
    ----------
    typed, charted : Hazards
        The dangers.

    Raises
    ------
    InvalidChart
        When a typed danger has the id of a charted one.
    """
    if typed.count == 0:
        return charted
    key = _key(typed)
    for number, (source, typed_key, found) in enumerate(_KNOWN):
        if source() is charted and typed_key == key:
            _KNOWN.insert(0, _KNOWN.pop(number))
            return found
    _refuse_doubled(typed, charted)
    made = _joined(typed, charted)
    alive = [one for one in _KNOWN if one[0]() is not None]
    _KNOWN[:] = [(ref(charted), key, made), *alive][:_KEPT]
    return made


def _key(typed: Hazards) -> object:
    """Return what tells dangers from others: all they are made of, or which they are."""
    if typed.count + typed.paths.lat_deg.size > _FEW:
        return ref(typed)
    columns = (
        typed.depth_m,
        typed.position_uncertainty_m,
        typed.uncertainty_given,
        typed.min_clearance_m,
        typed.points.hazard,
        typed.points.lat_deg,
        typed.points.lon_deg,
        typed.paths.hazard,
        typed.paths.area,
        typed.paths.starts,
        typed.paths.lat_deg,
        typed.paths.lon_deg,
    )
    words = (typed.ids, typed.names, typed.kinds, typed.shapes, typed.classes)
    return (*words, typed.overheads, typed.warnings, *(one.tobytes() for one in columns))


def _refuse_doubled(typed: Hazards, charted: Hazards) -> None:
    """Refuse a typed danger with the id of a charted one: nobody could tell findings apart."""
    doubled = sorted(set(typed.ids).intersection(charted.ids))
    if doubled:
        message = (
            f"the id {doubled[0]!r} is that of a charted danger of the same plan; give the typed "
            "one another"
        )
        raise InvalidChart(message, (Fault(pointer="/hazards", message=message),))


def _joined(typed: Hazards, charted: Hazards) -> Hazards:
    """Return both behind one another."""
    nothing: tuple[DangerClass | None, ...] = (None,)
    return Hazards(
        ids=typed.ids + charted.ids,
        names=typed.names + charted.names,
        kinds=typed.kinds + charted.kinds,
        shapes=typed.shapes + charted.shapes,
        depth_m=np.concatenate([typed.depth_m, charted.depth_m]),
        position_uncertainty_m=np.concatenate(
            [typed.position_uncertainty_m, charted.position_uncertainty_m]
        ),
        uncertainty_given=np.concatenate([typed.uncertainty_given, charted.uncertainty_given]),
        min_clearance_m=np.concatenate([typed.min_clearance_m, charted.min_clearance_m]),
        points=_points(typed.points, charted.points, typed.count),
        paths=_paths(typed.paths, charted.paths, typed.count),
        classes=(typed.classes or nothing * typed.count) + charted.classes,
        overheads=typed.overheads,
        warnings=typed.warnings,
    )


def _points(typed: Points, charted: Points, count: int) -> Points:
    """Return the points of both."""
    return Points(
        hazard=np.concatenate([typed.hazard, charted.hazard + count]),
        lat_deg=np.concatenate([typed.lat_deg, charted.lat_deg]),
        lon_deg=np.concatenate([typed.lon_deg, charted.lon_deg]),
    )


def _paths(typed: Paths, charted: Paths, count: int) -> Paths:
    """Return the paths of both."""
    areas = int(np.max(typed.area, initial=-1)) + 1
    return Paths(
        hazard=np.concatenate([typed.hazard, charted.hazard + count]),
        area=np.concatenate(
            [typed.area, np.where(charted.area < 0, charted.area, charted.area + areas)]
        ),
        starts=np.concatenate([typed.starts, charted.starts[1:] + typed.starts[-1]]),
        lat_deg=np.concatenate([typed.lat_deg, charted.lat_deg]),
        lon_deg=np.concatenate([typed.lon_deg, charted.lon_deg]),
    )
