"""Everything that is computed for the bridge team, as a table of contents."""

from collections.abc import Mapping

from wheelover.core.monitoring.fixing import leg_fixings
from wheelover.core.track import Track
from wheelover.core.types.bridge import BridgeFound
from wheelover.core.types.chart import Chart
from wheelover.core.types.clearance import Clearances, Piece
from wheelover.core.types.coast import Land
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.sweep import SweptLeg
from wheelover.core.types.times import PieceTime


def for_the_bridge(
    track: Track,
    ship: ShipProfile | None,
    chart: Chart,
    clearances: Clearances,
    times: Mapping[Piece, PieceTime],
    swept: tuple[SweptLeg, ...],
    land: Land | None,
) -> BridgeFound:
    """Return what is computed for the bridge team.

    Parameters
    ----------
    track : Track
        The planned track.
    ship : ShipProfile or None
        Her beam.
    chart : Chart
        All dangers that the plan is checked against.
    clearances : Clearances
        How near the track comes to them.
    times : mapping
        When she is on which piece, and how fast.
    swept : tuple of SweptLeg
        How wide the hull sweeps.
    land : Land or None
        How near the coastline comes.
    """
    return BridgeFound(
        fixings=leg_fixings(
            track.legs,
            track.turns,
            clearances,
            times,
            swept,
            land,
            half_beam_m=0.0 if ship is None else ship.beam_m / 2.0,
            loaded=chart.loaded,
        )
    )
