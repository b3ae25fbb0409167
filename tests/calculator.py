"""A pocket calculator: + - x / with brackets, tan and sin of degrees, nothing of the service's."""

import math
import re

_TOKEN = re.compile(r"\s*(\d+(?:\.\d+)?|tan|sin|[-+x/()])")


def calculated(text: str) -> float:
    """Return what a line of arithmetic gives.

    Raises
    ------
    ValueError
        For one that cannot be worked.
    """
    tokens, place = [], 0
    text = text.strip()
    while place < len(text):
        match = _TOKEN.match(text, place)
        if match is None:
            raise ValueError(f"cannot be worked: {text!r}")
        tokens.append(match.group(1))
        place = match.end()
    value, rest = _sum(tokens)
    if rest:
        raise ValueError(f"cannot be worked: {text!r}")
    return value


def _sum(tokens: list[str]) -> tuple[float, list[str]]:
    value, rest = _product(tokens)
    while rest and rest[0] in "+-":
        sign, (more, rest_after) = rest[0], _product(rest[1:])
        value, rest = (value + more if sign == "+" else value - more), rest_after
    return value, rest


def _product(tokens: list[str]) -> tuple[float, list[str]]:
    value, rest = _factor(tokens)
    while rest and rest[0] in ("x", "/"):
        sign, (more, rest_after) = rest[0], _factor(rest[1:])
        value, rest = (value * more if sign == "x" else value / more), rest_after
    return value, rest


def _factor(tokens: list[str]) -> tuple[float, list[str]]:
    if not tokens:
        raise ValueError("cannot be worked: it ends too early")
    first, *rest = tokens
    if first in ("tan", "sin"):
        inner, rest = _factor(rest)
        return getattr(math, first)(math.radians(inner)), rest
    if first == "(":
        value, rest = _sum(rest)
        if not rest or rest[0] != ")":
            raise ValueError("cannot be worked: a bracket is open")
        return value, rest[1:]
    if not re.fullmatch(r"\d+(\.\d+)?", first):
        raise ValueError(f"cannot be worked: {first!r}")
    return float(first), rest
