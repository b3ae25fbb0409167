"""Clearance by shapely's STRtree and pyproj's geodesics, as well as those two can do it.

Everything lies in the ellipsoidal Mercator plane: it keeps angles, and a rhumb leg is a straight
line there, so no leg is approximated. Boxes find candidates, distances in the plane times the
local scale rank the pieces near each danger, and only the few pieces that can be nearest are
measured by exact geodesics. It knows tracks clear of longitude 180 and of latitudes beyond 80.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from pyproj import Geod, Proj

from tests.bench.hits import SEARCH_M, Hits, least_of_each
from tests.bench.plain import PlainArcs, PlainLegs, PlainTrack
from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.geo.angles import signed_change_deg

_GEOD = Geod(ellps="WGS84")
_MERCATOR = Proj(proj="merc", ellps="WGS84")

BOX_LEG_M = 20_000.0
"""Legs are cut to about this length for the boxes: long ones fill their boxes badly."""
_FIFTHS = np.linspace(0.0, 1.0, 5)
_RANK_ERROR_RATIO = 1e-4
_RANK_ERROR_M = 0.5
_SECTOR_ERROR_DEG = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Index:
    """Dangers in the plane with their tree, neighbours behind one another.

    ``scale_ratio`` is metres on the ellipsoid for one metre in the plane, and ``hazard`` the
    number that each danger was given with.
    """

    hazard: Ints
    lat_deg: Floats
    lon_deg: Floats
    x_m: Floats
    y_m: Floats
    scale_ratio: Floats
    tree: shapely.STRtree


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pairs:
    """Candidates: a row of the index, a piece, and the distance as the plane has it."""

    row: Ints
    piece: Ints
    rank_m: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class _Lines:
    """Parts of legs, straight in the plane, in columns of shape (k,)."""

    x_m: Floats
    y_m: Floats
    dx_m: Floats
    dy_m: Floats
    course_deg: Floats


def _scale_ratio(lat_deg: Floats) -> Floats:
    """Return metres on the ellipsoid for one metre in the plane."""
    phi = np.radians(lat_deg)
    return np.asarray(np.cos(phi) / np.sqrt(1.0 - _GEOD.es * np.sin(phi) ** 2))


def _plane(lat_deg: Floats, lon_deg: Floats) -> tuple[Floats, Floats]:
    """Return places in the plane."""
    x_m, y_m = _MERCATOR(lon_deg, lat_deg)
    return np.asarray(x_m), np.asarray(y_m)


def index_of(lat_deg: Floats, lon_deg: Floats) -> Index:
    """Return dangers with their tree; made once and kept.

    Parameters
    ----------
    lat_deg, lon_deg : ndarray, shape (n,)
        Positions.
    """
    x_m, y_m = _plane(lat_deg, lon_deg)
    cells = max(1, int(np.sqrt(lat_deg.size / 16.0)))
    column, row = (np.floor(cells * (v - v.min()) / max(np.ptp(v), 1.0)) for v in (x_m, y_m))
    order = np.lexsort((x_m, row, column))
    x_m, y_m = x_m[order], y_m[order]
    index = Index(
        hazard=order,
        lat_deg=lat_deg[order],
        lon_deg=lon_deg[order],
        x_m=x_m,
        y_m=y_m,
        scale_ratio=_scale_ratio(lat_deg[order]),
        tree=shapely.STRtree(shapely.points(x_m, y_m)),
    )
    # The tree is built by its first query.
    index.tree.query(shapely.box(0.0, 0.0, 0.0, 0.0))
    return index


def query(track: PlainTrack, index: Index) -> Hits:
    """Return the least distance of each danger within the searched distance of the track.

    Notes
    -----
    Error below 1e-5 m (tests/bench/test_bench.py): the foot in the plane is within metres of the
    true one, and what is left along the course is taken off by Pythagoras.
    """
    lines = _lines_of(track.legs)
    on_lines = _near(_rank_lines(lines, index))
    on_arcs = _near(_rank_arcs(track.arcs, index))
    best_m = np.full(index.hazard.size, np.inf)
    for pairs in (on_lines, on_arcs):
        np.minimum.at(best_m, pairs.row, pairs.rank_m)
    on_lines = _that_may_be_nearest(on_lines, best_m)
    on_arcs = _that_may_be_nearest(on_arcs, best_m)
    return _measured(track.arcs, lines, index, on_lines, on_arcs)


def query_all(track: PlainTrack, index: Index) -> Hits:
    """Return the same without ranking: every danger in the boxes is measured by a geodesic."""
    lines = _lines_of(track.legs)
    on_lines, on_arcs = _rank_lines(lines, index), _rank_arcs(track.arcs, index)
    return _measured(track.arcs, lines, index, on_lines, on_arcs)


def _measured(
    arcs: PlainArcs, lines: _Lines, index: Index, on_lines: _Pairs, on_arcs: _Pairs
) -> Hits:
    """Return the least geodesic distance of each danger among pairs."""
    from_lines_m = _from_lines_m(lines, index, on_lines)
    from_arcs_m = _from_arcs_m(arcs, index, on_arcs)
    return least_of_each(
        index.hazard[np.concatenate([on_lines.row, on_arcs.row])],
        np.concatenate([from_lines_m, from_arcs_m]),
        index.hazard.size,
    )


def _that_may_be_nearest(pairs: _Pairs, best_m: Floats) -> _Pairs:
    """Return the pairs that the error of ranking leaves in question."""
    most_m = best_m[pairs.row] * (1.0 + 2.0 * _RANK_ERROR_RATIO) + 2.0 * _RANK_ERROR_M
    return _some(pairs, pairs.rank_m <= most_m)


def _some(pairs: _Pairs, which: Bools) -> _Pairs:
    """Return some of the pairs."""
    return _Pairs(row=pairs.row[which], piece=pairs.piece[which], rank_m=pairs.rank_m[which])


def _near(pairs: _Pairs) -> _Pairs:
    """Return the pairs that may be within the searched distance."""
    return _some(pairs, pairs.rank_m <= SEARCH_M * (1.0 + _RANK_ERROR_RATIO) + _RANK_ERROR_M)


def _in_boxes(x_m: Floats, y_m: Floats, margin_m: Floats, index: Index) -> tuple[Ints, Ints]:
    """Return (piece, row) of dangers in the boxes around places of shape (k, places)."""
    boxes = shapely.box(
        x_m.min(axis=1) - margin_m,
        y_m.min(axis=1) - margin_m,
        x_m.max(axis=1) + margin_m,
        y_m.max(axis=1) + margin_m,
    )
    piece, row = index.tree.query(boxes)
    return piece, row


def _search_in_plane_m(y_m: Floats) -> Floats:
    """Return the searched distance in the plane, with what the scale changes over it."""
    lat_deg = np.abs(_MERCATOR(np.zeros(y_m.size), y_m, inverse=True)[1])
    return np.asarray(SEARCH_M / _scale_ratio(np.minimum(lat_deg + 0.1, 89.0)))


def _mean_scale_ratio(index: Index, row: Ints, y_m: Floats) -> Floats:
    """Return the scale half way between dangers and heights in the plane."""
    slope = np.sin(np.radians(index.lat_deg[row])) / (2.0 * _GEOD.a)
    return np.asarray(index.scale_ratio[row] * (1.0 - slope * (y_m - index.y_m[row])))


def _lines_of(legs: PlainLegs) -> _Lines:
    """Return the legs in the plane, cut for the boxes."""
    x0_m, y0_m = _plane(legs.from_lat_deg, legs.from_lon_deg)
    x1_m, y1_m = _plane(legs.to_lat_deg, legs.to_lon_deg)
    length_m = np.hypot(x1_m - x0_m, y1_m - y0_m) * _scale_ratio(legs.from_lat_deg)
    parts = np.maximum(1, np.ceil(length_m / BOX_LEG_M)).astype(np.int64)
    leg = np.repeat(np.arange(parts.size), parts)
    part = np.arange(leg.size) - np.repeat(np.cumsum(parts) - parts, parts)
    dx_m, dy_m = ((x1_m - x0_m) / parts)[leg], ((y1_m - y0_m) / parts)[leg]
    return _Lines(
        x_m=x0_m[leg] + part * dx_m,
        y_m=y0_m[leg] + part * dy_m,
        dx_m=dx_m,
        dy_m=dy_m,
        course_deg=legs.course_deg[leg],
    )


def _shares(lines: _Lines, index: Index, row: Ints, piece: Ints) -> Floats:
    """Return where on lines the feet of dangers lie, from 0 to 1."""
    squared = np.maximum(lines.dx_m**2 + lines.dy_m**2, 1e-12)
    ux, uy = lines.dx_m / squared, lines.dy_m / squared
    base = lines.x_m * ux + lines.y_m * uy
    share = index.x_m[row] * ux[piece] + index.y_m[row] * uy[piece] - base[piece]
    return np.clip(share, 0.0, 1.0, out=share)


def _rank_lines(lines: _Lines, index: Index) -> _Pairs:
    """Return the dangers near lines, ranked by the plane."""
    ends_x_m = np.stack([lines.x_m, lines.x_m + lines.dx_m], axis=1)
    ends_y_m = np.stack([lines.y_m, lines.y_m + lines.dy_m], axis=1)
    margin_m = _search_in_plane_m(np.abs(ends_y_m).max(axis=1))
    piece, row = _in_boxes(ends_x_m, ends_y_m, margin_m, index)
    share = _shares(lines, index, row, piece)
    foot_y_m = lines.y_m[piece] + share * lines.dy_m[piece]
    away_x_m = lines.x_m[piece] + share * lines.dx_m[piece] - index.x_m[row]
    plane_m = np.hypot(away_x_m, foot_y_m - index.y_m[row])
    rank_m = plane_m * _mean_scale_ratio(index, row, foot_y_m)
    return _Pairs(row=row, piece=piece, rank_m=rank_m)


def _from_lines_m(lines: _Lines, index: Index, pairs: _Pairs) -> Floats:
    """Return geodesic distances of dangers from lines."""
    row, piece = pairs.row, pairs.piece
    share = _shares(lines, index, row, piece)
    foot_lon_deg, foot_lat_deg = _MERCATOR(
        lines.x_m[piece] + share * lines.dx_m[piece],
        lines.y_m[piece] + share * lines.dy_m[piece],
        inverse=True,
    )
    bearing_deg, _, distance_m = _GEOD.inv(
        foot_lon_deg, foot_lat_deg, index.lon_deg[row], index.lat_deg[row]
    )
    off = np.radians(bearing_deg - lines.course_deg[piece])
    ahead_m = distance_m * np.cos(off)
    length_m = np.hypot(lines.dx_m, lines.dy_m)[piece] * index.scale_ratio[row]
    beyond_m = ahead_m - np.clip(ahead_m, -share * length_m, (1.0 - share) * length_m)
    return np.hypot(distance_m * np.sin(off), beyond_m)


def _rank_arcs(arcs: PlainArcs, index: Index) -> _Pairs:
    """Return the dangers in the sectors of arcs, ranked by the plane.

    Outside its sector an end of the arc is nearest, which is the end of a leg as well.
    """
    x_m, y_m = _plane(arcs.lat_deg, arcs.lon_deg)
    scale = _scale_ratio(arcs.lat_deg)
    bearings = np.radians(arcs.from_bearing_deg[:, None] + arcs.sweep_deg[:, None] * _FIFTHS)
    plane_radius_m = arcs.radius_m / scale
    bulge_m = plane_radius_m * (1.0 - np.cos(np.radians(arcs.sweep_deg) / 8.0))
    piece, row = _in_boxes(
        x_m[:, None] + plane_radius_m[:, None] * np.sin(bearings),
        y_m[:, None] + plane_radius_m[:, None] * np.cos(bearings),
        _search_in_plane_m(np.abs(y_m)) + bulge_m,
        index,
    )
    east_m, north_m = index.x_m[row] - x_m[piece], index.y_m[row] - y_m[piece]
    bearing_deg = np.degrees(np.arctan2(east_m, north_m))
    within = np.flatnonzero(_from_sector_deg(arcs, piece, bearing_deg) <= _SECTOR_ERROR_DEG)
    piece, row = piece[within], row[within]
    from_centre_m = np.hypot(east_m[within], north_m[within])
    from_centre_m *= _mean_scale_ratio(index, row, y_m[piece])
    rank_m = np.abs(from_centre_m - arcs.radius_m[piece])
    return _Pairs(row=row, piece=piece, rank_m=rank_m)


def _from_sector_deg(arcs: PlainArcs, piece: Ints, bearing_deg: Floats) -> Floats:
    """Return how far outside the sectors of arcs bearings from their centres are, else below 0."""
    middle_deg = arcs.from_bearing_deg + arcs.sweep_deg / 2.0
    away_deg = np.abs(signed_change_deg(middle_deg[piece], bearing_deg))
    return np.asarray(away_deg - (np.abs(arcs.sweep_deg) / 2.0)[piece])


def _from_arcs_m(arcs: PlainArcs, index: Index, pairs: _Pairs) -> Floats:
    """Return geodesic distances of dangers from arcs."""
    row, piece = pairs.row, pairs.piece
    bearing_deg, _, from_centre_m = _GEOD.inv(
        arcs.lon_deg[piece], arcs.lat_deg[piece], index.lon_deg[row], index.lat_deg[row]
    )
    distance_m = np.abs(from_centre_m - arcs.radius_m[piece])
    outside = np.flatnonzero(_from_sector_deg(arcs, piece, bearing_deg) > 0.0)
    distance_m[outside] = _from_ends_m(arcs, index, row[outside], piece[outside])
    return distance_m


def _from_ends_m(arcs: PlainArcs, index: Index, row: Ints, piece: Ints) -> Floats:
    """Return geodesic distances of dangers from the nearer ends of arcs."""
    both_m = []
    for turned_deg in (np.zeros_like(arcs.sweep_deg), arcs.sweep_deg):
        lon_deg, lat_deg, _ = _GEOD.fwd(
            arcs.lon_deg, arcs.lat_deg, arcs.from_bearing_deg + turned_deg, arcs.radius_m
        )
        both_m.append(
            _GEOD.inv(lon_deg[piece], lat_deg[piece], index.lon_deg[row], index.lat_deg[row])[2]
        )
    return np.minimum(*both_m)
