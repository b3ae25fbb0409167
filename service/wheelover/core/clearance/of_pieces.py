"""Nearest points of one piece of the track to all that the dangers are made of."""

import numpy as np

from wheelover.core.clearance.edges_of_arcs import passing_arc_edges
from wheelover.core.clearance.edges_of_legs import passing_leg_edges
from wheelover.core.clearance.index import Surroundings
from wheelover.core.clearance.inside import Areas, dangers_around
from wheelover.core.clearance.of_arcs import passing_arc
from wheelover.core.clearance.of_legs import passing_leg
from wheelover.core.clearance.passing import (
    NO_PASSING,
    Passing,
    TrackPiece,
    joined,
    nearest_of_each,
)
from wheelover.core.legs import points_along
from wheelover.core.types.plan import Whereabouts
from wheelover.core.types.route import Position

_CROSSED: tuple[Whereabouts, ...] = ("crossed",)


def passing_piece(piece: TrackPiece, around: Surroundings) -> Passing:
    """Return the nearest point of a piece of the track to each danger near it.

    Raises
    ------
    OutOfDomain
        Where no nearest point is closed in on, beside a pole.
    """
    found = [inside_of_piece(piece, around)]
    points, edges = around.points, around.edges
    if points is not None:
        found.append(_of_points(piece, around))
    if edges is not None and piece.arc is not None:
        found.append(passing_arc_edges(piece.arc, edges))
    elif edges is not None and piece.leg is not None:
        found.append(passing_leg_edges(piece, piece.leg, edges))
    return nearest_of_each(joined(found))


def _of_points(piece: TrackPiece, around: Surroundings) -> Passing:
    """Return the nearest points of a piece to the points of dangers near it."""
    index = around.points
    if index is None:
        return NO_PASSING
    if piece.arc is not None:
        found = passing_arc(piece.arc, index)
    elif piece.leg is not None:
        found = passing_leg(piece, piece.leg, index)
    else:
        raise AssertionError("a piece of the track is either a leg or an arc")
    return found.of(index.points.hazard)


def inside_of_piece(piece: TrackPiece, around: Surroundings) -> Passing:
    """Return the dangers in whose areas a piece begins or ends; what it enters it also crosses."""
    if around.areas.hazard.size == 0:
        return NO_PASSING
    return joined([_held(place, along_m, around.areas) for place, along_m in _ends(piece)])


def _ends(piece: TrackPiece) -> tuple[tuple[Position, float], ...]:
    """Return both ends of a piece, and how far along it they are."""
    if piece.arc is not None:
        return (piece.arc.start, 0.0), (piece.arc.end, piece.arc.arc_m)
    if piece.leg is None:
        raise AssertionError("a piece of the track is either a leg or an arc")
    lat, lon, _ = points_along(piece.leg, [piece.from_m, piece.to_m])
    first, last = (
        Position(lat_deg=float(y), lon_deg=float(x)) for y, x in zip(lat, lon, strict=True)
    )
    return (first, piece.from_m), (last, piece.to_m)


def _held(place: Position, along_m: float, areas: Areas) -> Passing:
    """Return the dangers whose areas hold a place, at no distance."""
    hazard = dangers_around(areas, place.lat_deg, place.lon_deg)
    lat, lon = np.full(hazard.size, place.lat_deg), np.full(hazard.size, place.lon_deg)
    return Passing(
        hazard=hazard,
        distance_m=np.zeros(hazard.size),
        along_m=np.full(hazard.size, along_m),
        lat_deg=lat,
        lon_deg=lon,
        danger_lat_deg=lat,
        danger_lon_deg=lon,
        side=_CROSSED * hazard.size,
    )
