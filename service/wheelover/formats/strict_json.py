"""JSON as RFC 8259 means it, and nothing that could be read in two ways.

Refused: text that is not UTF-8, NaN and Infinity, numbers too large for a double, a member named
twice, half a surrogate pair, and nesting beyond any document of ours.
"""

import math
import re
from collections.abc import Iterator
from itertools import chain
from typing import Any

import jiter

from wheelover.core.errors import Fault, UnreadableFile

_PLACE = re.compile(r" at line (\d+) column (\d+)$")
_MOST_DEPTH = 64
_MOST_WHOLE = 2**53 - 1
_LEAST_WITH_EXPONENT = 1e21


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
    (RFC 7493, RFC 8785). To the latter belong doubles that canonical JSON writes as such a number:
    what was kept of them could not be read again.
    """
    for depth, level in enumerate(levels(value)):
        if depth > _MOST_DEPTH or _has_unsound(level):
            pointer, reason = _find_unsound(value, "", 0) or ("", "it is not sound")
            fault = Fault(pointer=pointer, message=reason)
            raise UnreadableFile(f"Not JSON that is read here, at {pointer}: {reason}", (fault,))


def levels(value: Any) -> Iterator[list[Any]]:
    """Give the parts of a JSON value, all of one depth at a time, the whole value first.

    A level is one list, so that a million parts are looked at by a few passes over lists and not
    by a million steps.

    Examples
    --------
    >>> list(levels({"a": [1, 2]}))
    [[{'a': [1, 2]}], [[1, 2]], [1, 2]]
    """
    level = [value]
    while level:
        yield level
        kinds = set(map(type, level))
        inner: list[Any] = []
        if dict in kinds:
            objects = [item for item in level if type(item) is dict]
            inner.extend(chain.from_iterable(map(dict.values, objects)))
        if list in kinds:
            inner.extend(chain.from_iterable([item for item in level if type(item) is list]))
        level = inner


def _has_unsound(level: list[Any]) -> bool:
    """Return whether some number of a level is unsound."""
    kinds = set(map(type, level))
    for kind in {float, int} & kinds:
        numbers: Any = [item for item in level if type(item) is kind]
        if max(map(abs, numbers)) > _MOST_WHOLE and any(map(_is_unsound, numbers)):
            return True
    return False


def _is_unsound(item: Any) -> bool:
    """Return whether a number is beyond what JSON carries from one program to another."""
    if isinstance(item, float):
        return not math.isfinite(item) or _MOST_WHOLE < abs(item) < _LEAST_WITH_EXPONENT
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
        if isinstance(value, float) and not math.isfinite(value):
            return pointer, "a number is too large for a double"
        return pointer, "a whole number must be below 2^53 in size"
    for name, member in _members(value):
        step = str(name).replace("~", "~0").replace("/", "~1")
        found = _find_unsound(member, f"{pointer}/{step}", depth + 1)
        if found is not None:
            return found
    return None
