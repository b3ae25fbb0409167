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
SpeedSource = Literal["leg", "ground", "eta", "ship"]
"""Where a speed through the water comes from: the leg's own, that over the ground, an ETA, the
ship's."""
CurrentSource = Literal["turn", "leg", "stream", "plan"]


FIRST = "give departure_utc instead"


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
    land of the coastline on it. ``monitoring`` is what is planned for the bridge team. Of the speed
    through the water and that over the ground at most one is given. ``index_mark_ids`` and
    ``clearing_mark_ids`` are the marks chosen to index on and to clear dangers by; without them
    marks are proposed.
    """

    line: LineKind | None = None
    speed_kn: float | None = None
    speed_over_ground_kn: float | None = None
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
class CurrentGiven:
    """The current that counts on a leg or in a turn, and what gives it."""

    set_deg: float
    drift_kn: float
    source: CurrentSource


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """What the schedule made of the leg to a waypoint and of the turn there; nobody gives it.

    Without a speed or a current none is known or none runs: what is asked of the leg is in it.
    """

    speed_kn: float | None
    speed_source: SpeedSource | None
    on_leg: CurrentGiven | None
    in_turn: CurrentGiven | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Waypoint:
    """A point where planned legs meet. It is not the place where helm is given.

    ``gap_before`` marks a hole in the route: rows before this waypoint were not understood, so no
    leg leads here. ``gap_after`` says the same of rows behind the last waypoint.

    ``eta_s`` is when she is to be there and ``arrive_from_s`` to ``arrive_to_s`` the window for it,
    in seconds since 1970 UTC; ``stay_min`` is how long she stops there. ``settled`` is put in by
    the schedule. ``fixed`` says that others may not move it.
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
    eta_s: float | None = None
    stay_min: float | None = None
    arrive_from_s: float | None = None
    arrive_to_s: float | None = None
    fixed: bool = False
    settled: Settled | None = None

    @property
    def stay_s(self) -> float:
        """Return how long she stops there."""
        return 0.0 if self.stay_min is None else self.stay_min * 60.0


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
        waypoint, to which no leg leads, a set without its drift or a drift without its set, two
        speeds of one leg, or times that are against the order of time.
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
            *_two_speeds(self.waypoints),
            *_wrong_times(self.waypoints),
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


def _two_speeds(waypoints: tuple[Waypoint, ...]) -> tuple[Fault, ...]:
    """Return a fault for every leg with a speed through the water and one over the ground."""
    return tuple(
        Fault(
            pointer=f"/route/waypoints/{index}/leg/speed_over_ground_kn",
            message="give the speed through the water or over the ground, not both",
        )
        for index, waypoint in enumerate(waypoints)
        if waypoint.leg is not None
        and waypoint.leg.speed_kn is not None
        and waypoint.leg.speed_over_ground_kn is not None
    )


def _wrong_times(waypoints: tuple[Waypoint, ...]) -> tuple[Fault, ...]:
    """Return a fault for every time that is against the order of time, or has no meaning."""
    faults = []
    left_s, left_id = float("-inf"), ""
    for index, one in enumerate(waypoints):
        at = f"/route/waypoints/{index}"
        if index == 0:
            faults += [
                Fault(pointer=f"{at}/{member}", message=f"the first has no {word}; {FIRST}")
                for member, word, value in (
                    ("eta_utc", "ETA", one.eta_s),
                    ("stay_min", "stay", one.stay_min),
                    ("arrive_from_utc", "window of arrival", one.arrive_from_s),
                    ("arrive_to_utc", "window of arrival", one.arrive_to_s),
                )
                if value is not None
            ]
        if one.eta_s is not None and one.eta_s <= left_s:
            message = f"the ETA is not later than she leaves {left_id} by the ETA and stay there"
            faults.append(Fault(pointer=f"{at}/eta_utc", message=message))
        if one.eta_s is not None:
            left_s, left_id = one.eta_s + one.stay_s, one.id
        from_s, to_s = one.arrive_from_s, one.arrive_to_s
        if from_s is not None and to_s is not None and to_s < from_s:
            message = "the window of arrival ends before it begins"
            faults.append(Fault(pointer=f"{at}/arrive_to_utc", message=message))
    return tuple(faults)
