"""Cues set to what can be read and set, and what the turn does when the helm is given there."""

import math
from typing import Literal

import numpy as np

from wheelover.core.aids.helms import Helm
from wheelover.core.turns.compare import simulated_row
from wheelover.core.turns.simulated import off_track_m
from wheelover.core.types.cues import Cue, Rounded
from wheelover.core.types.sweep import SweptTurn
from wheelover.core.types.track import WheelOver
from wheelover.core.units import m_from_nm, nm_from_m

Unit = Literal["NM", "deg"]

MILE_STEPS_COUNT = 100
DEGREE_STEPS_COUNT = 2
"""Hundredths of a mile and half degrees: what can be read and set."""


def distance_set(helm: Helm, swept: SweptTurn | None) -> Rounded:
    """Return the wheel-over by distance to go to the waypoint, set to a hundredth of a mile.

    Parameters
    ----------
    helm : Helm
        The planned wheel-over.
    swept : SweptTurn or None
        What the hull sweeps in the turn, with its window.
    """
    set_nm = _nearest(nm_from_m(helm.distance_m), MILE_STEPS_COUNT)
    later_m = helm.distance_m - m_from_nm(set_nm)
    return _rounded(set_nm, "NM", later_m, helm, swept)


def cue_set(cue: Cue, helm: Helm, swept: SweptTurn | None) -> Rounded:
    """Return a cue set to what can be read: half a degree, a hundredth of a mile.

    Parameters
    ----------
    cue : Cue
        The cue.
    helm : Helm
        The planned wheel-over.
    swept : SweptTurn or None
        What the hull sweeps in the turn, with its window.

    Notes
    -----
    Where on the track the mark stands at the set value is found in the plane about the wheel-over,
    which over the few metres concerned is exact to centimetres (tests/core/aids). The same
    manoeuvre begun there ends beside the new track by as much as ``off_track_m`` says.
    """
    if cue.kind == "bearing":
        value = _nearest(cue.bearing_deg, DEGREE_STEPS_COUNT) % 360.0
        return _rounded(value, "deg", _later_of_bearing_m(cue, helm, value), helm, swept)
    if cue.kind == "index":
        set_nm = _nearest(nm_from_m(cue.index_m), MILE_STEPS_COUNT)
        turning = math.sin(math.radians(helm.change_deg))
        return _rounded(set_nm, "NM", (m_from_nm(set_nm) - cue.index_m) / turning, helm, swept)
    set_nm, later_m = _later_of_range_m(cue)
    return _rounded(set_nm, "NM", later_m, helm, swept)


def _later_of_bearing_m(cue: Cue, helm: Helm, bearing_deg: float) -> float:
    """Return how much later along the track a mark has a bearing."""
    relative_rad = math.radians(cue.relative_deg)
    ahead_m, beside_m = cue.range_m * math.cos(relative_rad), cue.range_m * math.sin(relative_rad)
    return ahead_m - beside_m / math.tan(math.radians(bearing_deg - helm.course_in_deg))


def _later_of_range_m(cue: Cue) -> tuple[float, float]:
    """Return the range set, and how much later along the track a mark has it.

    Where the track comes no nearer than that, the next longer range is set.
    """
    relative_rad = math.radians(cue.relative_deg)
    ahead_m, beside_m = cue.range_m * math.cos(relative_rad), cue.range_m * math.sin(relative_rad)
    set_nm = _nearest(nm_from_m(cue.range_m), MILE_STEPS_COUNT)
    if m_from_nm(set_nm) < abs(beside_m):
        set_nm = math.ceil(nm_from_m(cue.range_m) * MILE_STEPS_COUNT) / MILE_STEPS_COUNT
    left_m = math.sqrt(m_from_nm(set_nm) ** 2 - beside_m**2)
    return set_nm, ahead_m - math.copysign(left_m, ahead_m)


def _nearest(value: float, steps_count: int) -> float:
    """Return a value to the nearest of so many steps in one."""
    return round(value * steps_count) / steps_count


def _rounded(
    value: float, unit: Unit, later_m: float, helm: Helm, swept: SweptTurn | None
) -> Rounded:
    """Return a set value with what the turn does then."""
    distance_m = helm.distance_m - later_m
    run = simulated_row(helm.turn.wheel_overs)
    speed = helm.speed_m_per_s
    return Rounded(
        value=value,
        unit=unit,
        distance_to_go_m=distance_m,
        later_m=later_m,
        later_s=None if not speed else later_m / speed,
        off_track_m=None if run is None else _run_from_m(run, distance_m, helm),
        inside_window=_inside(distance_m, swept),
    )


def _run_from_m(run: WheelOver, distance_m: float, helm: Helm) -> float:
    """Return where the simulated run, begun so far before the waypoint, leaves her beside the new
    track, starboard positive.

    The run is laid into the plane about the waypoint, from the place where the helm is given until
    she is steady.
    """
    if run.manoeuvre is None:
        return off_track_m(distance_m, run.distance_m, helm.change_deg)
    motion, steady_s = run.manoeuvre.motion, run.manoeuvre.steady_at_s
    in_deg = helm.course_out_deg - helm.change_deg
    in_rad, out_rad = math.radians(in_deg), math.radians(helm.course_out_deg)
    east_m = float(np.interp(steady_s, motion.time_s, motion.east_m)) - float(motion.east_m[0])
    north_m = float(np.interp(steady_s, motion.time_s, motion.north_m)) - float(motion.north_m[0])
    east_m -= distance_m * math.sin(in_rad)
    north_m -= distance_m * math.cos(in_rad)
    return east_m * math.cos(out_rad) - north_m * math.sin(out_rad)


def _inside(distance_m: float, swept: SweptTurn | None) -> bool | None:
    """Return whether the helm comes in the window of the wheel-over, None where none is known."""
    window = None if swept is None else swept.window
    if window is None:
        return None
    if window.earliest is None or window.latest is None:
        return False
    return window.latest.distance_m <= distance_m <= window.earliest.distance_m
