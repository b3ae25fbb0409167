"""Clearing bearings and ranges, and transits, as JSON values."""

from typing import Any

from wheelover.core.types.aid_lines import (
    ClearingBearing,
    ClearingRange,
    ClearingTransit,
    LegClearing,
    LegTransits,
    Transit,
)
from wheelover.core.types.chart import Chart
from wheelover.core.types.marks import Mark
from wheelover.core.units import nm_from_m
from wheelover.render.rounding import DEGREES, METRES, MILES, course, rounded

Document = dict[str, Any]


def clearing_document(
    clearing: LegClearing | None, marks: dict[str, Mark], chart: Chart
) -> Document | None:
    """Return the clearing lines of a leg; None where no danger or no mark is near it."""
    if clearing is None:
        return None
    return {
        "bearings": [_bearing(one, marks, chart) for one in clearing.bearings],
        "ranges": [_range(one, marks, chart) for one in clearing.ranges],
        "transits": [_clearing_transit(one, marks, chart) for one in clearing.transits],
        "none_for": [_danger(one, chart) for one in clearing.none_for],
        "not_usable": [
            {"mark_id": one.mark_id, "reason": one.reason} for one in clearing.not_usable
        ],
        "reason": clearing.reason,
    }


def _danger(number: int, chart: Chart) -> Document:
    """Return a danger by id and name."""
    return {"hazard_id": chart.hazards.ids[number], "hazard_name": chart.hazards.names[number]}


def _of_both(
    one: ClearingBearing | ClearingRange, marks: dict[str, Mark], chart: Chart
) -> Document:
    """Return what bearings and ranges say alike."""
    return {
        "mark_id": one.mark_id,
        "mark_name": marks[one.mark_id].name,
        "floating": marks[one.mark_id].floating,
        **_danger(one.hazard_index, chart),
        "use": "chosen" if one.chosen else "proposed",
        "word": one.word,
        "danger_side": one.danger_side,
        "radius_m": rounded(one.radius_m, METRES),
        "room_m": rounded(one.room_m, METRES),
        "from_nm": rounded(nm_from_m(one.from_m), MILES),
        "to_nm": rounded(nm_from_m(one.to_m), MILES),
        "clears": [_danger(other, chart) for other in one.clears],
        "notes": list(one.notes),
    }


def _bearing(one: ClearingBearing, marks: dict[str, Mark], chart: Chart) -> Document:
    """Return a clearing bearing."""
    return {
        **_of_both(one, marks, chart),
        "bearing_deg": course(one.bearing_deg),
        "set_deg": course(one.set_deg),
        "mark_ahead": one.mark_ahead,
        "angle_deg": rounded(one.angle_deg, DEGREES),
        "sight": one.sight,
        "not_cleared": [_danger(other, chart) for other in one.not_cleared],
    }


def _range(one: ClearingRange, marks: dict[str, Mark], chart: Chart) -> Document:
    """Return a clearing range."""
    return {
        **_of_both(one, marks, chart),
        "range_nm": rounded(nm_from_m(one.range_m), MILES),
        "set_nm": rounded(one.set_nm, MILES),
    }


def _clearing_transit(one: ClearingTransit, marks: dict[str, Mark], chart: Chart) -> Document:
    """Return a clearing transit."""
    front, rear = marks[one.front_id], marks[one.rear_id]
    return {
        "front_mark_id": front.id,
        "front_mark_name": front.name,
        "rear_mark_id": rear.id,
        "rear_mark_name": rear.name,
        **_danger(one.hazard_index, chart),
        "use": "chosen" if one.chosen else "proposed",
        "open_side": one.open_side,
        "bearing_deg": course(one.bearing_deg),
        "danger_side": one.danger_side,
        "mark_ahead": one.mark_ahead,
        "angle_deg": rounded(one.angle_deg, DEGREES),
        "radius_m": rounded(one.radius_m, METRES),
        "room_m": rounded(one.room_m, METRES),
        "open_tenth_deg_m": rounded(one.open_m, METRES),
        "from_nm": rounded(nm_from_m(one.from_m), MILES),
        "to_nm": rounded(nm_from_m(one.to_m), MILES),
        "sight": one.sight,
        "clears": [_danger(other, chart) for other in one.clears],
        "not_cleared": [_danger(other, chart) for other in one.not_cleared],
        "notes": list(one.notes),
    }


def transit_rows(transits: LegTransits | None) -> list[Document]:
    """Return the transits of a leg."""
    return [] if transits is None else [_transit(one) for one in transits.transits]


def _transit(one: Transit) -> Document:
    """Return a transit."""
    return {
        "name": one.name,
        "front_mark_id": one.front_id,
        "rear_mark_id": one.rear_id,
        "source": one.source,
        "use": one.use,
        "bearing_deg": course(one.bearing_deg),
        "marks_ahead": one.marks_ahead,
        "angle_deg": rounded(one.angle_deg, DEGREES),
        "off_m": rounded(one.off_m, METRES),
        "at_nm": rounded(nm_from_m(one.at_m), MILES),
        "open_tenth_deg_m": rounded(one.open_m, METRES),
    }
