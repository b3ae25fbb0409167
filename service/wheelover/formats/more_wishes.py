"""What a plan asks at a waypoint beside the columns of old: one row for each, for all files.

A row says by which name a file holds it, where the plan has it, and of which kind it is. Values
with parts stand in files as JSON. Lengths and ranges are the plan request's to judge.
"""

import dataclasses
import json
import re
import types
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from wheelover.core.errors import UnreadableFile
from wheelover.core.types.watch import LegMonitoring
from wheelover.core.utc import seconds_from_utc, utc_from_seconds
from wheelover.formats.positions import NotUnderstood
from wheelover.formats.strict_json import read_json

Place = Literal["waypoint", "leg", "turn"]
MOST_TEXT = 16_000

_TIME = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d{1,9})?Z", re.ASCII)


class Utc:
    """A time: a text in files and in the JSON of a plan, seconds in the core."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """One thing that is asked: its name in files, its place and member in the plan, its kind.

    A number lies in a ``span``, both ends included. What is ``not_first`` has no meaning at the
    first waypoint.
    """

    name: str
    place: Place
    member: str
    kind: Any
    span: tuple[float, float] | None = None
    not_first: bool = False

    @property
    def core_name(self) -> str:
        """Return the name of the member in the core."""
        return self.member.removesuffix("_utc") + "_s" if self.kind is Utc else self.member


def _arrival(member: str, kind: Any, span: tuple[float, float] | None = None) -> Wish:
    """Return something that is asked of the arrival at a waypoint."""
    return Wish(name=member, place="waypoint", member=member, kind=kind, span=span, not_first=True)


WISHES: tuple[Wish, ...] = (
    _arrival("eta_utc", Utc),
    _arrival("stay_min", float, (0.0, 525_600.0)),
    _arrival("arrive_from_utc", Utc),
    _arrival("arrive_to_utc", Utc),
    Wish(name="fixed", place="waypoint", member="fixed", kind=bool),
    Wish(
        name="speed_over_ground_kn",
        place="leg",
        member="speed_over_ground_kn",
        kind=float,
        span=(0.001, 100.0),
    ),
    Wish(name="turn_cue_ids", place="turn", member="cue_ids", kind=tuple[str, ...]),
    Wish(name="leg_index_mark_ids", place="leg", member="index_mark_ids", kind=tuple[str, ...]),
    Wish(
        name="leg_clearing_mark_ids", place="leg", member="clearing_mark_ids", kind=tuple[str, ...]
    ),
    Wish(name="leg_monitoring", place="leg", member="monitoring", kind=LegMonitoring),
)
"""In the order of their columns."""

NAMES = tuple(one.name for one in WISHES)

NOT_FIRST = tuple(one.core_name for one in WISHES if one.not_first)
"""Names of the core of what has no meaning at the first waypoint."""


def asked(place: Place, text_of: Callable[[str], str | None]) -> dict[str, Any]:
    """Return what a file asks at a place, by the names of the core; only what it asks.

    Parameters
    ----------
    place : {"waypoint", "leg", "turn"}
        Where.
    text_of : function
        Gives the text of a name in the file, None or empty where it gives none.

    Raises
    ------
    NotUnderstood
        For a text that does not hold what its name says.
    """
    found = {}
    for one in WISHES:
        text = text_of(one.name) if one.place == place else None
        if text:
            found[one.core_name] = _read(one, text)
    return found


def as_text(value: Any) -> str | None:
    """Return a member of a JSON file as the text that other files have; None for none."""
    if value is None or isinstance(value, str):
        return value
    return _json_text(value)


def _json_text(value: Any) -> str:
    """Return a value of a plan as JSON of plain signs, which every file can hold."""
    return json.dumps(value, ensure_ascii=True, allow_nan=False, separators=(",", ":"))


def written(waypoint: dict[str, Any]) -> dict[str, str | None]:
    """Return what a plan request asks at a waypoint as texts of a file, by their names.

    Parameters
    ----------
    waypoint : dict
        A waypoint of a plan request.
    """
    return {name: as_text(value) for name, value in given(waypoint).items()}


def given(waypoint: dict[str, Any]) -> dict[str, Any]:
    """Return what a plan request asks at a waypoint as JSON values, by their names in files.

    Parameters
    ----------
    waypoint : dict
        A waypoint of a plan request.
    """
    values = {}
    for one in WISHES:
        held = waypoint if one.place == "waypoint" else (waypoint.get(one.place) or {})
        value = held.get(one.member)
        values[one.name] = None if _is_nothing(value) else value
    return values


def answered(place: Place, held: Any) -> dict[str, Any]:
    """Return what was read at a place as a plan request has it.

    Parameters
    ----------
    place : {"waypoint", "leg", "turn"}
        Where.
    held : Waypoint, LegWishes or TurnWishes
        What was read there.
    """
    values = {
        one.member: _answered(one, getattr(held, one.core_name))
        for one in WISHES
        if one.place == place
    }
    return {member: value for member, value in values.items() if not _is_nothing(value)}


def _is_nothing(value: Any) -> bool:
    """Return whether a value asks for nothing; the number nought asks for nought."""
    return value is None or value is False or value in ([], {})


def _answered(wish: Wish, value: Any) -> Any:
    """Return a value of the core as a plan request has it."""
    if wish.kind is Utc and value is not None:
        return _time_text(value)
    return _plain(value)


def _time_text(at_s: float) -> str:
    """Return a time, with decimals where it has them.

    Examples
    --------
    >>> _time_text(1795615320.0), _time_text(1795615320.5)
    ('2026-11-25T14:02:00Z', '2026-11-25T14:02:00.5Z')
    """
    part = f"{at_s % 1.0:.6f}".rstrip("0").removeprefix("0")
    return utc_from_seconds(at_s).removesuffix("Z") + (part if part != "." else "") + "Z"


def _plain(value: Any) -> Any:
    """Return a value of the core as JSON has it, without what says nothing."""
    if dataclasses.is_dataclass(value):
        members = {one.name: _plain(getattr(value, one.name)) for one in dataclasses.fields(value)}
        return {name: one for name, one in members.items() if not _is_nothing(one)}
    return [_plain(one) for one in value] if isinstance(value, tuple) else value


def _read(wish: Wish, text: str) -> Any:
    """Return the value of one text."""
    if len(text) > MOST_TEXT:
        raise NotUnderstood(f"{wish.name} is longer than {MOST_TEXT} characters")
    if wish.kind is str:
        return text
    if wish.kind is Utc:
        return _seconds(text, wish.name)
    try:
        value = read_json(text.encode("utf-8"))
    except (UnreadableFile, UnicodeEncodeError) as error:
        raise NotUnderstood(f"{wish.name} {text[:40]!r} is not JSON") from error
    found = typed(wish.kind, value, wish.name)
    if wish.span is not None and not wish.span[0] <= found <= wish.span[1]:
        low, high = wish.span
        raise NotUnderstood(f"{wish.name} {found:g} is out of range, {low:g} to {high:g}")
    return found


def _seconds(text: str, name: str) -> float:
    """Return a time of a file as the core counts it."""
    kept = text.strip()
    if _TIME.fullmatch(kept):
        try:
            return seconds_from_utc(kept)
        except ValueError as error:
            raise NotUnderstood(f"{name} {kept} is no day or time there is") from error
    raise NotUnderstood(f"{name} {kept[:40]!r} is not a UTC time like 2026-11-25T14:02:00Z")


def typed(kind: Any, value: Any, what: str) -> Any:
    """Return a JSON value as a kind of the core, or say why it is none.

    Parameters
    ----------
    kind : type
        A dataclass, a tuple of one kind, a Literal, ``str`` or ``float``, or one of these or None.
    value : Any
        A JSON value.
    what : str
        How it is called where it is not understood.

    Raises
    ------
    NotUnderstood
        Naming the member.

    Examples
    --------
    >>> typed(tuple[str, ...], ["a", "b"], "marks")
    ('a', 'b')
    """
    origin = get_origin(kind)
    if origin in (Union, types.UnionType):
        kinds = [one for one in get_args(kind) if one is not type(None)]
        return None if value is None else typed(kinds[0], value, what)
    if origin is Literal:
        return _known(get_args(kind), value, what)
    if origin is tuple:
        if not isinstance(value, list):
            raise NotUnderstood(f"{what} must be a list")
        inner = get_args(kind)[0]
        return tuple(typed(inner, one, f"{what} {n}") for n, one in enumerate(value, start=1))
    if dataclasses.is_dataclass(kind):
        return _members(kind, value, what)
    return _simple(kind, value, what)


def _known(choices: tuple[Any, ...], value: Any, what: str) -> Any:
    """Return one of some words."""
    if value not in choices:
        raise NotUnderstood(f"{what} {str(value)[:40]!r} is none of {', '.join(map(str, choices))}")
    return value


def _members(kind: Any, value: Any, what: str) -> Any:
    """Return a value with members."""
    if not isinstance(value, dict):
        raise NotUnderstood(f"{what} must be an object")
    hints = get_type_hints(kind)
    unknown = [name for name in value if name not in hints]
    if unknown:
        raise NotUnderstood(f"{what} has no member {unknown[0][:40]!r}")
    return kind(**{name: typed(hints[name], one, f"{what} {name}") for name, one in value.items()})


def _simple(kind: Any, value: Any, what: str) -> Any:
    """Return a text or a number."""
    if kind is float and isinstance(value, int | float) and not isinstance(value, bool):
        return float(value)
    if kind in (str, bool) and isinstance(value, kind):
        return value
    words = {float: "a number", str: "a text", bool: "true or false"}
    raise NotUnderstood(f"{what} must be {words[kind]}")
