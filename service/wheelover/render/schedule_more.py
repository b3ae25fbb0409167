"""Areas, fuel and time labels of a schedule as JSON values."""

from collections.abc import Iterator
from typing import Any

from wheelover.core.types.plan import Plan
from wheelover.core.types.schedule import AreaEdge, AreaTime, FuelUsed, Schedule
from wheelover.render.lines import point
from wheelover.render.rounding import OTHER, SECONDS, position, rounded
from wheelover.render.times import utc

Document = dict[str, Any]


def areas_document(schedule: Schedule) -> list[Document]:
    """Return the areas entered and left, in sailing order."""
    return [_area(one, schedule.departure_s) for one in schedule.areas]


def _area(one: AreaTime, start_s: float | None) -> Document:
    """Return one stretch inside an area."""
    return {
        "area_id": one.area_id,
        "name": one.name,
        "danger_class": one.danger_class,
        "source": one.source,
        "enters": _edge(one.enters, start_s),
        "leaves": _edge(one.leaves, start_s),
    }


def _edge(one: AreaEdge | None, start_s: float | None) -> Document | None:
    """Return where and when the edge of an area is crossed."""
    if one is None:
        return None
    at_utc = None if start_s is None or one.at_s is None else utc(start_s + one.at_s)
    return {
        "position": position(one.position),
        "piece": {"kind": one.piece.kind, "index": one.piece.index},
        "at_utc": at_utc,
        "after_s": rounded(one.at_s, SECONDS),
    }


def fuel_document(schedule: Schedule) -> Document:
    """Return the fuel by leg and in all; what is not known is null, with the reason."""
    return {
        "legs": [_fuel(one) for one in schedule.fuel],
        "fuels": [
            {
                "fuel": one.fuel,
                "known_t": rounded(one.known_t, OTHER),
                "total_t": rounded(one.total_t, OTHER),
                "reason": one.reason,
            }
            for one in schedule.fuel_totals
        ],
        "reason": schedule.fuel_reason,
    }


def _fuel(one: FuelUsed) -> Document:
    """Return what a leg burns of one fuel."""
    return {
        "leg_index": one.leg_index,
        "fuel": one.fuel,
        "rate_t_per_day": rounded(one.rate_t_per_day, OTHER),
        "burnt_t": rounded(one.burnt_t, OTHER),
        "stay_t": rounded(one.stay_t, OTHER),
        "reason": one.reason,
    }


def time_labels(plan: Plan) -> Iterator[Document]:
    """Yield the features of the layer of times along the track."""
    schedule = plan.schedule
    for one in schedule.labels:
        at_utc = None if schedule.departure_s is None else utc(schedule.departure_s + one.at_s)
        yield {
            "type": "Feature",
            "geometry": point(one.position),
            "properties": {
                "layer": "time_label",
                "at_utc": at_utc,
                "after_s": rounded(one.at_s, SECONDS),
                "text": _text(at_utc, one.at_s),
            },
        }


def _text(at_utc: str | None, after_s: float) -> str:
    """Return the words of a label: the hour in UTC, with its day at midnight; else hours gone."""
    if at_utc is None:
        return f"+{round(after_s / 3600.0)} h"
    day, clock = at_utc[5:10], at_utc[11:16].replace(":", "")
    return f"{day} {clock}Z" if clock == "0000" else f"{clock}Z"
