"""The hull in simulated turns beside the coastline."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from wheelover.core.arrays import Floats
from wheelover.core.coast.measured import coast_hazards
from wheelover.core.coast.near import Sought, edges_near
from wheelover.core.coast.segments import Segments
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo.plane import from_plane_deg
from wheelover.core.sweep.near import hull_clearances
from wheelover.core.turns.compare import simulated_row
from wheelover.core.types.coast import Coast
from wheelover.core.types.manoeuvre import Motion
from wheelover.core.types.route import Position
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import PlannedTurn
from wheelover.core.units import NM_M

_PART_COUNT = 12
_BESIDE_M = 0.25 * NM_M


def hull_off_coast_m(
    turns: Sequence[PlannedTurn], ship: ShipProfile | None, coast: Coast, cover: Any | None
) -> dict[int, float]:
    """Return how far the hull stays from the coastline in simulated turns, by their numbers.

    Parameters
    ----------
    turns : sequence of PlannedTurn
        The turns; each begins at its planned wheel-over.
    ship : ShipProfile or None
        Her length and beam.
    coast : Coast
        The shores.
    cover : shapely geometry or None
        What official charts cover.

    Returns
    -------
    dict
        Metres, zero where the hull is on a shore; without those that stay farther than half her
        length and a quarter of a mile from any, and those that are not simulated.
    """
    runs = [(one, _run(one)) for one in turns] if ship is not None else []
    found = {}
    for turn, run in runs:
        if run is None or ship is None:
            continue
        motion, place = run
        radius_m = float(np.hypot(ship.loa_m, ship.beam_m)) / 2.0
        sought = Sought(
            reach_m=np.array([radius_m + _BESIDE_M]),
            by_side=np.zeros(1, dtype=np.bool_),
            more_m=radius_m,
        )
        edge, _ = edges_near(coast, _segments(motion, place), sought, cover)
        if edge.size == 0:
            continue
        try:
            rows = hull_clearances(
                motion, place, ship.loa_m, ship.beam_m, coast_hazards(coast, edge)
            )
        except OutOfDomain:
            # Its own check says why the hull cannot be swept; the arc is measured all the same.
            continue
        if rows:
            found[turn.index] = min(one.distance_m for one in rows)
    return found


def _run(turn: PlannedTurn) -> tuple[Motion, Position] | None:
    """Return the simulated run of a turn and where it begins, None without one."""
    row, place = simulated_row(turn.wheel_overs), turn.planned.position
    if row is None or row.manoeuvre is None or place is None:
        return None
    return row.manoeuvre.motion, place


def _segments(motion: Motion, place: Position) -> Segments:
    """Return a run as chords between some of its rows."""
    taken = np.unique(np.linspace(0, motion.east_m.size - 1, _PART_COUNT + 1).astype(np.int64))
    run_m = np.hypot(np.diff(motion.east_m), np.diff(motion.north_m))
    so_far_m: Floats = np.append(0.0, np.cumsum(run_m))[taken]
    places_m = np.column_stack([motion.east_m[taken], motion.north_m[taken]])
    lat, lon = from_plane_deg((place.lat_deg, place.lon_deg), places_m)
    return Segments(
        piece=np.zeros(taken.size - 1, dtype=np.int64),
        lat_deg=np.stack([lat[:-1], lat[1:]], axis=1),
        lon_deg=np.stack([lon[:-1], lon[1:]], axis=1),
        # No place of a run is farther from an end of its part than half the way between them.
        bow_m=np.diff(so_far_m) / 2.0 + 1.0,
    )
