"""The danger nearest to a leg or a turn as JSON values."""

from typing import Any

from wheelover.core.types.chart import Chart
from wheelover.core.types.clearance import PieceLeast
from wheelover.render.rounding import METRES, rounded

Document = dict[str, Any]


def least_row(least: PieceLeast, chart: Chart) -> Document:
    """Return the nearest danger of one piece of track."""
    return {
        "hazard_id": chart.hazards.ids[least.hazard_index],
        "hazard_name": chart.hazards.names[least.hazard_index],
        "distance_m": rounded(least.distance_m, METRES),
        "clearance_m": rounded(least.clearance_m, METRES),
        "limit_m": rounded(least.limit_m, METRES),
        "limit_source": least.limit_source,
        "met": least.met,
        "on_track": least.clearance_m <= 0.0,
        "infringed_count": least.infringed_count,
    }


def judged(least: Document | None, *, track_exists: bool) -> Document | None:
    """Return a nearest danger; where no track exists nothing can be said to be met."""
    if least is None or track_exists or not least["met"]:
        return least
    return {**least, "met": None}
