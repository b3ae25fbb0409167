"""The planned track: legs from tangent point to tangent point, joined by the arcs."""

from dataclasses import dataclass, replace
from itertools import pairwise

from wheelover.core.clearance.passing import TrackPiece
from wheelover.core.legs import leg_lines
from wheelover.core.turns.plan_turn import Corner, plan_turns
from wheelover.core.turns.room import LegRoom, leg_room, with_room
from wheelover.core.types.circumstances import STILL_WATER, Conditions
from wheelover.core.types.clearance import Piece
from wheelover.core.types.manoeuvre import Current, Steering
from wheelover.core.types.route import (
    CurrentGiven,
    LegWishes,
    LineKind,
    Position,
    Route,
    SpeedSource,
    TurnWishes,
    Waypoint,
)
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import LegLine, PlannedLeg, PlannedTurn, Side
from wheelover.core.units import m_per_s_from_kn

DEFAULT_LINE: LineKind = "rhumb"
DEFAULT_STEERING: Steering = "rudder"


@dataclass(frozen=True, slots=True, kw_only=True)
class _RawLeg:
    """A leg before its turns are known; ``line`` is None when it has no length."""

    from_index: int
    start: Waypoint
    end: Waypoint
    wishes: LegWishes
    line: LegLine | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """The planned track of a route.

    ``rooms`` says for each leg what the turns at its ends take of it. ``length_m`` counts arcs
    as arcs, and is None where turns overlap, for there no track exists.
    """

    legs: tuple[PlannedLeg, ...]
    turns: tuple[PlannedTurn, ...]
    rooms: tuple[LegRoom, ...]
    pieces: tuple[TrackPiece, ...]
    length_m: float | None


def lay_track(
    route: Route, ship: ShipProfile | None, conditions: Conditions = STILL_WATER
) -> Track:
    """Return the planned track of a route for a ship.

    Parameters
    ----------
    route : Route
        Waypoints in sailing order. No leg crosses a hole, and no turn stands beside one.
    ship : ShipProfile or None
        Gives radius, speed and reach where the waypoints give none.
    conditions : Conditions
        Current, water and wind. The current counts where neither leg nor turn gives its own.
    """
    raw_legs = _raw_legs(route)
    turns = _turns(route, raw_legs, ship, conditions)
    rooms = _rooms(raw_legs, turns)
    room_to = {leg.from_index + 1: room for leg, room in zip(raw_legs, rooms, strict=True)}
    turns = tuple(
        with_room(turn, room_to[turn.waypoint_index], room_to[turn.waypoint_index + 1])
        for turn in turns
    )
    legs = _legs(raw_legs, turns, rooms, ship, conditions)
    return Track(
        legs=legs,
        turns=turns,
        rooms=rooms,
        pieces=_pieces(raw_legs, legs, turns),
        length_m=_track_m(legs, turns),
    )


def _raw_legs(route: Route) -> tuple[_RawLeg, ...]:
    """Return the legs between neighbouring waypoints, none across a hole in the route."""
    ends = [
        (index, start, end, end.leg or LegWishes())
        for index, (start, end) in enumerate(pairwise(route.waypoints))
        if not end.gap_before
    ]
    lines = leg_lines(
        [
            (wishes.line or DEFAULT_LINE, _place(start), _place(end))
            for _, start, end, wishes in ends
        ]
    )
    return tuple(
        _RawLeg(from_index=index, start=start, end=end, wishes=wishes, line=line)
        for (index, start, end, wishes), line in zip(ends, lines, strict=True)
    )


def _place(waypoint: Waypoint) -> Position:
    """Return where a waypoint is."""
    return Position(lat_deg=waypoint.lat_deg, lon_deg=waypoint.lon_deg)


def _turns(
    route: Route,
    raw_legs: tuple[_RawLeg, ...],
    ship: ShipProfile | None,
    conditions: Conditions,
) -> tuple[PlannedTurn, ...]:
    """Return one turn for each waypoint between two legs."""
    corners: list[Corner] = []
    currents: list[CurrentGiven | None] = []
    for before, after in pairwise(raw_legs):
        if before.from_index + 1 != after.from_index:
            continue
        waypoint = route.waypoints[after.from_index]
        given = _in_turn(waypoint, _on_leg(before, conditions))
        currents.append(given)
        corners.append(
            Corner(
                index=len(corners),
                waypoint_index=after.from_index,
                waypoint=waypoint,
                leg_in=before.line,
                leg_out=after.line,
                approach_speed_kn=_speed_kn(before, ship),
                current=None if given is None else _flow(given),
                current_source=None if given is None else given.source,
            )
        )
    turns = plan_turns(corners, ship, conditions)
    return tuple(map(_as_asked, turns, corners, currents))


def current_on(wishes: LegWishes, conditions: Conditions) -> CurrentGiven | None:
    """Return the current on a leg: its own, else the plan's, None where neither is given.

    A drift of zero is a current like any other: it says that there is none on this leg.

    Parameters
    ----------
    wishes : LegWishes
        What is asked of the leg.
    conditions : Conditions
        The plan's current.
    """
    if wishes.set_deg is not None and wishes.drift_kn is not None:
        return CurrentGiven(set_deg=wishes.set_deg, drift_kn=wishes.drift_kn, source="leg")
    if conditions.set_deg is not None and conditions.drift_kn is not None:
        return CurrentGiven(set_deg=conditions.set_deg, drift_kn=conditions.drift_kn, source="plan")
    return None


def current_in(wishes: TurnWishes | None, on_leg: CurrentGiven | None) -> CurrentGiven | None:
    """Return the current in a turn: its own, else that of the leg that leads to it.

    Parameters
    ----------
    wishes : TurnWishes or None
        What is asked of the turn.
    on_leg : CurrentGiven or None
        The current on the leg that leads to it.
    """
    if wishes is None or wishes.set_deg is None or wishes.drift_kn is None:
        return on_leg
    return CurrentGiven(set_deg=wishes.set_deg, drift_kn=wishes.drift_kn, source="turn")


def _on_leg(leg: _RawLeg, conditions: Conditions) -> CurrentGiven | None:
    """Return the current on a leg, the schedule's where it settled one."""
    if leg.end.settled is not None:
        return leg.end.settled.on_leg
    return current_on(leg.wishes, conditions)


def _in_turn(waypoint: Waypoint, on_leg: CurrentGiven | None) -> CurrentGiven | None:
    """Return the current in a turn; its own goes before the schedule's."""
    return current_in(
        waypoint.turn, on_leg if waypoint.settled is None else waypoint.settled.in_turn
    )


def _flow(given: CurrentGiven) -> Current:
    """Return a current as the manoeuvres take it."""
    return Current(set_deg=given.set_deg, drift_m_per_s=m_per_s_from_kn(given.drift_kn))


def _as_asked(turn: PlannedTurn, corner: Corner, given: CurrentGiven | None) -> PlannedTurn:
    """Return a turn with how it is steered and the current in it."""
    wishes = corner.waypoint.turn
    steering = None if wishes is None else wishes.steering
    return replace(
        turn,
        steering=steering or DEFAULT_STEERING,
        current_set_deg=None if given is None else given.set_deg,
        current_drift_kn=None if given is None else given.drift_kn,
        current_source=None if given is None else given.source,
    )


def _speed_kn(leg: _RawLeg, ship: ShipProfile | None) -> float | None:
    """Return the speed through the water on a leg: the schedule's, its own, else the ship's."""
    if leg.end.settled is not None:
        return leg.end.settled.speed_kn
    if leg.wishes.speed_kn is not None:
        return leg.wishes.speed_kn
    return None if ship is None else ship.speed_kn


def _rooms(raw_legs: tuple[_RawLeg, ...], turns: tuple[PlannedTurn, ...]) -> tuple[LegRoom, ...]:
    """Return for each leg what the turns at its ends take of it."""
    at = {turn.waypoint_index: turn for turn in turns}
    return tuple(
        leg_room(
            0.0 if leg.line is None else leg.line.length_m,
            at.get(leg.from_index) if leg.line is not None else None,
            at.get(leg.from_index + 1) if leg.line is not None else None,
        )
        for leg in raw_legs
    )


def _legs(
    raw_legs: tuple[_RawLeg, ...],
    turns: tuple[PlannedTurn, ...],
    rooms: tuple[LegRoom, ...],
    ship: ShipProfile | None,
    conditions: Conditions,
) -> tuple[PlannedLeg, ...]:
    """Return the legs, each with the stretch of it that the planned track follows."""
    at = {turn.waypoint_index: turn for turn in turns}
    legs = []
    for index, (leg, room) in enumerate(zip(raw_legs, rooms, strict=True)):
        has_room = room.overlap_m is None
        before, after = at.get(leg.from_index), at.get(leg.from_index + 1)
        from_m = before.arc.tangent_out_m if before is not None and before.arc is not None else 0.0
        in_m = after.arc.tangent_in_m if after is not None and after.arc is not None else 0.0
        wishes, given = leg.wishes, _on_leg(leg, conditions)
        legs.append(
            PlannedLeg(
                index=index,
                from_index=leg.from_index,
                from_id=leg.start.id,
                to_id=leg.end.id,
                line=wishes.line or DEFAULT_LINE,
                path=leg.line,
                track_from_m=from_m if has_room else 0.0,
                track_to_m=room.length_m - in_m if has_room else room.length_m,
                room=has_room,
                speed_kn=_speed_kn(leg, ship),
                speed_source=_speed_source(leg, ship),
                xtd_port_nm=wishes.xtd_port_nm,
                xtd_starboard_nm=wishes.xtd_starboard_nm,
                min_clearance_m=wishes.min_clearance_m,
                water=wishes.water,
                min_clearance_by_class=wishes.min_clearance_by_class,
                set_deg=None if given is None else given.set_deg,
                drift_kn=None if given is None else given.drift_kn,
                current_source=None if given is None else given.source,
                canal=wishes.canal,
            )
        )
    return tuple(legs)


def _pieces(
    raw_legs: tuple[_RawLeg, ...], legs: tuple[PlannedLeg, ...], turns: tuple[PlannedTurn, ...]
) -> tuple[TrackPiece, ...]:
    """Return the planned track in pieces, in sailing order.

    Where turns overlap no track exists; the whole leg stands in for it, so that dangers near its
    corners are still listed.
    """
    at = {turn.waypoint_index: turn for turn in turns}
    pieces = []
    for raw, leg in zip(raw_legs, legs, strict=True):
        if raw.line is None:
            continue
        before, after = at.get(raw.from_index), at.get(raw.from_index + 1)
        pieces.append(
            TrackPiece(
                piece=Piece(kind="leg", index=leg.index),
                leg=raw.line,
                from_m=leg.track_from_m,
                to_m=leg.track_to_m,
                asked=(leg.asked,),
                opens=leg.index == 0,
                closes=leg.index == len(legs) - 1,
                corner_before_side=_outer_side(before),
                corner_side=_outer_side(after),
            )
        )
        if after is not None and after.arc is not None:
            pieces.append(
                TrackPiece(
                    piece=Piece(kind="turn", index=after.index),
                    arc=after.arc,
                    asked=(leg.asked, legs[leg.index + 1].asked),
                )
            )
    return tuple(pieces)


def _outer_side(turn: PlannedTurn | None) -> Side | None:
    """Return the side away from the bend."""
    if turn is None or turn.course_change_deg is None:
        return None
    return "port" if turn.course_change_deg > 0.0 else "starboard"


def _speed_source(leg: _RawLeg, ship: ShipProfile | None) -> SpeedSource | None:
    """Return where the speed on a leg comes from."""
    if leg.end.settled is not None:
        return leg.end.settled.speed_source
    if leg.wishes.speed_kn is not None:
        return "leg"
    return "ship" if ship is not None and ship.speed_kn is not None else None


def _track_m(legs: tuple[PlannedLeg, ...], turns: tuple[PlannedTurn, ...]) -> float | None:
    """Return the length of the planned track, arcs included; None where no track exists."""
    if not legs or not all(leg.room for leg in legs):
        return None
    on_legs_m = sum(leg.track_to_m - leg.track_from_m for leg in legs)
    return on_legs_m + sum(turn.arc.arc_m for turn in turns if turn.arc is not None)
