"""What stream runs on each leg and in each turn, and when: its own, a table's, else the plan's."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from wheelover.core.schedule.streams import Flow, StreamTable, stream_table
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.route import CurrentGiven, CurrentSource, LegWishes, Route
from wheelover.core.types.stream import Stream
from wheelover.core.units import kn_from_m_per_s, m_per_s_from_kn

STILL: Flow = (0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Water:
    """The stream of a leg or turn: one that is the same all the time, or a table.

    Without either none is given; still water is then assumed, and said. ``given`` is the former as
    it was given.
    """

    source: CurrentSource | None = None
    given: CurrentGiven | None = None
    flow: Flow | None = None
    table: StreamTable | None = None

    @property
    def station(self) -> str | None:
        """Return the station whose table counts."""
        return None if self.table is None else self.table.station


NO_WATER = Water()


def waters_of(route: Route, conditions: Conditions) -> dict[int, Water]:
    """Return the water of each leg by the index of the waypoint that it leads to.

    Parameters
    ----------
    route : Route
        A leg's own current goes before all.
    conditions : Conditions
        The first of its streams that covers a leg counts there, else the current of the plan.
    """
    tables = [(stream, stream_table(stream)) for stream in conditions.streams]
    place = {one.id: index for index, one in enumerate(route.waypoints)} if tables else {}
    plan = NO_WATER
    if conditions.set_deg is not None and conditions.drift_kn is not None:
        plan = constant(conditions.set_deg, conditions.drift_kn, "plan")
    found = {}
    for index, waypoint in enumerate(route.waypoints[1:], start=1):
        wishes = waypoint.leg or LegWishes()
        if wishes.set_deg is not None and wishes.drift_kn is not None:
            found[index] = constant(wishes.set_deg, wishes.drift_kn, "leg")
            continue
        table = next(
            (
                made
                for stream, made in tables
                if _covers(stream, place, index, len(route.waypoints))
            ),
            None,
        )
        found[index] = plan if table is None else Water(source="stream", table=table)
    return found


def _covers(stream: Stream, place: Mapping[str, int], to_index: int, count: int) -> bool:
    """Return whether a stream counts on the leg to a waypoint."""
    first = 0 if stream.from_id is None else place.get(stream.from_id, count)
    last = count if stream.to_id is None else place.get(stream.to_id, -1)
    return first <= to_index - 1 and to_index <= last


def constant(set_deg: float, drift_kn: float, source: CurrentSource) -> Water:
    """Return a stream that is the same all the time."""
    given = CurrentGiven(set_deg=set_deg, drift_kn=drift_kn, source=source)
    return Water(source=source, given=given, flow=flow_of(set_deg, drift_kn))


def flow_of(set_deg: float, drift_kn: float) -> Flow:
    """Return a current as it flows east and north, metres per second."""
    speed_m_per_s, toward_rad = m_per_s_from_kn(drift_kn), math.radians(set_deg)
    return speed_m_per_s * math.sin(toward_rad), speed_m_per_s * math.cos(toward_rad)


def current_of(flow: Flow, source: CurrentSource) -> CurrentGiven:
    """Return a flow as the current of a leg or turn."""
    east, north = flow
    set_deg = math.degrees(math.atan2(east, north)) % 360.0
    return CurrentGiven(
        set_deg=0.0 if set_deg >= 360.0 else set_deg,
        drift_kn=kn_from_m_per_s(math.hypot(east, north)),
        source=source,
    )
