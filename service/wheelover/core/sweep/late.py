"""What lies ahead if the helm is late: she holds on for some seconds, then turns as planned."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from wheelover.core.arrays import Floats, Ints
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo.plane import from_plane_deg
from wheelover.core.manoeuvre.helm_orders import speed_made_good_m_per_s
from wheelover.core.margins import limit_for
from wheelover.core.sweep.about import Nearby, hazards_about, widest_m
from wheelover.core.sweep.dangers import Strip, parts_about
from wheelover.core.sweep.holding import area_edges, dangers_holding
from wheelover.core.sweep.hull import hull_box_m
from wheelover.core.sweep.margins import Asked, asked_of, most_asked_m
from wheelover.core.sweep.near import shapes_of_parts
from wheelover.core.sweep.of_turns import current_of, legs_beside
from wheelover.core.sweep.poses import pieces_between
from wheelover.core.turns.compare import simulated_row
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.clearance import LIMIT_SOURCES
from wheelover.core.types.limits import LegAsked
from wheelover.core.types.manoeuvre import Motion
from wheelover.core.types.route import Position
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.sweep import HullClearances, LateDanger, LateHelm, SweptTurn
from wheelover.core.types.track import PlannedLeg, PlannedTurn
from wheelover.core.units import m_per_s_from_kn

DEFAULT_LATE_S = 30.0
"""How late the helm is taken to be where nobody says: common practice, not a rule."""

MOST_TURNS = 200

_STEP_S = 2.0
_MOST_STEPS = 60
_ARC_STEP_DEG = 3.0


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
    found = []
    for turn in turns:
        near = beside[turn.waypoint_index]
        asked = limit_for(limits, "helm_late_s", [leg.asked for leg in near], limits.helm_late_s)
        late_s = DEFAULT_LATE_S if asked.value is None else asked.value
        if len(turns) > MOST_TURNS:
            why = f"a route of more than {MOST_TURNS} turns is not looked at for late helm"
            found.append(LateHelm(turn_index=turn.index, late_s=late_s, reason=why))
            continue
        late = late_helm(turn, near, ship, hazards, limits, late_s)
        if asked.rule is not None and asked.rule.value < late_s:
            shorter = late_helm(turn, near, ship, hazards, limits, asked.rule.value)
            late = replace(late, rule=asked.rule, rule_missed=bool(shorter.dangers))
        elif asked.rule is not None:
            late = replace(late, rule=asked.rule, rule_missed=bool(late.dangers))
        dangers = _with_in_time(late.dangers, in_time.get(turn.index))
        found.append(replace(late, assumed=asked.value is None, dangers=dangers))
    return tuple(found)


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
    place, asks = turn.planned.position, (beside[0].asked, beside[1].asked)
    if ship is None or place is None or turn.course_in_deg is None:
        why = "no ship is given" if ship is None else "no wheel-over is planned for the turn"
        return LateHelm(turn_index=turn.index, late_s=late_s, reason=why)
    if turn.approach_speed_kn is None:
        why = "no speed is given on the leg that leads to the turn"
        return LateHelm(turn_index=turn.index, late_s=late_s, reason=why)
    try:
        speed = speed_made_good_m_per_s(
            turn.course_in_deg, m_per_s_from_kn(turn.approach_speed_kn), current_of(turn)
        )
        run, simulated = run_in_time(turn)
        motion = _held_on(run, turn.course_in_deg, speed, late_s)
        dangers = _met(motion, place, ship, hazards, asks, limits)
    except OutOfDomain as error:
        return LateHelm(turn_index=turn.index, late_s=late_s, reason=str(error))
    return LateHelm(
        turn_index=turn.index,
        late_s=late_s,
        run_on_m=late_s * speed,
        simulated=simulated,
        dangers=tuple(
            replace(one, before_helm=one.first_at_s <= late_s)
            for one in sorted(
                dangers, key=lambda one: (one.first_at_s, hazards.ids[one.hazard_index])
            )
        ),
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
    ahead_m = reach_m + radius_m * np.sin(turned_rad)
    aside_m = radius_m * (1.0 - np.cos(turned_rad))
    turn_speed = m_per_s_from_kn(turn.turn_speed_kn or 0.0) or speed_m_per_s
    time_s = reach_m / speed_m_per_s + np.abs(radius_m * turned_rad) / turn_speed
    east_m = ahead_m * np.sin(course_rad) + aside_m * np.cos(course_rad)
    north_m = ahead_m * np.cos(course_rad) - aside_m * np.sin(course_rad)
    heading_deg = np.mod((turn.course_in_deg or 0.0) + np.degrees(turned_rad), 360.0)
    columns = (time_s, east_m, north_m, heading_deg)
    if reach_m > 0.0:
        first = (0.0, 0.0, 0.0, turn.course_in_deg or 0.0)
        columns = tuple(  # type: ignore[assignment]
            np.concatenate([[one], column]) for one, column in zip(first, columns, strict=True)
        )
    return _motion(*columns), False


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


def _met(
    motion: Motion,
    start: Position,
    ship: ShipProfile,
    hazards: Hazards,
    asks: tuple[LegAsked, ...],
    limits: Limits,
) -> list[LateDanger]:
    """Return the dangers that the hull comes too near to on a run, with where she first does."""
    if hazards.count == 0:
        return []
    middle_deg = (start.lat_deg, start.lon_deg)
    reach_m = float(np.max(np.hypot(motion.east_m, motion.north_m))) + ship.loa_m + ship.beam_m
    nearby = hazards_about(
        hazards, middle_deg, reach_m + widest_m(hazards, most_asked_m(asks, limits))
    )
    near_by = nearby.hazards
    asked = asked_of(near_by, asks, limits)
    side_m = ship.loa_m + ship.beam_m
    strip = Strip(
        along_ratio=np.array([1.0, 0.0]),
        low_m=(float(np.min(motion.east_m)) - side_m, -float(np.max(motion.north_m)) - side_m),
        high_m=(float(np.max(motion.east_m)) + side_m, -float(np.min(motion.north_m)) + side_m),
        margin_m=asked.margin_m,
    )
    parts = parts_about(near_by, middle_deg, asked.margin_m + reach_m, strip)
    lat, lon = from_plane_deg(middle_deg, np.array([[motion.east_m[0], motion.north_m[0]]]))
    edges = area_edges(near_by, middle_deg[0], reach_m)
    held = dangers_holding(edges, float(lat[0]), float(lon[0]))
    first: dict[int, tuple[int, float]] = {int(one): (0, 0.0) for one in held}
    if parts.count:
        pieces = pieces_between(motion, hull_box_m(ship.loa_m, ship.beam_m))
        shapes = shapes_of_parts(parts)
        tree = shapely.STRtree(pieces.hulls)
        within_m = asked.margin_m[parts.hazard] + float(np.max(pieces.bulge_m))
        part, piece = tree.query(shapes, predicate="dwithin", distance=within_m)
        off_m = shapely.distance(pieces.hulls[piece], shapes[part]) - pieces.bulge_m[piece]
        hazard = parts.hazard[part]
        near = np.flatnonzero(~(off_m > asked.margin_m[hazard]))
        for danger, at, least_m in _first_of_each(hazard[near], piece[near], off_m[near]):
            first.setdefault(danger, (at, least_m))
    gone_m = np.concatenate(
        [[0.0], np.cumsum(np.hypot(np.diff(motion.east_m), np.diff(motion.north_m)))]
    )
    return [
        _late_danger(danger, at, least_m, motion, gone_m, nearby, asked)
        for danger, (at, least_m) in first.items()
    ]


def _first_of_each(hazard: Ints, piece: Ints, off_m: Floats) -> list[tuple[int, int, float]]:
    """Return each danger once with the first piece near it and the least distance of any."""
    order = np.argsort(hazard, kind="stable")
    starts = np.flatnonzero(np.diff(hazard[order], prepend=-1))
    if starts.size == 0:
        return []
    first = np.minimum.reduceat(piece[order], starts)
    least_m = np.maximum(np.minimum.reduceat(off_m[order], starts), 0.0)
    return list(zip(hazard[order][starts].tolist(), first.tolist(), least_m.tolist(), strict=True))


def _late_danger(
    danger: int, at: int, least_m: float, motion: Motion, gone_m: Floats, nearby: Nearby,
    asked: Asked,
) -> LateDanger:  # fmt: skip
    """Return one danger that she comes too near to."""
    hazards, source = nearby.hazards, int(asked.limit_source[danger])
    clearance_m = least_m - float(hazards.position_uncertainty_m[danger])
    return LateDanger(
        hazard_index=int(nearby.numbers[danger]),
        hazard_id=hazards.ids[danger],
        clearance_m=clearance_m,
        limit_m=float(asked.limit_m[danger]) if source >= 0 else None,
        limit_source=LIMIT_SOURCES[source] if source >= 0 else None,
        touched=clearance_m <= 0.0,
        first_at_s=float(motion.time_s[at]),
        first_ahead_m=float(gone_m[at]),
    )
