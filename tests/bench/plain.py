"""The planned track as plain columns, which the peers are given ready made."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats
from wheelover.core.clearance.passing import TrackPiece
from wheelover.core.legs import points_along


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainLegs:
    """Rhumb legs from tangent point to tangent point, in columns of shape (k,)."""

    from_lat_deg: Floats
    from_lon_deg: Floats
    to_lat_deg: Floats
    to_lon_deg: Floats
    course_deg: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainArcs:
    """Arcs of constant geodesic radius, in columns of shape (k,); starboard sweep is positive."""

    lat_deg: Floats
    lon_deg: Floats
    radius_m: Floats
    from_bearing_deg: Floats
    sweep_deg: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainTrack:
    """Legs and arcs; every end of an arc is an end of a leg."""

    legs: PlainLegs
    arcs: PlainArcs


def plain_track(pieces: tuple[TrackPiece, ...]) -> PlainTrack:
    """Return the track in columns.

    Raises
    ------
    ValueError
        For a leg that is no rhumb line, which the peers do not know.
    """
    ends, centres = [], []
    for piece in pieces:
        if piece.arc is not None:
            arc = piece.arc
            centre = (arc.centre.lat_deg, arc.centre.lon_deg, arc.radius_m)
            centres.append((*centre, arc.from_bearing_deg, arc.sweep_deg))
        elif piece.leg is not None and piece.leg.line == "rhumb":
            lat_deg, lon_deg, course_deg = points_along(piece.leg, [piece.from_m, piece.to_m])
            ends.append((lat_deg[0], lon_deg[0], lat_deg[1], lon_deg[1], course_deg[0]))
        else:
            raise ValueError("the peers know rhumb legs and arcs only")
    legs = np.array(ends).reshape(-1, 5).T.copy()
    arcs = np.array(centres).reshape(-1, 5).T.copy()
    return PlainTrack(
        legs=PlainLegs(
            from_lat_deg=legs[0],
            from_lon_deg=legs[1],
            to_lat_deg=legs[2],
            to_lon_deg=legs[3],
            course_deg=legs[4],
        ),
        arcs=PlainArcs(
            lat_deg=arcs[0],
            lon_deg=arcs[1],
            radius_m=arcs[2],
            from_bearing_deg=arcs[3],
            sweep_deg=arcs[4],
        ),
    )
