"""Waypoint elements of an XML route file as report rows; one not understood leaves a hole."""

from collections.abc import Callable

from wheelover.core.types.route import Waypoint
from wheelover.formats.own_extension import Own, decimal
from wheelover.formats.positions import NotUnderstood, shown
from wheelover.formats.reading import MOST_TEXT, PartReading, ReadRow
from wheelover.formats.xml_tree import Element, refused

MOST_WAYPOINTS = 5000

POSITION_DIGITS = 8
"""Decimals of degrees in a route exchange file: a millimetre."""

MILES_DIGITS = 4
"""Decimals of nautical miles in a route exchange file."""


def parts_of(
    elements: tuple[Element, ...], waypoint_of: Callable[[Element, str], Waypoint], what: str
) -> list[PartReading]:
    """Return every waypoint element beside the waypoint it gave.

    Parameters
    ----------
    elements : tuple of Element
        Waypoint elements in sailing order.
    waypoint_of : function
        Gives the waypoint of an element, or raises NotUnderstood; it gets the id to take where
        the element has none.
    what : str
        What one is called in the file.

    Raises
    ------
    UnreadableFile
        For more than 5,000 of them.
    """
    if len(elements) > MOST_WAYPOINTS:
        raise refused(
            f"{len(elements)} {what} elements, over the limit of {MOST_WAYPOINTS}",
            elements[MOST_WAYPOINTS].line,
        )
    parts = []
    taken: dict[str, int] = {}
    given = {element.attribute("id") for element in elements}
    for number, element in enumerate(elements, start=1):
        usual = f"WP{number:02d}"
        invented = usual if usual not in given else f"line {element.line} no {number}"
        try:
            waypoint = waypoint_of(element, invented)
            if waypoint.id in taken:
                raise NotUnderstood(
                    f"id {waypoint.id!r} is already that of line {taken[waypoint.id]}"
                )
        except NotUnderstood as reason:
            row = ReadRow(line=element.line, raw=element.raw, problem=str(reason))
            parts.append(PartReading(row=row, waypoint=None))
            continue
        taken[waypoint.id] = element.line
        row = ReadRow(
            line=element.line,
            raw=element.raw,
            understood=shown(waypoint.lat_deg, waypoint.lon_deg),
            waypoint_id=waypoint.id,
        )
        parts.append(PartReading(row=row, waypoint=waypoint))
    return parts


def position_deg(element: Element | None, own: Own) -> tuple[float, float]:
    """Return latitude and longitude of an element with lat and lon: signed decimal degrees."""
    values = []
    for name, limit_deg in (("lat", 90.0), ("lon", 180.0)):
        text = None if element is None else element.attribute(name)
        if text is None:
            raise NotUnderstood(f"it has no {name}: a position needs lat and lon")
        value_deg = decimal(text, name)
        if abs(value_deg) > limit_deg:
            raise NotUnderstood(f"{name} {value_deg:g} must lie in -{limit_deg:g} to {limit_deg:g}")
        values.append(own.exact(f"{name}_deg", value_deg, POSITION_DIGITS))
    if abs(values[0]) >= 90.0:
        raise NotUnderstood(f"latitude {values[0]:g} is a pole, where no course exists")
    return values[0], values[1]


def word(text: str | None, what: str) -> str | None:
    """Return a name or id without white space around it, None when nothing is left."""
    if text is None:
        return None
    kept = text.strip()
    if len(kept) > MOST_TEXT:
        raise NotUnderstood(f"{what} is longer than {MOST_TEXT} characters")
    return kept or None


def own_word(own: Own, name: str, native: str | None) -> str | None:
    """Return a text of ours that the file's own element cannot hold, else that of the file."""
    text = own.text(f"exact_{name}")
    if text is None:
        return word(native, name)
    if not 0 < len(text) <= MOST_TEXT:
        raise NotUnderstood(f"{name} must be a text of 1 to {MOST_TEXT} characters")
    return text
