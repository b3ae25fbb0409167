"""A plan as GPX 1.1: a route, and its wheel-over points as marks."""

from dataclasses import replace

from wheelover.formats.gpx_route import NAMESPACE as GPX
from wheelover.formats.gpx_route import VERSION
from wheelover.formats.own_extension import MANUFACTURER, NAMESPACE, PREFIX
from wheelover.formats.xml_rows import word
from wheelover.formats.xml_text import cleaned, document, make
from wheelover.formats.xml_tree import Element
from wheelover.render.exports.own_elements import (
    exact,
    plan_element,
    waypoint_element,
    waypoint_inputs,
    wheel_over_element,
)
from wheelover.render.exports.pieces import Pieces
from wheelover.render.exports.rows import (
    Row,
    eta_of,
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

_ORDER = {
    "gpx": ("metadata", "wpt", "rte", "trk", "extensions"),
    "metadata": ("name", "desc", "author", "copyright", "link", "time", "keywords", "bounds"),
    "rte": ("name", "cmt", "desc", "src", "link", "number", "type", "extensions", "rtept"),
    "rtept": (
        *("ele", "time", "magvar", "geoidheight", "name", "cmt", "desc", "src", "link", "sym"),
        *("type", "fix", "sat", "hdop", "vdop", "pdop", "ageofdgpsdata", "dgpsid"),
    ),
}
"""Order in which the schema of GPX 1.1 wants the elements; extensions stand last or as listed."""


def gpx(inputs: Document, result: Document, stamp: Stamp) -> tuple[bytes, tuple[str, ...]]:
    """Return a plan as a GPX file, and the warnings.

    Raises
    ------
    Conflict
        For a route with a hole.
    """
    refuse_holes(inputs, "GPX")
    pieces = Pieces(inputs, "gpx", GPX)
    said = remarks(inputs, result, stamp)
    planned = list(rows(inputs, result))
    metadata, words = _metadata(inputs, said, stamp, pieces)
    root = pieces.joined(
        make(
            (GPX, "gpx"),
            {"version": VERSION, "creator": MANUFACTURER},
            metadata,
            *(mark for row in planned for mark in _wheel_over_mark(row)),
            _route(inputs, result, stamp, said, planned, words, pieces),
        ),
        "gpx",
    )
    root = replace(root, scope={**root.scope, "": GPX, PREFIX: NAMESPACE})
    return document(_ordered(root, "gpx")), pieces.warnings()


def _ordered(element: Element, kind: str) -> Element:
    """Return an element with its parts in the schema's order; unknown ones before extensions."""
    order = {local: place for place, local in enumerate(_ORDER[kind])}
    last = len(order)
    places = {"extensions": order.get("extensions", last + 1)}

    def place(one: Element | str) -> int:
        local = one.local if isinstance(one, Element) and one.name[0] == GPX else ""
        return order.get(local, places.get(local, last))

    return replace(element, content=tuple(sorted(element.content, key=place)))


def _words(
    pieces: Pieces, into: str, texts: dict[str, str], identity: str | None = None
) -> dict[str, str]:
    """Return the texts of ours for which the file this route came from has none of its own."""
    return {
        local: text
        for local, text in texts.items()
        if text and not pieces.has_element(into, local, identity)
    }


def _made(texts: dict[str, str]) -> list[Element]:
    """Return texts as elements."""
    return [make((GPX, local), {}, cleaned(text)) for local, text in texts.items()]


def _metadata(
    inputs: Document, said: Remarks, stamp: Stamp, pieces: Pieces
) -> tuple[Element, dict[str, str]]:
    """Return the head of the file, and which of its elements are our words."""
    texts = {
        "name": f"{said.status}: {inputs['route']['name']}",
        "desc": "\n".join(said.lines()),
        "time": stamp.created_utc or "",
    }
    words = _words(pieces, "metadata", texts)
    metadata = pieces.joined(make((GPX, "metadata"), {}, *_made(words)), "metadata")
    marked = {f"metadata/{local}": text for local, text in words.items()}
    return _ordered(metadata, "metadata"), marked


def _wheel_over_mark(row: Row) -> list[Element]:
    """Return the planned wheel-over of a turn as a mark."""
    turn = row.turn
    if turn is None or turn["planned"]["position"] is None:
        return []
    place = turn["planned"]["position"]
    texts = {"name": f"WO {row.waypoint['id']}", "desc": turn_words(row), "type": "wheel-over"}
    own = make((GPX, "extensions"), {}, wheel_over_element(turn))
    position = {"lat": plain(place["lat_deg"]), "lon": plain(place["lon_deg"])}
    return [make((GPX, "wpt"), position, *_made(texts), own)]


def _route(
    inputs: Document,
    result: Document,
    stamp: Stamp,
    said: Remarks,
    planned: list[Row],
    metadata_words: dict[str, str],
    pieces: Pieces,
) -> Element:
    """Return the route with its points."""
    name = inputs["route"]["name"]
    words = _words(pieces, "rte", {"desc": f"{said.status}. Findings: {said.findings}"})
    own = plan_element(
        result,
        stamp,
        said,
        exact("name", name, word(cleaned(name), "name")),
        {**metadata_words, **words},
    )
    points = [_point(row, result, pieces) for row in planned]
    texts = {"name": name, **words} if name else words
    return _ordered(
        pieces.joined(make((GPX, "rte"), {}, *_made(texts), *points), "rte", own=[own]), "rte"
    )


def _point(row: Row, result: Document, pieces: Pieces) -> Element:
    """Return one waypoint."""
    identity, name = row.waypoint["id"], row.given("name")
    turned, led = together(turn_words(row), cue_words(row)), leg_words(row)
    watched = (index_words(row), watch_words(row), report_words(row, result))
    texts = {"cmt": turned, "desc": together(led, *watched), "time": eta_of(row, result) or ""}
    words = _words(pieces, "rtept", texts, identity)
    position = {"lat": plain(row.waypoint["lat_deg"]), "lon": plain(row.waypoint["lon_deg"])}
    own = waypoint_element(
        row,
        {
            **exact("id", identity, None),
            **exact("name", name, word(cleaned(name or ""), "name")),
            "turn_radius_nm": plain(row.given("turn_radius_nm")),
            "xtd_port_nm": plain(row.wish("xtd_port_nm")),
            "xtd_starboard_nm": plain(row.wish("xtd_starboard_nm")),
            **waypoint_inputs(row),
        },
        words,
        result,
    )
    named = {"name": name, **words} if name else words
    point = make((GPX, "rtept"), position, *_made(named))
    return _ordered(pieces.joined(point, "rtept", identity, own=[own]), "rtept")
