"""What lies ahead if the helm is late: she holds on for some seconds, then turns as planned."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from wheelover.core.arrays import Floats
from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.helm_orders import speed_made_good_m_per_s
from wheelover.core.margins import limit_for
from wheelover.core.sweep.met import dangers_met
from wheelover.core.sweep.of_turns import current_of, legs_beside, run_from
from wheelover.core.sweep.runs import Run
from wheelover.core.turns.compare import simulated_row
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.limits import Rule
from wheelover.core.types.manoeuvre import Motion
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.sweep import HullClearances, LateDanger, LateHelm, SweptTurn
from wheelover.core.types.track import PlannedLeg, PlannedTurn
from wheelover.core.units import m_per_s_from_kn

DEFAULT_LATE_S = 30.0
"""How late the helm is taken to be where nobody says: common practice, not a rule."""

MOST_TURNS = 200

_STEP_S = 2.0
_MOST_STEPS = 60
_ARC_STEP_DEG = 1.0


def late_helms(
    turns: Sequence[PlannedTurn],
    legs: Sequence[PlannedLeg],
    ship: ShipProfile | None,
    hazards: Hazards,
    limits: Limits,
    swept: Sequence[SweptTurn] = (),
) -> tuple[LateHelm, ...]:
    """Return what lies ahead in each turn if its helm is late.

    Parameters
    ----------
    turns : sequence of PlannedTurn
        The turns, with what is simulated of them.
    legs : sequence of PlannedLeg
        The legs of the route.
    ship : ShipProfile or None
        Her length and beam.
    hazards : Hazards
        The dangers.
    limits : Limits
        How late: what plan and limit set say, the longer of both, else ``DEFAULT_LATE_S``.
    swept : sequence of SweptTurn
        What the hull sweeps with the helm in time.
    """
    beside = legs_beside(legs)
    in_time = {one.turn_index: one.clearances for one in swept}
    asked = [_asked_of(turn, beside[turn.waypoint_index], limits) for turn in turns]
    if len(turns) > MOST_TURNS:
        why = f"a route of more than {MOST_TURNS} turns is not looked at for late helm"
        return tuple(
            LateHelm(turn_index=one.turn.index, late_s=one.late_s, reason=why) for one in asked
        )
    shorter = [
        replace(one, late_s=one.rule.value)
        for one in asked
        if one.rule is not None and one.rule.value < one.late_s
    ]
    late = _late_helms([*asked, *shorter], ship, hazards, limits)
    by_rule = {one.turn_index: one for one in late[len(asked) :]}
    return tuple(
        replace(
            helm,
            assumed=one.assumed,
            dangers=_with_in_time(helm.dangers, in_time.get(helm.turn_index)),
            rule=one.rule,
            rule_missed=one.rule is not None and bool(by_rule.get(helm.turn_index, helm).dangers),
        )
        for one, helm in zip(asked, late, strict=False)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Late:
    """A turn with the legs beside it, and how late its helm is taken to be.

    ``rule`` is what the limit set asks, ``assumed`` says that nobody said how late.
    """

    turn: PlannedTurn
    beside: tuple[PlannedLeg, PlannedLeg]
    late_s: float
    rule: Rule | None = None
    assumed: bool = False


def _asked_of(turn: PlannedTurn, beside: tuple[PlannedLeg, PlannedLeg], limits: Limits) -> _Late:
    """Return how late the helm of a turn is taken to be."""
    asked = limit_for(limits, "helm_late_s", [leg.asked for leg in beside], limits.helm_late_s)
    assumed = asked.value is None
    late_s = DEFAULT_LATE_S if asked.value is None else asked.value
    return _Late(turn=turn, beside=beside, late_s=late_s, rule=asked.rule, assumed=assumed)


def _with_in_time(
    dangers: tuple[LateDanger, ...] | None, clearances: HullClearances | None
) -> tuple[LateDanger, ...] | None:
    """Return dangers with whether she comes too near to them with the helm in time as well."""
    if dangers is None or clearances is None:
        return dangers
    near = {one.hazard_index for one in clearances.too_near()}
    return tuple(replace(one, in_time=one.hazard_index in near) for one in dangers)


def late_helm(
    turn: PlannedTurn,
    beside: tuple[PlannedLeg, PlannedLeg],
    ship: ShipProfile | None,
    hazards: Hazards,
    limits: Limits,
    late_s: float,
) -> LateHelm:
    """Return what the hull meets in one turn whose helm is late.

    From the planned wheel-over she holds her heading for ``late_s`` at her speed over the ground;
    then the manoeuvre runs as simulated, or where it is not, along the planned arc.

    Parameters
    ----------
    turn, beside, ship, hazards, limits
        As in ``swept_turn``.
    late_s : float
        How late the helm is given.
    """
    asked = _Late(turn=turn, beside=beside, late_s=late_s)
    return _late_helms([asked], ship, hazards, limits)[0]


def _late_helms(
    asked: Sequence[_Late], ship: ShipProfile | None, hazards: Hazards, limits: Limits
) -> list[LateHelm]:
    """Return what the hull meets in turns whose helm is late."""
    runs = [_late_run(one, ship) for one in asked]
    met = iter(
        ()
        if ship is None
        else dangers_met(
            [run for run, _ in runs if run is not None], ship.loa_m, ship.beam_m, hazards, limits
        )
    )
    return [
        helm if run is None else _with_dangers(helm, next(met), hazards.ids) for run, helm in runs
    ]


def _late_run(one: _Late, ship: ShipProfile | None) -> tuple[Run | None, LateHelm]:
    """Return the run of a turn whose helm is late, or none, and what is said of it else."""
    turn = one.turn
    place, course_deg = turn.planned.position, turn.course_in_deg
    plain = LateHelm(turn_index=turn.index, late_s=one.late_s)
    if ship is None or place is None or course_deg is None:
        why = "no ship is given" if ship is None else "no wheel-over is planned for the turn"
        return None, replace(plain, reason=why)
    if turn.approach_speed_kn is None:
        return None, replace(plain, reason="no speed is given on the leg that leads to the turn")
    try:
        speed = speed_made_good_m_per_s(
            course_deg, m_per_s_from_kn(turn.approach_speed_kn), current_of(turn)
        )
        run, simulated = run_in_time(turn)
    except OutOfDomain as error:
        return None, replace(plain, reason=str(error))
    motion = _held_on(run, course_deg, speed, one.late_s)
    run_on_m = one.late_s * speed
    return run_from(motion, place, one.beside), replace(
        plain, run_on_m=run_on_m, simulated=simulated
    )


def _with_dangers(
    helm: LateHelm, met: tuple[LateDanger, ...] | str, ids: tuple[str, ...]
) -> LateHelm:
    """Return what is said of a turn with the dangers met, in the order in which she meets them."""
    if isinstance(met, str):
        return LateHelm(turn_index=helm.turn_index, late_s=helm.late_s, reason=met)
    ordered = sorted(met, key=lambda one: (one.first_at_s, ids[one.hazard_index]))
    return replace(
        helm,
        dangers=tuple(replace(one, before_helm=one.first_at_s <= helm.late_s) for one in ordered),
    )


def run_in_time(turn: PlannedTurn) -> tuple[Motion, bool]:
    """Return the run from the planned wheel-over with the helm in time, and if it is simulated.

    Parameters
    ----------
    turn : PlannedTurn
        The turn; where it is not simulated she is taken along its arc.

    Raises
    ------
    OutOfDomain
        When there is neither, or her speed is not known or cannot be made good.
    """
    row = simulated_row(turn.wheel_overs)
    if row is not None and row.manoeuvre is not None:
        return row.manoeuvre.motion, True
    if turn.arc is None or turn.planned.distance_m is None:
        raise OutOfDomain(turn.reason or "the turn has no arc")
    if turn.approach_speed_kn is None:
        raise OutOfDomain("no speed is given on the leg that leads to the turn")
    speed_m_per_s = speed_made_good_m_per_s(
        turn.course_in_deg or 0.0, m_per_s_from_kn(turn.approach_speed_kn), current_of(turn)
    )
    reach_m = max(turn.planned.distance_m - turn.arc.tangent_in_m, 0.0)
    sweep_deg = turn.arc.sweep_deg
    count = max(int(np.ceil(abs(sweep_deg) / _ARC_STEP_DEG)), 1)
    turned_rad = np.radians(np.linspace(0.0, sweep_deg, count + 1))
    course_rad = np.radians(turn.course_in_deg or 0.0)
    radius_m = np.copysign(turn.arc.radius_m, sweep_deg)
    ahead_m = radius_m * np.sin(turned_rad)
    aside_m = radius_m * (1.0 - np.cos(turned_rad))
    turn_speed = m_per_s_from_kn(turn.turn_speed_kn or 0.0) or speed_m_per_s
    arc = _motion(
        np.abs(radius_m * turned_rad) / turn_speed,
        ahead_m * np.sin(course_rad) + aside_m * np.cos(course_rad),
        ahead_m * np.cos(course_rad) - aside_m * np.sin(course_rad),
        np.mod((turn.course_in_deg or 0.0) + np.degrees(turned_rad), 360.0),
    )
    # In short steps: how far a corner may leave a step grows with its length where speeds change.
    run = _held_on(arc, turn.course_in_deg or 0.0, speed_m_per_s, reach_m / speed_m_per_s)
    return run, False


def _motion(time_s: Floats, east_m: Floats, north_m: Floats, heading_deg: Floats) -> Motion:
    """Return a motion of which only places and headings are known."""
    none = np.zeros(time_s.size)
    return Motion(
        time_s=time_s,
        east_m=east_m,
        north_m=north_m,
        heading_deg=heading_deg,
        rate_deg_per_min=none,
        speed_m_per_s=none,
        rudder_deg=none,
    )


def _held_on(run: Motion, course_deg: float, speed_m_per_s: float, late_s: float) -> Motion:
    """Return a run that begins later: she holds her heading along the course until then."""
    count = min(int(np.ceil(late_s / _STEP_S)), _MOST_STEPS)
    before_s = np.linspace(0.0, late_s, count, endpoint=False)
    course_rad = np.radians(course_deg)
    on_east, on_north = speed_m_per_s * np.sin(course_rad), speed_m_per_s * np.cos(course_rad)
    return _motion(
        np.concatenate([before_s, run.time_s + late_s]),
        np.concatenate([before_s * on_east, run.east_m + late_s * on_east]),
        np.concatenate([before_s * on_north, run.north_m + late_s * on_north]),
        np.concatenate([np.full(count, run.heading_deg[0]), run.heading_deg]),
    )
