"""A route of which one waypoint is moved: laid and checked again about it, and nowhere else."""

from dataclasses import dataclass, replace

import numpy as np

from wheelover.core.clearance.passing import TrackPiece
from wheelover.core.clearance.recheck import Checked, Rechecked, recheck
from wheelover.core.on_chart import on_cells, wanted_for
from wheelover.core.times.settle import settle
from wheelover.core.track import Track, lay_track
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.clearance import Piece
from wheelover.core.types.route import Position, Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import PlannedLeg, PlannedTurn

_LEGS, _TURNS = 2, 2
_REACH = 4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Base:
    """A plan as it stands, laid and checked, for asking what one of its waypoints moved changes.

    ``chart`` holds the dangers of the cells among its own.
    """

    route: Route
    ship: ShipProfile | None
    conditions: Conditions
    chart: Chart
    track: Track
    checked: Checked


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Moved:
    """The legs and turns that may not be as they were, under their numbers in the route.

    ``again`` tells of each of them that has a piece of track, whether or not it did change.
    """

    legs: tuple[PlannedLeg, ...]
    turns: tuple[PlannedTurn, ...]
    again: Rechecked


def base_of(
    route: Route, ship: ShipProfile | None, chart: Chart, conditions: Conditions, limits: Limits
) -> Base:
    """Return a route laid and checked, as the plan has it (``planning.make_plan``).

    Parameters
    ----------
    route, ship, chart, conditions, limits
        As for a plan.
    """
    with np.errstate(invalid="raise", divide="raise"):
        timing = settle(route, ship, conditions)
        settled, flowing = timing.route, replace(conditions, departure_s=timing.departure_s)
        track = lay_track(settled, ship, flowing)
        checked, _ = on_cells(chart, wanted_for(settled, ship, limits))
        return Base(
            route=settled,
            ship=ship,
            conditions=flowing,
            chart=checked,
            track=track,
            checked=Checked(track.pieces, checked.hazards, limits),
        )


def moved_waypoint(base: Base, index: int, place: Position) -> Moved:
    """Return the legs and turns about a waypoint moved to a place, checked again.

    Two legs and the turns at both ends of each change, with these turns how far the legs beyond go,
    and so whether the turns two off have room there. Speeds and currents stay those that the
    schedule settled before: where times of arrival are given a plan made anew may settle others.

    Parameters
    ----------
    base : Base
        The plan as it stands.
    index : int
        The number of the waypoint.
    place : Position
        Where it is now.
    """
    with np.errstate(invalid="raise", divide="raise"):
        first = max(index - _REACH, 0)
        waypoints = list(base.route.waypoints[first : index + _REACH + 1])
        waypoints[0] = replace(waypoints[0], leg=None, gap_before=False)
        waypoints[index - first] = replace(
            waypoints[index - first], lat_deg=place.lat_deg, lon_deg=place.lon_deg
        )
        part = lay_track(
            replace(base.route, waypoints=tuple(waypoints)), base.ship, base.conditions
        )
        leg_at = {one.from_index: one.index for one in base.track.legs}
        turn_at = {one.waypoint_index: one.index for one in base.track.turns}
        legs = [
            (one, replace(one, index=leg_at[from_index], from_index=from_index))
            for one in part.legs
            if _leg_moves(from_index := first + one.from_index, index)
        ]
        turns = [
            (one, replace(one, index=turn_at[at_index], waypoint_index=at_index))
            for one in part.turns
            if _turn_moves(at_index := first + one.waypoint_index, index)
        ]
        numbers = {
            **{Piece(kind="leg", index=one.index): now.index for one, now in legs},
            **{Piece(kind="turn", index=one.index): now.index for one, now in turns},
        }
        told = {Piece(kind=one.kind, index=number) for one, number in numbers.items()}
        again = recheck(base.checked, _spliced(base.track, part, numbers), told)
    return Moved(
        legs=tuple(now for _, now in legs), turns=tuple(now for _, now in turns), again=again
    )


def _leg_moves(from_index: int, index: int) -> bool:
    """Return whether a leg may not be as it was when a waypoint is moved."""
    return index - _LEGS <= from_index < index + _LEGS


def _turn_moves(waypoint_index: int, index: int) -> bool:
    """Return whether a turn may not be as it was when a waypoint is moved."""
    return abs(waypoint_index - index) <= _TURNS


def _spliced(whole: Track, part: Track, numbers: dict[Piece, int]) -> tuple[TrackPiece, ...]:
    """Return the pieces of the whole track with those of a part in place of what changed.

    ``numbers`` has the number in the whole of each piece of the part that did.
    """
    fresh = [
        replace(
            one,
            piece=Piece(kind=one.piece.kind, index=numbers[one.piece]),
            opens=one.leg is not None and numbers[one.piece] == 0,
            closes=one.leg is not None and numbers[one.piece] == len(whole.legs) - 1,
        )
        for one in part.pieces
        if one.piece in numbers
    ]
    gone = {(one.kind, number) for one, number in numbers.items()}
    kept = [one for one in whole.pieces if (one.piece.kind, one.piece.index) not in gone]

    def order(one: TrackPiece) -> int:
        if one.piece.kind == "leg":
            return 2 * whole.legs[one.piece.index].from_index
        return 2 * whole.turns[one.piece.index].waypoint_index - 1

    return tuple(sorted([*kept, *fresh], key=order))
