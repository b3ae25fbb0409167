"""A plan as route exchange XML of IEC 61174 Annex S, versions 1.0, 1.1 and 1.2.

Names and order of elements are those of the standard's schema. Its native members hold what they
can; the rest stands in our own extension and, for who reads it on a screen, in the notes of the
leg that leads to the turn.
"""

from dataclasses import dataclass, replace

from wheelover.core.errors import NotFound
from wheelover.formats.exchange_kept import LEG_READ
from wheelover.formats.exchange_route import NAMESPACES, USUAL_MOST_BYTES
from wheelover.formats.own_extension import MANUFACTURER, NAMESPACE, PREFIX
from wheelover.formats.xml_rows import MILES_DIGITS, POSITION_DIGITS, word
from wheelover.formats.xml_text import cleaned, document, make
from wheelover.formats.xml_tree import MOST_ATTRIBUTE, Element
from wheelover.render.exports.displaced import Displaced
from wheelover.render.exports.exchange_native import leg_numbers, vessel
from wheelover.render.exports.exchange_schedule import element_name, own_schedule
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
    together,
    turn_words,
)
from wheelover.render.exports.stamp import Document, Remarks, Stamp, remarks
from wheelover.render.exports.steering_words import (
    cue_words,
    index_words,
    report_words,
    watch_words,
)

_GEOMETRIES = {"rhumb": "Loxodrome", "geodesic": "Orthodrome"}
_SCHEDULE_ELEMENTS = ("sheduleElement", "scheduleElement")
_MOST_WARNINGS = 12


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
    head = Displaced(pieces, "routeInfo")
    info, words = _route_info(uri, inputs, said, pieces, head)
    numbers = waypoint_numbers(inputs, pieces)
    planned = Planned(uri=uri, inputs=inputs, result=result, stamp=stamp, pieces=pieces)
    waypoints, warnings = [], list(head.warnings)
    for row in rows(inputs, result):
        element, more = _waypoint(planned, row, numbers[row.index])
        waypoints.append(element)
        warnings += more
    default = _default_waypoint(uri, pieces)
    listed = pieces.joined(make((uri, "waypoints"), {}, *default, *waypoints), "waypoints")
    by_id = {
        one["id"]: number for one, number in zip(inputs["route"]["waypoints"], numbers, strict=True)
    }
    name = inputs["route"]["name"]
    exactly = {**exact("name", name, word(cleaned(name), "name")), **head.kept}
    own = plan_element(result, stamp, said, exactly, words)
    schedule = own_schedule(uri, version, inputs, result, by_id, pieces)
    root = pieces.joined(
        make((uri, "route"), {"version": version}, info, listed),
        "route",
        own=[_extension(uri, "plan", own)],
    )
    root = _scheduled(root, uri, schedule)
    root = replace(root, scope={**root.scope, "": uri, PREFIX: NAMESPACE})
    body = document(root)
    said_once = _few_warnings(warnings)
    return body, (*said_once, *pieces.warnings(), *_size_warnings(body), *_schedules(pieces))


def _spelled(element: Element, version: str) -> Element:
    """Return a kept element with the schedule's elements spelled as the version has them."""
    uri, local = element.name
    if local in _SCHEDULE_ELEMENTS:
        local = element_name(version)
    content = tuple(
        _spelled(one, version) if isinstance(one, Element) else one for one in element.content
    )
    return replace(element, name=(uri, local), content=content)


def _extension(uri: str, name: str, element: Element) -> Element:
    """Return an element of ours as the standard's extension."""
    pairs = {"manufacturer": MANUFACTURER, "name": name, "version": "1"}
    return make((uri, "extension"), {**pairs}, element)


def _scheduled(root: Element, uri: str, own: list[Element]) -> Element:
    """Return the route with our schedule among those that were kept, before its extensions."""
    if not own:
        return root
    kept = [one for one in root.elements if one.local == "schedules"]
    inside = [part for one in kept for part in one.content]
    schedules = replace(
        make((uri, "schedules"), {}, *own, *inside),
        attributes=tuple(pair for one in kept for pair in one.attributes),
    )
    rest = [one for one in root.elements if one not in kept]
    last = [one for one in rest if one.local == "extensions"]
    first = [one for one in rest if one.local != "extensions"]
    return replace(root, content=(*first, schedules, *last))


def _few_warnings(warnings: list[str]) -> tuple[str, ...]:
    """Return warnings, the first of them when they are many."""
    more = len(warnings) - _MOST_WARNINGS
    said = warnings[:_MOST_WARNINGS]
    return (*said, f"and {more} more of the kind") if more > 0 else tuple(said)


def _route_info(
    uri: str, inputs: Document, said: Remarks, pieces: Pieces, head: Displaced
) -> tuple[Element, dict[str, str]]:
    """Return the head of the file, and which of its attributes are ours."""
    name = cleaned(inputs["route"]["name"])
    ours = head.by({"routeStatus": said.status, **vessel(inputs)})
    if pieces.attribute("routeInfo", "routeChangesHistory") is None:
        ours["routeChangesHistory"] = _fitting("\n".join(said.lines()))
    attributes: dict[str, str | None] = {"routeName": name, **ours}
    return pieces.joined(make((uri, "routeInfo"), attributes), "routeInfo"), ours


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """The plan that is written, and what was kept of the file its route came from."""

    uri: str
    inputs: Document
    result: Document
    stamp: Stamp
    pieces: Pieces


def _waypoint(planned: Planned, row: Row, number: int) -> tuple[Element, list[str]]:
    """Return one waypoint with the leg that leads to it, and warnings."""
    uri, pieces = planned.uri, planned.pieces
    identity, name = row.waypoint["id"], row.given("name")
    at, on = Displaced(pieces, "waypoint", identity), Displaced(pieces, "waypoint/leg", identity)
    revised = at.by({"revision": _revision(planned, identity)})
    lat_deg, lon_deg = row.waypoint["lat_deg"], row.waypoint["lon_deg"]
    attributes = {
        "id": str(number),
        "name": cleaned(name) if name else None,
        "radius": plain(row.given("turn_radius_nm"), MILES_DIGITS),
        **revised,
    }
    place = {"lat": plain(lat_deg, POSITION_DIGITS), "lon": plain(lon_deg, POSITION_DIGITS)}
    position = pieces.joined(make((uri, "position"), place), "waypoint/position", identity)
    leg, words = _leg(planned, row, on)
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
            **at.kept,
            **on.kept,
        },
        {**revised, **words},
        planned.result,
    )
    element = pieces.joined(
        make((uri, "waypoint"), attributes, position, *leg),
        "waypoint",
        identity,
        own=[_extension(uri, "waypoint", own)],
        never=("name", "radius"),
    )
    return element, [*at.warnings, *on.warnings]


def _revision(planned: Planned, identity: str) -> str | None:
    """Return the revision of a waypoint: it rises with every revision of the plan.

    What another system has counted before counts on, so that no waypoint falls behind there.
    """
    if planned.stamp.revision is None:
        return None
    before = planned.pieces.attribute("waypoint", "revision", identity) or "0"
    counted = int(before) if before.isascii() and before.isdigit() and len(before) < 9 else 0
    return str(counted + planned.stamp.revision)


def _leg(planned: Planned, row: Row, on: Displaced) -> tuple[list[Element], dict[str, str]]:
    """Return the leg that leads to a waypoint, and which of its attributes are ours."""
    uri, pieces, identity = planned.uri, planned.pieces, row.waypoint["id"]
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
        texts = {
            "legReport": cleaned(report_words(row, planned.result)),
            "legInfo": together(leg_words(row), index_words(row)),
            "legNote1": together(turn_words(row), cue_words(row)),
            "legNote2": cleaned(watch_words(row)),
        }
        words = {
            key: text
            for key, text in texts.items()
            if text and pieces.attribute("waypoint/leg", key, identity) is None
        } | on.by(leg_numbers(row, planned.inputs, planned.result))
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
        "other schedules are those of the file this route was read from, not computed again: check "
        "them if the route, the ship or the speeds have changed",
    )
