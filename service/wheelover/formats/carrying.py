"""Keeping what a route file says and a plan does not use, so that it can be written back."""

from collections import Counter

from wheelover.core.types.route import Carried, CarriedFormat, CarriedKind
from wheelover.formats.own_extension import MANUFACTURER, NAMESPACE
from wheelover.formats.xml_text import fragment
from wheelover.formats.xml_tree import Element, Name, refused

MOST_PIECES = 20_000
MOST_PIECE_XML = 65_536
MOST_XML = 2_000_000

PLACES = {
    "rtz": (
        *("route", "routeInfo", "waypoints", "defaultWaypoint", "defaultWaypoint/leg"),
        *("waypoint", "waypoint/position", "waypoint/leg"),
    ),
    "gpx": ("gpx", "metadata", "rte", "rtept"),
}
"""Into which elements of a file pieces go back."""

SPOKEN_FOR = {
    ("rtz", "route"): ("routeInfo", "waypoints", "extensions"),
    ("rtz", "waypoints"): ("defaultWaypoint", "waypoint", "extensions"),
    ("rtz", "defaultWaypoint"): ("leg", "extensions"),
    ("rtz", "waypoint"): ("position", "leg", "extensions"),
    ("gpx", "gpx"): ("metadata", "extensions"),
    ("gpx", "rte"): ("name", "rtept", "extensions"),
    ("gpx", "rtept"): ("name", "extensions"),
}
"""Elements the plan itself speaks for: no kept piece may stand in for them."""

VOCABULARIES = {
    "rtz": frozenset(
        {
            "",
            "http://www.cirm.org/RTZ/1/0",
            "http://www.cirm.org/RTZ/1/1",
            "http://www.cirm.org/RTZ/1/2",
        }
    ),
    "gpx": frozenset(
        {"", "http://www.topografix.com/GPX/1/0", "http://www.topografix.com/GPX/1/1"}
    ),
}
"""Namespaces of the formats themselves: a name of theirs means the same in another version."""

_MOST_NAMED = 30
_SCHEMA_INSTANCE = "http://www.w3.org/2001/XMLSchema-instance"


class Carrier:
    """Collects the pieces of one file, within limits, and says what it collected.

    Parameters
    ----------
    format_name : {"gpx", "rtz"}
        Kind of the file.
    vocabulary : str
        Namespace of the file's own names.
    """

    def __init__(self, format_name: CarriedFormat, vocabulary: str) -> None:
        self._format: CarriedFormat = format_name
        self._vocabulary = vocabulary
        self._pieces: list[Carried] = []
        self._kept: Counter[str] = Counter()
        self._left: Counter[str] = Counter()
        self._total_count = 0

    @property
    def pieces(self) -> tuple[Carried, ...]:
        """Return what was collected, in the order of the file."""
        return tuple(self._pieces)

    def attributes(
        self,
        into: str,
        element: Element,
        known: frozenset[str],
        waypoint_id: str | None = None,
        displaced: tuple[tuple[Name, str], ...] = (),
    ) -> None:
        """Keep the attributes of an element that are not in the known ones.

        Those ``displaced`` by ours are kept as well, where nobody has written theirs anew.
        """
        rest = tuple(
            (name, value)
            for name, value in element.attributes
            if name[0] != _SCHEMA_INSTANCE and (name[0] or name[1] not in known)
        )
        written = {name for name, _ in rest}
        rest += tuple(pair for pair in displaced if pair[0] not in written)
        if not rest:
            return
        alone = Element(name=element.name, attributes=rest, scope=element.scope)
        self._keep(into, "attributes", alone, waypoint_id, [_named(name[1]) for name, _ in rest])

    def elements(
        self, into: str, element: Element, known: frozenset[str], waypoint_id: str | None = None
    ) -> None:
        """Keep the elements inside an element that are not in the known ones or our own."""
        for one in element.elements:
            own_name = one.name[0] == self._vocabulary
            if own_name and one.local in known:
                continue
            if own_name and one.local == "extensions":
                for extension in one.elements:
                    if not is_own(extension):
                        label = _label(extension)
                        self._keep(into, "extension", extension, waypoint_id, [label])
            elif speaks_for_plan(self._format, into, one):
                raise refused(
                    f"element {one.local!r} belongs to another version of the format than the "
                    "file: which of them count cannot be told",
                    one.line,
                )
            else:
                self._keep(into, "element", one, waypoint_id, [one.local])

    def _keep(
        self,
        into: str,
        kind: CarriedKind,
        element: Element,
        waypoint_id: str | None,
        labels: list[str],
    ) -> None:
        """Keep one piece where there is room for it."""
        xml = fragment(element, self._vocabulary)
        over = self._total_count + len(xml) > MOST_XML or len(self._pieces) >= MOST_PIECES
        if len(xml) > MOST_PIECE_XML or over:
            self._left.update(labels)
            return
        self._total_count += len(xml)
        self._kept.update(labels)
        self._pieces.append(
            Carried(format=self._format, into=into, kind=kind, xml=xml, waypoint_id=waypoint_id)
        )

    def notes(self) -> tuple[str, ...]:
        """Return what is said of it in the report."""
        notes = []
        if self._kept:
            notes.append(
                f"kept to be written back to the same format, and not used: {_listed(self._kept)}"
            )
        if self._left:
            notes.append(
                f"too large to be kept, so LOST when the route is written: {_listed(self._left)}"
            )
        return tuple(notes)


def speaks_for_plan(format_name: str, into: str, element: Element) -> bool:
    """Return whether an element is one that the plan itself writes at a place.

    Parameters
    ----------
    format_name : {"gpx", "rtz"}
        The format.
    into : str
        The place, one of ``PLACES``.
    element : Element
        The element; its namespace may be that of any version of the format.
    """
    names = SPOKEN_FOR.get((format_name, into), ())
    return element.local in names and element.name[0] in VOCABULARIES[format_name]


def is_own(element: Element) -> bool:
    """Return whether an extension is one of ours."""
    return element.name[0] == NAMESPACE or element.attribute("manufacturer") == MANUFACTURER


def own_element(parent: Element | None, name: tuple[str, str]) -> Element | None:
    """Return our own element in the extensions of an element, None when there is none."""
    if parent is None:
        return None
    for extensions in parent.named("extensions"):
        for extension in extensions.elements:
            if extension.name == name:
                return extension
            if extension.attribute("manufacturer") == MANUFACTURER:
                found = next((one for one in extension.elements if one.name == name), None)
                if found is not None:
                    return found
    return None


def _named(attribute: str) -> str:
    """Return how an attribute is named in the report."""
    return "number of the waypoint" if attribute == "id" else attribute


def _label(extension: Element) -> str:
    """Return how an extension is named in the report."""
    maker = extension.attribute("manufacturer")
    return f"extension {extension.local}" if maker is None else f"extension of {maker[:60]}"


def _listed(counts: Counter[str]) -> str:
    """Return names with how often each came."""
    rows = [f"{name[:80]} ({count})" for name, count in sorted(counts.items())]
    more = f" and {len(rows) - _MOST_NAMED} more" if len(rows) > _MOST_NAMED else ""
    return ", ".join(rows[:_MOST_NAMED]) + more
