"""What the legs and turns about a moved waypoint clear, as JSON values."""

from itertools import compress
from typing import Any

from wheelover.core.moved import Moved
from wheelover.core.types.chart import Chart
from wheelover.core.types.clearance import Piece
from wheelover.render.least import judged, least_row

Document = dict[str, Any]


def moved_document(moved: Moved, chart: Chart) -> Document:
    """Return the nearest danger of each leg and turn that may not be as it was.

    One is ``checked`` only where its piece of track was measured now, and against some danger.

    Parameters
    ----------
    moved : Moved
        The legs and turns, checked again.
    chart : Chart
        The dangers they were checked against.
    """
    local = moved.again.local
    least = {one.piece: least_row(one, chart) for one in local.least}
    measured = {one.piece for one in compress(moved.again.pieces, moved.again.moved)}
    measured -= set(local.unmeasured)

    def row(piece: Piece, *, track_exists: bool) -> Document:
        checked = chart.loaded and chart.hazards.count > 0 and piece in measured
        found = judged(least.get(piece), track_exists=track_exists) if checked else None
        return {"checked": checked, "least_clearance": found}

    return {
        "legs": [
            {
                "from_id": one.from_id,
                "to_id": one.to_id,
                **row(Piece(kind="leg", index=one.index), track_exists=one.room),
            }
            for one in moved.legs
        ],
        "turns": [
            {
                "waypoint_id": one.waypoint_id,
                **row(Piece(kind="turn", index=one.index), track_exists=one.fits),
            }
            for one in moved.turns
        ],
    }
