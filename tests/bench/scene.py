"""Two invented routes of 200 waypoints, and dangers strewn about them; the same every time.

``ocean`` has long legs and few dangers near, ``coastal`` short legs with turns close to one
another and many dangers near.
"""

from dataclasses import dataclass, replace

import numpy as np

from wheelover.core.arrays import Floats, Ints, numbered
from wheelover.core.clearance.passing import TrackPiece
from wheelover.core.errors import InvalidRoute
from wheelover.core.geo import rhumb
from wheelover.core.legs import points_along
from wheelover.core.track import Track, lay_track
from wheelover.core.turns.arc import points_on_arc
from wheelover.core.types.chart import Hazards, Paths, Points
from wheelover.core.types.dangers import DangerClass
from wheelover.core.types.route import LegWishes, Route, Waypoint
from wheelover.core.types.ship import Response, ShipProfile
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


SHARES: tuple[tuple[DangerClass, float], ...] = (
    ("sounding", 0.60),
    ("rock", 0.24),
    ("cable", 0.10),
    ("shoal", 0.06),
)
"""Mixed dangers: soundings and rocks are points, cables lines of two edges, shoals areas of five
edges, every other with a hole of three: a million have 590,000 edges."""

LINE_EDGE_M = (200.0, 1_500.0)
AREA_RADIUS_M = (150.0, 900.0)
LINE_VERTICES, RING_VERTICES, HOLE_VERTICES = 3, 5, 3
_HOLE_SHARE = 0.3
_METRES_PER_DEG = 111_320.0

XTD_NM = {"ocean": 0.5, "coastal": 0.2}
"""Half the width of the corridor of every leg, to either side."""

SHIP = ShipProfile(
    name="Bench carrier 200",
    loa_m=200.0,
    beam_m=32.0,
    draught_fore_m=10.0,
    draught_aft_m=10.0,
    speed_kn=12.0,
    response=Response(
        k_per_s=0.0741,
        t_s=107.0,
        at_speed_kn=12.0,
        alpha_s2=12_000.0,
        drift_lengths=0.45,
        race_exponent=1.2,
        speed_recovery=0.075,
        speed_loss=0.7,
        drift_lag=0.5,
    ),
)
"""Turns of this ship are simulated, so that there is a hull to sweep through them."""


def sailed_track_of(setting: Setting) -> Track:
    """Return the track of a setting with corridors on its legs, laid for ``SHIP``."""
    wishes = LegWishes(xtd_port_nm=XTD_NM[setting.name], xtd_starboard_nm=XTD_NM[setting.name])
    route = route_of(setting)
    first, *others = route.waypoints
    waypoints = (first, *(replace(one, leg=wishes) for one in others))
    return lay_track(replace(route, waypoints=waypoints), SHIP)


def mixed_hazards(setting: Setting, pieces: tuple[TrackPiece, ...], count: int) -> Hazards:
    """Return dangers of all shapes, in ``SHARES``, evenly strewn over the box about the track.

    Parameters
    ----------
    setting, pieces, count
        As in ``point_hazards``, which gives their places.
    """
    lat_deg, lon_deg = point_hazards(setting, pieces, count)
    rng = np.random.default_rng([setting.seed, count, 1])
    bounds = np.round(np.cumsum([share for _, share in SHARES]) * count).astype(np.int64)
    first_line, first_area = int(bounds[1]), int(bounds[2])
    lines = _lines_about(lat_deg[first_line:first_area], lon_deg[first_line:first_area], rng)
    areas = _areas_about(lat_deg[first_area:], lon_deg[first_area:], rng)
    unknown = np.full(count, np.nan)
    depth_m = unknown.copy()
    depth_m[: bounds[0]] = rng.uniform(0.0, 12.0, int(bounds[0]))
    numbers = np.diff(bounds, prepend=0).tolist()
    kinds = [name for (name, _), number in zip(SHARES, numbers, strict=True) for _ in range(number)]
    shapes = ["Point"] * first_line + ["LineString"] * numbers[2] + ["Polygon"] * numbers[3]
    return Hazards(
        ids=tuple(f"H{number}" for number in range(count)),
        names=(None,) * count,
        kinds=tuple(kinds),
        shapes=tuple(shapes),
        depth_m=depth_m,
        position_uncertainty_m=np.zeros(count),
        uncertainty_given=np.zeros(count, dtype=np.bool_),
        min_clearance_m=unknown,
        points=Points(
            hazard=np.arange(first_line, dtype=np.int64),
            lat_deg=lat_deg[:first_line],
            lon_deg=lon_deg[:first_line],
        ),
        paths=_paths(lines, areas, first_line),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rings:
    """Lines or rings behind one another: how many vertices each has, and what it belongs to."""

    owner: Ints
    counts: Ints
    lat_deg: Floats
    lon_deg: Floats


def _lines_about(lat_deg: Floats, lon_deg: Floats, rng: np.random.Generator) -> _Rings:
    """Return lines that begin at places and bend once, by up to a right angle."""
    count = lat_deg.size
    length_m = rng.uniform(*LINE_EDGE_M, (count, LINE_VERTICES - 1))
    course_rad = rng.uniform(0.0, 2.0 * np.pi, (count, 1)) + np.concatenate(
        [np.zeros((count, 1)), rng.uniform(-np.pi / 2.0, np.pi / 2.0, (count, 1))], axis=1
    )
    off_m = np.zeros((count, LINE_VERTICES, 2))
    off_m[:, 1:, 0] = np.cumsum(length_m * np.cos(course_rad), axis=1)
    off_m[:, 1:, 1] = np.cumsum(length_m * np.sin(course_rad), axis=1)
    lat, lon = _moved(lat_deg, lon_deg, off_m)
    return _Rings(
        owner=np.arange(count, dtype=np.int64),
        counts=np.full(count, LINE_VERTICES, dtype=np.int64),
        lat_deg=lat.ravel(),
        lon_deg=lon.ravel(),
    )


def _areas_about(lat_deg: Floats, lon_deg: Floats, rng: np.random.Generator) -> _Rings:
    """Return rings about places, counter-clockwise; behind every other one its hole."""
    count = lat_deg.size
    spoke_m = rng.uniform(*AREA_RADIUS_M, (count, 1)) * rng.uniform(
        0.7, 1.0, (count, RING_VERTICES)
    )
    lean_rad = rng.uniform(0.0, 2.0 * np.pi, (count, 1))
    jitter = rng.uniform(-0.15, 0.15, (count, RING_VERTICES))
    outer = _ring(lat_deg, lon_deg, lean_rad, jitter, spoke_m)
    hole_m = np.min(spoke_m, axis=1, keepdims=True) * np.full(HOLE_VERTICES, -_HOLE_SHARE)
    inner = _ring(lat_deg, lon_deg, lean_rad, np.zeros((count, HOLE_VERTICES)), hole_m)
    holed = np.arange(count) % 2 == 1
    owner, ring = numbered(np.where(holed, 2, 1))
    counts = np.where(ring == 0, RING_VERTICES + 1, HOLE_VERTICES + 1)
    of_ring, place = numbered(counts)
    at = owner[of_ring]
    hole = ring[of_ring] == 1
    # A hole runs the other way round: its places are taken from the last on.
    back = HOLE_VERTICES - np.minimum(place, HOLE_VERTICES)
    lat, lon = (
        np.where(hole, inner[one][at, back], outer[one][at, np.minimum(place, RING_VERTICES)])
        for one in (0, 1)
    )
    return _Rings(owner=owner, counts=counts, lat_deg=lat, lon_deg=lon)


def _ring(
    lat_deg: Floats, lon_deg: Floats, lean_rad: Floats, jitter: Floats, spoke_m: Floats
) -> tuple[Floats, Floats]:
    """Return closed rings about places, shape (n, k + 1)."""
    share = (np.arange(spoke_m.shape[1]) + jitter) / spoke_m.shape[1]
    angle_rad = lean_rad + 2.0 * np.pi * share
    off_m = spoke_m[..., None] * np.stack([np.sin(angle_rad), np.cos(angle_rad)], axis=-1)
    return _moved(lat_deg, lon_deg, np.concatenate([off_m, off_m[:, :1]], axis=1))


def _moved(lat_deg: Floats, lon_deg: Floats, off_m: Floats) -> tuple[Floats, Floats]:
    """Return places moved north and east, shape (n, k)."""
    lat = lat_deg[:, None] + off_m[..., 0] / _METRES_PER_DEG
    east_m_per_deg = _METRES_PER_DEG * np.cos(np.radians(lat_deg))
    return lat, lon_deg[:, None] + off_m[..., 1] / east_m_per_deg[:, None]


def _paths(lines: _Rings, areas: _Rings, first_line: int) -> Paths:
    """Return lines and rings as the paths of dangers that are numbered from ``first_line`` on."""
    line_count = lines.counts.size
    counts = np.concatenate([lines.counts, areas.counts])
    return Paths(
        hazard=first_line + np.concatenate([lines.owner, line_count + areas.owner]),
        area=np.concatenate([np.full(line_count, -1, dtype=np.int64), areas.owner]),
        starts=np.concatenate([np.zeros(1, dtype=np.int64), np.cumsum(counts)]),
        lat_deg=np.concatenate([lines.lat_deg, areas.lat_deg]),
        lon_deg=np.concatenate([lines.lon_deg, areas.lon_deg]),
    )
