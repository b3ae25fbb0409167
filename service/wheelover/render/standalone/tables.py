"""Each layer as a table: what is drawn, in words and numbers."""

from html import escape
from typing import Any

from wheelover.formats.positions import shown
from wheelover.render.standalone.words import cell, head

Document = dict[str, Any]

_NOT_COLUMNS = frozenset({"layer"})


def layer_table(number: int, features: list[Document]) -> str:
    """Return the table of one layer, one row for each feature.

    Parameters
    ----------
    number : int
        Number of the layer on the page; rows are named by it, so that a press on the map finds
        its row.
    features : list of dict
        GeoJSON features of the layer, at least one.
    """
    names = [name for name in _names(features) if name not in _NOT_COLUMNS]
    heads = "".join(f'<th scope="col">{escape(head(name))}</th>' for name in names)
    rows = []
    for place, feature in enumerate(features):
        cells = "".join(cell(name, feature["properties"].get(name)) for name in names)
        at = escape(where(feature["geometry"]))
        rows.append(f'<tr id="row-{number}-{place}">{cells}<td>{at}</td></tr>')
    return (
        '<div class="table-box" tabindex="0" role="region" aria-label="Table"><table><thead>'
        f'<tr>{heads}<th scope="col">where</th></tr></thead><tbody>{"".join(rows)}</tbody>'
        "</table></div>"
    )


def _names(features: list[Document]) -> list[str]:
    """Return the members of features in the order they first come."""
    names: dict[str, None] = {}
    for feature in features:
        names.update(dict.fromkeys(feature["properties"]))
    return list(names)


def where(geometry: Document) -> str:
    """Return where a shape lies: a point, or the ends of a line; an area by its box.

    Examples
    --------
    >>> where({"type": "LineString", "coordinates": [[1.0, 50.0], [1.5, 50.5]]})
    '50-00.000N 001-00.000E to 50-30.000N 001-30.000E'
    """
    places = list(places_of(geometry))
    if not places:
        return ""
    if geometry["type"] == "Point":
        return shown(places[0][1], places[0][0])
    if geometry["type"] in ("LineString", "MultiLineString"):
        return f"{shown(places[0][1], places[0][0])} to {shown(places[-1][1], places[-1][0])}"
    lons, lats = [one[0] for one in places], [one[1] for one in places]
    return f"within {shown(min(lats), min(lons))} and {shown(max(lats), max(lons))}"


def places_of(geometry: Document) -> list[list[float]]:
    """Return every position of a geometry in its order."""
    if geometry["type"] == "GeometryCollection":
        return [place for one in geometry["geometries"] for place in places_of(one)]
    found: list[list[float]] = []

    def take(part: Any) -> None:
        if part and isinstance(part[0], int | float):
            found.append(part)
            return
        for one in part:
            take(one)

    take(geometry["coordinates"])
    return found
