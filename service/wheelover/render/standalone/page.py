"""The page: folium's map with everything it needs inside, and nothing it could fetch.

Texts of the plan never pass through a template: folium evaluates what it is given as one.
"""

import base64
import hashlib
import re
from dataclasses import dataclass
from html import escape

from wheelover.render.exports.stamp import Document, Remarks, Stamp, remarks
from wheelover.render.standalone import head
from wheelover.render.standalone.catalogue import (
    GROUPS,
    OTHER_SIGN,
    SIGNS,
    in_drawing_order,
    words_of,
)
from wheelover.render.standalone.drawn import bounds_deg, drawn_text
from wheelover.render.standalone.parts import MapParts
from wheelover.render.standalone.script import SCRIPT
from wheelover.render.standalone.style import style_text
from wheelover.render.standalone.tables import layer_table

MOST_USUAL_BYTES = 1_000_000

_INLINE = re.compile(r"<(script|style)>(.*?)</\1>", re.DOTALL)
_POLICY_PLACE = "<!-- policy -->"


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnLayer:
    """One layer: its number on the page, its name, and its features."""

    number: int
    name: str
    features: list[Document]


def standalone(
    inputs: Document, result: Document, stamp: Stamp, parts: MapParts
) -> tuple[bytes, tuple[str, ...]]:
    """Return a plan as one HTML page that needs no network, and the warnings.

    Parameters
    ----------
    inputs, result : dict
        The plan request and the plan made from it.
    stamp : Stamp
        Which plan and revision it is.
    parts : MapParts
        The map library and the coastline.
    """
    said = remarks(inputs, result, stamp)
    layers = _layers(result)
    name = inputs["route"]["name"]
    text = _page(name, inputs, result, said, parts, layers)
    body = _with_policy(text).encode("utf-8")
    warnings = () if parts.coast is not None else (parts.no_coast,)
    if len(body) > MOST_USUAL_BYTES:
        warnings = (*warnings, f"the page has {len(body)} bytes, over {MOST_USUAL_BYTES}")
    return body, warnings


def _layers(result: Document) -> list[DrawnLayer]:
    """Return the layers of a plan that hold anything, in drawing order."""
    by_name: dict[str, list[Document]] = {}
    for feature in result["layers"]["features"]:
        by_name.setdefault(str(feature["properties"]["layer"]), []).append(feature)
    return [
        DrawnLayer(number=number, name=name, features=by_name[name])
        for number, name in enumerate(in_drawing_order(list(by_name)))
    ]


def _page(
    name: str,
    inputs: Document,
    result: Document,
    said: Remarks,
    parts: MapParts,
    layers: list[DrawnLayer],
) -> str:
    """Return the page without its policy."""
    # Half a second to load, and only who asks for this page needs it.
    from wheelover.render.standalone.folium_map import assembled  # noqa: PLC0415

    waypoints = inputs["route"]["waypoints"]
    drawn = drawn_text([(one.name, one.features) for one in layers], parts.coast, waypoints)
    coast = parts.coast.words if parts.coast is not None else parts.no_coast
    schedule = (result.get("schedule") or {}).get("rows") or []
    licence = f"<pre>{escape(parts.library_licence)}</pre>" if parts.library_licence else ""
    below = (
        head.findings(result),
        head.not_checked(said),
        head.passage(inputs, result),
        head.member_table("Schedule", schedule, "schedule"),
        _tables(layers),
        head.cautions(said),
        f"<footer><p>Coastline: {escape(coast)}</p>"
        f"<details><summary>Licence of the map library</summary>{licence}</details></footer>",
        f'<script type="application/json" id="drawn">{drawn}</script>',
    )
    return assembled(
        title=f"{said.status}: {name}",
        styles=(_without_pictures(parts.library_style), style_text()),
        scripts=(_without_source_map(parts.library_script), SCRIPT),
        before=head.top(name, said, result) + _beside_map(said, layers),
        after="".join(below),
        shown=[words_of(one.name).shown for one in layers],
        bounds=bounds_deg(waypoints),
        policy_place=_POLICY_PLACE,
    )


def _beside_map(said: Remarks, layers: list[DrawnLayer]) -> str:
    """Return the switches of the layers, grouped, each with its sign and its table."""
    groups = []
    for group in GROUPS:
        rows = [_switch(one) for one in layers if words_of(one.name).group == group]
        if rows:
            groups.append(f"<h3>{escape(group)}</h3>{''.join(rows)}")
    return (
        '<div class="both"><div class="switches" role="group" aria-label="Layers">'
        f"<h2>Layers</h2>{''.join(groups)}</div>"
        '<div><div class="map-box" data-testid="map"><strong class="status map-demo">'
        f"{escape(said.status)}</strong>"
    )


def _switch(one: DrawnLayer) -> str:
    """Return the switch of a layer with its sign, its name and the way to its table."""
    title = escape(words_of(one.name).title)
    is_point = one.features[0]["geometry"]["type"] == "Point"
    known = re.fullmatch(r"[a-z_]+", one.name)
    classes = f"layer-{one.name}" if known else ""
    shape = (
        f'<path class="sign {classes}" transform="translate(22 7)" '
        f'd="{SIGNS.get(one.name, OTHER_SIGN)}"/>'
        if is_point
        else f'<path class="drawn {classes}" d="M1 7H43"/>'
    )
    box_id, table_id = f"switch-{one.number}", f"table-{one.number}"
    return (
        f'<div class="switch" data-testid="layer-{escape(one.name)}"><input type="checkbox" '
        f'id="{box_id}" data-layer="{one.number}"><svg viewBox="0 0 44 14" aria-hidden="true">'
        f'{shape}</svg><label for="{box_id}">{title} ({len(one.features)})</label>'
        f'<a href="#{table_id}" data-table="{table_id}">as table</a></div>'
    )


def _tables(layers: list[DrawnLayer]) -> str:
    """Return the tables of all layers in their groups."""
    parts = []
    for group in GROUPS:
        tables = [
            f'<details id="table-{one.number}" data-testid="table-{escape(one.name)}"><summary>'
            f"{escape(words_of(one.name).title)} ({len(one.features)})</summary>"
            f"{layer_table(one.number, one.features)}</details>"
            for one in layers
            if words_of(one.name).group == group
        ]
        if tables:
            parts.append(f"<section><h2>{escape(group)}</h2>{''.join(tables)}</section>")
    return "".join(parts)


def _without_pictures(style: str) -> str:
    """Return the library's style without pictures, which would have to be fetched."""
    return re.sub(r"url\([^)]*\)", "none", style)


def _without_source_map(script: str) -> str:
    """Return the library's text without the name of a file that is not there."""
    return re.sub(r"//# sourceMappingURL=\S*", "", script)


def _with_policy(text: str) -> str:
    """Return the page with a policy that lets nothing in but what stands in it.

    Scripts and styles are named by their digests (Content Security Policy, level 3), so that
    markup in a text could run nothing.
    """
    allowed: dict[str, list[str]] = {"script": [], "style": []}
    for kind, inner in _INLINE.findall(text):
        digest = base64.b64encode(hashlib.sha256(inner.encode("utf-8")).digest()).decode("ascii")
        allowed[kind].append(f"'sha256-{digest}'")
    policy = (
        f"default-src 'none'; script-src {' '.join(allowed['script'])}; "
        f"style-src {' '.join(allowed['style'])}; base-uri 'none'; form-action 'none'"
    )
    tag = f'<meta http-equiv="Content-Security-Policy" content="{policy}">'
    return text.replace(_POLICY_PLACE, tag, 1)
