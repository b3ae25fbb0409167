"""folium's map, with what it would fetch put inside and its names made the same every time."""

from collections.abc import Iterator
from typing import Any

import folium
import folium.template
from branca.element import Element, Figure

_FRAME = (
    '<!DOCTYPE html>\n<html lang="en">\n<head>\n{{this.header.render(**kwargs)}}\n</head>\n'
    "<body>\n{{this.html.render(**kwargs)}}\n<script>\n{{this.script.render(**kwargs)}}\n"
    "</script>\n</body>\n</html>\n"
)

_MAP = """
{% macro html(this, kwargs) %}<div class="folium-map" id={{ this.get_name()|tojson }}></div>
{% endmacro %}
{% macro script(this, kwargs) %}
const {{ this.get_name() }} = L.map({{ this.get_name()|tojson }},
  {center: {{ this.location|tojson }}, crs: L.CRS.EPSG3857, ...{{ this.options|tojavascript }}});
{% endmacro %}
"""


class _Verbatim(Element):
    """Text that is put in as it is: an element's own text would be taken for a template."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self._text = text

    def render(self, **_: object) -> str:
        """Return the text."""
        return self._text


class _Map(folium.Map):
    """The map without anything that is fetched, in a box that may be enlarged like all text."""

    default_js: list[tuple[str, str]] = []  # noqa: RUF012
    default_css: list[tuple[str, str]] = []  # noqa: RUF012
    _template = folium.template.Template(_MAP)


def assembled(
    *,
    title: str,
    styles: tuple[str, ...],
    scripts: tuple[str, ...],
    before: str,
    after: str,
    shown: list[bool],
    bounds: list[list[float]],
    policy_place: str,
) -> str:
    """Return the page.

    Parameters
    ----------
    title : str
        Of the page; not escaped yet.
    styles, scripts : tuple of str
        Texts of ours and the map library's, none of the plan.
    before, after : str
        Markup before and behind the map; the map's box is open at the end of the first.
    shown : list of bool
        For each layer whether it is on the map at first.
    bounds : list
        South-west and north-east of what is shown at first, latitude and longitude.
    policy_place : str
        What stands where the policy comes: before everything it speaks of.
    """
    page = Figure()
    page._template = page._template.environment.from_string(_FRAME)
    plot = _Map(tiles=None, location=_middle(bounds), zoom_start=9, max_zoom=18)
    page.add_child(plot)
    groups = [folium.FeatureGroup(name=f"layer {n}", show=one) for n, one in enumerate(shown)]
    for group in groups:
        plot.add_child(group)
    plot.fit_bounds(bounds, padding=(36, 36), max_zoom=14)
    _name_all(page)
    for text in (policy_place, *_head(title, styles, scripts)):
        page.header.add_child(_Verbatim(text), name=f"head {len(page.header._children)}")
    page.html.add_child(_Verbatim(before), name="before")
    page.render()
    names = ", ".join(group.get_name() for group in groups)
    pointer = '<p class="pointer" id="pointer">The grid is of latitude and longitude.</p>'
    page.html.add_child(_Verbatim(f"</div>{pointer}</div></div>{after}"), name="after")
    page.script.add_child(_Verbatim(f"drawPlan({plot.get_name()}, [{names}]);"), name="draw")
    return str(page._template.render(this=page, kwargs={}))


def _middle(bounds: list[list[float]]) -> list[float]:
    """Return the middle of bounds."""
    return [(bounds[0][0] + bounds[1][0]) / 2.0, (bounds[0][1] + bounds[1][1]) / 2.0]


def _head(title: str, styles: tuple[str, ...], scripts: tuple[str, ...]) -> Iterator[str]:
    """Yield what stands in the head of the page."""
    plain = title.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    yield f'<title>{plain}</title><meta name="viewport" content="width=device-width">'
    for style in styles:
        yield f"<style>{style}</style>"
    for script in scripts:
        yield f"<script>{script}</script>"


def _name_all(element: Any) -> None:
    """Give every element a name by its place: the library would draw lots."""
    left, number = [element], 0
    while left:
        one = left.pop()
        one._id = f"{number:02d}"
        number += 1
        left.extend(one._children.values())
