"""The wheel-over methods of a turn as JSON values."""

from typing import Any

from wheelover.core.types.track import (
    MethodSpread,
    NotApplicable,
    PlannedTurn,
    TableUsed,
    WheelOver,
)
from wheelover.core.units import nm_from_m
from wheelover.render.rounding import METRES, MILES, OTHER, SECONDS, position, rounded

Document = dict[str, Any]


def wheel_over(row: WheelOver | NotApplicable, turn: PlannedTurn) -> Document:
    """Return the answer of one method; only the geometric one is made of the arc's tangent."""
    if isinstance(row, NotApplicable):
        return {
            "method": row.method,
            "status": "not_applicable",
            "reason": row.reason,
            "distance_nm": None,
            "position": None,
            "reach_m": None,
            "tangent_m": None,
            "off_track_m": None,
            "working": [],
            "notes": [],
            "table": None,
        }
    tangent_m = None if turn.arc is None or row.method != "geometric" else turn.arc.tangent_in_m
    return {
        "method": row.method,
        "status": "computed",
        "reason": None,
        "distance_nm": rounded(nm_from_m(row.distance_m), MILES),
        "position": position(row.position),
        "reach_m": rounded(row.reach_m, METRES),
        "tangent_m": rounded(tangent_m, METRES),
        "off_track_m": None,
        "working": list(row.working),
        "notes": list(row.notes),
        "table": None if row.table is None else _table(row.table),
    }


def _table(used: TableUsed) -> Document:
    """Return the turning table in use and what was read out of it."""
    table = used.table
    return {
        "rudder_deg": rounded(table.rudder_deg, OTHER),
        "speed_kn": rounded(table.speed_kn, OTHER),
        "loading": table.loading,
        "side": table.side,
        "source": table.source,
        "rows_are": table.rows_are,
        "advance_m": rounded(used.advance_m, METRES),
        "transfer_m": rounded(used.transfer_m, METRES),
    }


def spread(apart: MethodSpread | None) -> Document | None:
    """Return how far the methods are apart."""
    if apart is None:
        return None
    return {
        "earliest": apart.earliest,
        "latest": apart.latest,
        "distance_m": rounded(apart.distance_m, METRES),
        "time_s": rounded(apart.time_s, SECONDS),
    }
