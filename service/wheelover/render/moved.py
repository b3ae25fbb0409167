"""What the legs and turns about a moved waypoint clear, as JSON values."""

from typing import Any

from wheelover.core.moved import Moved
from wheelover.core.types.chart import Chart
from wheelover.core.types.clearance import Piece
from wheelover.render.least import judged, least_row

Document = dict[str, Any]


def moved_document(moved: Moved, chart: Chart) -> Document:
    """Return the nearest danger of each leg and turn that is not as it was.

    Parameters
    ----------
    moved : Moved
        The legs and turns, checked again.
    chart : Chart
        The dangers they were checked against.
    """
    local = moved.again.local
    least = {one.piece: least_row(one, chart) for one in local.least}

    def row(piece: Piece, *, track_exists: bool) -> Document:
        measured = chart.loaded and piece not in local.unmeasured
        found = judged(least.get(piece), track_exists=track_exists) if measured else None
        return {"checked": measured, "least_clearance": found}

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
