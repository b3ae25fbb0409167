"""Pieces of the file a route was read from, put back where they stood."""

from collections.abc import Callable, Iterable
from dataclasses import replace

from wheelover.formats.carrying import speaks_for_plan
from wheelover.formats.xml_text import read_fragment
from wheelover.formats.xml_tree import Element, Name
from wheelover.render.exports.stamp import Document, few

_Key = tuple[str, str | None]


class Pieces:
    """The carried pieces of a route that belong into one format.

    Parameters
    ----------
    inputs : dict
        The plan request.
    format_name : str
        Format that is written; pieces of others stay out.
    vocabulary : str
        Namespace of the file that is written.
    changed : function
        Given each piece, returns it in the spelling of the version that is written.
    """

    def __init__(
        self,
        inputs: Document,
        format_name: str,
        vocabulary: str,
        changed: Callable[[Element], Element] = lambda one: one,
    ) -> None:
        self._attributes: dict[_Key, list[tuple[Name, str]]] = {}
        self._scopes: dict[_Key, dict[str, str]] = {}
        self._elements: dict[_Key, list[Element]] = {}
        self._extensions: dict[_Key, list[Element]] = {}
        self._left: set[_Key] = set()
        self._refused: list[str] = []
        for one in inputs["route"].get("carried") or []:
            if one["format"] != format_name:
                continue
            element = changed(read_fragment(one["xml"], vocabulary))
            key = (one["into"], one.get("waypoint_id"))
            self._left.add(key)
            if one["kind"] == "attributes":
                self._attributes.setdefault(key, []).extend(element.attributes)
                self._scopes.setdefault(key, {}).update(element.scope)
            elif one["kind"] == "element" and speaks_for_plan(format_name, key[0], element):
                self._refused.append(element.local)
            elif one["kind"] == "element":
                self._elements.setdefault(key, []).append(element)
            else:
                self._extensions.setdefault(key, []).append(element)

    def attribute(self, into: str, local: str, waypoint_id: str | None = None) -> str | None:
        """Return the value of a kept attribute, None when none of that name is kept."""
        pairs = self._attributes.get((into, waypoint_id), [])
        return next((value for name, value in pairs if name == ("", local)), None)

    def has_element(self, into: str, local: str, waypoint_id: str | None = None) -> bool:
        """Return whether an element of that name is kept there."""
        return any(one.local == local for one in self._elements.get((into, waypoint_id), ()))

    def elements(self) -> Iterable[Element]:
        """Return every kept element, wherever it stood."""
        return [one for found in self._elements.values() for one in found]

    def joined(
        self,
        element: Element,
        into: str,
        waypoint_id: str | None = None,
        own: Iterable[Element] = (),
        never: Iterable[str] = (),
    ) -> Element:
        """Return an element of ours with what was kept for it.

        Parameters
        ----------
        element : Element
            Our element; its own attributes stand where a kept one has the same name.
        into, waypoint_id : str, str or None
            The place.
        own : iterable of Element
            Our own extensions, put before those of others.
        never : iterable of str
            Attributes that the plan speaks for: without a value in the plan they have none.
        """
        key = (into, waypoint_id)
        self._left.discard(key)
        ours = {name for name, _ in element.attributes} | {("", one) for one in never}
        kept = dict(self._attributes.get(key, ()))
        attributes = tuple((name, value) for name, value in kept.items() if name not in ours)
        extensions = [*own, *self._extensions.get(key, ())]
        wrapped = []
        if extensions:
            name = (element.name[0], "extensions")
            wrapped.append(Element(name=name, content=tuple(extensions), line=0))
        return replace(
            element,
            attributes=(*element.attributes, *attributes),
            content=(*element.content, *self._elements.get(key, ()), *wrapped),
            scope={**self._scopes.get(key, {}), **element.scope},
        )

    def has(self, into: str, waypoint_id: str | None = None) -> bool:
        """Return whether anything is kept for a place."""
        return (into, waypoint_id) in self._left

    def warnings(self) -> tuple[str, ...]:
        """Return what is said of pieces whose place is gone."""
        gone = sorted({f"{into} of {one}" if one else into for into, one in self._left})
        said = []
        if gone:
            said.append(
                f"kept pieces whose place is no longer in the route are left out: {few(gone)}"
            )
        if self._refused:
            said.append(f"kept pieces that the plan speaks for are left out: {few(self._refused)}")
        return tuple(said)
