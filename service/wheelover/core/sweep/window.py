"""The window of a wheel-over: how early and how late the helm may be given.

In a uniform current and one depth of water the same run may be made from any place of the inbound
leg: an earlier or later wheel-over moves it along the leg and changes nothing else.
"""

import math
from dataclasses import replace

import numpy as np

from wheelover.core.arrays import Ints
from wheelover.core.errors import OutOfDomain
from wheelover.core.sweep.about import Nearby, hazards_about, widest_m
from wheelover.core.sweep.corner import Outside, outside_corridor
from wheelover.core.sweep.gaps import Forbidden, Gap, forbidden, gaps_between, joined, tightest_key
from wheelover.core.sweep.margins import Asked, asked_of, most_asked_m
from wheelover.core.sweep.moved_run import (
    MovedRun,
    in_the_way,
    moved_run,
    shifts_forbidden,
    without_held,
)
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import NO_LIMITS, Limits
from wheelover.core.types.manoeuvre import Motion
from wheelover.core.types.route import Position
from wheelover.core.types.sweep import Bound, Window, WindowEnd
from wheelover.core.types.track import LegLine, PlannedLeg
from wheelover.core.units import NM_M

SEARCH_BACK_M = 2.0 * NM_M
"""No wheel-over farther than this before the planned one is looked at."""

SEARCH_ON_LENGTHS = 3.0
"""How many lengths beyond the waypoint, or the planned wheel-over, the latest is looked for."""


def wheel_over_window(
    motion: Motion,
    wheel_over: Position,
    leg_in: PlannedLeg,
    leg_out: PlannedLeg,
    hazards: Hazards,
    *,
    loa_m: float,
    beam_m: float,
    speed_over_ground_m_per_s: float,
    off_track_limit_m: float | None = None,
    limits: Limits = NO_LIMITS,
) -> Window:
    """Return how early and how late the helm may be given so that the run keeps every limit.

    The run is that of any helm: the planned one or hard over. It may be moved where the steady
    position is within ``off_track_limit_m`` of the outbound leg, the hull farther from each danger
    than its limit and the uncertainty of its position (without a limit it must not touch it), and
    inside the cross-track limits of both legs. When the helm is given later than planned, the way
    held on along the inbound leg counts too. What she does after the run, off track and steady,
    does not.

    Parameters
    ----------
    motion : Motion
        Midships over the ground from the wheel-over until she is steady, n rows.
    wheel_over : Position
        Where the run starts, on the inbound leg.
    leg_in, leg_out : PlannedLeg
        The legs, with their limits.
    hazards : Hazards
        The dangers.
    loa_m, beam_m : float
        The hull, of which the box around it counts.
    speed_over_ground_m_per_s : float
        Along the inbound leg; it turns metres into seconds.
    off_track_limit_m : float or None
        How far from the outbound leg she may end, either way.
    limits : Limits
        What is asked where neither the danger nor a leg has a limit of its own.

    Returns
    -------
    Window
        The window with the planned wheel-over, or the nearest to it. It is looked for back to the
        start of the inbound leg or ``SEARCH_BACK_M``, and on to ``SEARCH_ON_LENGTHS`` beyond the
        waypoint. Windows shorter than 0.1 m are none.

    Raises
    ------
    InvalidShip
        When a dimension is not above zero.
    OutOfDomain
        For a motion that no hull can be moved along, a leg of no length, legs along one line, a
        wheel-over beside its leg, a limit below zero, or no way over the ground.

    Notes
    -----
    The ends are exact for the pieces of the run: each is moved straight until its distance is the
    margin [BoydVandenberghe]_. On a rhumb line the straight way errs by s^2 tan(latitude) / (2 R)
    at a shift s: half a metre at 1 NM in 60 degrees. Meridians meet, too: there a run 1 km long
    lies 0.5 m otherwise than the straight shift says.
    """
    _require_limits(speed_over_ground_m_per_s, off_track_limit_m)
    run = moved_run(motion, wheel_over, _lines(leg_in, leg_out), loa_m, beam_m)
    asks = (leg_in.asked, leg_out.asked)
    reach_m = run.swept_m + max(SEARCH_BACK_M, _latest_m(run, loa_m))
    nearby = hazards_about(
        hazards, run.middle_deg, reach_m + widest_m(hazards, most_asked_m(asks, limits))
    )
    asked = asked_of(nearby.hazards, asks, limits)
    outsides = tuple(outside_corridor(run.corner, leg_in, leg_out))
    names = _Names(nearby, asked, outsides)
    ends = _range(run, leg_in.length_m, loa_m, names)
    off_track = _off_track(run, off_track_limit_m, names)
    within_m = _within_m(joined(ends, off_track))
    things = in_the_way(run, nearby.hazards, asked.margin_m, outsides, within_m)
    too_near = joined(shifts_forbidden(run, things, within_m), off_track)
    everything = without_held(run, things, joined(too_near, ends))
    return _window(run, everything, ends, names, speed_over_ground_m_per_s)


class _Names:
    """What the numbers of forbidden intervals stand for: dangers, corridor sides, other limits."""

    def __init__(self, nearby: Nearby, asked: Asked, outsides: tuple[Outside, ...]) -> None:
        self._hazards, self._numbers, self._asked = nearby.hazards, nearby.numbers, asked
        self._others = [
            Bound(kind="corridor", limit_m=one.limit_m, leg=one.leg, side=one.side)
            for one in outsides
        ]

    def number(self, bound: Bound) -> int:
        """Return a new number for a limit."""
        self._others.append(bound)
        return self._hazards.count + len(self._others) - 1

    def in_order(self, keys: Ints) -> list[int]:
        """Return each number once: dangers by their ids, then the others as they were given."""
        count, ids = self._hazards.count, self._hazards.ids
        found: list[int] = np.unique(keys).tolist()
        return sorted(found, key=lambda one: (one >= count, "" if one >= count else ids[one], one))

    def bound(self, key: int) -> Bound:
        """Return the limit of a number."""
        if key >= self._hazards.count:
            return self._others[key - self._hazards.count]
        limit_m = float(self._asked.limit_m[key])
        return Bound(
            kind="danger",
            limit_m=None if math.isnan(limit_m) else limit_m,
            hazard_index=int(self._numbers[key]),
            hazard_id=self._hazards.ids[key],
        )


def _require_limits(speed_over_ground_m_per_s: float, off_track_limit_m: float | None) -> None:
    """Refuse a speed or limit that says nothing."""
    if not (math.isfinite(speed_over_ground_m_per_s) and speed_over_ground_m_per_s > 0.0):
        raise OutOfDomain(
            f"the speed over the ground is {speed_over_ground_m_per_s:g} m/s; it must be above 0"
        )
    if off_track_limit_m is not None and not off_track_limit_m >= 0.0:
        raise OutOfDomain(f"the off-track limit is {off_track_limit_m:g} m; it must not be below 0")


def _lines(leg_in: PlannedLeg, leg_out: PlannedLeg) -> tuple[LegLine, LegLine]:
    """Return the lines of both legs; a leg of no length has none."""
    if leg_in.path is None or leg_out.path is None:
        raise OutOfDomain("a leg of no length has no course: no wheel-over can be moved along it")
    return leg_in.path, leg_out.path


def _range(run: MovedRun, length_in_m: float, loa_m: float, names: _Names) -> Forbidden:
    """Return what lies beyond the shifts that are looked at: two half lines."""
    before_m = float(run.corner.waypoint_m[0])
    start_m = before_m - length_in_m
    beyond = names.number(Bound(kind="range"))
    back = names.number(Bound(kind="leg_start")) if start_m > -SEARCH_BACK_M else beyond
    return forbidden(
        (-math.inf, max(start_m, -SEARCH_BACK_M), back),
        (_latest_m(run, loa_m), math.inf, beyond),
    )


def _latest_m(run: MovedRun, loa_m: float) -> float:
    """Return beyond which shift nothing is looked at."""
    return max(float(run.corner.waypoint_m[0]), 0.0) + SEARCH_ON_LENGTHS * loa_m


def _off_track(run: MovedRun, limit_m: float | None, names: _Names) -> Forbidden:
    """Return the shifts after which she ends too far from the outbound leg.

    Each metre later puts her farther to port of it by the sine of the change of course.
    """
    if limit_m is None:
        return forbidden()
    key = names.number(Bound(kind="off_track", limit_m=limit_m))
    off_m = run.corner.off_track_m(run.steady_m)
    one_m, other_m = ((off_m + side * limit_m) / run.corner.sine_ratio for side in (-1.0, 1.0))
    return forbidden((-math.inf, min(one_m, other_m), key), (max(one_m, other_m), math.inf, key))


def _within_m(ends: Forbidden) -> tuple[float, float]:
    """Return between which shifts something may be free at all; crossed over where nothing is."""
    below = ends.low_m == -math.inf
    return float(ends.high_m[below].max()), float(ends.low_m[~below].min())


def _window(
    run: MovedRun, them: Forbidden, ends: Forbidden, names: _Names, speed_m_per_s: float
) -> Window:
    """Return the gap that holds the planned wheel-over, or the nearest, with what ends it."""
    # Of intervals that are the same, that of the first danger by id is named.
    order = names.in_order(them.key)
    place = {key: number for number, key in enumerate(order)}
    ranked = replace(them, key=np.array([place[key] for key in them.key.tolist()], np.int64))
    gaps = [
        replace(one, low_key=order[one.low_key], high_key=order[one.high_key])
        for one in gaps_between(ranked)
    ]
    gap = min(gaps, key=lambda one: max(one.low_m, -one.high_m, 0.0), default=None)
    before_m = float(run.corner.waypoint_m[0])

    def end(later_m: float, key: int) -> WindowEnd:
        return WindowEnd(
            distance_m=before_m - later_m,
            later_m=later_m,
            later_s=later_m / speed_m_per_s,
            bound=names.bound(key),
        )

    tightest = None if gap is not None else names.bound(order[tightest_key(ranked, ends)])
    return Window(
        planned_distance_m=before_m,
        planned_inside=gap is not None and _holds_planned(gap, names),
        earliest=None if gap is None else end(gap.low_m, gap.low_key),
        latest=None if gap is None else end(gap.high_m, gap.high_key),
        window_count=len(gaps),
        off_track_m=run.corner.off_track_m(run.steady_m),
        off_track_m_per_s=-run.corner.sine_ratio * speed_m_per_s,
        tightest=tightest,
    )


def _holds_planned(gap: Gap, names: _Names) -> bool:
    """Return whether no shift at all is in a gap; on a limit of clearance it is not."""
    if gap.low_m < 0.0 < gap.high_m:
        return True
    on_m, key = (gap.low_m, gap.low_key) if gap.low_m >= 0.0 else (gap.high_m, gap.high_key)
    return on_m == 0.0 and names.bound(key).kind not in ("danger", "corridor")
