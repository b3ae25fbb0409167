"""Two invented routes of 200 waypoints, and dangers strewn about them; the same every time.

``ocean`` has long legs and few dangers near, ``coastal`` short legs with turns close to one
another and many dangers near.
"""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats
from wheelover.core.clearance.passing import TrackPiece
from wheelover.core.errors import InvalidRoute
from wheelover.core.geo import rhumb
from wheelover.core.legs import points_along
from wheelover.core.track import Track, lay_track
from wheelover.core.turns.arc import points_on_arc
from wheelover.core.types.route import Route, Waypoint
from wheelover.core.units import NM_M

WAYPOINT_COUNT = 200
LEAST_TURN_DEG, MOST_TURN_DEG = 10.0, 90.0
LEAST_RADIUS_NM, MOST_RADIUS_NM = 0.3, 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """How a route is invented and how far around it dangers are strewn.

    ``general_course_deg`` is where the route goes on the whole at its beginning; it changes by
    ``general_turn_deg`` on the way. ``beyond_deg`` widens the box of dangers on all four sides.
    """

    name: str
    seed: int
    start_lat_deg: float
    start_lon_deg: float
    length_m: float
    general_course_deg: float
    general_turn_deg: float
    beyond_deg: float


OCEAN = Setting(
    name="ocean",
    seed=20_001,
    start_lat_deg=46.0,
    start_lon_deg=-12.0,
    length_m=4_008.0 * NM_M,
    general_course_deg=270.0,
    general_turn_deg=0.0,
    beyond_deg=1.56,
)
COASTAL = Setting(
    name="coastal",
    seed=20_002,
    start_lat_deg=57.0,
    start_lon_deg=4.0,
    length_m=339.5 * NM_M,
    general_course_deg=350.0,
    general_turn_deg=420.0,
    beyond_deg=0.1285,
)
SETTINGS = (OCEAN, COASTAL)


def route_of(setting: Setting) -> Route:
    """Return the route of a setting; its turns alternate about the general course."""
    rng = np.random.default_rng(setting.seed)
    legs = WAYPOINT_COUNT - 1
    share = rng.uniform(0.67, 1.33, legs)
    lengths_m = share * (setting.length_m / float(share.sum()))
    turns_deg = rng.uniform(LEAST_TURN_DEG, MOST_TURN_DEG, legs - 1)
    radii_nm = rng.uniform(LEAST_RADIUS_NM, MOST_RADIUS_NM, legs - 1)
    lat_deg, lon_deg = setting.start_lat_deg, setting.start_lon_deg
    course_deg = setting.general_course_deg
    waypoints = [Waypoint(id="W000", lat_deg=lat_deg, lon_deg=lon_deg)]
    for leg in range(legs):
        lats, lons = rhumb.direct(lat_deg, lon_deg, course_deg, lengths_m[leg])
        lat_deg, lon_deg = float(lats[0]), float(lons[0])
        inside = leg < legs - 1
        waypoints.append(
            Waypoint(
                id=f"W{leg + 1:03d}",
                lat_deg=lat_deg,
                lon_deg=lon_deg,
                turn_radius_nm=float(radii_nm[leg]) if inside else None,
            )
        )
        if inside:
            general_deg = setting.general_course_deg + setting.general_turn_deg * leg / legs
            back = -1.0 if course_deg > general_deg else 1.0
            course_deg += back * float(turns_deg[leg])
    return Route(name=setting.name, waypoints=tuple(waypoints))


def track_of(setting: Setting) -> Track:
    """Return the planned track of a setting.

    Raises
    ------
    InvalidRoute
        When a turn does not fit its legs: the scene would not be what it says.
    """
    track = lay_track(route_of(setting), None)
    crowded = [leg.from_id for leg in track.legs if not leg.room]
    bare = [turn.waypoint_id for turn in track.turns if turn.arc is None]
    if crowded or bare:
        raise InvalidRoute(f"turns do not fit: legs from {crowded}, no arc at {bare}", ())
    return track


def positions_of(pieces: tuple[TrackPiece, ...]) -> tuple[Floats, Floats]:
    """Return positions on the track, nine to each piece, as latitudes and longitudes."""
    shares = np.linspace(0.0, 1.0, 9)
    lats, lons = [], []
    for piece in pieces:
        if piece.arc is not None:
            lat_deg, lon_deg = points_on_arc(piece.arc, shares * abs(piece.arc.sweep_deg))
        else:
            assert piece.leg is not None
            along_m = piece.from_m + shares * (piece.to_m - piece.from_m)
            lat_deg, lon_deg, _ = points_along(piece.leg, along_m)
        lats.append(lat_deg)
        lons.append(lon_deg)
    return np.concatenate(lats), np.concatenate(lons)


def point_hazards(
    setting: Setting, pieces: tuple[TrackPiece, ...], count: int
) -> tuple[Floats, Floats]:
    """Return points evenly strewn over the box about the track.

    Parameters
    ----------
    setting : Setting
        Gives the seed and how far beyond the track the box reaches.
    pieces : tuple of TrackPiece
        The planned track.
    count : int
        How many.

    Returns
    -------
    lat_deg, lon_deg : ndarray, shape (count,)
        Positions. A larger count does not repeat the positions of a smaller one.
    """
    rng = np.random.default_rng([setting.seed, count])
    track_lat_deg, track_lon_deg = positions_of(pieces)
    beyond = setting.beyond_deg
    lat_deg = rng.uniform(track_lat_deg.min() - beyond, track_lat_deg.max() + beyond, count)
    lon_deg = rng.uniform(track_lon_deg.min() - beyond, track_lon_deg.max() + beyond, count)
    return lat_deg, lon_deg
