"""A plan at other times of departure as JSON values: what was, and what then is."""

from collections.abc import Iterator, Sequence
from typing import Any, TypeVar

from wheelover.core.times.departures import NOT_AGAIN
from wheelover.core.types.departures import (
    AreaThen,
    DaylightThen,
    Departed,
    GateThen,
    WarningThen,
    WheelOverThen,
)
from wheelover.core.types.route import Route
from wheelover.core.types.schedule import ArrivalWindow
from wheelover.core.types.track import PlannedLeg, PlannedTurn
from wheelover.render.rounding import METRES, SECONDS, rounded
from wheelover.render.times import utc

Document = dict[str, Any]
T = TypeVar("T")


def departures_document(
    was: Departed,
    moved: Sequence[Departed],
    route: Route,
    track: tuple[Sequence[PlannedLeg], Sequence[PlannedTurn]],
) -> Document:
    """Return the plan as it stands and at other departures, each held against the former.

    Parameters
    ----------
    was : Departed
        At the departure of the plan.
    moved : sequence of Departed
        At the others.
    route : Route
        The route.
    track : tuple of sequences of PlannedLeg and PlannedTurn
        The planned track.
    """
    legs, turns = track
    ids = {("leg", leg.index): leg.to_id for leg in legs}
    ids |= {("turn", turn.index): turn.waypoint_id for turn in turns}
    return {
        "was": _departed(was, was, route, ids),
        "moved": [_departed(one, was, route, ids) for one in moved],
        "note": NOT_AGAIN,
    }


def _departed(
    one: Departed, was: Departed, route: Route, ids: dict[tuple[str, int], str]
) -> Document:
    """Return one departure."""
    windows = {window.waypoint_index: window.result for window in was.windows}
    lights = {then.waypoint_index: then.light for then in was.wheel_overs}
    return {
        "departure_utc": utc(one.departure_s),
        "shift_s": rounded(one.departure_s - was.departure_s, SECONDS),
        "arrival_utc": utc(one.arrival_s),
        "duration_s": rounded(one.duration_s, SECONDS),
        "etas": [
            {"waypoint_id": waypoint.id, "eta_utc": utc(eta_s)}
            for waypoint, eta_s in zip(route.waypoints, one.etas_s, strict=False)
        ],
        "gates": [
            {**_gate(gate, ids), "was": before and before.outcome}
            for gate, before in _beside(one.gates, was.gates)
        ],
        "windows": [
            {**_window(window, route), "was": windows.get(window.waypoint_index)}
            for window in one.windows
        ],
        "daylight": [
            {**_daylight(need), "was": before and before.outcome}
            for need, before in _beside(one.daylight, was.daylight)
        ],
        "wheel_overs": [
            {**_wheel_over(then, route), "was": lights.get(then.waypoint_index)}
            for then in one.wheel_overs
        ],
        "warnings": [
            {**_warning(then, ids), "was": before and before.state}
            for then, before in _beside(one.warnings, was.warnings)
        ],
        "areas": [
            {
                **_area(then),
                "was_enters_utc": utc(None if before is None else before.enters_s),
                "was_leaves_utc": utc(None if before is None else before.leaves_s),
            }
            for then, before in _beside(one.areas, was.areas)
        ],
        "problems": list(one.problems),
        "reason": one.reason,
    }


def _beside(now: Sequence[T], was: Sequence[T]) -> Iterator[tuple[T, T | None]]:
    """Return rows with those of the plan's own departure; None where that has none of them."""
    before: Sequence[T | None] = was or [None] * len(now)
    return zip(now, before, strict=True) if now else iter(())


def _gate(one: GateThen, ids: dict[tuple[str, int], str]) -> Document:
    """Return what comes of a gate of the tide."""
    gate = one.gate
    stations = [tide.station for tide in gate.tides if tide is not None]
    return {
        "piece": {"kind": gate.piece.kind, "index": gate.piece.index},
        "waypoint_id": ids[gate.piece.kind, gate.piece.index],
        "kind": gate.kind,
        "hazard_id": gate.hazard_id,
        "hazard_name": gate.hazard_name,
        "station": ", ".join(dict.fromkeys(stations)),
        "limit_m": rounded(gate.limit_m, METRES),
        "height_m": rounded(one.height_m, METRES),
        "from_utc": utc(one.from_s),
        "to_utc": utc(one.to_s),
        "outcome": one.outcome,
        "reason": one.reason,
    }


def _window(one: ArrivalWindow, route: Route) -> Document:
    """Return whether a window of arrival is met."""
    return {
        "waypoint_id": route.waypoints[one.waypoint_index].id,
        "from_utc": utc(one.from_s),
        "to_utc": utc(one.to_s),
        "result": one.result,
        "off_s": rounded(one.off_s, SECONDS),
        "reason": one.reason,
    }


def _daylight(one: DaylightThen) -> Document:
    """Return what comes of a need of daylight."""
    return {
        "waypoint_id": one.need.waypoint_id,
        "part": one.need.part,
        "need": one.need.reason,
        "at_utc": utc(one.at_s),
        "light": one.light,
        "outcome": one.outcome,
        "reason": one.reason,
    }


def _wheel_over(one: WheelOverThen, route: Route) -> Document:
    """Return the light at a planned wheel-over."""
    return {
        "waypoint_id": route.waypoints[one.waypoint_index].id,
        "at_utc": utc(one.at_s),
        "light": one.light,
        "lost_cue_ids": list(one.lost_cues),
        "reason": one.reason,
    }


def _warning(one: WarningThen, ids: dict[tuple[str, int], str]) -> Document:
    """Return whether a warning counts as she passes it."""
    near = one.warning
    return {
        "hazard_id": near.hazard_id,
        "name": near.name,
        "piece": {"kind": one.piece.kind, "index": one.piece.index},
        "waypoint_id": ids[one.piece.kind, one.piece.index],
        "issued_utc": utc(near.times.issued_s),
        "cancel_utc": utc(near.times.cancel_s),
        "from_utc": utc(one.from_s),
        "to_utc": utc(one.to_s),
        "state": one.state,
    }


def _area(one: AreaThen) -> Document:
    """Return when she enters and leaves an area."""
    area = one.area
    return {
        "area_id": area.area_id,
        "name": area.name,
        "danger_class": area.danger_class,
        "inside_at_start": area.enters is None,
        "inside_at_end": area.leaves is None,
        "enters_utc": utc(one.enters_s),
        "leaves_utc": utc(one.leaves_s),
        "reason": one.reason,
    }
