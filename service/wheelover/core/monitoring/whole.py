"""Everything that is computed for the bridge team, as a table of contents."""

from collections.abc import Mapping

from wheelover.core.monitoring.aborts import aborts_of
from wheelover.core.monitoring.along import Way
from wheelover.core.monitoring.charted_points import charted_points
from wheelover.core.monitoring.contingencies import PlanOf, checked_contingencies
from wheelover.core.monitoring.fixing import leg_fixings
from wheelover.core.monitoring.points import placed_points
from wheelover.core.monitoring.reach import reach_speeds_m_per_s
from wheelover.core.monitoring.sources import cell_sources, sources_found
from wheelover.core.track import Track
from wheelover.core.types.bridge import Bridge, BridgeFound
from wheelover.core.types.cells import Cell
from wheelover.core.types.chart import Chart
from wheelover.core.types.charted import ChartedTrack
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.clearance import Clearances, Piece
from wheelover.core.types.coast import Land
from wheelover.core.types.route import Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.sweep import SweptLeg
from wheelover.core.types.times import PieceTime


def for_the_bridge(
    given: tuple[Route, ShipProfile | None, Conditions, Limits, Bridge],
    track: Track,
    charts: tuple[Chart, tuple[Cell, ...], ChartedTrack | None],
    clearances: Clearances,
    times: Mapping[Piece, PieceTime],
    swept: tuple[SweptLeg, ...],
    land: Land | None,
    plan_of: PlanOf,
) -> BridgeFound:
    """Return what is computed for the bridge team.

    Parameters
    ----------
    given : tuple
        The route, the ship, the conditions, the limits, and what is given for the bridge team.
    track : Track
        The planned track.
    charts : tuple
        The chart with all dangers that the plan is checked against, the cells of the plan, and
        what they say of its track.
    clearances : Clearances
        How near the track comes to them.
    times : mapping
        When she is on which piece, and how fast.
    swept : tuple of SweptLeg
        How wide the hull sweeps.
    land : Land or None
        How near the coastline comes.
    plan_of : callable
        Makes the plan of the route of a contingency.
    """
    route, ship, conditions, limits, bridge = given
    chart, cells, on_chart = charts
    way = Way(track, times)
    wishes = {leg.index: route.waypoints[leg.from_index + 1].leg for leg in track.legs}
    stages = {
        index: one.monitoring.stage
        for index, one in wishes.items()
        if one is not None and one.monitoring is not None
    }
    return BridgeFound(
        fixings=leg_fixings(
            track.legs,
            track.turns,
            clearances,
            times,
            reach_speeds_m_per_s(route, conditions, track.legs, times),
            swept,
            land,
            half_beam_m=0.0 if ship is None else ship.beam_m / 2.0,
            loaded=chart.loaded,
        ),
        points=placed_points(way, bridge.points),
        found=charted_points(way, cells),
        aborts=aborts_of(way, stages, ship, (chart, cells), limits),
        contingencies=checked_contingencies(
            bridge.contingencies, way, (route, ship, conditions, limits), plan_of
        ),
        sources=sources_found(bridge.sources, track.legs, conditions.departure_s),
        cells=cell_sources(on_chart, track.legs),
        ticked=bridge.ticked,
        of_contingency=bridge.of_contingency,
    )
