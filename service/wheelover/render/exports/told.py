"""Values of a plan's JSON as elements of ours: the same names, the same numbers, nothing rounded.

Numbers and texts are attributes, what has parts is an element inside, a list is one element for
each of its entries. What is null is left out.
"""

import re
from typing import Any

from wheelover.formats.own_extension import NAMESPACE
from wheelover.formats.xml_text import cleaned, make
from wheelover.formats.xml_tree import MOST_ATTRIBUTE, Element
from wheelover.render.exports.rows import plain

_NAME = re.compile(r"[a-z_][a-z0-9_]*", re.ASCII)


def told(name: str, value: Any, left_out: frozenset[str] = frozenset()) -> list[Element]:
    """Return a member of a plan as elements of ours, none where it says nothing.

    Parameters
    ----------
    name : str
        Its name in the plan.
    value : Any
        A JSON value.
    left_out : frozenset of str
        Members that stay out, wherever they are in it.
    """
    if isinstance(value, list):
        return [element for one in value for element in told(name, one, left_out)]
    if not isinstance(value, dict):
        text = _text(value)
        return [] if text is None else [make((NAMESPACE, name), {}, text)]
    attributes: dict[str, str | None] = {}
    parts: list[Element] = []
    for key, one in value.items():
        if key in left_out or not _NAME.fullmatch(key):
            continue
        if isinstance(one, dict | list):
            parts += told(key, one, left_out)
        else:
            attributes[key] = _text(one)
    if not parts and not any(text is not None for text in attributes.values()):
        return []
    return [make((NAMESPACE, name), attributes, *parts)]


def _text(value: Any) -> str | None:
    """Return a plain value as text."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return plain(value)
    return None if value is None else cleaned(str(value))[:MOST_ATTRIBUTE]
