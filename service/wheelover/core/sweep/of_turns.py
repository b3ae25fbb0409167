"""What the hull sweeps in the turns and on the legs of a plan."""

from collections.abc import Mapping, Sequence

import numpy as np

from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.helm_orders import speed_made_good_m_per_s
from wheelover.core.manoeuvre.wind import flows_together, ship_in_wind
from wheelover.core.margins import limit_for
from wheelover.core.sweep.hull import crab_deg, half_width_m
from wheelover.core.sweep.near import hulls_clearances
from wheelover.core.sweep.runs import Run
from wheelover.core.sweep.window import wheel_over_window
from wheelover.core.turns.compare import simulated_row
from wheelover.core.turns.models_reach import too_windy
from wheelover.core.turns.windage import leeway_on_course, why_not_applied, wind_of
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import STILL_WATER, Conditions, Limits
from wheelover.core.types.manoeuvre import Current, Motion
from wheelover.core.types.route import Position
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.sweep import HullClearances, SweptLeg, SweptTurn, Window
from wheelover.core.types.track import NotApplicable, PlannedLeg, PlannedTurn
from wheelover.core.units import m_per_s_from_kn

MOST_TURNS = 200
"""Of a longer route the hull is swept on the turn cards, one by one."""


def swept_turns(
    turns: Sequence[PlannedTurn],
    legs: Sequence[PlannedLeg],
    ship: ShipProfile | None,
    hazards: Hazards,
    limits: Limits,
) -> tuple[SweptTurn, ...]:
    """Return what the hull sweeps in each turn, begun at its planned wheel-over.

    Parameters
    ----------
    turns : sequence of PlannedTurn
        The turns.
    legs : sequence of PlannedLeg
        The legs of the route.
    ship : ShipProfile or None
        Her length and beam.
    hazards : Hazards
        The dangers.
    limits : Limits
        The plan's clearance, and how far off the new track she may end.
    """
    if len(turns) > MOST_TURNS:
        reason = (
            f"the hull is not swept in a route of more than {MOST_TURNS} turns; open the turn's "
            "card"
        )
        return tuple(SweptTurn(turn_index=one.index, reason=reason) for one in turns)
    beside = legs_beside(legs)
    asked = [(turn, beside[turn.waypoint_index]) for turn in turns]
    return _swept_turns(asked, ship, hazards, limits)


def legs_beside(legs: Sequence[PlannedLeg]) -> dict[int, tuple[PlannedLeg, PlannedLeg]]:
    """Return the legs to and from each waypoint that has both, by the waypoint's number.

    Parameters
    ----------
    legs : sequence of PlannedLeg
        The legs of the route.
    """
    by_start = {leg.from_index: leg for leg in legs}
    return {
        leg.from_index + 1: (leg, by_start[leg.from_index + 1])
        for leg in legs
        if leg.from_index + 1 in by_start
    }


def swept_turn(
    turn: PlannedTurn,
    beside: tuple[PlannedLeg, PlannedLeg],
    ship: ShipProfile | None,
    hazards: Hazards,
    limits: Limits,
) -> SweptTurn:
    """Return what the hull sweeps in one turn, and the window of its wheel-over.

    Parameters
    ----------
    turn : PlannedTurn
        The turn, with its simulation.
    beside : tuple of two PlannedLeg
        The legs to and from its waypoint.
    ship : ShipProfile or None
        Her length and beam.
    hazards : Hazards
        The dangers.
    limits : Limits
        The plan's clearance, and how far off the new track she may end.
    """
    return _swept_turns([(turn, beside)], ship, hazards, limits)[0]


def _swept_turns(
    asked: Sequence[tuple[PlannedTurn, tuple[PlannedLeg, PlannedLeg]]],
    ship: ShipProfile | None,
    hazards: Hazards,
    limits: Limits,
) -> tuple[SweptTurn, ...]:
    """Return what the hull sweeps in turns, each with the legs to and from its waypoint."""
    runs = [_run_of(turn, beside, ship) for turn, beside in asked]
    simulated = [one for one in runs if isinstance(one, Run)]
    found = iter(() if ship is None else _clearances(simulated, ship, hazards, limits))
    swept = []
    for (turn, beside), run in zip(asked, runs, strict=True):
        clearances = next(found) if isinstance(run, Run) else run
        if ship is None or isinstance(run, str) or isinstance(clearances, str):
            swept.append(SweptTurn(turn_index=turn.index, reason=str(clearances)))
            continue
        window, why_none = window_of(run.motion, run.start, turn, beside, ship, hazards, limits)
        swept.append(
            SweptTurn(
                turn_index=turn.index, clearances=clearances, window=window, window_reason=why_none
            )
        )
    return tuple(swept)


def _run_of(
    turn: PlannedTurn, beside: tuple[PlannedLeg, PlannedLeg], ship: ShipProfile | None
) -> Run | str:
    """Return the run of a turn from its planned wheel-over, or why there is none."""
    row, place = simulated_row(turn.wheel_overs), turn.planned.position
    if ship is None or row is None or row.manoeuvre is None:
        return _why_not(turn)
    if place is None:
        return "no wheel-over is planned for the turn"
    return run_from(row.manoeuvre.motion, place, beside)


def _clearances(
    runs: Sequence[Run], ship: ShipProfile, hazards: Hazards, limits: Limits
) -> list[HullClearances | str]:
    """Return how near the hull comes to dangers on runs, or why none can be moved along one."""
    try:
        return [*hulls_clearances(runs, ship.loa_m, ship.beam_m, hazards, limits)]
    except OutOfDomain as error:
        if len(runs) == 1:
            return [str(error)]
    # Which of them it is, and what of the others, they say one by one.
    return [found for one in runs for found in _clearances([one], ship, hazards, limits)]


def run_from(motion: Motion, place: Position, beside: tuple[PlannedLeg, PlannedLeg]) -> Run:
    """Return a run begun at a place of the inbound leg, with what both legs ask.

    Parameters
    ----------
    motion : Motion
        Midships over the ground.
    place : Position
        Where helm is given.
    beside : tuple of two PlannedLeg
        The legs, with their limits.
    """
    return Run(motion=motion, start=place, asked=(beside[0].asked, beside[1].asked))


def window_of(
    motion: Motion,
    place: Position,
    turn: PlannedTurn,
    beside: tuple[PlannedLeg, PlannedLeg],
    ship: ShipProfile,
    hazards: Hazards,
    limits: Limits,
) -> tuple[Window | None, str | None]:
    """Return the window of a run, or the reason why there can be none.

    Parameters
    ----------
    motion : Motion
        The run: that of the planned helm, or of hard over.
    place : Position
        Where helm is planned.
    turn : PlannedTurn
        The turn: its courses, speed and current.
    beside, ship, hazards, limits
        As in ``swept_turn``.
    """
    try:
        speed = speed_made_good_m_per_s(
            turn.course_in_deg or 0.0,
            m_per_s_from_kn(turn.approach_speed_kn or 0.0),
            current_of(turn),
        )
        return wheel_over_window(
            motion,
            place,
            *beside,
            hazards,
            loa_m=ship.loa_m,
            beam_m=ship.beam_m,
            speed_over_ground_m_per_s=speed,
            off_track_limit_m=limit_for(
                limits, "max_off_track_m", [leg.asked for leg in beside], limits.max_off_track_m
            ).value,
            limits=limits,
        ), None
    except OutOfDomain as error:
        return None, str(error)


def current_of(one: PlannedTurn | PlannedLeg) -> Current:
    """Return the current in a turn or on a leg, still water where none is given."""
    set_deg, drift_kn = (
        (one.current_set_deg, one.current_drift_kn)
        if isinstance(one, PlannedTurn)
        else (one.set_deg, one.drift_kn)
    )
    if set_deg is None or drift_kn is None:
        return Current()
    return Current(set_deg=set_deg, drift_m_per_s=m_per_s_from_kn(drift_kn))


def _why_not(turn: PlannedTurn) -> str:
    """Return why a turn is not simulated, so that no hull can be swept through it."""
    row = next((one for one in turn.wheel_overs if one.method == "simulated"), None)
    reason = row.reason if isinstance(row, NotApplicable) else turn.reason
    return f"the turn is not simulated: {reason or 'no reason is known'}"


def swept_legs(
    legs: Sequence[PlannedLeg],
    ship: ShipProfile | None,
    least_m: Mapping[int, float],
    conditions: Conditions = STILL_WATER,
) -> tuple[SweptLeg, ...]:
    """Return the strip that the hull sweeps along each leg.

    Parameters
    ----------
    legs : sequence of PlannedLeg
        The legs, with speed and current.
    ship : ShipProfile or None
        Her length and beam.
    least_m : mapping
        The least clearance of the centre line, by the number of the leg.
    conditions : Conditions
        The wind, in which she makes leeway where her windage is given.
    """
    crabs = [_crab_deg(leg, ship, conditions) for leg in legs]
    if ship is None:
        half_m = np.zeros(len(crabs))
    else:
        crab = np.array([0.0 if isinstance(one, str) else one for one in crabs])
        half_m = half_width_m(ship.loa_m, ship.beam_m, crab)
    return tuple(
        SweptLeg(leg_index=leg.index, reason=crab)
        if isinstance(crab, str)
        else _swept_leg(leg, crab, width_m, least_m.get(leg.index))
        for leg, crab, width_m in zip(legs, crabs, half_m.tolist(), strict=True)
    )


def _swept_leg(leg: PlannedLeg, off_deg: float, half_m: float, least_m: float | None) -> SweptLeg:
    """Return the strip that the hull sweeps along one leg."""
    return SweptLeg(
        leg_index=leg.index,
        crab_deg=off_deg,
        half_width_m=half_m,
        clearance_m=None if least_m is None else least_m - half_m,
    )


def _crab_deg(leg: PlannedLeg, ship: ShipProfile | None, conditions: Conditions) -> float | str:
    """Return how far she crabs along a leg, or why that is not known."""
    if ship is None or leg.path is None:
        return "no ship is given" if ship is None else "the leg has no length"
    current, windy = current_of(leg), _makes_leeway(ship, conditions)
    if (current.drift_m_per_s > 0.0 or windy) and leg.speed_kn is None:
        what = "wind" if windy else "current"
        return f"no speed is given, so how far she crabs in the {what} is not known"
    try:
        if windy:
            current = _with_leeway(leg, leg.path.course_deg, ship, conditions)
        if current.drift_m_per_s > 0.0:
            return crab_deg(leg.path.course_deg, m_per_s_from_kn(leg.speed_kn or 0.0), current)
    except OutOfDomain as error:
        return str(error)
    return 0.0


def _makes_leeway(ship: ShipProfile, conditions: Conditions) -> bool:
    """Return whether there is a wind that is applied to this ship."""
    return wind_of(conditions) is not None and why_not_applied(ship, conditions) is None


def _with_leeway(
    leg: PlannedLeg, course_deg: float, ship: ShipProfile, conditions: Conditions
) -> Current:
    """Return the current on a leg and the leeway made on it, together."""
    beyond, wind, current = too_windy(conditions), wind_of(conditions), current_of(leg)
    if beyond is not None:
        raise OutOfDomain(f"{beyond}, so how far she crabs in it is not known")
    if wind is None:
        return current
    windy = ship_in_wind(ship, m_per_s_from_kn(leg.speed_kn or 0.0))
    return flows_together(current, leeway_on_course(windy, course_deg, current, wind))
