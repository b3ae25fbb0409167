"""A plan at other times of departure: its clock is run anew, its turns are not simulated again."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from wheelover.core.depth.case import Passage
from wheelover.core.depth.whole import passings
from wheelover.core.errors import InvalidInput
from wheelover.core.times.assumed import assumed_at, rests_on_gap
from wheelover.core.times.daylight import daylight_then, wheel_overs_then
from wheelover.core.times.fuel import first_outside_kn, speeds_on, table_span
from wheelover.core.times.gates import gate_then, gates_of
from wheelover.core.times.in_force import deciding, on_piece_s, pieces_passing, state_then
from wheelover.core.times.pieces import times_of
from wheelover.core.times.schedule import arrival_windows
from wheelover.core.times.settle import Timing, settle
from wheelover.core.times.shape import Bend, Shape, stretches_of
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.clearance import Piece
from wheelover.core.types.cues import TurnCues
from wheelover.core.types.departures import (
    AreaThen,
    Departed,
    GateThen,
    PassedOn,
    TideGate,
    WarningNear,
    WarningThen,
)
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import Route
from wheelover.core.types.schedule import AreaTime
from wheelover.core.types.ship import Consumption, ShipProfile
from wheelover.core.types.times import PieceTime
from wheelover.core.types.track import PlannedLeg, PlannedTurn

NOT_AGAIN = (
    "Times, speeds, streams, tide and windows are those of the departure, and so is the light at "
    "needs of daylight and wheel-overs. Turns are not simulated again: their wheel-overs, and the "
    "draught that heel and squat ask for, are those of the plan as it stands. Warnings near the "
    "track are told by the times that they give, and areas by when she enters and leaves them; a "
    "warning's danger counts all the same. Not looked at: what areas ask then, which other cues "
    "would come first, index lines and clearing lines in the dark, fixing, and all other "
    "checks. Compute the plan for the departure that is chosen."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Retimed:
    """What of a plan does not hang on its departure; ``legs`` and ``turns`` are as planned."""

    route: Route
    ship: ShipProfile | None
    conditions: Conditions
    limits: Limits
    legs: Sequence[PlannedLeg]
    turns: Sequence[PlannedTurn]
    gates: tuple[TideGate, ...]
    shape: Shape
    cues: tuple[TurnCues, ...] = ()
    warnings: tuple[WarningNear, ...] = ()
    areas: tuple[AreaTime, ...] = ()


def departed(plan: Retimed, departure_s: float) -> Departed:
    """Return a plan re-timed for a departure.

    ETAs that are given stay as they are given, and so do windows and needs: speeds change with the
    departure where ETAs make them.

    Parameters
    ----------
    plan : Retimed
        The plan.
    departure_s : float
        Seconds since 1970 UTC.
    """
    conditions = replace(plan.conditions, departure_s=departure_s)
    try:
        timing = settle(plan.route, plan.ship, conditions, plan.shape)
    except InvalidInput as error:
        return Departed(departure_s=departure_s, reason=str(error))
    times = times_of(timing)
    etas_s = tuple(
        None if state is None or state.now_s is None else departure_s + state.now_s
        for state in (timing.log.at.get(index) for index in range(len(plan.route.waypoints)))
    )
    arrival_s = etas_s[-1]
    return Departed(
        departure_s=departure_s,
        arrival_s=arrival_s,
        duration_s=None if arrival_s is None else arrival_s - departure_s,
        etas_s=etas_s,
        gates=_gates(plan, timing, times),
        windows=arrival_windows(timing),
        daylight=daylight_then(plan.limits.daylight_needs, timing, times, (plan.legs, plan.turns)),
        wheel_overs=wheel_overs_then(plan.cues, timing, times, (plan.legs, plan.turns)),
        warnings=tuple(_warning_then(one, departure_s, times) for one in plan.warnings),
        areas=tuple(_area_then(one, departure_s, times) for one in plan.areas),
        problems=_problems(plan, timing),
    )


def _warning_then(
    one: WarningNear, departure_s: float, times: Mapping[Piece, PieceTime]
) -> WarningThen:
    """Return whether a warning counts as she passes it."""
    spans = [
        on_piece_s(times.get(each.piece), departure_s, each.to_m, each.arc) for each in one.passes
    ]
    states = [state_then(one.times, departure_s, *span) for span in spans]
    at = deciding(states)
    return WarningThen(
        warning=one,
        piece=one.passes[at].piece,
        state=states[at],
        from_s=spans[at][0],
        to_s=spans[at][1],
    )


def _area_then(one: AreaTime, departure_s: float, times: Mapping[Piece, PieceTime]) -> AreaThen:
    """Return when she enters and leaves an area."""
    found: list[float | None] = []
    reason = None
    for edge in (one.enters, one.leaves):
        time = None if edge is None else times.get(edge.piece)
        on_s = None
        if edge is not None and time is not None:
            on_s = time.at_s(edge.along_m)
        if edge is not None and on_s is None:
            reason = (time and time.reason) or "no time is known there"
        found.append(None if on_s is None else departure_s + on_s)
    return AreaThen(area=one, enters_s=found[0], leaves_s=found[1], reason=reason)


def _gates(plan: Retimed, timing: Timing, times: Mapping[Piece, PieceTime]) -> tuple[GateThen, ...]:
    """Return what comes of every gate."""
    if plan.ship is None or not plan.gates:
        return ()
    passage = Passage(
        route=plan.route,
        ship=plan.ship,
        conditions=replace(plan.conditions, departure_s=timing.departure_s),
        limits=plan.limits,
        legs=plan.legs,
        turns=plan.turns,
        passings=passings(plan.legs, plan.turns, times),
    )
    speeds_kn = {}
    for stretch in plan.shape.stretches:
        speed_kn = timing.speed_kn(stretch.index)
        speeds_kn[Piece(kind="leg", index=stretch.index)] = speed_kn
        bend = plan.shape.bends.get(stretch.from_index + 1)
        if bend is not None:
            speeds_kn[Piece(kind="turn", index=bend.index)] = speed_kn
    assumed, to_index = assumed_at(timing), {}
    for stretch in plan.shape.stretches:
        index = stretch.from_index + 1
        to_index[Piece(kind="leg", index=stretch.index)] = index
        bend = plan.shape.bends.get(index)
        if bend is not None:
            to_index[Piece(kind="turn", index=bend.index)] = index
    return tuple(
        _on_assumed(
            gate_then(one, passage, speeds_kn.get(one.piece)),
            assumed.get(to_index.get(one.piece, -1)),
        )
        for one in plan.gates
    )


def _on_assumed(gate: GateThen, note: str | None) -> GateThen:
    """Return a gate with what her time there rests on; none holds on a stream not known."""
    if note is None or gate.reason is not None:
        return gate
    unsure = gate.outcome == "holds" and rests_on_gap(note)
    return replace(gate, reason=note, outcome="not_known" if unsure else gate.outcome)


def _problems(plan: Retimed, timing: Timing) -> tuple[str, ...]:
    """Return in words what cannot be done at that departure."""
    ids = [one.id for one in plan.route.waypoints]
    found = [
        f"The ETA given at {ids[one.waypoint_index]} is not made."
        for one in timing.etas
        if one.kind != "made"
    ]
    most_kn = None if plan.ship is None else plan.ship.max_speed_kn
    bare: list[str] = []
    for stretch in plan.shape.stretches:
        leg, to_id = timing.log.legs[stretch.index], ids[stretch.from_index + 1]
        if leg.not_stemmed:
            found.append(f"On the leg to {to_id} {leg.reason}.")
        speed_kn = timing.speed_kn(stretch.index)
        if most_kn is not None and speed_kn is not None and speed_kn > most_kn:
            found.append(f"The leg to {to_id} asks for {speed_kn:.2f} kn; {most_kn:g} is her most.")
        found += _outside_table(plan.ship, to_id, speeds_on(leg.run, speed_kn))
        if leg.run is not None and not leg.covered:
            found.append(
                f"On the leg to {to_id} the table of streams of {leg.water.station} does not cover "
                "the time: still water is assumed there."
            )
        if leg.run is not None and leg.water.source is None:
            bare.append(to_id)
    if bare:
        found.append(
            f"No current is given on {'the leg' if len(bare) == 1 else 'the legs'} to "
            f"{', '.join(bare)}: still water is assumed there."
        )
    return tuple(found)


def _outside_table(ship: ShipProfile | None, to_id: str, speeds_kn: Sequence[float]) -> list[str]:
    """Return what is said of the first of the speeds on a leg outside her table of consumption."""
    if ship is None:
        return []
    fuels: dict[str | None, list[Consumption]] = {}
    for one in ship.consumption:
        fuels.setdefault(one.fuel, []).append(one)
    tables = [sorted(rows, key=lambda one: one.speed_kn) for rows in fuels.values()]
    outside = [(table, first_outside_kn(table, speeds_kn)) for table in tables]
    said = [
        f"The leg to {to_id} asks for {speed_kn:.2f} kn, outside her table of consumption of "
        f"{table_span(table)}: what she burns is not known."
        for table, speed_kn in outside
        if speed_kn is not None
    ]
    return said[:1]


def retimed(
    plan: Plan, ship: ShipProfile | None, conditions: Conditions, limits: Limits
) -> Retimed:
    """Return what of a plan does not hang on its departure.

    Parameters
    ----------
    plan : Plan
        The plan as it stands.
    ship, conditions, limits
        What it was made from.
    """
    at = {turn.waypoint_index: Bend(index=turn.index, arc=turn.arc) for turn in plan.turns}
    return Retimed(
        route=plan.route,
        ship=ship,
        conditions=conditions,
        limits=limits,
        legs=plan.legs,
        turns=tuple(replace(one, wheel_overs=()) for one in plan.turns),
        gates=gates_of(plan.route, conditions, plan.legs, plan.turns, plan.depths),
        shape=Shape(stretches=stretches_of(plan.legs), bends=at),
        cues=plan.cues,
        warnings=_warnings_near(plan),
        areas=plan.schedule.areas,
    )


def _warnings_near(plan: Plan) -> tuple[WarningNear, ...]:
    """Return the warnings with times of their own that the track comes near."""
    hazards = None if plan.chart is None else plan.chart.hazards
    if hazards is None or not hazards.warnings:
        return ()
    near = pieces_passing(plan.clearances, {one.hazard for one in hazards.warnings})
    return tuple(
        WarningNear(
            times=warning,
            hazard_id=hazards.ids[warning.hazard],
            name=warning.number or hazards.names[warning.hazard] or hazards.ids[warning.hazard],
            passes=tuple(_passed_on(plan, piece) for piece in near[warning.hazard]),
        )
        for warning in hazards.warnings
        if warning.hazard in near
    )


def _passed_on(plan: Plan, piece: Piece) -> PassedOn:
    """Return a piece of the track with where she leaves it."""
    if piece.kind == "leg":
        return PassedOn(piece=piece, to_m=plan.legs[piece.index].track_to_m, arc=None)
    return PassedOn(piece=piece, to_m=0.0, arc=plan.turns[piece.index].arc)
