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
_LARGEST = 1.7976931348623157e308


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
    _refuse_beyond_double(value)
    return value


def _unreadable(reason: str) -> UnreadableFile:
    """Return the error for a text that is not JSON, with its place where the reader knows it."""
    place = _PLACE.search(reason)
    what = _PLACE.sub("", reason)
    what = what[:1].lower() + what[1:]
    if place is None:
        fault = Fault(pointer="", message=what)
        return UnreadableFile(f"Not JSON: {what}", (fault,))
    line, column = int(place[1]), int(place[2])
    fault = Fault(pointer="", line=line, column=column, message=what)
    return UnreadableFile(f"Not JSON: {what}, line {line} column {column}", (fault,))


def _refuse_beyond_double(value: Any) -> None:
    """Refuse numbers that no double holds, wherever they stand, and nesting without end."""
    open_values: list[tuple[Any, int]] = [(value, 0)]
    while open_values:
        item, depth = open_values.pop()
        if depth > _MOST_DEPTH:
            raise UnreadableFile(f"Not JSON of ours: nested deeper than {_MOST_DEPTH}")
        if isinstance(item, dict):
            open_values.extend((member, depth + 1) for member in item.values())
        elif isinstance(item, list):
            open_values.extend((member, depth + 1) for member in item)
        elif (isinstance(item, float) and not math.isfinite(item)) or (
            isinstance(item, int) and abs(item) > _LARGEST
        ):
            raise UnreadableFile("Not JSON of ours: a number is too large for a double")
