"""A run that is moved along the inbound leg, and on which shifts something is in its way."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.geo.plane import from_plane_deg
from wheelover.core.sweep.corner import Corner, Outside, corner_of
from wheelover.core.sweep.dangers import Strip, parts_about
from wheelover.core.sweep.gaps import Forbidden, Gap, forbidden, gaps_between, joined
from wheelover.core.sweep.holding import AreaEdges, area_edges, dangers_holding
from wheelover.core.sweep.hull import hull_box_m
from wheelover.core.sweep.poses import first_pose, pieces_between
from wheelover.core.sweep.shifts import too_near
from wheelover.core.types.chart import Hazards
from wheelover.core.types.manoeuvre import Motion
from wheelover.core.types.route import Position
from wheelover.core.types.track import LegLine

_FAR_M = 100_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedRun:
    """A run in the plane of its corner, with the pieces that the hull covers.

    ``first_m`` are the corners of the hull where the run begins, shape (1, 4, 2), and ``swept_m``
    how far from the wheel-over the hull comes.
    """

    middle_deg: tuple[float, float]
    corner: Corner
    start_m: Floats
    steady_m: Floats
    vertex_m: Floats
    bulge_m: Floats
    first_m: Floats
    swept_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class InTheWay:
    """Straight parts of what may be in the way of a run, m of them, and what they belong to.

    ``key`` numbers that, ``margin_m`` is how near is too near. ``areas`` and ``outsides`` may hold
    a run that touches no part: the numbers of the latter count from ``first_outside``.
    """

    part_m: Floats
    margin_m: Floats
    key: Ints
    areas: AreaEdges
    outsides: tuple[Outside, ...]
    first_outside: int


def moved_run(
    motion: Motion,
    wheel_over: Position,
    legs: tuple[LegLine, LegLine],
    loa_m: float,
    beam_m: float,
) -> MovedRun:
    """Return a run ready to be moved along the inbound leg.

    Parameters
    ----------
    motion : Motion
        Midships over the ground from the wheel-over, n rows.
    wheel_over : Position
        Where it starts.
    legs : tuple of LegLine
        Inbound and outbound leg.
    loa_m, beam_m : float
        The hull, of which the box around it counts.

    Raises
    ------
    InvalidShip, OutOfDomain
        As ``wheel_over_window``.
    """
    box_m = hull_box_m(loa_m, beam_m)
    pieces = pieces_between(motion, box_m)
    place_m = np.stack([motion.east_m, motion.north_m], axis=-1)
    corner = corner_of(*legs, wheel_over, place_m[-1])
    return MovedRun(
        middle_deg=(wheel_over.lat_deg, wheel_over.lon_deg),
        corner=corner,
        start_m=corner.turned(place_m[0]),
        steady_m=corner.turned(place_m[-1]),
        vertex_m=corner.turned(pieces.vertex_m),
        bulge_m=pieces.bulge_m,
        first_m=corner.turned(first_pose(motion, box_m).vertex_m),
        swept_m=float(np.max(np.hypot(*pieces.middle_m.T) + pieces.radius_m + pieces.bulge_m)),
    )


def in_the_way(
    run: MovedRun,
    hazards: Hazards,
    margin_m: Floats,
    outsides: tuple[Outside, ...],
    within_m: tuple[float, float],
) -> InTheWay:
    """Return what may be in the way of a run on shifts within a range.

    Parameters
    ----------
    run : MovedRun
        The run.
    hazards : Hazards
        The dangers, n of them; the number of each is its key.
    margin_m : ndarray, shape (n,)
        How near is too near to each.
    outsides : tuple of Outside
        What lies outside the cross-track limits; keys go on from n.
    within_m : tuple of float
        Least and largest shift.
    """
    roomy_m = run.swept_m + max(abs(within_m[0]), abs(within_m[1]))
    bulge_m = float(np.max(run.bulge_m))
    low_m, high_m = (np.min(run.vertex_m, axis=(0, 1)), np.max(run.vertex_m, axis=(0, 1)))
    strip = Strip(
        along_ratio=run.corner.along_ratio,
        low_m=(float(low_m[0]) + within_m[0] - bulge_m, float(low_m[1]) - bulge_m),
        high_m=(float(high_m[0]) + within_m[1] + bulge_m, float(high_m[1]) + bulge_m),
        margin_m=margin_m,
    )
    parts = parts_about(hazards, run.middle_deg, margin_m + roomy_m, strip)
    dangers_m = run.corner.turned(np.stack([parts.start_m, parts.end_m], axis=1))
    edges_m = [one.edges_m(_FAR_M) for one in outsides]
    outside_key = hazards.count + np.repeat(np.arange(len(outsides), dtype=np.int64), 2)
    return InTheWay(
        part_m=np.concatenate([dangers_m, *edges_m]),
        margin_m=np.concatenate([margin_m[parts.hazard], np.zeros(outside_key.size)]),
        key=np.concatenate([parts.hazard, outside_key]),
        areas=area_edges(hazards, run.middle_deg[0], roomy_m),
        outsides=outsides,
        first_outside=hazards.count,
    )


def shifts_forbidden(run: MovedRun, things: InTheWay, within_m: tuple[float, float]) -> Forbidden:
    """Return on which shifts within a range something is too near to the hull.

    When the run begins later than planned, the hull first holds on along the inbound leg, and what
    it meets there is in the way of every later run.
    """
    met = too_near(run.vertex_m, run.bulge_m, things.part_m, things.margin_m, within_m)
    first = too_near(run.first_m, np.zeros(1), things.part_m, things.margin_m, within_m)
    onward = np.flatnonzero(first.high_m >= 0.0)
    return Forbidden(
        low_m=np.concatenate([met.low_m, first.low_m[onward]]),
        high_m=np.concatenate([met.high_m, np.full(onward.size, np.inf)]),
        key=things.key[np.concatenate([met.part, first.part[onward]])],
    )


def without_held(run: MovedRun, things: InTheWay, them: Forbidden) -> Forbidden:
    """Return forbidden intervals and those between them on which the whole run lies inside a thing.

    Between two forbidden intervals no edge is touched, so that one place of the run says for all.
    """
    held = [
        forbidden((gap.low_m, gap.high_m, key))
        for gap in gaps_between(them)
        for key in _holding(run, things, gap)
    ]
    return joined(them, *held)


def _holding(run: MovedRun, things: InTheWay, gap: Gap) -> list[int]:
    """Return the numbers of what holds the run, moved to the middle of a gap."""
    place_m = run.start_m + np.array([(gap.low_m + gap.high_m) / 2.0, 0.0])
    keys = [
        things.first_outside + number
        for number, outside in enumerate(things.outsides)
        if outside.holds(place_m)
    ]
    if things.areas.hazard.size:
        # The turn into x and y is a reflection: it undoes itself.
        lat, lon = from_plane_deg(run.middle_deg, run.corner.turned(place_m)[None])
        keys += dangers_holding(things.areas, float(lat[0]), float(lon[0])).tolist()
    return keys
