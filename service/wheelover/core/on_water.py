"""A plan on its water: what is charted and typed under the keel and over the mast of its track."""

from collections.abc import Mapping, Sequence

import numpy as np

from wheelover.core.clearance.passing import TrackPiece
from wheelover.core.clearance.whole import clear
from wheelover.core.depth.charted import charted_depths
from wheelover.core.depth.over import charted_objects, objects_over, overhead_of, within_reach
from wheelover.core.depth.whole import depths_of
from wheelover.core.types.chart import Chart
from wheelover.core.types.charted import ChartedTrack, Way
from wheelover.core.types.circumstances import NO_LIMITS, Conditions, Limits
from wheelover.core.types.clearance import Clearances, Piece
from wheelover.core.types.depth import Depths, DepthUnder, ObjectOver
from wheelover.core.types.route import Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.sweep import SweptLeg
from wheelover.core.types.times import PieceTime
from wheelover.core.types.track import PlannedLeg, PlannedTurn
from wheelover.core.units import m_from_nm

LEAST_HALF_WIDTH_M = 50.0
"""Beside a track without cross-track limits so much water is looked at beyond her side."""


def on_water(
    given: tuple[Route, ShipProfile | None, Conditions, Limits],
    planned: tuple[Sequence[PlannedLeg], Sequence[PlannedTurn], Sequence[TrackPiece]],
    times: Mapping[Piece, PieceTime],
    charts: tuple[Chart, ChartedTrack | None],
    clearances: Clearances,
    swept: Sequence[SweptLeg] = (),
) -> Depths:
    """Return the sums of water under the keel and of air over the mast along a track.

    Parameters
    ----------
    given : tuple
        Route, ship, conditions and limits.
    planned : tuple of three sequences
        The legs, turns and pieces of the track.
    times : mapping of Piece to PieceTime
        When she comes to each piece.
    charts : tuple of Chart and ChartedTrack or None
        The typed dangers with the cells, and what the cells say of the track.
    clearances : Clearances
        How near the track comes to the dangers.
    swept : sequence of SweptLeg
        How wide her hull is on each leg where she crabs.
    """
    route, ship, conditions, limits = given
    legs, turns, pieces = planned
    chart, on_chart = charts
    over: tuple[ObjectOver, ...] = ()
    under: tuple[DepthUnder, ...] = ()
    if ship is not None:
        halves_m = _half_hulls_m(ship, legs, swept)
        over = _over(_reach_m(ship, halves_m, legs, turns), pieces, charts, clearances)
        if on_chart is not None:
            ways = _ways(ship, halves_m, legs, turns, pieces)
            under = charted_depths(chart.cells, on_chart.charted, ways)
    return depths_of(route, ship, conditions, limits, legs, turns, times, under, over)


def _over(
    reach_m: Mapping[Piece, float],
    pieces: Sequence[TrackPiece],
    charts: tuple[Chart, ChartedTrack | None],
    clearances: Clearances,
) -> tuple[ObjectOver, ...]:
    """Return what is typed and charted overhead within her reach on each piece."""
    chart, on_chart = charts
    hazards, most_m = chart.hazards, max(reach_m.values(), default=0.0)
    near, above = clearances.infringements, overhead_of(hazards)
    if above.any():
        wide = within_reach(hazards, above, most_m)
        near = clear(tuple(pieces), wide, NO_LIMITS).infringements
    over = objects_over(hazards, near, reach_m)
    if on_chart is None:
        return over
    listed = on_chart.charted.overhead.hazards
    wide = within_reach(listed, np.ones(listed.count, np.bool_), most_m)
    found = clear(tuple(pieces), wide, NO_LIMITS).infringements
    return (*over, *charted_objects(on_chart.charted, found, reach_m))


def _half_hulls_m(
    ship: ShipProfile, legs: Sequence[PlannedLeg], swept: Sequence[SweptLeg]
) -> dict[int, float]:
    """Return how far to either side her hull is on each leg, by its number, as she crabs on it.

    Where how far she crabs is not known she may lie across it.
    """
    across_m = ship.loa_m / 2.0
    known = {one.leg_index: one.half_width_m or across_m for one in swept}
    return {leg.index: known.get(leg.index, ship.beam_m / 2.0) for leg in legs}


def _reach_m(
    ship: ShipProfile,
    halves_m: Mapping[int, float],
    legs: Sequence[PlannedLeg],
    turns: Sequence[PlannedTurn],
) -> dict[Piece, float]:
    """Return how far from the track she may pass beneath something on each piece, metres.

    To the side of her hull, and as far aside as the cross-track limits let her go; in a turn, where
    she lies across the track, to half her length, or the wider limit of the legs beside it.
    """
    given = {leg.from_index: _widest_m(leg) for leg in legs}
    found = {
        Piece(kind="leg", index=leg.index): max(halves_m[leg.index], given[leg.from_index])
        for leg in legs
    }
    for turn in turns:
        beside = (given.get(turn.waypoint_index - back, 0.0) for back in (1, 0))
        found[Piece(kind="turn", index=turn.index)] = max(ship.loa_m / 2.0, *beside)
    return found


def _ways(
    ship: ShipProfile,
    halves_m: Mapping[int, float],
    legs: Sequence[PlannedLeg],
    turns: Sequence[PlannedTurn],
    pieces: Sequence[TrackPiece],
) -> list[Way]:
    """Return how wide the depth under each piece is looked at.

    To the wider of the cross-track limits, else to where her hull may be; in a turn, where she lies
    across the track, to half her length at least.
    """
    given = {leg.from_index: _widest_m(leg) for leg in legs}
    at = {turn.index: turn.waypoint_index for turn in turns}
    by_index = {leg.index: leg for leg in legs}
    found = []
    for one in pieces:
        if one.leg is not None:
            leg = by_index[one.piece.index]
            half_m = max(given[leg.from_index], halves_m[leg.index] + LEAST_HALF_WIDTH_M)
            found.append(
                Way(
                    piece=one.piece,
                    half_width_m=half_m,
                    length_m=one.leg.length_m,
                    leg=one.leg,
                    low_m=one.from_m,
                    high_m=one.to_m,
                )
            )
        elif one.arc is not None:
            index = at[one.piece.index]
            beside_m = max(given.get(index - 1, 0.0), given.get(index, 0.0))
            found.append(
                Way(
                    piece=one.piece,
                    half_width_m=max(beside_m, ship.loa_m / 2.0),
                    length_m=one.arc.arc_m,
                    arc=one.arc,
                )
            )
    return found


def _widest_m(leg: PlannedLeg) -> float:
    """Return the wider of a leg's cross-track limits, zero where none is given."""
    given = [one for one in (leg.xtd_port_nm, leg.xtd_starboard_nm) if one is not None]
    return m_from_nm(max(given)) if given else 0.0
