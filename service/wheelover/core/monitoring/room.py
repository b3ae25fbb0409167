"""Where along a leg she has room to turn round inside the loaded dangers."""

import math
from collections.abc import Sequence

import numpy as np
import shapely

from wheelover.core.arrays import Bools, Floats
from wheelover.core.geo.plane import to_plane_m
from wheelover.core.legs import points_along
from wheelover.core.sweep.about import hazards_about, widest_m
from wheelover.core.sweep.dangers import area_edges, dangers_holding, parts_about
from wheelover.core.sweep.margins import asked_of, most_asked_m
from wheelover.core.sweep.near import shapes_of_parts
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.limits import LegAsked
from wheelover.core.types.monitoring import RoomStretch, TurnRound
from wheelover.core.types.track import LegLine

LEAST_STEP_M = 92.6
"""Places are looked at this far apart, half a cable, or farther on long legs."""

_MOST_PLACES = 120
_FRAME_M = 15_000.0


def places_m(from_m: float, to_m: float) -> Floats:
    """Return the places of a leg that are looked at, its ends included.

    Parameters
    ----------
    from_m, to_m : float
        The stretch of the leg that is track.
    """
    count = math.ceil(max(to_m - from_m, 0.0) / LEAST_STEP_M)
    return np.linspace(from_m, to_m, min(max(count, 1), _MOST_PLACES) + 1)


def room_along(
    path: LegLine,
    along_m: Floats,
    turns: Sequence[TurnRound],
    loa_m: float,
    hazards: Hazards,
    asked: LegAsked,
    limits: Limits,
) -> dict[str, Bools]:
    """Return for each side at which places she has room to turn round.

    Parameters
    ----------
    path : LegLine
        The leg.
    along_m : ndarray, shape (n,)
        The places, along it.
    turns : sequence of TurnRound
        The water she needs to either side.
    loa_m : float
        Her length: half of it is taken beside her midships all round.
    hazards : Hazards
        The dangers.
    asked : LegAsked
        What the leg asks of them.
    limits : Limits
        What plan and limit set ask.

    Returns
    -------
    dict
        By side, shape (n,): whether no danger lies in the box about her turn, nor nearer to it than
        is asked of that danger and its position is uncertain.

    Notes
    -----
    The box reaches from half a length astern to half a length beyond her advance, and from half a
    length on the other side to half a length beyond her tactical diameter: more than she sweeps,
    so that what is called room is room.
    """
    lat, lon, course = points_along(path, along_m)
    found: dict[str, Bools] = {one.side: np.ones(along_m.size, dtype=np.bool_) for one in turns}
    if hazards.count == 0:
        return found
    frames = max(math.ceil(float(along_m[-1] - along_m[0]) / _FRAME_M), 1)
    for part in np.array_split(np.arange(along_m.size), frames):
        if part.size:
            _look(found, part, (lat, lon, course), turns, loa_m, hazards, asked, limits)
    return found


def _look(
    found: dict[str, Bools], part: np.ndarray, columns: tuple[Floats, Floats, Floats],
    turns: Sequence[TurnRound], loa_m: float, hazards: Hazards, asked: LegAsked, limits: Limits,
) -> None:  # fmt: skip
    """Look at some places of a leg in one plane, and put down where she has no room."""
    lat, lon, course = (one[part] for one in columns)
    middle = part.size // 2
    middle_deg = (float(lat[middle]), float(lon[middle]))
    place_m = to_plane_m(middle_deg, lat, lon)
    needs_m = max(math.hypot(one.ahead_m, one.aside_m) for one in turns) + loa_m
    reach_m = float(np.max(np.hypot(place_m[:, 0], place_m[:, 1]))) + needs_m
    most_m = widest_m(hazards, most_asked_m((asked,), limits))
    near = hazards_about(hazards, middle_deg, reach_m + most_m).hazards
    if near.count == 0:
        return
    margin_m = asked_of(near, (asked,), limits).margin_m
    parts = parts_about(near, middle_deg, margin_m + reach_m)
    edges = area_edges(near, middle_deg[0], reach_m)
    shapes = shapes_of_parts(parts)
    for one in turns:
        if parts.count:
            tree = shapely.STRtree(shapely.polygons(_corners_m(place_m, course, one, loa_m)))
            _, box = tree.query(shapes, predicate="dwithin", distance=margin_m[parts.hazard])
            found[one.side][part[np.unique(box)]] = False
    free = np.any(np.stack([found[one.side][part] for one in turns]), axis=0)
    step_m = float(np.max(np.hypot(*np.diff(place_m, axis=0).T), initial=0.0))
    joined = step_m < min(one.ahead_m for one in turns)
    for first, stop in _runs(free, joined=joined):
        if dangers_holding(edges, float(lat[first]), float(lon[first])).size:
            for one in turns:
                found[one.side][part[first:stop]] = False


def _runs(free: Bools, *, joined: bool) -> list[tuple[int, int]]:
    """Return stretches of places of which one may speak for all whether an area holds them.

    No edge lies in the boxes about free places, so along a run of boxes that reach into each other
    she enters and leaves no area; where they do not reach so far each place stands alone.
    """
    if not joined:
        return [(place, place + 1) for place in np.flatnonzero(free).tolist()]
    ends = np.flatnonzero(np.diff(np.concatenate([[0], free.astype(np.int64), [0]]))).tolist()
    return list(zip(ends[::2], ends[1::2], strict=True))


def _corners_m(place_m: Floats, course_deg: Floats, turn: TurnRound, loa_m: float) -> Floats:
    """Return the corners of the boxes about her turns, shape (n, 4, 2), east and north."""
    half_m = loa_m / 2.0
    sign = 1.0 if turn.side == "starboard" else -1.0
    low_m, high_m = -half_m, turn.ahead_m + half_m
    inner_m, outer_m = -sign * half_m, sign * (turn.aside_m + half_m)
    ahead = np.array([low_m, high_m, high_m, low_m])
    aside = np.array([inner_m, inner_m, outer_m, outer_m])
    course = np.radians(course_deg)[:, None]
    east = place_m[:, :1] + ahead * np.sin(course) + aside * np.cos(course)
    north = place_m[:, 1:] + ahead * np.cos(course) - aside * np.sin(course)
    return np.stack([east, north], axis=-1)


def stretches_of(along_m: Floats, room: dict[str, Bools]) -> tuple[RoomStretch, ...]:
    """Return the stretches of a leg along which she has room on some side, in sailing order.

    Parameters
    ----------
    along_m : ndarray, shape (n,)
        The places looked at.
    room : dict
        For each side whether there is room at each place.
    """
    any_side = np.any(np.stack(list(room.values())), axis=0) if room else np.zeros(0, np.bool_)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], any_side.astype(np.int64), [0]])))
    found = []
    for first, stop in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        last = stop - 1
        side = next(name for name, places in room.items() if places[last])
        found.append(
            RoomStretch(
                from_m=float(along_m[first]),
                to_m=float(along_m[last]),
                side="starboard" if side == "starboard" else "port",
            )
        )
    return tuple(found)
