"""How near the hull comes to dangers on a run."""

import itertools
from typing import Any

import numpy as np
import shapely

from wheelover.core.arrays import Floats, Ints, tied_m
from wheelover.core.geo.plane import from_plane_deg
from wheelover.core.sweep.about import Nearby, hazards_about, widest_m
from wheelover.core.sweep.dangers import Parts, area_edges, dangers_holding, parts_about
from wheelover.core.sweep.hull import hull_box_m
from wheelover.core.sweep.margins import Asked, asked_of, most_asked_m
from wheelover.core.sweep.near_loop import nearest_pieces_loop
from wheelover.core.sweep.poses import Pieces, pieces_between
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import NO_LIMITS, Limits
from wheelover.core.types.limits import LegAsked
from wheelover.core.types.manoeuvre import Motion
from wheelover.core.types.route import Position
from wheelover.core.types.sweep import HullClearances
from wheelover.core.units import NM_M

LEAST_SEARCH_M = 2.0 * NM_M
"""Dangers within this distance are listed even where no limit asks for more."""


def hull_clearances(
    motion: Motion,
    start: Position,
    loa_m: float,
    beam_m: float,
    hazards: Hazards,
    *,
    asked: tuple[LegAsked, ...] = (LegAsked(),),
    limits: Limits = NO_LIMITS,
) -> HullClearances:
    """Return how near the hull comes to each danger on a run.

    Parameters
    ----------
    motion : Motion
        Midships over the ground from where the run starts, n rows.
    start : Position
        Where that is.
    loa_m, beam_m : float
        The hull, of which the box around it counts.
    hazards : Hazards
        The dangers; the uncertainty of a position comes off the clearance.
    asked : tuple of LegAsked
        What the leg asks, or both legs of a turn.
    limits : Limits
        What is asked where neither the danger nor the leg has a limit of its own.

    Returns
    -------
    HullClearances
        A row for each danger within its limit and uncertainty, or 2 NM, whichever is larger;
        nearest first.

    Raises
    ------
    InvalidShip
        When a dimension is not above zero.
    OutOfDomain
        For a motion that no hull can be moved along.

    Notes
    -----
    Between two rows the hull is taken to cover the convex hull of both and as much more as the
    curve of its corners may leave that: never less than it does. It is too much by up to a quarter
    of the box's diagonal times the change of heading from row to row, inside the turn: 0.9 m for a
    degree and 200 m, which more rows make less. Places are in the plane about the start,
    true to a millimetre within 2 NM [Snyder1987]_.
    """
    pieces = pieces_between(motion, hull_box_m(loa_m, beam_m))
    middle_deg = (start.lat_deg, start.lon_deg)
    swept_m = float(np.max(np.hypot(*pieces.middle_m.T) + pieces.radius_m + pieces.bulge_m))
    most_m = max(widest_m(hazards, most_asked_m(asked, limits)), LEAST_SEARCH_M)
    nearby = hazards_about(hazards, middle_deg, most_m + swept_m)
    near = nearby.hazards
    if near.count == 0:
        return _none(hazards.ids)
    limited = asked_of(near, asked, limits)
    listing_m = np.maximum(limited.margin_m, LEAST_SEARCH_M)
    parts = parts_about(near, middle_deg, listing_m + swept_m)
    found = _nearest(pieces, parts, listing_m, _held(motion, middle_deg, near, swept_m))
    return _rows(found, pieces, motion, middle_deg, nearby, limited, hazards.ids)


def _none(ids: tuple[str, ...]) -> HullClearances:
    """Return no rows at all: nothing is near."""
    numbers, values, places = np.empty(0, np.int64), np.empty(0), np.empty((2, 0))
    return HullClearances(
        ids=ids,
        hazard=numbers,
        distance_m=values,
        clearance_m=values,
        allowance_m=values,
        pose=numbers,
        at_s=values,
        lat_deg=places,
        lon_deg=places,
        limit_m=values,
        limit_source=numbers,
    )


def _held(
    motion: Motion, middle_deg: tuple[float, float], hazards: Hazards, swept_m: float
) -> tuple[Ints, Floats]:
    """Return the dangers whose areas hold the first place of a run, and that place."""
    place_m = np.array([[motion.east_m[0], motion.north_m[0]]])
    lat, lon = from_plane_deg(middle_deg, place_m)
    edges = area_edges(hazards, middle_deg[0], swept_m)
    return dangers_holding(edges, float(lat[0]), float(lon[0])), place_m


_Found = tuple[Ints, Ints, Floats, Floats]
"""Dangers in rows (m,), the piece nearest to each, the distance, and places on both, (m, 2, 2)."""


def _nearest(pieces: Pieces, parts: Parts, listing_m: Floats, held: tuple[Ints, Floats]) -> _Found:
    """Return the piece of the run that is nearest to each danger, within what is listed."""
    part, places_m, piece, off_m = _nearest_parts(pieces, parts, listing_m)
    hazard = parts.hazard[part]
    order = np.lexsort((piece, off_m, hazard))
    first = order[np.append(True, np.diff(hazard[order]) != 0)[: order.size]]
    part, places_m = part[first], places_m[first]
    hazard, piece, off_m = hazard[first], piece[first], off_m[first]
    # A danger that holds the hull from the first is entered there, wherever its edge is met later.
    inside, place_m = held
    other = np.isin(hazard, inside, invert=True)
    zeros = np.zeros(inside.size)
    return (
        np.concatenate([inside, hazard[other]]),
        np.concatenate([np.zeros(inside.size, np.int64), piece[other]]),
        np.concatenate([zeros, off_m[other]]),
        np.concatenate([np.tile(place_m, (inside.size, 2, 1)), places_m[other]]),
    )


def _nearest_parts(
    pieces: Pieces, parts: Parts, listing_m: Floats
) -> tuple[Ints, Floats, Ints, Floats]:
    """Return the parts within what is listed, the places on piece and part, the piece, and how far.

    A piece and a part that meet do so in many places: shapely says which.
    """
    off_m, nearest = np.empty(parts.count), np.zeros(parts.count, dtype=np.int64)
    found = np.empty((parts.count, 5))
    part_listing_m = listing_m[parts.hazard]
    nearest_pieces_loop(
        np.ascontiguousarray(pieces.vertex_m), np.ascontiguousarray(pieces.middle_m),
        pieces.radius_m, pieces.bulge_m, np.ascontiguousarray(parts.start_m),
        np.ascontiguousarray(parts.end_m), part_listing_m, off_m, nearest, found,
    )  # fmt: skip
    part = np.flatnonzero(off_m <= part_listing_m)
    places_m, piece = found[part, :4].reshape(-1, 2, 2), nearest[part]
    met = np.flatnonzero(found[part, 4] == 0.0)
    if met.size:
        shapes = shapes_of_parts(parts.rows(part[met]))
        lines = shapely.shortest_line(pieces.hulls_of(piece[met]), shapes)
        places_m[met] = shapely.get_coordinates(lines).reshape(-1, 2, 2)
    return part, places_m, piece, off_m[part]


def shapes_of_parts(parts: Parts) -> Any:
    """Return parts of dangers as shapely points and lines."""
    shapes = np.empty(parts.count, object)
    point = np.all(parts.start_m == parts.end_m, axis=1)
    shapes[point] = shapely.points(parts.start_m[point])
    line = ~point
    shapes[line] = shapely.linestrings(np.stack([parts.start_m[line], parts.end_m[line]], axis=1))
    return shapes


def _rows(
    found: _Found,
    pieces: Pieces,
    motion: Motion,
    middle_deg: tuple[float, float],
    nearby: Nearby,
    asked: Asked,
    ids: tuple[str, ...],
) -> HullClearances:
    """Return what was found as rows, nearest first."""
    hazard, piece, distance_m, places_m = found
    order = _in_order(distance_m, hazard, nearby.hazards.ids)
    hazard, piece, distance_m = hazard[order], piece[order], distance_m[order]
    places_deg = [from_plane_deg(middle_deg, places_m[order, side]) for side in (0, 1)]
    return HullClearances(
        ids=ids,
        hazard=nearby.numbers[hazard],
        distance_m=distance_m,
        clearance_m=distance_m - nearby.hazards.position_uncertainty_m[hazard],
        allowance_m=pieces.bulge_m[piece] + pieces.spare_m[piece],
        pose=piece,
        at_s=motion.time_s[piece],
        lat_deg=np.stack([lat for lat, _ in places_deg]),
        lon_deg=np.stack([lon for _, lon in places_deg]),
        limit_m=asked.limit_m[hazard],
        limit_source=asked.limit_source[hazard],
    )


def _in_order(distance_m: Floats, hazard: Ints, ids: tuple[str, ...]) -> Ints:
    """Return rows by distance, and those as near by the id of their danger.

    The order in which dangers came in says nothing: of them in another the answer is the same.
    """
    near_m = tied_m(distance_m)
    order = np.argsort(near_m, kind="stable")
    bounds = np.flatnonzero(np.diff(near_m[order], prepend=-np.inf, append=np.inf) != 0.0)
    for start, stop in itertools.pairwise(bounds.tolist()):
        if stop - start > 1:
            order[start:stop] = sorted(order[start:stop], key=lambda one: ids[int(hazard[one])])
    return np.asarray(order, dtype=np.int64)
