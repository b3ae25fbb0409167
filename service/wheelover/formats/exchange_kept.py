"""What a route exchange file says and no plan uses: which attributes and elements are kept."""

from wheelover.formats.carrying import Carrier, own_element
from wheelover.formats.exchange_schedule import without_own
from wheelover.formats.own_extension import PLAN, WAYPOINT, Own
from wheelover.formats.reading import PartReading
from wheelover.formats.xml_tree import Element

LEG_READ = frozenset({"portsideXTD", "starboardXTD", "geometryType"})
WAYPOINT_READ = frozenset({"id", "name", "radius"})


def kept_pieces(root: Element, waypoints: Element, parts: list[PartReading]) -> Carrier:
    """Return what the file says and no plan uses.

    Parameters
    ----------
    root : Element
        The root element, ``route``.
    waypoints : Element
        Its list of waypoints.
    parts : list of PartReading
        What each waypoint element gave, in their order.
    """
    carrier = Carrier("rtz", root.name[0])
    plan = Own(element=own_element(root, PLAN))
    carrier.attributes("route", root, frozenset({"version"}))
    carrier.elements("route", without_own(root), frozenset({"routeInfo", "waypoints"}))
    for info in root.named("routeInfo"):
        known = frozenset({"routeName"}) | _ours(plan, info)
        carrier.attributes("routeInfo", info, known, displaced=plan.displaced("routeInfo"))
        carrier.elements("routeInfo", info, frozenset())
    carrier.elements("waypoints", waypoints, frozenset({"defaultWaypoint", "waypoint"}))
    for default in waypoints.named("defaultWaypoint")[:1]:
        carrier.attributes("defaultWaypoint", default, frozenset({"radius"}))
        carrier.elements("defaultWaypoint", default, frozenset({"leg"}))
        for leg in default.named("leg"):
            carrier.attributes("defaultWaypoint/leg", leg, LEG_READ)
            carrier.elements("defaultWaypoint/leg", leg, frozenset())
    for element, part in zip(waypoints.named("waypoint"), parts, strict=True):
        if part.waypoint is not None:
            _carried_at(carrier, element, part.waypoint.id)
    return carrier


def _carried_at(carrier: Carrier, element: Element, identity: str) -> None:
    """Keep what one waypoint says and no plan uses; its number too, where it is not its id."""
    own = Own(element=own_element(element, WAYPOINT))
    number_is_id = element.attribute("id") == identity
    known = (WAYPOINT_READ if number_is_id else WAYPOINT_READ - {"id"}) | _ours(own, element)
    carrier.attributes("waypoint", element, known, identity, own.displaced("waypoint"))
    carrier.elements("waypoint", element, frozenset({"position", "leg"}), identity)
    for position in element.named("position"):
        carrier.attributes("waypoint/position", position, frozenset({"lat", "lon"}), identity)
        carrier.elements("waypoint/position", position, frozenset(), identity)
    for leg in element.named("leg"):
        known = LEG_READ | _ours(own, leg)
        carrier.attributes("waypoint/leg", leg, known, identity, own.displaced("leg"))
        carrier.elements("waypoint/leg", leg, frozenset(), identity)


def _ours(own: Own, element: Element) -> frozenset[str]:
    """Return which attributes of an element hold words of ours."""
    return frozenset(name[1] for name, text in element.attributes if own.wrote(name[1], text))
