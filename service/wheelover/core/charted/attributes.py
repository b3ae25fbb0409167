"""Values of attributes, whatever form a file or a reader gave them."""

import math
from collections.abc import Mapping

from wheelover.core.types.cells import AttributeValue

Attributes = Mapping[str, AttributeValue]


def number_of(attributes: Attributes, name: str) -> float | None:
    """Return an attribute as a number; None where it is absent, empty or no number.

    Parameters
    ----------
    attributes : mapping
        What is known of an object.
    name : str
        The attribute's acronym.

    Examples
    --------
    >>> number_of({"VALSOU": "12.5"}, "VALSOU"), number_of({"VALSOU": ""}, "VALSOU")
    (12.5, None)
    """
    value = attributes.get(name)
    if value is None or isinstance(value, tuple):
        return None
    try:
        number = float(value)
    except ValueError:
        return None
    return number if math.isfinite(number) else None


def codes_of(attributes: Attributes, name: str) -> frozenset[int]:
    """Return an attribute of codes as their set: one code, a list, or text with commas.

    Parameters
    ----------
    attributes : mapping
        What is known of an object.
    name : str
        The attribute's acronym.

    Examples
    --------
    >>> sorted(codes_of({"RESTRN": "7,14"}, "RESTRN")), codes_of({}, "RESTRN")
    ([7, 14], frozenset())
    """
    value = attributes.get(name)
    if value is None:
        return frozenset()
    if isinstance(value, str):
        value = tuple(value.split(","))
    if not isinstance(value, tuple):
        return frozenset([int(value)]) if math.isfinite(value) else frozenset()
    return frozenset(int(float(one)) for one in value if _is_number(one))


def _is_number(text: str) -> bool:
    """Return whether a member of a list is a number."""
    try:
        return math.isfinite(float(text))
    except ValueError:
        return False


def text_of(attributes: Attributes, name: str) -> str | None:
    """Return an attribute as text; None where it is absent or blank.

    Parameters
    ----------
    attributes : mapping
        What is known of an object.
    name : str
        The attribute's acronym.
    """
    value = attributes.get(name)
    if value is None:
        return None
    text = ", ".join(value) if isinstance(value, tuple) else str(value)
    return text.strip() or None
