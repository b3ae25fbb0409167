"""Our own schedule in a route exchange file: told from those of others, and not kept twice."""

import zlib
from dataclasses import replace

from wheelover.formats.carrying import own_element
from wheelover.formats.own_extension import SCHEDULE
from wheelover.formats.xml_tree import SPACE, Element

OWN_NAME = "wheelover"


def sum_of(schedule: Element) -> str:
    """Return a check sum of what a schedule says, its extensions and white space left out."""
    return f"{zlib.crc32(_said(schedule).encode('utf-8')):08x}"


def _said(element: Element) -> str:
    """Return names, attributes and parts of an element as one text."""
    attributes = sorted((name[1], value) for name, value in element.attributes)
    parts = [_said(one) for one in element.elements if one.local != "extensions"]
    return f"{element.local}{attributes}{element.text.strip(SPACE)}[{''.join(parts)}]"


def without_own(root: Element) -> Element:
    """Return a route element without our own schedule, where nobody has changed it.

    It is computed again with the plan. One that another system has changed is theirs, and kept.
    """
    content = tuple(
        kept
        for one in root.content
        if (kept := _without_own(one) if isinstance(one, Element) else one) is not None
    )
    return replace(root, content=content)


def _without_own(element: Element) -> Element | None:
    """Return an element of the route; of schedules what is not ours, None where none is left."""
    if element.local != "schedules":
        return element
    left = tuple(one for one in element.elements if not _is_ours(one))
    if len(left) == len(element.elements):
        return element
    return replace(element, content=left) if left else None


def _is_ours(schedule: Element) -> bool:
    """Return whether a schedule is ours as we wrote it."""
    mark = own_element(schedule, SCHEDULE)
    return mark is not None and mark.attribute("sum") == sum_of(schedule)
