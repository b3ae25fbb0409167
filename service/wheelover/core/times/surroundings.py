"""What a schedule says beside its times: areas entered and left, fuel, zone times, full hours."""

from dataclasses import replace

from wheelover.core.schedule.zone import zones_along
from wheelover.core.times.areas import area_times
from wheelover.core.times.fuel import NO_TABLE, fuel_used
from wheelover.core.times.labels import time_labels
from wheelover.core.times.line import timed_line
from wheelover.core.track import Track
from wheelover.core.types.chart import Hazards
from wheelover.core.types.charted import ChartedTrack
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.clearance import Piece
from wheelover.core.types.route import Route
from wheelover.core.types.schedule import Schedule
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.times import PieceTime

NO_CELLS = "no chart cells are loaded: only areas among the own dangers were looked at"


def with_surroundings(
    schedule: Schedule,
    track: Track,
    times: dict[Piece, PieceTime],
    given: tuple[Route, ShipProfile | None, Conditions],
    charts: tuple[Hazards, ChartedTrack | None],
) -> Schedule:
    """Return a schedule with areas entered and left, fuel, zone times and places of full hours.

    Parameters
    ----------
    schedule : Schedule
        The schedule.
    track : Track
        The track.
    times : dict of Piece to PieceTime
        When she comes to each piece.
    given : tuple
        Route, ship and conditions.
    charts : tuple of Hazards and ChartedTrack or None
        All dangers of the plan, and what the cells say.
    """
    route, ship, conditions = given
    hazards, on_chart = charts
    line = timed_line(track, times)
    own_count = hazards.count if on_chart is None else on_chart.typed_count
    used, totals = fuel_used(ship, route, track.legs, schedule.legs, schedule.wheel_overs)
    return replace(
        schedule,
        areas=area_times(line, hazards, own_count, on_chart),
        areas_reason=None if on_chart is not None else NO_CELLS,
        fuel=used,
        fuel_totals=totals,
        fuel_reason=None if totals else NO_TABLE,
        zones=zones_along(route.waypoints, conditions.zones),
        labels=time_labels(line, schedule.departure_s),
    )
