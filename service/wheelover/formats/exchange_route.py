"""Routes in the route exchange XML of IEC 61174 Annex S, versions 1.0, 1.1 and 1.2.

The data of a leg stand in the waypoint the leg leads to. Positions are signed decimal degrees,
radius and cross-track limits nautical miles. Its speeds are the lowest and highest allowed on a
leg, and in schedules the speed over the ground: none is the planned speed through the water, so
none is read as that. What somebody gave in the schedule of another system is taken as wishes.
"""

from dataclasses import dataclass

from wheelover.core.errors import Fault, UnknownFormat
from wheelover.core.types.route import LegWishes, LineKind, Waypoint
from wheelover.formats.carrying import own_element
from wheelover.formats.exchange_kept import LEG_READ, kept_pieces
from wheelover.formats.exchange_schedule import without_own
from wheelover.formats.exchange_times import with_times
from wheelover.formats.more_wishes import asked
from wheelover.formats.own_extension import PLAN, WAYPOINT, Own, asks_nothing, decimal
from wheelover.formats.positions import NotUnderstood
from wheelover.formats.reading import (
    MOST_TEXT,
    RouteReading,
    in_range,
    refuse_if_nothing_understood,
    sound_waypoints,
)
from wheelover.formats.xml_rows import MILES_DIGITS, own_word, parts_of, position_deg, word
from wheelover.formats.xml_tree import Element, refused

NAMESPACES = {
    "1.0": "http://www.cirm.org/RTZ/1/0",
    "1.1": "http://www.cirm.org/RTZ/1/1",
    "1.2": "http://www.cirm.org/RTZ/1/2",
}
USUAL_MOST_BYTES = 400_000
"""Size that published conformity checks of the format name."""

GEOMETRIES: dict[str, LineKind] = {"loxodrome": "rhumb", "orthodrome": "geodesic"}

_SPEED_LIMITS = ("speedMin", "speedMax")
_MOST_LISTED = 20


def read_exchange(root: Element, name: str, byte_count: int) -> RouteReading:
    """Return a route exchange file as it was read.

    Parameters
    ----------
    root : Element
        Its root element, ``route``.
    name : str
        Name of the route, where the file gives none.
    byte_count : int
        Size of the file.

    Raises
    ------
    UnknownFormat
        For another vocabulary with a root of that name, or a version that is not known.
    UnreadableFile
        When no waypoint was understood.
    """
    version, notes = _version(root)
    if byte_count > USUAL_MOST_BYTES:
        notes += (f"{byte_count} bytes: other systems may refuse over {USUAL_MOST_BYTES}",)
    lists = root.named("waypoints")
    if len(lists) != 1:
        raise refused(f"element route holds {len(lists)} elements waypoints, not one", root.line)
    reader = _Reader(root, lists[0])
    parts = parts_of(lists[0].named("waypoint"), reader.waypoint, "waypoint")
    if not parts:
        raise refused("element waypoints holds no waypoint", lists[0].line)
    refuse_if_nothing_understood(parts)
    waypoints, left_out = sound_waypoints(parts)
    elements = lists[0].named("waypoint")
    waypoints, of_times = with_times(waypoints, without_own(root), elements, parts)
    carrier = kept_pieces(root, lists[0], parts)
    return RouteReading(
        format="rtz",
        name=_route_name(root, name),
        waypoints=waypoints,
        report=tuple(part.row for part in parts),
        read_as=f"route exchange XML (IEC 61174 Annex S) version {version}, WGS84, leg data with "
        "the waypoint the leg leads to; lines are those of the waypoint elements",
        notes=(*notes, *of_times, *reader.notes(waypoints), *left_out, *carrier.notes()),
        carried=carrier.pieces,
    )


def _version(root: Element) -> tuple[str, tuple[str, ...]]:
    """Return the version of a file by attribute and namespace, and what is odd about them."""
    given, uri = root.attribute("version"), root.name[0]
    by_uri = next((version for version, known in NAMESPACES.items() if known == uri), None)
    if given is None and by_uri is not None:
        return by_uri, (f"the route has no version; by its namespace it is {by_uri}",)
    if given not in NAMESPACES:
        what = "no version and no known namespace" if given is None else f"version {given[:40]!r}"
        message = f"element route has {what}"
        raise UnknownFormat(
            f"Not a route exchange file that is read here: {message}. Read are versions "
            f"{', '.join(NAMESPACES)} (IEC 61174 Annex S).",
            (Fault(line=root.line, message=message),),
        )
    if uri == NAMESPACES[given]:
        return given, ()
    odd = f"the namespace {uri[:200]!r}" if uri else "no namespace"
    return given, (f"version {given} with {odd}; usual is {NAMESPACES[given]}; read all the same",)


def _route_name(root: Element, name: str) -> str:
    """Return the name of the route: our own exact one, that of the file, or that of its name."""
    own = Own(element=own_element(root, PLAN))
    info = root.named("routeInfo")
    native = info[0].attribute("routeName") if info else None
    try:
        return own_word(own, "name", native) or name
    except NotUnderstood:
        return (native or name).strip()[:MOST_TEXT] or name


@dataclass(frozen=True, slots=True, kw_only=True)
class _Defaults:
    """What the file's default waypoint gives to waypoints that give none."""

    radius: str | None = None
    leg: Element | None = None


class _Reader:
    """Reads the waypoints of one file and remembers what has to be said of them all."""

    def __init__(self, root: Element, waypoints: Element) -> None:
        self._root = without_own(root)
        found = waypoints.named("defaultWaypoint")
        leg = found[0].named("leg") if found else ()
        self._defaults = _Defaults(
            radius=found[0].attribute("radius") if found else None, leg=leg[0] if leg else None
        )
        self._default_count = len(found)
        self._first = next(iter(waypoints.named("waypoint")), None)
        self._defaulted: list[str] = []
        self._without_id: list[str] = []
        self._zero_radius: list[str] = []
        self._limited_count = 0

    def waypoint(self, element: Element, invented_id: str) -> Waypoint:
        """Return the waypoint of one element."""
        positions, legs = element.named("position"), element.named("leg")
        if len(positions) != 1 or len(legs) > 1:
            raise NotUnderstood(f"it holds {len(positions)} positions and {len(legs)} legs")
        own = Own(element=own_element(element, WAYPOINT))
        lat_deg, lon_deg = position_deg(positions[0], own)
        given_id = own_word(own, "id", element.attribute("id"))
        identity = given_id or invented_id
        radius_nm, by_default = self._radius_nm(element, own, identity)
        leg, is_first = legs[0] if legs else None, element is self._first
        wishes, leg_by_default = self._leg(leg, own, is_first=is_first)
        if given_id is None:
            self._without_id.append(identity)
        if by_default or leg_by_default:
            self._defaulted.append(identity)
        return Waypoint(
            id=identity,
            lat_deg=lat_deg,
            lon_deg=lon_deg,
            name=own_word(own, "name", element.attribute("name")),
            turn_radius_nm=radius_nm,
            wheel_over=own.wheel_over(),
            leg=None if asks_nothing(wishes) else wishes,
            turn=own.turn(),
            **asked("waypoint", own.text),
        )

    def _radius_nm(self, element: Element, own: Own, identity: str) -> tuple[float | None, bool]:
        """Return a waypoint's radius, and whether it is that of the default waypoint."""
        text = element.attribute("radius")
        by_default = text is None and self._defaults.radius is not None
        text = self._defaults.radius if text is None else text
        if text is None:
            return None, False
        value_nm = own.exact("turn_radius_nm", decimal(text, "radius"), MILES_DIGITS)
        if value_nm == 0.0:
            # A circle of no radius is no circle: systems write it for "none given".
            self._zero_radius.append(identity)
            return None, False
        return in_range("turn_radius_nm", value_nm), by_default

    def _leg(self, leg: Element | None, own: Own, *, is_first: bool) -> tuple[LegWishes, bool]:
        """Return what is asked of the leg to a waypoint, and whether by default."""
        default = None if is_first else self._defaults.leg
        found: dict[str, str | None] = {}
        by_default = False
        for name in sorted(LEG_READ):
            found[name] = None if leg is None else leg.attribute(name)
            if found[name] is None and default is not None:
                found[name] = default.attribute(name)
                by_default = by_default or found[name] is not None
        if leg is not None and any(leg.attribute(name) is not None for name in _SPEED_LIMITS):
            self._limited_count += 1
        port = _limit_nm(found["portsideXTD"], "xtd_port_nm", own)
        starboard = _limit_nm(found["starboardXTD"], "xtd_starboard_nm", own)
        return own.leg(_line(found["geometryType"]), port, starboard), by_default

    def notes(self, waypoints: tuple[Waypoint, ...]) -> tuple[str, ...]:
        """Return what is said once of the waypoints of the file."""
        notes = []
        if self._defaulted:
            notes.append(f"radius or leg data of defaultWaypoint taken at {_few(self._defaulted)}")
        if self._default_count > 1:
            notes.append(f"{self._default_count} defaultWaypoint elements: the first is used")
        if self._without_id:
            notes.append(f"waypoints without an id, given one here: {_few(self._without_id)}")
        if self._zero_radius:
            notes.append(f"radius 0 read as none given, at {_few(self._zero_radius)}")
        schedules = [one for list_ in self._root.named("schedules") for one in list_.elements]
        if self._limited_count or schedules:
            notes.append(
                f"no speed through the water is read: speedMin and speedMax (on "
                f"{self._limited_count} legs) are what is allowed, and speeds of schedules "
                f"({len(schedules)}) are over the ground"
            )
        if any(one.turn_radius_nm is None for one in waypoints[1:-1]):
            notes.append("some waypoints have no radius; left empty, not invented")
        return tuple(notes)


def _limit_nm(text: str | None, member: str, own: Own) -> float | None:
    """Return a cross-track limit, None when there is none."""
    if text is None:
        return None
    return in_range(member, own.exact(member, decimal(text, member), MILES_DIGITS))


def _line(text: str | None) -> LineKind | None:
    """Return the line of a leg, None when the file leaves it open."""
    kept = word(text, "geometryType")
    if kept is None:
        return None
    if kept.lower() not in GEOMETRIES:
        raise NotUnderstood(f"geometryType {kept!r} is neither Loxodrome nor Orthodrome")
    return GEOMETRIES[kept.lower()]


def _few(ids: list[str]) -> str:
    """Return ids, the first of them when they are many."""
    more = f" and {len(ids) - _MOST_LISTED} more" if len(ids) > _MOST_LISTED else ""
    return ", ".join(ids[:_MOST_LISTED]) + more
