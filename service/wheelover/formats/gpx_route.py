"""Routes in GPX 1.1: the route points (``rtept``) of a ``rte``. Tracks and marks are no route."""

from wheelover.core.errors import Fault, UnknownFormat
from wheelover.core.types.route import Waypoint
from wheelover.formats.carrying import Carrier, own_element
from wheelover.formats.more_wishes import asked
from wheelover.formats.own_extension import PLAN, WAYPOINT, WHEEL_OVER, Own, asks_nothing
from wheelover.formats.positions import NotUnderstood
from wheelover.formats.reading import (
    LINES,
    MOST_TEXT,
    PartReading,
    RouteReading,
    refuse_if_nothing_understood,
    sound_waypoints,
)
from wheelover.formats.xml_rows import own_word, parts_of, position_deg
from wheelover.formats.xml_tree import Element, refused

NAMESPACE = "http://www.topografix.com/GPX/1/1"
VERSION = "1.1"


def read_gpx(root: Element, name: str) -> RouteReading:
    """Return a GPX file as it was read.

    Parameters
    ----------
    root : Element
        Its root element, ``gpx``. The first route with points is read; other routes, tracks and
        marks are named in the notes and kept.
    name : str
        Name of the route, where the file gives none.

    Raises
    ------
    UnknownFormat
        For another version of GPX.
    UnreadableFile
        When the file holds no route, or no point of it was understood.
    """
    notes = _version_notes(root)
    routes = root.named("rte")
    chosen = next((one for one in routes if one.named("rtept")), None)
    if chosen is None:
        raise refused(f"no route in this GPX file: it holds {_contents(root)}", root.line)
    parts = parts_of(chosen.named("rtept"), _waypoint, "rtept")
    refuse_if_nothing_understood(parts)
    waypoints, left_out = sound_waypoints(parts)
    carrier = _carried(root, chosen, parts)
    return RouteReading(
        format="gpx",
        name=_route_name(chosen, name),
        waypoints=waypoints,
        report=tuple(part.row for part in parts),
        read_as="GPX 1.1 route, WGS84; lines are those of the rtept elements",
        notes=(*notes, *_other_notes(root, chosen), *left_out, *carrier.notes()),
        carried=carrier.pieces,
    )


def _version_notes(root: Element) -> tuple[str, ...]:
    """Refuse another version of GPX, and return what is odd about this one."""
    given, uri = root.attribute("version"), root.name[0]
    if given == VERSION and uri == NAMESPACE:
        return ()
    if given == VERSION:
        odd = f"the namespace {uri[:200]!r}" if uri else "no namespace"
        return (f"version 1.1 with {odd}; usual is {NAMESPACE}; read all the same",)
    if given is None and uri == NAMESPACE:
        return ("the file has no version; by its namespace it is 1.1",)
    message = f"element gpx has version {(given or 'none')[:40]!r} and namespace {uri[:200]!r}"
    raise UnknownFormat(
        f"Not a GPX file that is read here: {message}. Read is GPX 1.1.",
        (Fault(line=root.line, message=message),),
    )


def _contents(root: Element) -> str:
    """Return what a file without a route holds instead."""
    names = {"wpt": "marks (wpt)", "trk": "recorded tracks (trk)", "rte": "empty routes (rte)"}
    found = [(len(root.named(local)), words) for local, words in names.items()]
    listed = " and ".join(f"{count} {words}" for count, words in found if count)
    return f"{listed or 'nothing'}. A route is a rte element with rtept elements in sailing order"


def _route_name(route: Element, name: str) -> str:
    """Return the name of the route: our own exact one, that of the file, or that of its name."""
    own, native = Own(element=own_element(route, PLAN)), _named(route)
    try:
        return own_word(own, "name", native) or name
    except NotUnderstood:
        return (native or name).strip()[:MOST_TEXT] or name


def _named(element: Element) -> str | None:
    """Return the name an element gives inside it."""
    names = element.named("name")
    return names[0].text if names else None


def _waypoint(element: Element, invented_id: str) -> Waypoint:
    """Return the waypoint of one route point; what GPX has no room for is in our extension."""
    own = Own(element=own_element(element, WAYPOINT))
    lat_deg, lon_deg = position_deg(element, own)
    line = own.text("line")
    wishes = own.leg(
        None if line is None else LINES.get(line),
        own.number("xtd_port_nm", "xtd_port_nm"),
        own.number("xtd_starboard_nm", "xtd_starboard_nm"),
    )
    return Waypoint(
        id=own_word(own, "id", None) or invented_id,
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        name=own_word(own, "name", _named(element)),
        turn_radius_nm=own.number("turn_radius_nm", "turn_radius_nm"),
        wheel_over=own.wheel_over(),
        leg=None if asks_nothing(wishes) else wishes,
        turn=own.turn(),
        **asked("waypoint", own.text),
    )


def _other_notes(root: Element, chosen: Element) -> tuple[str, ...]:
    """Return what is said of the routes, tracks and marks that are not the route read."""
    notes = []
    others = [one for one in root.named("rte") if one is not chosen]
    if others:
        rows = [
            f"{(_named(one) or 'without a name').strip()[:80]!r} in line {one.line} with "
            f"{len(one.named('rtept'))} points"
            for one in others[:20]
        ]
        notes.append(
            f"{1 + len(others)} routes in the file; read is the one in line {chosen.line}; NOT "
            f"read: {', '.join(rows)}" + (" and more" if len(others) > 20 else "")
        )
    marks = [one for one in root.named("wpt") if own_element(one, WHEEL_OVER) is None]
    if marks:
        notes.append(f"{len(marks)} marks (wpt) are no part of the route and are not read")
    if root.named("trk"):
        notes.append(f"{len(root.named('trk'))} recorded tracks (trk) are not read")
    if own_element(chosen, PLAN) is None:
        notes.append("GPX has no turn radius, speed or cross-track limit; left empty, not invented")
    return tuple(notes)


def _carried(root: Element, chosen: Element, parts: list[PartReading]) -> Carrier:
    """Return what the file says and no plan uses."""
    carrier = Carrier("gpx", root.name[0])
    own = Own(element=own_element(chosen, PLAN))
    carrier.attributes("gpx", root, frozenset({"version", "creator"}))
    others = tuple(
        one
        for one in root.elements
        if one is not chosen
        and not (one.local == "wpt" and own_element(one, WHEEL_OVER) is not None)
        and one.local != "metadata"
    )
    rest = Element(name=root.name, content=others, scope=root.scope)
    carrier.elements("gpx", rest, frozenset())
    for metadata in root.named("metadata"):
        carrier.elements("metadata", metadata, _ours(own, metadata, "metadata/"))
    carrier.elements("rte", chosen, frozenset({"name", "rtept"}) | _ours(own, chosen))
    for element, part in zip(chosen.named("rtept"), parts, strict=True):
        if part.waypoint is not None:
            at = Own(element=own_element(element, WAYPOINT))
            carrier.attributes("rtept", element, frozenset({"lat", "lon"}), part.waypoint.id)
            known = frozenset({"name"}) | _ours(at, element)
            carrier.elements("rtept", element, known, part.waypoint.id)
    return carrier


def _ours(own: Own, element: Element, start: str = "") -> frozenset[str]:
    """Return which elements inside an element hold words of ours."""
    return frozenset(
        one.local for one in element.elements if own.wrote(f"{start}{one.local}", one.text)
    )
