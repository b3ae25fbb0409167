"""What a reader of route files answers: the route it understood, and every row beside its text."""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any, Literal

from wheelover.core.errors import Fault, UnreadableFile
from wheelover.core.types.dangers import DANGER_CLASSES, WATER_KINDS, DangerClass, WaterKind
from wheelover.core.types.limits import ClassMargins
from wheelover.core.types.manoeuvre import Steering
from wheelover.core.types.route import (
    Carried,
    LineKind,
    Method,
    TurnWishes,
    Waypoint,
    WheelOverChoice,
)
from wheelover.core.types.survey import CATZOCS, Catzoc
from wheelover.formats.more_wishes import NOT_FIRST, asked
from wheelover.formats.positions import NotUnderstood

LINES: dict[str, LineKind] = {"rhumb": "rhumb", "geodesic": "geodesic"}
"""How route files name the lines of legs."""

MOST_TEXT = 200
"""Longest id or name of a route file, in characters."""

METHODS: dict[str, Method] = {
    "geometric": "geometric",
    "rule_of_thumb": "rule_of_thumb",
    "advance_transfer": "advance_transfer",
    "simulated": "simulated",
}
"""How route files name the wheel-over methods."""

STEERINGS: dict[str, Steering] = {"rudder": "rudder", "rate": "rate", "radius": "radius"}
"""How route files name the ways to steer a turn."""

ZONES: dict[str, Catzoc] = {one: one for one in CATZOCS}
"""How route files name the zones of confidence of charted depths."""

_RANGES: dict[str, tuple[float, float]] = {
    "speed_kn": (0.001, 100.0),
    "xtd_port_nm": (0.0, 100.0),
    "xtd_starboard_nm": (0.0, 100.0),
    "min_clearance_m": (0.0, 200_000.0),
    "turn_radius_nm": (0.0001, 50.0),
    "wheel_over_distance_nm": (0.0, 100.0),
    "charted_depth_m": (-20.0, 12_000.0),
    "channel_width_m": (0.001, 100_000.0),
    "leg_set_deg": (0.0, 360.0),
    "leg_drift_kn": (0.0, 30.0),
    "turn_rudder_deg": (0.001, 90.0),
    "turn_set_deg": (0.0, 360.0),
    "turn_drift_kn": (0.0, 30.0),
}
_BELOW_THE_LAST = ("leg_set_deg", "turn_set_deg")
"""Of these the end of the range is not in it: 360 degrees are 0."""

WATER_COLUMN, CLASS_COLUMN = "leg_water", "leg_min_clearance_by_class"
"""How route files name the kind of water of a leg, and its least clearances by class."""

_METRES = re.compile(r"[0-9]{1,9}(\.[0-9]{1,30})?", re.ASCII)
_MOST_NOTES = 20

FormatName = Literal["csv", "geojson", "gpx", "rtz"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadRow:
    """One row of the file. ``understood`` is None when it was not, and ``problem`` says why.

    ``line`` counts from 1: the line in a CSV or XML file, the position in a GeoJSON line. A row
    ``in_question`` lacks only a hemisphere, which nobody may guess; ``choices`` holds what it may
    be, and the row's text then.
    """

    line: int
    raw: str
    understood: str | None = None
    problem: str | None = None
    in_question: bool = False
    choices: tuple[tuple[str, str], ...] = ()
    waypoint_id: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteReading:
    """A route file as it was read. Rows not understood leave a hole in the waypoints.

    ``waypoints`` holds one waypoint at least, which is a reading but not yet a route.
    """

    format: FormatName
    name: str
    waypoints: tuple[Waypoint, ...]
    report: tuple[ReadRow, ...]
    read_as: str
    notes: tuple[str, ...] = ()
    carried: tuple[Carried, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PartReading:
    """One row's text, and the waypoint it gave or the reason why it gave none."""

    row: ReadRow
    waypoint: Waypoint | None


def refuse_if_nothing_understood(parts: list[PartReading]) -> None:
    """Raise when no row was understood: there is no route to show, only a report.

    Raises
    ------
    UnreadableFile
        With one fault for each row.
    """
    if any(part.waypoint is not None for part in parts):
        return
    faults = tuple(
        Fault(line=part.row.line, message=f"{part.row.problem}: {part.row.raw[:80]!r}")
        for part in parts
    )
    if not faults:
        raise UnreadableFile("The file holds no rows: a header line alone makes no route.")
    raise UnreadableFile(
        f"None of the {len(parts)} rows was understood. Line {faults[0].line}: {faults[0].message}",
        faults,
    )


def with_gaps(parts: list[PartReading]) -> tuple[Waypoint, ...]:
    """Return the waypoints that were understood, those beside a hole marked as such."""
    waypoints: list[Waypoint] = []
    hole = missing_after = False
    for part in parts:
        if part.waypoint is None:
            hole = True
            continue
        before = hole or part.waypoint.gap_before or missing_after
        missing_after = part.waypoint.gap_after
        waypoints.append(replace(part.waypoint, gap_before=before, gap_after=False))
        hole = False
    if hole or missing_after:
        waypoints[-1] = replace(waypoints[-1], gap_after=True)
    return tuple(waypoints)


def sound_waypoints(parts: list[PartReading]) -> tuple[tuple[Waypoint, ...], tuple[str, ...]]:
    """Return the waypoints with their holes, and what of them could not be kept.

    No leg leads to the first waypoint, so wishes for one are not used there.
    """
    waypoints = with_gaps(parts)
    first = waypoints[0]
    notes = tuple(
        f"{one.id} and {after.id} are one and the same place; one of them may be a doubled row"
        for one, after in pairwise(waypoints)
        if (one.lat_deg, one.lon_deg) == (after.lat_deg, after.lon_deg)
    )[:_MOST_NOTES]
    unused: dict[str, str] = {}
    if first.leg is not None:
        unused["leg"] = f"no leg leads to the first waypoint, {first.id}: what it asks of one"
    for name in NOT_FIRST:
        if getattr(first, name) is not None:
            unused[name] = (
                f"she starts from the first waypoint, {first.id}: a time of arrival there"
            )
    said = tuple(f"{words} is not used" for words in dict.fromkeys(unused.values()))
    nothing: dict[str, Any] = dict.fromkeys(unused, None)
    return (replace(first, **nothing), *waypoints[1:]), (*said, *notes)


def wheel_over_choice(method: str, distance_nm: float | None) -> WheelOverChoice | None:
    """Return the planned wheel-over a file gives, None when it gives none.

    Raises
    ------
    NotUnderstood
        For a method that is not known, or a method and a distance both.
    """
    if method and method not in METHODS:
        raise NotUnderstood(f"wheel_over_method {method[:40]!r} is none of {', '.join(METHODS)}")
    if method and distance_nm is not None:
        raise NotUnderstood("both wheel_over_method and wheel_over_distance_nm are given")
    if not method and distance_nm is None:
        return None
    return WheelOverChoice(method=METHODS[method] if method else None, distance_nm=distance_nm)


def current(
    place: Literal["leg", "turn"], number: Callable[[str], float | None]
) -> tuple[float | None, float | None]:
    """Return set and drift of the current a file gives on a leg or in a turn, or neither.

    Parameters
    ----------
    place : {"leg", "turn"}
        Where; the members of a file are named after it.
    number : function
        Gives the number of a member, in its range; None where the file gives none.

    Raises
    ------
    NotUnderstood
        For a set without its drift, or a drift without its set.
    """
    names = (f"{place}_set_deg", f"{place}_drift_kn")
    set_deg, drift_kn = number(names[0]), number(names[1])
    if (set_deg is None) != (drift_kn is None):
        missing = names[0] if set_deg is None else names[1]
        raise NotUnderstood(f"{missing} is missing: a current needs both {names[0]} and {names[1]}")
    return set_deg, drift_kn


def turn_wishes(
    steering: str,
    number: Callable[[str], float | None],
    text: Callable[[str], str | None],
) -> TurnWishes | None:
    """Return what a file asks of the turn at a waypoint, None when it asks nothing.

    Parameters
    ----------
    steering : str
        The name of the steering, empty where the file gives none.
    number : function
        Gives the number of a member, in its range; None where the file gives none.
    text : function
        Gives the text of a member; None or empty where the file gives none.

    Raises
    ------
    NotUnderstood
        For a steering that is not known, or half a current.
    """
    if steering and steering not in STEERINGS:
        raise NotUnderstood(f"turn_steering {steering[:40]!r} is none of {', '.join(STEERINGS)}")
    set_deg, drift_kn = current("turn", number)
    wishes = TurnWishes(
        steering=STEERINGS[steering] if steering else None,
        rudder_deg=number("turn_rudder_deg"),
        set_deg=set_deg,
        drift_kn=drift_kn,
        **asked("turn", text),
    )
    return None if wishes == TurnWishes() else wishes


def zone(given: str) -> Catzoc | None:
    """Return the zone of confidence that a file gives for a leg, None where it gives none.

    Raises
    ------
    NotUnderstood
        For one that is not known.
    """
    if given and given not in ZONES:
        raise NotUnderstood(f"catzoc {given[:40]!r} is none of {', '.join(ZONES)}")
    return ZONES[given] if given else None


def leg_limits(water: str, by_class: str) -> tuple[WaterKind | None, ClassMargins]:
    """Return the kind of water of a leg, and its least clearances by class of danger.

    Parameters
    ----------
    water : str
        The kind, empty where the file gives none.
    by_class : str
        Classes with metres, like ``aid=200 wreck=926``, empty where the file gives none.

    Raises
    ------
    NotUnderstood
        For a kind, a class or a number that is not known, or a class given twice.

    Examples
    --------
    >>> leg_limits("coastal", "wreck=926 aid=200")
    ('coastal', (('aid', 200.0), ('wreck', 926.0)))
    """
    if water and water not in WATER_KINDS:
        raise NotUnderstood(f"leg_water {water[:40]!r} is none of {', '.join(WATER_KINDS)}")
    found: dict[DangerClass, float] = {}
    for part in by_class.split():
        name, _, metres = part.partition("=")
        known = next((one for one in DANGER_CLASSES if one == name), None)
        if known is None or known in found or not _METRES.fullmatch(metres):
            raise NotUnderstood(
                f"{CLASS_COLUMN} {part[:40]!r} is not a class of danger with plain metres, like "
                "wreck=926, each class once"
            )
        found[known] = in_range("min_clearance_m", float(metres))
    return next((one for one in WATER_KINDS if one == water), None), tuple(sorted(found.items()))


def in_range(member: str, value: float) -> float:
    """Return a number of a route file that lies in the range of its kind.

    Raises
    ------
    NotUnderstood
        With the range, when it does not.
    """
    low, high = _RANGES[member]
    below = member in _BELOW_THE_LAST
    if not low <= value <= high or (below and value == high):
        to = "to below" if below else "to"
        raise NotUnderstood(f"{member} {value:g} is out of range, {low:g} {to} {high:g}")
    return value
