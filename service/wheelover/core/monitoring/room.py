"""Where on a leg or an arc she has room to turn round inside loaded dangers and the coastline."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from wheelover.core.aids.room import coast_margin_m
from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.geo.plane import to_plane_m
from wheelover.core.monitoring.places import Places
from wheelover.core.monitoring.shore import Shore
from wheelover.core.sweep.about import hazards_about, widest_m
from wheelover.core.sweep.dangers import parts_about
from wheelover.core.sweep.holding import area_edges, dangers_holding
from wheelover.core.sweep.margins import asked_of, most_asked_m
from wheelover.core.sweep.near import shapes_of_parts
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.limits import LegAsked
from wheelover.core.types.monitoring import RoomStretch, TurnRound

_FRAME_M = 15_000.0


def room_along(
    places: Places,
    turns: Sequence[TurnRound],
    loa_m: float,
    hazards: Hazards,
    asked: tuple[LegAsked, ...],
    limits: Limits,
    shore: Shore | None = None,
) -> dict[str, Bools]:
    """Return for each side at which places she has room to turn round.

    Parameters
    ----------
    places : Places
        The places.
    turns : sequence of TurnRound
        The water she needs to either side.
    loa_m : float
        Her length: half of it is taken beside her midships all round.
    hazards : Hazards
        The dangers.
    asked : tuple of LegAsked
        What the leg asks of them, or both legs of a turn.
    limits : Limits
        What plan and limit set ask.
    shore : Shore or None
        The open coastline.

    Returns
    -------
    dict
        By side, shape (n,): whether no danger lies in the box about her turn, nor nearer to it than
        is asked of that danger and its position is uncertain, and no shore nearer than is asked of
        land.

    Notes
    -----
    The box reaches from half a length astern to half a length beyond her advance, and from half a
    length on the other side to half a length beyond her tactical diameter: more than she sweeps,
    so that what is called room is room.
    """
    along_m, columns = places.along_m, (places.lat_deg, places.lon_deg, places.course_deg)
    found: dict[str, Bools] = {one.side: np.ones(along_m.size, dtype=np.bool_) for one in turns}
    if hazards.count == 0 and shore is None:
        return found
    frames = max(math.ceil(float(along_m[-1] - along_m[0]) / _FRAME_M), 1)
    for part in np.array_split(np.arange(along_m.size), frames):
        if not part.size:
            continue
        frame = _Frame.of(found, part, columns, turns, loa_m)
        if hazards.count:
            _among_dangers(frame, hazards, asked, limits)
        if shore is not None:
            land_m = max(coast_margin_m(one, limits) or 0.0 for one in asked)
            _beside_shore(frame, shore, land_m)
    return found


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Frame:
    """Some places of a leg in one plane, and where it is put down that she has no room."""

    found: dict[str, Bools]
    part: Ints
    lat_deg: Floats
    lon_deg: Floats
    course_deg: Floats
    place_m: Floats
    turns: Sequence[TurnRound]
    loa_m: float

    @staticmethod
    def of(
        found: dict[str, Bools], part: Ints, columns: tuple[Floats, Floats, Floats],
        turns: Sequence[TurnRound], loa_m: float,
    ) -> "_Frame":  # fmt: skip
        """Return the frame about the middle of some places."""
        lat, lon, course = (one[part] for one in columns)
        middle = part.size // 2
        return _Frame(
            found=found,
            part=part,
            lat_deg=lat,
            lon_deg=lon,
            course_deg=course,
            place_m=to_plane_m((float(lat[middle]), float(lon[middle])), lat, lon),
            turns=turns,
            loa_m=loa_m,
        )

    @property
    def middle_deg(self) -> tuple[float, float]:
        """Return the middle of the plane."""
        middle = self.part.size // 2
        return float(self.lat_deg[middle]), float(self.lon_deg[middle])

    @property
    def needs_m(self) -> float:
        """Return how far about a place her turn may reach."""
        return max(math.hypot(one.ahead_m, one.aside_m) for one in self.turns) + self.loa_m

    def take(self, shapes: Any, margin_m: Any) -> None:
        """Put down that there is no room where a shape lies nearer to the box than its margin."""
        for one in self.turns:
            corners = _corners_m(self.place_m, self.course_deg, one, self.loa_m)
            tree = shapely.STRtree(shapely.polygons(corners))
            _, box = tree.query(shapes, predicate="dwithin", distance=margin_m)
            self.found[one.side][self.part[np.unique(box)]] = False

    def free(self) -> Bools:
        """Return at which places she has room on some side."""
        sides = np.stack([self.found[one.side][self.part] for one in self.turns])
        return np.asarray(np.any(sides, axis=0), dtype=np.bool_)

    def close(self, places: Any) -> None:
        """Put down that at some places there is no room on any side."""
        for one in self.turns:
            self.found[one.side][self.part[places]] = False


def _among_dangers(
    frame: _Frame, hazards: Hazards, asked: tuple[LegAsked, ...], limits: Limits
) -> None:
    """Put down where the dangers leave her no room."""
    reach_m = float(np.max(np.hypot(frame.place_m[:, 0], frame.place_m[:, 1]))) + frame.needs_m
    most_m = widest_m(hazards, most_asked_m(asked, limits))
    near = hazards_about(hazards, frame.middle_deg, reach_m + most_m).hazards
    if near.count == 0:
        return
    margin_m = asked_of(near, asked, limits).margin_m
    parts = parts_about(near, frame.middle_deg, margin_m + reach_m)
    edges = area_edges(near, frame.middle_deg[0], reach_m)
    if parts.count:
        frame.take(shapes_of_parts(parts), margin_m[parts.hazard])
    step_m = float(np.max(np.hypot(*np.diff(frame.place_m, axis=0).T), initial=0.0))
    joined = step_m < min(one.ahead_m for one in frame.turns)
    for first, stop in _runs(frame.free(), joined=joined):
        lat_deg, lon_deg = float(frame.lat_deg[first]), float(frame.lon_deg[first])
        if dangers_holding(edges, lat_deg, lon_deg).size:
            frame.close(slice(first, stop))


def _beside_shore(frame: _Frame, shore: Shore, margin_m: float) -> None:
    """Put down where the coastline leaves her no room."""
    reach_m = frame.needs_m + margin_m
    lines = shore.lines_m(frame.middle_deg, frame.lat_deg, frame.lon_deg, reach_m)
    if lines:
        frame.take(lines, np.full(len(lines), margin_m))
    frame.close(np.flatnonzero(shore.dry(frame.lat_deg, frame.lon_deg)))


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
    """Return the stretches along which she has room on some side, in sailing order.

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
