"""The hull at some moments of each simulated turn, as features of the layers."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from wheelover.core.sweep.hull import hull_shape_m
from wheelover.core.sweep.strip import outlines_of
from wheelover.core.turns.compare import simulated_row
from wheelover.core.types.manoeuvre import Motion
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import Position
from wheelover.core.types.ship import ShipProfile
from wheelover.render.lines import lines_from
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
    turned = []
    for turn in plan.turns:
        run, helm_at = simulated_row(turn.wheel_overs), turn.planned.position
        if run is not None and run.manoeuvre is not None and helm_at is not None:
            turned.append((turn, _some(run.manoeuvre.motion), helm_at))
    drawn = _rings([(motion, helm_at) for _, motion, helm_at in turned], ship)
    for (turn, _, _), rings in zip(turned, drawn, strict=True):
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


def _rings(runs: list[tuple[Motion, Position]], ship: ShipProfile) -> list[list[Any]]:
    """Return the outlines of each run as closed lines, in parts where they are cut at 180 degrees.

    All runs are brought onto the chart at once.
    """
    if not runs:
        return []
    lat, lon = outlines_of(runs, hull_shape_m(ship.loa_m, ship.beam_m))
    closed = [np.concatenate([one, one[:, :1]], axis=1) for one in (lat, lon)]
    count, corners = closed[0].shape
    lines = iter(lines_from(np.arange(count) * corners, *(one.ravel() for one in closed)))
    return [[_parts_of(next(lines)) for _ in range(motion.time_s.size)] for motion, _ in runs]


def _parts_of(geometry: Document) -> list[Any]:
    """Return the parts of a line."""
    one = geometry["coordinates"]
    return [one] if geometry["type"] == "LineString" else list(one)
