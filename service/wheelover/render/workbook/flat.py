"""JSON objects as rows: members of members side by side, each under a name that says its unit."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from wheelover.render.exports.stamp import Document

Cell = str | float | bool | None
_NamedList = tuple[str, list[Document]]

UNITS = {
    "_deg_per_min": "deg/min",
    "_m_per_s": "m/s",
    "_days": "days",
    "_rpm": "rpm",
    "_kw": "kW",
    "_t_per_day": "t/day",
    "_kg_per_m3": "kg/m3",
    "_lengths": "lengths",
    "_ratio": "ratio",
    "_count": "count",
    "_index": "number",
    "_utc": "UTC",
    "_nm": "NM",
    "_kn": "kn",
    "_deg": "deg",
    "_min": "min",
    "_m": "m",
    "_s": "s",
    "_h": "h",
    "_t": "t",
}
"""What the end of a name says, the longer ends first."""

FORMATS = {
    "NM": "0.000",
    "m": "0.00",
    "kn": "0.0",
    "deg": "0.0",
    "deg/min": "0.0",
    "s": "0",
    "min": "0.0",
    "UTC": "yyyy-mm-dd hh:mm:ss",
    "ratio": "0.000",
    "number": "0",
    "count": "0",
}
"""How numbers of a unit are shown; the cell holds the value of the JSON, whole."""

LAT_LON = "0.000000"


def unit_of(name: str) -> str:
    """Return the unit that a member's name ends in, empty where it says none.

    Examples
    --------
    >>> unit_of("distance_nm"), unit_of("rate_deg_per_min"), unit_of("method")
    ('NM', 'deg/min', '')
    """
    return next((unit for end, unit in UNITS.items() if name.endswith(end)), "")


def head_of(name: str) -> str:
    """Return a member's name as the head of a column, with its unit.

    Examples
    --------
    >>> head_of("planned_distance_nm"), head_of("eta_utc"), head_of("method")
    ('planned distance, NM', 'eta, UTC', 'method')
    """
    unit = unit_of(name)
    return f"{plain_of(name)}, {unit}" if unit else plain_of(name)


def plain_of(name: str) -> str:
    """Return a member's name as words, without its unit."""
    end = next((one for one in UNITS if name.endswith(one)), "")
    return name.removesuffix(end).replace("_", " ").strip()


def format_of(name: str) -> str:
    """Return how numbers under a name are shown."""
    if name.endswith(("lat_deg", "lon_deg")):
        return LAT_LON
    return FORMATS.get(unit_of(name), "General")


def flattened(value: Document, leave: Sequence[str] = (), start: str = "") -> dict[str, Cell]:
    """Return an object as one row; a list of plain values is one text, lists of objects are left.

    Examples
    --------
    >>> flattened({"a": 1.5, "b": {"c": None}, "d": ["x", "y"], "e": [{"f": 1}]})
    {'a': 1.5, 'b_c': None, 'd': 'x, y'}
    """
    row: dict[str, Cell] = {}
    for name, one in value.items():
        if f"{start}{name}" in leave:
            continue
        if isinstance(one, dict):
            row |= flattened(one, leave, f"{start}{name}_")
        elif isinstance(one, list):
            if not any(isinstance(part, dict | list) for part in one):
                row[f"{start}{name}"] = ", ".join(_plain(part) for part in one)
        else:
            row[f"{start}{name}"] = one
    return row


def unfolded(
    value: Document, what: str, known: dict[str, Cell], leave: Sequence[str] = ()
) -> Iterator[dict[str, Cell]]:
    """Yield an object as rows: one for what is plain in it, one for each object of its lists.

    Parameters
    ----------
    value : dict
        The object.
    what : str
        What it is: the first word of its row, and of the rows of what its lists hold, which name
        its ids besides.
    known : dict
        What stands in each of the rows besides.
    leave : sequence of str
        Members that are left out.

    Examples
    --------
    >>> list(unfolded({"a_nm": 1.0, "b": {"c": [{"d_m": 2.0}]}}, "line", {"of": "leg B"}))
    [{'row': 'line', 'of': 'leg B', 'a_nm': 1.0}, {'row': 'line, b c', 'of': 'leg B', 'd_m': 2.0}]
    """
    row = flattened(value, leave)
    if row:
        yield {"row": what, **known, **row}
    mine = {f"of_{name}": one for name, one in row.items() if name == "id" or name[-3:] == "_id"}
    for name, parts in _lists(value, leave):
        inner = f"{what}, {name}" if what else name
        for part in parts:
            yield from unfolded(part, inner, {**known, **mine})


def _lists(value: Document, leave: Sequence[str], start: str = "") -> Iterator[_NamedList]:
    """Yield every list of objects in an object, with the words of the way to it."""
    for name, one in value.items():
        if f"{start}{name}" in leave:
            continue
        if isinstance(one, dict):
            yield from _lists(one, leave, f"{start}{name}_")
        elif isinstance(one, list):
            parts = [part for part in one if isinstance(part, dict)]
            yield f"{start}{name}".replace("_", " ").removesuffix("s"), parts


def _plain(value: Any) -> str:
    """Return a value of a list as text."""
    return "" if value is None else str(value)


def names_of(rows: Iterable[dict[str, Cell]]) -> list[str]:
    """Return every member of some rows, in the order in which they come."""
    names: dict[str, None] = {}
    for row in rows:
        names |= dict.fromkeys(row)
    return list(names)
