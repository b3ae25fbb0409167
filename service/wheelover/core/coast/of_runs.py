"""The water of runs begun earlier or later than planned: is it charted, and does coast lie in it.

A plan looks at the charts along its track. The window of a wheel-over and a late helm take the hull
where the track does not lead, so that the water there is held against charts and coast by itself.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely

from wheelover.core.arrays import Floats
from wheelover.core.charted.coverage import round_the_world
from wheelover.core.charted.up_to_date import updates_missing
from wheelover.core.coast.measured import coast_hazards
from wheelover.core.coast.near import Sought, edges_near
from wheelover.core.coast.segments import Segments
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo.angles import signed_change_deg, sin_cos_deg
from wheelover.core.geo.plane import from_plane_deg
from wheelover.core.sweep.about import widest_m
from wheelover.core.sweep.dangers import parts_about
from wheelover.core.sweep.hull import hull_box_m
from wheelover.core.sweep.late import run_in_time
from wheelover.core.sweep.margins import most_asked_m
from wheelover.core.sweep.near import shapes_of_parts
from wheelover.core.sweep.of_turns import legs_beside
from wheelover.core.sweep.poses import pieces_between
from wheelover.core.types.chart import Hazards
from wheelover.core.types.charted import Charted
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.coast import Coast
from wheelover.core.types.manoeuvre import Motion
from wheelover.core.types.route import Position
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.sweep import LateHelm, SweptTurn, Window
from wheelover.core.types.track import PlannedLeg, PlannedTurn

NO_CELLS = "only the loaded dangers were looked at; what water they cover is not stated"
NOT_COVERED = "a part of the water that it takes lies outside the loaded charts"

_GROUPS = 8
_LEAST_M = 50.0
_QUARTER_CHORDS = 4
_PLACES = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Sea:
    """What the water of runs is held against.

    ``charted`` is None where no cells are loaded, ``coast`` where no coastline is held against.
    """

    hazards: Hazards
    limits: Limits
    charted: Charted | None = None
    coast: Coast | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Water:
    """The water that a hull takes on a run moved along its first course, in the plane.

    ``areas`` are convex and without anything around; ``places_m`` lie along the run.
    """

    middle_deg: tuple[float, float]
    areas: Any
    places_m: Floats
    along_ratio: Floats
    low_m: float
    high_m: float
    radius_m: float


def with_water(
    turns: Sequence[PlannedTurn],
    legs: Sequence[PlannedLeg],
    ship: ShipProfile | None,
    sea: Sea,
    swept: Sequence[SweptTurn],
    late: Sequence[LateHelm],
) -> tuple[tuple[SweptTurn, ...], tuple[LateHelm, ...]]:
    """Return windows and late helms with what of the water that they take was not checked.

    Parameters
    ----------
    turns : sequence of PlannedTurn
        The turns.
    legs : sequence of PlannedLeg
        The legs of the route.
    ship : ShipProfile or None
        Her length and beam.
    sea : Sea
        Charts, coast, dangers and what is asked of them.
    swept, late : sequence
        The windows and late helms, by their turns.
    """
    by_index, beside = {one.index: one for one in turns}, legs_beside(legs)
    if ship is None:
        return tuple(swept), tuple(late)

    def of_window(one: SweptTurn) -> SweptTurn:
        turn = by_index[one.turn_index]
        legs_of = beside[turn.waypoint_index]
        window = one.window
        if window is not None:
            window = window_water(window, turn, legs_of, ship, sea)
        if one.clearances is None or (window is not None and window.not_checked is None):
            return replace(one, window=window)
        # What all runs of the window take may be charted in part only, and that of this one whole.
        said = _said(turn, legs_of, ship, sea, (0.0, 0.0), None)
        return replace(one, window=window, not_checked=None if said is None else said[0])

    def of_late(one: LateHelm) -> LateHelm:
        turn = by_index[one.turn_index]
        return late_water(one, turn, beside[turn.waypoint_index], ship, sea)

    return tuple(map(of_window, swept)), tuple(map(of_late, late))


def window_water(
    window: Window,
    turn: PlannedTurn,
    beside: tuple[PlannedLeg, PlannedLeg],
    ship: ShipProfile,
    sea: Sea,
    motion: Motion | None = None,
) -> Window:
    """Return a window with what of the water between its ends was not checked.

    Parameters
    ----------
    window : Window
        The window; of one without ends the planned run is looked at.
    turn, beside, ship
        As in ``swept_turn``.
    sea : Sea
        Charts, coast, dangers and what is asked of them.
    motion : Motion or None
        The run that is moved, where it is another than that of the turn.
    """
    ends = (window.earliest, window.latest)
    shifts = [0.0, *(one.later_m for one in ends if one is not None)]
    said = _said(turn, beside, ship, sea, (min(shifts), max(shifts)), motion)
    return window if said is None else replace(window, not_checked=said[0], on_coast=said[1])


def late_water(
    late: LateHelm,
    turn: PlannedTurn,
    beside: tuple[PlannedLeg, PlannedLeg],
    ship: ShipProfile,
    sea: Sea,
) -> LateHelm:
    """Return a late helm with what of the water that she runs into was not checked.

    Parameters
    ----------
    late : LateHelm
        The late helm; where nothing was looked at it comes back as it is.
    turn, beside, ship, sea
        As in ``window_water``.
    """
    if late.dangers is None or late.run_on_m is None:
        return late
    said = _said(turn, beside, ship, sea, (0.0, late.run_on_m), None)
    return late if said is None else replace(late, not_checked=said[0], on_coast=said[1])


def _said(
    turn: PlannedTurn,
    beside: tuple[PlannedLeg, PlannedLeg],
    ship: ShipProfile,
    sea: Sea,
    between_m: tuple[float, float],
    motion: Motion | None,
) -> tuple[str | None, bool | None] | None:
    """Return what of a run's water was not checked, and whether coast lies in it."""
    place = turn.planned.position
    if place is None:
        return None
    try:
        run = motion or run_in_time(turn)[0]
        if sea.charted is None and sea.coast is None:
            return NO_CELLS, None
        water = _water(run, place, turn.course_in_deg or 0.0, ship, between_m)
    except OutOfDomain:
        # Why no hull is moved is said with the run itself; its water stays not checked.
        return None
    asks = (beside[0].asked, beside[1].asked)
    margin_m = max(widest_m(sea.hazards, most_asked_m(asks, sea.limits)), _LEAST_M)
    reason = _not_charted(water, margin_m, sea.charted)
    return reason, _on_coast(water, sea) if reason else None


def _water(
    motion: Motion,
    place: Position,
    course_deg: float,
    ship: ShipProfile,
    between_m: tuple[float, float],
) -> _Water:
    """Return the water that the hull takes on a run moved along its course.

    Neighbouring pieces are taken together: their convex hull holds all that they cover.
    """
    pieces = pieces_between(motion, hull_box_m(ship.loa_m, ship.beam_m))
    sine, cosine = sin_cos_deg([course_deg])
    along = np.array([sine[0], cosine[0]])
    low_m, high_m = between_m
    corner_m = np.concatenate(
        [pieces.vertex_m + low_m * along, pieces.vertex_m + high_m * along], axis=1
    )
    count = len(corner_m)
    group = np.arange(count) * min(_GROUPS, count) // count
    owner = np.repeat(group, corner_m.shape[1])
    areas = shapely.convex_hull(shapely.multipoints(corner_m.reshape(-1, 2), indices=owner))
    bulge_m = float(np.max(pieces.bulge_m))
    taken = np.unique(np.linspace(0, motion.east_m.size - 1, _PLACES + 1).astype(np.int64))
    return _Water(
        middle_deg=(place.lat_deg, place.lon_deg),
        areas=shapely.buffer(areas, _outward_m(bulge_m), quad_segs=_QUARTER_CHORDS),
        places_m=np.column_stack([motion.east_m[taken], motion.north_m[taken]]),
        along_ratio=along,
        low_m=low_m,
        high_m=high_m,
        radius_m=float(np.hypot(ship.loa_m, ship.beam_m)) / 2.0 + bulge_m,
    )


def _outward_m(radius_m: float) -> float:
    """Return a distance to widen by so that the chords of circles lie outside of it."""
    return radius_m / float(np.cos(np.pi / (4 * _QUARTER_CHORDS)))


def _not_charted(water: _Water, margin_m: float, charted: Charted | None) -> str | None:
    """Return why the water is not checked by charts, None where cells that are up to date cover it.

    It is looked at as far around as anything is asked of a danger.
    """
    if charted is None:
        return NO_CELLS
    wide = shapely.buffer(water.areas, _outward_m(margin_m), quad_segs=_QUARTER_CHORDS)
    areas = shapely.transform(wide, lambda places_m: _degrees(water.middle_deg, places_m))
    coverage = charted.coverage[0]
    if coverage is None or not bool(
        np.all(shapely.covers(round_the_world(coverage, areas), areas))
    ):
        return NOT_COVERED
    cells = [
        number
        for number, one in enumerate(charted.coverages)
        if one is not None and bool(np.any(shapely.intersects(round_the_world(one, areas), areas)))
    ]
    lacking = updates_missing(charted, cells)
    return None if lacking is None else f"{lacking}; what they change was not looked at"


def _degrees(middle_deg: tuple[float, float], places_m: Floats) -> Floats:
    """Return places of the plane in longitude and latitude, running on across 180 degrees."""
    lat, lon = from_plane_deg(middle_deg, places_m)
    return np.column_stack([middle_deg[1] + signed_change_deg(middle_deg[1], lon), lat])


def _on_coast(water: _Water, sea: Sea) -> bool | None:
    """Return whether the coastline lies in the water where no cell covers, None without one."""
    if sea.coast is None:
        return None
    cover = None if sea.charted is None else sea.charted.coverage[0]
    moved_m = [water.places_m + by_m * water.along_ratio for by_m in (water.low_m, water.high_m)]
    ends = [from_plane_deg(water.middle_deg, one) for one in moved_m]
    count = len(water.places_m)
    step_m = np.hypot(*np.diff(water.places_m, axis=0).T) if count > 1 else np.zeros(1)
    segments = Segments(
        piece=np.zeros(count, dtype=np.int64),
        lat_deg=np.stack([lat for lat, _ in ends], axis=1),
        lon_deg=np.stack([lon for _, lon in ends], axis=1),
        bow_m=np.full(count, float(np.max(step_m)) + 1.0),
    )
    sought = Sought(
        reach_m=np.array([water.radius_m]), by_side=np.zeros(1, np.bool_), more_m=water.radius_m
    )
    edge, _ = edges_near(sea.coast, segments, sought, cover)
    if edge.size == 0:
        return False
    coast = coast_hazards(sea.coast, edge)
    reach_m = float(np.max(np.hypot(*np.concatenate(moved_m).T))) + water.radius_m
    parts = parts_about(coast, water.middle_deg, np.full(coast.count, reach_m))
    shapes = shapes_of_parts(parts)
    return bool(shapely.STRtree(water.areas).query(shapes, predicate="intersects").size)
