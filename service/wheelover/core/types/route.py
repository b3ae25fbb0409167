"""The route: waypoints in sailing order, and the wishes for the leg that leads to each."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.errors import Fault, InvalidRoute
from wheelover.core.types.dangers import WaterKind
from wheelover.core.types.limits import ClassMargins
from wheelover.core.types.manoeuvre import Steering
from wheelover.core.types.survey import Catzoc
from wheelover.core.types.watch import LegMonitoring

LineKind = Literal["rhumb", "geodesic"]
Method = Literal["geometric", "rule_of_thumb", "advance_transfer", "simulated"]
CarriedFormat = Literal["gpx", "rtz"]
CarriedKind = Literal["attributes", "element", "extension"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """A position on WGS84: degrees, north and east positive."""

    lat_deg: float
    lon_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CanalWaiver:
    """Who answers for a leg through a canal that the coastline closes, and why.

    ``from_nm`` and ``to_nm`` bound the canal along the leg from its first waypoint, both or
    neither. Without them the waiver answers for one connected stretch on land, or a known canal.
    """

    reason: str
    by_name: str
    by_rank: str | None = None
    at_utc: str | None = None
    from_nm: float | None = None
    to_nm: float | None = None

    @property
    def label(self) -> str:
        """Return by whom and why, as it stands behind what it waives."""
        rank = "" if self.by_rank is None else f", {self.by_rank}"
        when = "" if self.at_utc is None else f" at {self.at_utc}"
        return f"Waived as a canal by {self.by_name}{rank}{when}: {self.reason.rstrip('. ')}."


@dataclass(frozen=True, slots=True, kw_only=True)
class LegWishes:
    """What is asked of the leg that leads to a waypoint, and the current on it.

    Without a line it is a rhumb line. ``set_deg`` is where the current goes; set and drift are
    given both or neither, and without them the current of the plan counts. ``min_clearance_m``
    counts for dangers whose class is not in ``min_clearance_by_class``. Without ``water`` the kind
    of water of the plan counts. ``charted_depth_m`` is the least on the leg, typed by the officer,
    with the survey quality there; ``channel_width_m`` makes it a channel. ``canal`` answers for
    land of the coastline on it. ``monitoring`` is what is planned for the bridge team.
    ``index_mark_ids`` and ``clearing_mark_ids`` are the marks chosen to index on and to clear
    dangers by; without them marks are proposed.
    """

    line: LineKind | None = None
    speed_kn: float | None = None
    xtd_port_nm: float | None = None
    xtd_starboard_nm: float | None = None
    min_clearance_m: float | None = None
    set_deg: float | None = None
    drift_kn: float | None = None
    water: WaterKind | None = None
    min_clearance_by_class: ClassMargins = ()
    charted_depth_m: float | None = None
    catzoc: Catzoc | None = None
    channel_width_m: float | None = None
    canal: CanalWaiver | None = None
    index_mark_ids: tuple[str, ...] = ()
    clearing_mark_ids: tuple[str, ...] = ()
    monitoring: LegMonitoring | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnWishes:
    """How the turn at a waypoint is steered, and the current in it.

    Without a ``steering`` the turn is made with the rudder. ``rudder_deg`` is the rudder planned
    for this turn and goes before that of the ship. Set and drift, both or neither, go before the
    current of the leg that leads to the waypoint. ``cue_ids`` names the marks or cues chosen for
    the wheel-over: the first and the second.
    """

    steering: Steering | None = None
    rudder_deg: float | None = None
    set_deg: float | None = None
    drift_kn: float | None = None
    cue_ids: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WheelOverChoice:
    """The navigator's planned wheel-over: one of the methods, or a distance of their own."""

    method: Method | None = None
    distance_nm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Waypoint:
    """A point where planned legs meet. It is not the place where helm is given.

    ``gap_before`` marks a hole in the route: rows before this waypoint were not understood, so no
    leg leads here. ``gap_after`` says the same of rows behind the last waypoint.
    """

    id: str
    lat_deg: float
    lon_deg: float
    name: str | None = None
    turn_radius_nm: float | None = None
    gap_before: bool = False
    gap_after: bool = False
    wheel_over: WheelOverChoice | None = None
    leg: LegWishes | None = None
    turn: TurnWishes | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """A piece of the file a route came from that no plan uses: kept, never interpreted.

    ``xml`` stands on its own; written back to a file of the same ``format``, it goes into the
    element ``into``, that of ``waypoint_id`` where it belongs to a waypoint. Of kind
    ``attributes`` only the attributes of its element count.
    """

    format: CarriedFormat
    into: str
    kind: CarriedKind
    xml: str
    waypoint_id: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """A named sequence of at least two waypoints with ids of their own.

    Raises
    ------
    InvalidRoute
        With fewer than two waypoints, a doubled id, a waypoint on a pole, leg data on the first
        waypoint, to which no leg leads, or a set without its drift or a drift without its set.
    """

    name: str
    waypoints: tuple[Waypoint, ...]
    carried: tuple[Carried, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what no plan can be made from, naming every fault at once."""
        faults = (
            *_too_few(self.waypoints),
            *_doubled_ids(self.waypoints),
            *_on_a_pole(self.waypoints),
            *_leg_on_first(self.waypoints),
            *_gap_after_inside(self.waypoints),
            *_half_currents(self.waypoints),
        )
        if faults:
            raise InvalidRoute(faults[0].message, faults)


def _too_few(waypoints: tuple[Waypoint, ...]) -> tuple[Fault, ...]:
    """Return the fault of a route without a single leg."""
    if len(waypoints) >= 2:
        return ()
    given = f"{len(waypoints) or 'no'} waypoint{'' if len(waypoints) == 1 else 's'} given"
    message = f"{given}; a route needs at least 2"
    return (Fault(pointer="/route/waypoints", message=message),)


def _doubled_ids(waypoints: tuple[Waypoint, ...]) -> tuple[Fault, ...]:
    """Return a fault for every id that an earlier waypoint already has."""
    first_index: dict[str, int] = {}
    faults = []
    for index, waypoint in enumerate(waypoints):
        if waypoint.id in first_index:
            message = (
                f"waypoint id {waypoint.id!r} is already that of waypoint "
                f"{first_index[waypoint.id]} (counted from 0); give each waypoint its own"
            )
            faults.append(Fault(pointer=f"/route/waypoints/{index}/id", message=message))
        first_index.setdefault(waypoint.id, index)
    return tuple(faults)


def _on_a_pole(waypoints: tuple[Waypoint, ...]) -> tuple[Fault, ...]:
    """Return a fault for every waypoint where longitude has no meaning."""
    return tuple(
        Fault(
            pointer=f"/route/waypoints/{index}/lat_deg",
            message=f"latitude {waypoint.lat_deg:g} is a pole, where no course exists; "
            "a waypoint must lie between -90 and 90",
        )
        for index, waypoint in enumerate(waypoints)
        if abs(waypoint.lat_deg) >= 90.0
    )


def _leg_on_first(waypoints: tuple[Waypoint, ...]) -> tuple[Fault, ...]:
    """Return the fault of leg data on the first waypoint, to which no leg leads."""
    if not waypoints or waypoints[0].leg is None:
        return ()
    message = "the first waypoint has no leg: leg data belong to the waypoint the leg leads to"
    return (Fault(pointer="/route/waypoints/0/leg", message=message),)


def _gap_after_inside(waypoints: tuple[Waypoint, ...]) -> tuple[Fault, ...]:
    """Return a fault for every waypoint but the last that says rows after it are missing."""
    return tuple(
        Fault(
            pointer=f"/route/waypoints/{index}/gap_after",
            message="gap_after belongs to the last waypoint; elsewhere put gap_before on the next",
        )
        for index, waypoint in enumerate(waypoints[:-1])
        if waypoint.gap_after
    )


def _half_currents(waypoints: tuple[Waypoint, ...]) -> tuple[Fault, ...]:
    """Return a fault for every set without its drift and every drift without its set."""
    faults = []
    for index, waypoint in enumerate(waypoints):
        for place, wishes in (("leg", waypoint.leg), ("turn", waypoint.turn)):
            if wishes is None or (wishes.set_deg is None) == (wishes.drift_kn is None):
                continue
            missing = "drift_kn" if wishes.drift_kn is None else "set_deg"
            message = f"a current needs both set_deg and drift_kn; {missing} is missing"
            pointer = f"/route/waypoints/{index}/{place}/{missing}"
            faults.append(Fault(pointer=pointer, message=message))
    return tuple(faults)
