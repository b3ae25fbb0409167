"""The hull at some moments of each simulated turn, as features of the layers."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from wheelover.core.sweep.hull import hull_shape_m
from wheelover.core.sweep.strip import outlines_deg
from wheelover.core.turns.compare import simulated_row
from wheelover.core.types.manoeuvre import Motion
from wheelover.core.types.plan import Plan
from wheelover.core.types.ship import ShipProfile
from wheelover.render.lines import line
from wheelover.render.rounding import METRES, rounded

Document = dict[str, Any]

MOST_TURNS = 200
"""Of a longer route the hull is drawn on the turn cards, one by one."""

_OUTLINES = 12


def hull_features(plan: Plan, ship: ShipProfile | None) -> Iterator[Document]:
    """Yield for each turn the outline of her hull at twelve moments of the simulated run.

    The run begins where helm is planned, as the simulated way of her midships does. A ship without
    length or beam has no outline.

    Parameters
    ----------
    plan : Plan
        The plan.
    ship : ShipProfile or None
        The ship.
    """
    if ship is None or not ship.loa_m or not ship.beam_m or len(plan.turns) > MOST_TURNS:
        return
    outline_m = hull_shape_m(ship.loa_m, ship.beam_m)
    for turn in plan.turns:
        run, helm_at = simulated_row(turn.wheel_overs), turn.planned.position
        if run is None or run.manoeuvre is None or helm_at is None:
            continue
        lat, lon = outlines_deg(_some(run.manoeuvre.motion), helm_at, outline_m)
        rings = [_closed(*ring) for ring in zip(lat, lon, strict=True)]
        yield {
            "type": "Feature",
            "geometry": {
                "type": "MultiLineString",
                "coordinates": [one for r in rings for one in r],
            },
            "properties": {
                "layer": "hull",
                "index": turn.index,
                "waypoint_id": turn.waypoint_id,
                "loa_m": rounded(ship.loa_m, METRES),
                "beam_m": rounded(ship.beam_m, METRES),
                "outline_count": len(rings),
            },
        }


def _some(motion: Motion) -> Motion:
    """Return some rows of a motion, the first and the last among them."""
    last = motion.time_s.size - 1
    kept = sorted({round(one * last / (_OUTLINES - 1)) for one in range(_OUTLINES)})
    return Motion(**{name: getattr(motion, name)[kept] for name in Motion.__slots__})


def _closed(lat_deg: Any, lon_deg: Any) -> list[list[list[float]]]:
    """Return an outline as a closed line, in parts where it is cut at 180 degrees."""
    geometry = line(np.append(lat_deg, lat_deg[0]), np.append(lon_deg, lon_deg[0]))
    one = geometry["coordinates"]
    return [one] if geometry["type"] == "LineString" else list(one)
