"""A plan as route exchange XML of IEC 61174 Annex S, versions 1.0, 1.1 and 1.2.

Names and order of elements are those of the standard's schema. Its native members hold what they
can; the rest stands in our own extension and, for who reads it on a screen, in the notes of the
leg that leads to the turn.
"""

from dataclasses import replace

from wheelover.core.errors import NotFound
from wheelover.formats.exchange_kept import LEG_READ
from wheelover.formats.exchange_route import NAMESPACES, USUAL_MOST_BYTES
from wheelover.formats.own_extension import MANUFACTURER, NAMESPACE, PREFIX
from wheelover.formats.xml_rows import MILES_DIGITS, POSITION_DIGITS, word
from wheelover.formats.xml_text import cleaned, document, make
from wheelover.formats.xml_tree import MOST_ATTRIBUTE, Element
from wheelover.render.exports.numbers import waypoint_numbers
from wheelover.render.exports.own_elements import (
    exact,
    plan_element,
    unless_same,
    waypoint_element,
    waypoint_inputs,
)
from wheelover.render.exports.pieces import Pieces
from wheelover.render.exports.rows import (
    Row,
    leg_words,
    plain,
    refuse_holes,
    rows,
    turn_words,
)
from wheelover.render.exports.stamp import Document, Remarks, Stamp, remarks

_GEOMETRIES = {"rhumb": "Loxodrome", "geodesic": "Orthodrome"}
_SCHEDULE_ELEMENTS = ("sheduleElement", "scheduleElement")


def exchange(
    inputs: Document, result: Document, stamp: Stamp, version: str
) -> tuple[bytes, tuple[str, ...]]:
    """Return a plan as a route exchange file, and the warnings.

    Raises
    ------
    NotFound
        For a version that is not written here.
    Conflict
        For a route with a hole.
    """
    if version not in NAMESPACES:
        known = ", ".join(NAMESPACES)
        raise NotFound(f"there is no route exchange version {version[:40]!r}; there are {known}")
    refuse_holes(inputs, "route exchange XML")
    uri = NAMESPACES[version]
    pieces = Pieces(inputs, "rtz", uri, lambda one: _spelled(one, version))
    said = remarks(inputs, result, stamp)
    info, words, warnings = _route_info(uri, inputs, said, pieces)
    numbers = waypoint_numbers(inputs, pieces)
    waypoints = [_waypoint(uri, row, numbers[row.index], pieces) for row in rows(inputs, result)]
    default = _default_waypoint(uri, pieces)
    listed = pieces.joined(make((uri, "waypoints"), {}, *default, *waypoints), "waypoints")
    name = inputs["route"]["name"]
    own = plan_element(result, stamp, said, exact("name", name, word(cleaned(name), "name")), words)
    root = pieces.joined(
        make((uri, "route"), {"version": version}, info, listed),
        "route",
        own=[_extension(uri, "plan", own)],
    )
    root = replace(root, scope={**root.scope, "": uri, PREFIX: NAMESPACE})
    body = document(root)
    return body, (*warnings, *pieces.warnings(), *_size_warnings(body), *_schedules(pieces))


def _spelled(element: Element, version: str) -> Element:
    """Return a kept element with the schedule's elements spelled as the version has them."""
    uri, local = element.name
    if local in _SCHEDULE_ELEMENTS:
        local = _SCHEDULE_ELEMENTS[0 if version == "1.0" else 1]
    content = tuple(
        _spelled(one, version) if isinstance(one, Element) else one for one in element.content
    )
    return replace(element, name=(uri, local), content=content)


def _extension(uri: str, name: str, element: Element) -> Element:
    """Return an element of ours as the standard's extension."""
    pairs = {"manufacturer": MANUFACTURER, "name": name, "version": "1"}
    return make((uri, "extension"), {**pairs}, element)


def _route_info(
    uri: str, inputs: Document, said: Remarks, pieces: Pieces
) -> tuple[Element, dict[str, str], tuple[str, ...]]:
    """Return the head of the file, which of its attributes are our words, and warnings."""
    ship = inputs.get("ship") or {}
    attributes: dict[str, str | None] = {
        "routeName": cleaned(inputs["route"]["name"]),
        "routeStatus": said.status,
        "vesselName": ship.get("name") or None,
    }
    if pieces.attribute("routeInfo", "routeChangesHistory") is None:
        attributes["routeChangesHistory"] = _fitting("\n".join(said.lines()))
    words = {name: text for name, text in attributes.items() if text and name != "routeName"}
    warnings = [
        f"the file this route was read from says {name} {kept[:80]!r}; this plan's own is written"
        for name in ("routeStatus", "vesselName")
        if (kept := pieces.attribute("routeInfo", name)) is not None
        and attributes[name] not in (None, kept)
    ]
    info = pieces.joined(make((uri, "routeInfo"), attributes), "routeInfo")
    return info, words, tuple(warnings)


def _fitting(text: str) -> str:
    """Return a text as an attribute takes it; our extension holds all of it anyway."""
    more = " ... (all of it is in the wheelover extension of this file)"
    return text if len(text) <= MOST_ATTRIBUTE else text[: MOST_ATTRIBUTE - len(more)] + more


def _default_waypoint(uri: str, pieces: Pieces) -> list[Element]:
    """Return what was kept of the default waypoint: nothing that would fill a gap of the plan."""
    into = "defaultWaypoint"
    if not pieces.has(into) and not pieces.has(f"{into}/leg"):
        return []
    legs = []
    if pieces.has(f"{into}/leg"):
        legs.append(pieces.joined(make((uri, "leg"), {}), f"{into}/leg", never=LEG_READ))
    return [pieces.joined(make((uri, into), {}, *legs), into, never=("radius",))]


def _waypoint(uri: str, row: Row, number: int, pieces: Pieces) -> Element:
    """Return one waypoint with the leg that leads to it."""
    identity, name = row.waypoint["id"], row.given("name")
    lat_deg, lon_deg = row.waypoint["lat_deg"], row.waypoint["lon_deg"]
    attributes = {
        "id": str(number),
        "name": cleaned(name) if name else None,
        "radius": plain(row.given("turn_radius_nm"), MILES_DIGITS),
    }
    place = {"lat": plain(lat_deg, POSITION_DIGITS), "lon": plain(lon_deg, POSITION_DIGITS)}
    position = pieces.joined(make((uri, "position"), place), "waypoint/position", identity)
    leg, words = _leg(uri, row, pieces)
    own = waypoint_element(
        row,
        {
            **exact("id", identity, str(number)),
            **exact("name", name, word(cleaned(name or ""), "name")),
            "lat_deg": unless_same(lat_deg, POSITION_DIGITS),
            "lon_deg": unless_same(lon_deg, POSITION_DIGITS),
            "turn_radius_nm": unless_same(row.given("turn_radius_nm"), MILES_DIGITS),
            "xtd_port_nm": unless_same(row.wish("xtd_port_nm"), MILES_DIGITS),
            "xtd_starboard_nm": unless_same(row.wish("xtd_starboard_nm"), MILES_DIGITS),
            **waypoint_inputs(row),
        },
        words,
    )
    return pieces.joined(
        make((uri, "waypoint"), attributes, position, *leg),
        "waypoint",
        identity,
        own=[_extension(uri, "waypoint", own)],
        never=("name", "radius"),
    )


def _leg(uri: str, row: Row, pieces: Pieces) -> tuple[list[Element], dict[str, str]]:
    """Return the leg that leads to a waypoint, and which of its attributes are our words."""
    identity = row.waypoint["id"]
    if row.index == 0 and not pieces.has("waypoint/leg", identity):
        return [], {}
    words: dict[str, str] = {}
    attributes: dict[str, str | None] = {}
    if row.index > 0:
        attributes = {
            "starboardXTD": plain(row.wish("xtd_starboard_nm"), MILES_DIGITS),
            "portsideXTD": plain(row.wish("xtd_port_nm"), MILES_DIGITS),
            "geometryType": _GEOMETRIES[row.wish("line") or "rhumb"],
        }
        texts = {"legInfo": leg_words(row), "legNote1": turn_words(row)}
        words = {
            key: text
            for key, text in texts.items()
            if text and pieces.attribute("waypoint/leg", key, identity) is None
        }
    element = make((uri, "leg"), {**attributes, **words})
    return [pieces.joined(element, "waypoint/leg", identity, never=LEG_READ)], words


def _size_warnings(body: bytes) -> tuple[str, ...]:
    """Return what is said of a file larger than some systems take."""
    if len(body) <= USUAL_MOST_BYTES:
        return ()
    return (
        f"the file has {len(body)} bytes; systems may refuse route exchange files over "
        f"{USUAL_MOST_BYTES}",
    )


def _schedules(pieces: Pieces) -> tuple[str, ...]:
    """Return what is said of schedules that are written back."""
    if not any(one.local == "schedules" for one in pieces.elements()):
        return ()
    return (
        "the schedules are those of the file this route was read from, not computed again: check "
        "them if the route, the ship or the speeds have changed",
    )
