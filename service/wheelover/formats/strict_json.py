"""JSON as RFC 8259 means it, and nothing that could be read in two ways.

Refused: text that is not UTF-8, NaN and Infinity, numbers too large for a double, a member named
twice, half a surrogate pair, and nesting beyond any document of ours.
"""

import math
import re
from typing import Any

import jiter

from wheelover.core.errors import Fault, UnreadableFile

_PLACE = re.compile(r" at line (\d+) column (\d+)$")
_MOST_DEPTH = 64
_MOST_WHOLE = 2**53 - 1


def read_json(body: bytes) -> Any:
    """Return the value of a JSON text.

    Raises
    ------
    UnreadableFile
        With line and column of what is wrong with it.

    Examples
    --------
    >>> read_json(b'{"a": [1, 2.5]}')
    {'a': [1, 2.5]}
    >>> read_json(b'{"a": 1, "a": 2}')
    Traceback (most recent call last):
    ...
    wheelover.core.errors.UnreadableFile: Not JSON: detected duplicate key "a", line 1 column 14
    """
    try:
        value = jiter.from_json(
            body.removeprefix(b"\xef\xbb\xbf"),
            allow_inf_nan=False,
            catch_duplicate_keys=True,
            partial_mode=False,
        )
    except ValueError as error:
        raise _unreadable(str(error)) from error
    _refuse_unsound(value)
    return value


def _unreadable(reason: str) -> UnreadableFile:
    """Return the error for a text that is not JSON, with its place where the reader knows it."""
    place = _PLACE.search(reason)
    what = _PLACE.sub("", reason)
    what = what[:1].lower() + what[1:]
    what = what.replace("eOF while parsing", "the text ends inside")
    if place is None:
        fault = Fault(pointer="", message=what)
        return UnreadableFile(f"Not JSON: {what}", (fault,))
    line, column = int(place[1]), int(place[2])
    fault = Fault(pointer="", line=line, column=column, message=what)
    return UnreadableFile(f"Not JSON: {what}, line {line} column {column}", (fault,))


def _refuse_unsound(value: Any) -> None:
    """Refuse numbers that do not survive canonical JSON, and nesting without end.

    Those are numbers that no double holds, and whole numbers that a double may hold as another
    (RFC 7493, RFC 8785).
    """
    open_values: list[tuple[Any, int]] = [(value, 0)]
    while open_values:
        item, depth = open_values.pop()
        if isinstance(item, dict):
            open_values.extend((member, depth + 1) for member in item.values())
        elif isinstance(item, list):
            open_values.extend((member, depth + 1) for member in item)
        if depth > _MOST_DEPTH or _is_unsound(item):
            pointer, reason = _find_unsound(value, "", 0) or ("", "it is not sound")
            fault = Fault(pointer=pointer, message=reason)
            raise UnreadableFile(f"Not JSON that is read here, at {pointer}: {reason}", (fault,))


def _is_unsound(item: Any) -> bool:
    """Return whether a number is beyond what JSON carries from one program to another."""
    if isinstance(item, float):
        return not math.isfinite(item)
    return isinstance(item, int) and abs(item) > _MOST_WHOLE


def _members(value: Any) -> list[tuple[str | int, Any]]:
    """Return the members of an object or the elements of a list, with their names."""
    if isinstance(value, dict):
        return list(value.items())
    return list(enumerate(value)) if isinstance(value, list) else []


def _find_unsound(value: Any, pointer: str, depth: int) -> tuple[str, str] | None:
    """Return where the first unsound part of a value stands, and what is wrong with it."""
    if depth > _MOST_DEPTH:
        return pointer, f"nested deeper than {_MOST_DEPTH}"
    if _is_unsound(value):
        if isinstance(value, float):
            return pointer, "a number is too large for a double"
        return pointer, "a whole number must be below 2^53 in size"
    for name, member in _members(value):
        step = str(name).replace("~", "~0").replace("/", "~1")
        found = _find_unsound(member, f"{pointer}/{step}", depth + 1)
        if found is not None:
            return found
    return None
