"""Walks every number of a text and looks for it in JSON values: in its unit, rounded as printed."""

import math
import re
from collections.abc import Iterable, Iterator
from typing import Any

_NUMBER = re.compile(r"(?<![\w.{-])-?\d+(?:\.\d+)?(?![\w}]|\.\d)")
_UNIT = re.compile(r"\s*(NM|cab|m|kn|deg/min|deg|min|s|t|h)\b(?!\w|:)")

UNIT_OF = {
    "_nm": "NM", "_m": "m", "_kn": "kn", "_deg": "deg", "_deg_per_min": "deg/min", "_s": "s",
    "_min": "min", "_t": "t", "_h": "h",
}  # fmt: skip
CONVERTED = {("m", "NM"): 1 / 1852, ("NM", "m"): 1852.0, ("m", "cab"): 1 / 185.2,
             ("NM", "cab"): 10.0}  # fmt: skip

Numbers = dict[str, list[float]]


def numbers_of(*values: Any) -> Numbers:
    """Return every number of JSON values by its unit; counts are those of lists, and by grade."""
    found: Numbers = {"": []}
    for value in values:
        for name, number in _each("", value):
            found.setdefault(_unit_of(name), []).append(number)
    for (given, shown), factor in CONVERTED.items():
        found.setdefault(shown, []).extend(one * factor for one in list(found.get(given, [])))
    return found


def _unit_of(name: str) -> str:
    ends = [end for end in UNIT_OF if name.endswith(end)]
    return UNIT_OF[max(ends, key=len)] if ends else ""


def _each(name: str, value: Any) -> Iterator[tuple[str, float]]:
    if isinstance(value, bool) or value is None:
        return
    if isinstance(value, int | float):
        yield name, float(value)
    elif isinstance(value, dict):
        unit = value.get("unit")
        for key, one in value.items():
            if key in ("value", "measured", "limit") and isinstance(unit, str):
                first = unit.split()[0] if unit else ""
                yield from _each(f"x_{first.replace('/', '_per_').lower()}", one)
            yield from _each(key, one)
    elif isinstance(value, list | tuple):
        yield "count", float(len(value))
        for one in value:
            yield from _each(name, one)


def texts_of(*values: Any) -> set[str]:
    """Return every text of JSON values that has a digit in it."""
    found: set[str] = set()
    for value in values:
        if isinstance(value, str):
            found |= {value} if re.search(r"\d", value) else set()
        elif isinstance(value, dict):
            found |= texts_of(*value.values(), *value)
        elif isinstance(value, list | tuple):
            found |= texts_of(*value)
    return found


def times_of(*values: Any) -> set[str]:
    """Return every time and span of JSON values as it is printed, by a formatter of its own."""
    found: set[str] = set()
    for value in values:
        if isinstance(value, dict):
            found |= times_of(*value.values())
            for name, one in value.items():
                if name.endswith("_s") and isinstance(one, float):
                    minutes = round(abs(one) / 60.0)
                    found.add(f"{minutes // 60}:{minutes % 60:02d}")
        elif isinstance(value, list):
            found |= times_of(*value)
        elif isinstance(value, str) and re.match(r"\d{4}-\d\d-\d\dT\d\d:\d\d", value):
            day, clock = value[:10], value[11:16]
            found |= {f"{day} {clock}Z", f"{day[5:]} {clock}Z", f"{day[5:]} {clock} ZD"}
    return found


def without(text: str, texts: Iterable[str]) -> str:
    """Return a text without others that stand in it as they are, the longest first."""
    for one in sorted(texts, key=len, reverse=True):
        flat = " ".join(one.split())
        text = text.replace(flat, " | ")
    return text


def strange(text: str, numbers: Numbers) -> list[str]:
    """Return every number of a text, with its surroundings, that the JSON values do not hold."""
    missing = []
    for match in _NUMBER.finditer(text):
        after = _UNIT.match(text, match.end())
        unit = after.group(1) if after else ""
        pools = [numbers.get(unit, [])] if unit else list(numbers.values())
        if not any(_held(match.group(), one) for pool in pools for one in pool):
            missing.append(text[max(0, match.start() - 30) : match.end() + 20])
    return missing


def _held(printed: str, value: float) -> bool:
    """Return whether a printed number is a value rounded down, up or to nearest."""
    decimals = len(printed.partition(".")[2])
    scale, shown = 10.0**decimals, float(printed)
    if abs(abs(value) - abs(shown)) > 1.0 / scale + 1e-9:
        # A course of 359.6 is printed as 000.
        return decimals < 2 and abs(value - 360.0) <= 0.5 / scale and shown == 0.0
    steps = {
        math.floor(round(abs(value) * scale, 6)),
        math.ceil(round(abs(value) * scale, 6)),
    }
    return round(abs(shown) * scale) in steps
