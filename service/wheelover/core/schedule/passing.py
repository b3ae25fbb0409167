"""When each leg and turn is passed, counted from the departure."""

from collections.abc import Sequence
from dataclasses import dataclass

from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.helm_orders import speed_made_good_m_per_s
from wheelover.core.types.clearance import Piece
from wheelover.core.types.manoeuvre import NO_CURRENT, Current
from wheelover.core.types.track import PlannedLeg, PlannedTurn
from wheelover.core.units import m_per_s_from_kn


@dataclass(frozen=True, slots=True, kw_only=True)
class Passing:
    """From when to when after the departure she is on a piece of the track.

    Both are None where it cannot be said, and ``reason`` says why.
    """

    from_s: float | None = None
    to_s: float | None = None
    reason: str | None = None


def passings(legs: Sequence[PlannedLeg], turns: Sequence[PlannedTurn]) -> dict[Piece, Passing]:
    """Return when she passes each leg and turn, along the planned track at the planned speeds.

    Parameters
    ----------
    legs : sequence of PlannedLeg
        In sailing order. The current on each makes the speed over the ground.
    turns : sequence of PlannedTurn
        The arcs are run at the speed in the turn.

    Notes
    -----
    Where a speed is missing, a course cannot be made good or the route has a hole, nothing is known
    from there on. What the ship loses before and after a turn is not in it.
    """
    at = {turn.waypoint_index: turn for turn in turns}
    found: dict[Piece, Passing] = {}
    now_s, unknown, before = 0.0, None, None
    for leg in legs:
        if before is not None and leg.from_index != before.from_index + 1:
            unknown = unknown or f"the route has a hole before {leg.from_id}"
        speed_m_per_s, why = _over_ground_m_per_s(leg)
        unknown = unknown or why
        piece = Piece(kind="leg", index=leg.index)
        if unknown is not None or speed_m_per_s is None:
            found[piece] = Passing(reason=unknown)
        else:
            run_m = leg.track_to_m - leg.track_from_m if leg.room else leg.length_m
            after_s = now_s + max(run_m, 0.0) / speed_m_per_s
            found[piece] = Passing(from_s=now_s, to_s=after_s)
            now_s = after_s
        turn, before = at.get(leg.from_index + 1), leg
        if turn is not None:
            piece = Piece(kind="turn", index=turn.index)
            if unknown is not None or speed_m_per_s is None:
                found[piece] = Passing(reason=unknown)
            else:
                after_s = now_s + _in_turn_s(turn, speed_m_per_s)
                found[piece] = Passing(from_s=now_s, to_s=after_s)
                now_s = after_s
    return found


def _over_ground_m_per_s(leg: PlannedLeg) -> tuple[float | None, str | None]:
    """Return the speed made good on a leg, and why there is none."""
    if leg.speed_kn is None:
        return None, f"no speed is given on the leg to {leg.to_id}"
    speed_m_per_s = m_per_s_from_kn(leg.speed_kn)
    if leg.path is None:
        return speed_m_per_s, None
    current = NO_CURRENT
    if leg.set_deg is not None and leg.drift_kn is not None:
        current = Current(set_deg=leg.set_deg, drift_m_per_s=m_per_s_from_kn(leg.drift_kn))
    try:
        made_m_per_s = [
            speed_made_good_m_per_s(course_deg, speed_m_per_s, current)
            for course_deg in (leg.path.course_deg, leg.path.arrival_course_deg)
        ]
    except OutOfDomain as error:
        return None, f"on the leg to {leg.to_id} {error}"
    return sum(made_m_per_s) / 2.0, None


def _in_turn_s(turn: PlannedTurn, over_ground_m_per_s: float) -> float:
    """Return how long she is in a turn: as fast over the ground as before, less what she loses."""
    if turn.arc is None or not turn.fits:
        return 0.0
    kept_ratio = 1.0
    if turn.turn_speed_kn is not None and turn.approach_speed_kn:
        kept_ratio = turn.turn_speed_kn / turn.approach_speed_kn
    return turn.arc.arc_m / (over_ground_m_per_s * kept_ratio)
