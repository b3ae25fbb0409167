"""Nearest points of the whole track to all that the dangers are made of."""

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.clearance.edges_of_arcs import passing_arc_edges
from wheelover.core.clearance.edges_of_legs import passing_leg_edges
from wheelover.core.clearance.index import EdgeIndex, Surroundings
from wheelover.core.clearance.inside import Areas, dangers_around
from wheelover.core.clearance.of_points import TrackLines, passing_points
from wheelover.core.clearance.passing import (
    NO_PASSING,
    Passing,
    joined,
    nearest_of_each,
)
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo import geodesic
from wheelover.core.legs import in_columns, points_along
from wheelover.core.types.clearance import SIDES

_CROSSED = SIDES.index("crossed")


def passing_track(track: TrackLines, around: Surroundings) -> tuple[Passing, frozenset[int]]:
    """Return the nearest point of every piece of a track to each danger near it.

    Parameters
    ----------
    track : TrackLines
        The track.
    around : Surroundings
        The dangers, and how far around each to look.

    Returns
    -------
    passing : Passing
        Each danger once for each piece that is near it.
    unmeasured : frozenset of int
        Numbers of the pieces whose nearest points could not be found: a leg that winds about a
        pole may curve too sharply. They have no rows; the rest of the track is measured.
    """
    found = []
    lost: frozenset[int] = frozenset()
    if around.points is not None:
        near, lost = passing_points(track, around.points)
        found.append(near.of(around.points.points.hazard))
    if around.edges is not None:
        near, more = _of_edges(track, around.edges)
        found += [near, inside_of_track(track, around.areas)]
        lost |= more
    passing = joined(found)
    if lost:
        passing = passing.rows(np.flatnonzero(~np.isin(passing.piece, list(lost))))
    return nearest_of_each(passing), lost


def places_of(track: TrackLines, passing: Passing) -> tuple[Floats, Floats]:
    """Return the positions of nearest points on the track, degrees, shape (m,)."""
    lat, lon = np.empty(passing.piece.size), np.empty(passing.piece.size)
    place = np.searchsorted(track.arc_piece, passing.piece)
    on_arc = np.isin(passing.piece, track.arc_piece)
    if bool(np.any(on_arc)):
        columns = np.array(
            [
                (a.centre.lat_deg, a.centre.lon_deg, a.from_bearing_deg, a.sweep_deg, a.radius_m)
                for a in track.arcs
            ]
        )
        lat0, lon0, from_deg, sweep_deg, radius_m = columns[place[on_arc]].T
        turned_deg = np.degrees(passing.along_m[on_arc] / radius_m)
        bearing_deg = from_deg + np.copysign(turned_deg, sweep_deg)
        lat[on_arc], lon[on_arc], _ = geodesic.direct(lat0, lon0, bearing_deg, radius_m)
    on_leg = ~on_arc
    if bool(np.any(on_leg)):
        lines = in_columns([one.leg for one in track.pieces if one.leg is not None])
        leg_piece = np.setdiff1d(np.arange(len(track.pieces)), track.arc_piece)
        which = np.searchsorted(leg_piece, passing.piece[on_leg])
        lat[on_leg], lon[on_leg], _ = points_along(lines.rows(which), passing.along_m[on_leg])
    return lat, lon


def _of_edges(track: TrackLines, index: EdgeIndex) -> tuple[Passing, frozenset[int]]:
    """Return the nearest points to lines and areas, and the pieces where that fails."""
    found, lost = [], set()
    for number in pieces_near_edges(track, index).tolist():
        piece = track.pieces[number]
        try:
            if piece.arc is not None:
                found.append(passing_arc_edges(number, piece.arc, index))
            elif piece.leg is not None:
                found.append(passing_leg_edges(track, number, piece.leg, index))
        except OutOfDomain:
            lost.add(number)
    return joined(found), frozenset(lost)


def pieces_near_edges(track: TrackLines, index: EdgeIndex) -> Ints:
    """Return the numbers of the pieces that may be near an edge, ascending."""
    near = np.zeros(len(track.pieces), dtype=np.bool_)
    wide_m = float(np.max(index.search_m)) + index.lines.half_m + 1.0
    stretches, circles = track.stretches, track.circles
    if stretches.piece.size:
        half_m = np.linalg.norm(stretches.curves.end_m - stretches.curves.start_m, axis=1) / 2.0
        reach_m = half_m + stretches.bow_m + wide_m
        near[stretches.piece[_any_near(index, stretches.middles_m, reach_m)]] = True
    if track.arcs:
        near[track.arc_piece[_any_near(index, circles.frame[:, 0], circles.radius_m + wide_m)]] = (
            True
        )
    return np.flatnonzero(near)


def _any_near(index: EdgeIndex, places_m: Floats, reach_m: Floats) -> Bools:
    """Return whether the middle of any stretch of an edge lies within reach of places."""
    return np.asarray(index.lines.tree.query(places_m)[0] <= reach_m)


def inside_of_track(track: TrackLines, areas: Areas) -> Passing:
    """Return the dangers in whose areas a piece begins or ends; what it enters it also crosses."""
    if areas.hazard.size == 0 or not track.pieces:
        return NO_PASSING
    piece, along_m, lat, lon = _ends(track)
    within = (lat >= np.min(areas.south_deg)) & (lat <= np.max(areas.north_deg))
    return joined(
        [
            _held(int(piece[row]), (float(lat[row]), float(lon[row])), float(along_m[row]), areas)
            for row in np.flatnonzero(within)
        ]
    )


def _ends(track: TrackLines) -> tuple[Ints, Floats, Floats, Floats]:
    """Return both ends of every piece: its number, how far along they are, and where."""
    stretches = track.stretches
    first = np.searchsorted(stretches.piece, np.unique(stretches.piece))
    last = np.append(first[1:], stretches.piece.size) - 1
    arcs = np.array(
        [
            (0.0, a.start.lat_deg, a.start.lon_deg, abs(a.sweep_deg), a.end.lat_deg, a.end.lon_deg)
            for a in track.arcs
        ]
    ).reshape(-1, 6)
    end_m = np.radians(arcs[:, 3]) * track.circles.radius_m
    leg_piece = stretches.piece[first]
    return (
        np.concatenate([leg_piece, leg_piece, track.arc_piece, track.arc_piece]),
        np.concatenate([stretches.low_m[first], stretches.high_m[last], arcs[:, 0], end_m]),
        np.concatenate(
            [stretches.lat_deg[first, 0], stretches.lat_deg[last, 1], arcs[:, 1], arcs[:, 4]]
        ),
        np.concatenate(
            [stretches.lon_deg[first, 0], stretches.lon_deg[last, 1], arcs[:, 2], arcs[:, 5]]
        ),
    )


def _held(
    piece_index: int, place_deg: tuple[float, float], along_m: float, areas: Areas
) -> Passing:
    """Return the dangers whose areas hold a place, at no distance."""
    lat, lon = place_deg
    hazard = dangers_around(areas, lat, lon)
    return Passing(
        piece=np.full(hazard.size, piece_index),
        hazard=hazard,
        distance_m=np.zeros(hazard.size),
        along_m=np.full(hazard.size, along_m),
        danger_lat_deg=np.full(hazard.size, lat),
        danger_lon_deg=np.full(hazard.size, lon),
        side=np.full(hazard.size, _CROSSED),
    )
