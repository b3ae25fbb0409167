"""Times and speeds that the schedule of another system gives at waypoints, taken as wishes.

Only what somebody gave there counts (``manual``), of the first schedule that has it: when she is
to arrive, how long she stays, or when she is to depart again, her speed over the ground on the leg.
Windows of times and speeds are told and not taken. What another system computed is
not taken, and what the file asks in our own extension stands before it. In a file that we wrote a
schedule of others is only carried: what the plan gave up of it does not come back. Ours counts
there, where another system has changed it.
"""

import math
import re
from collections import Counter
from dataclasses import replace

from wheelover.core.types.route import LegWishes, Waypoint
from wheelover.core.utc import seconds_from_utc
from wheelover.formats.carrying import own_element
from wheelover.formats.more_wishes import WISHES
from wheelover.formats.own_extension import PLAN, SCHEDULE, decimal
from wheelover.formats.positions import NotUnderstood
from wheelover.formats.reading import PartReading
from wheelover.formats.xml_tree import Element

_ELEMENTS = ("scheduleElement", "sheduleElement")
"""Version 1.0 spells it without a letter."""

_TIME = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d{1,9})?(Z|[+-]\d{2}:\d{2})", re.ASCII)
_STAY = re.compile(
    r"P(?:(\d{1,4})D)?(?:T(?=\d)(?:(\d{1,5})H)?(?:(\d{1,6})M)?(?:(\d{1,8})(?:\.0*)?S)?)?", re.ASCII
)
_PARTS_MIN = (1440.0, 60.0, 1.0, 1.0 / 60.0)
_SPANS = {one.name: one.span for one in WISHES if one.span is not None}
_MOST_NAMED = 20
_SAME_MIN = 1.0 / 60.0
"""A stay that differs from the time between arrival and departure by no more is the same."""

_WORDS = {"eta": "ETA", "stay": "stay", "speed": "speed over the ground"}
_WINDOWS = ("etaWindowBefore", "etaWindowAfter", "etdWindowBefore", "etdWindowAfter", "speedWindow")


def with_times(
    waypoints: tuple[Waypoint, ...],
    root: Element,
    elements: tuple[Element, ...],
    parts: list[PartReading],
) -> tuple[tuple[Waypoint, ...], tuple[str, ...]]:
    """Return waypoints with the times and speeds of another system's schedule, and notes of it.

    Parameters
    ----------
    waypoints : tuple of Waypoint
        The waypoints as they were read.
    root : Element
        The root element without our own schedule.
    elements : tuple of Element
        The waypoint elements.
    parts : list of PartReading
        What each of them gave.
    """
    schedule = _given(root)
    if schedule is None:
        return waypoints, ()
    by_id = {
        element.attribute("id"): part.waypoint.id
        for element, part in zip(elements, parts, strict=True)
        if part.waypoint is not None
    }
    found = {by_id.get(one.attribute("waypointId")): one for one in schedule}
    told = _Told()
    first = waypoints[0]
    etd = found[first.id].attribute("etd") if first.id in found else None
    if first.id in found:
        told.windows(first, found[first.id])
    timed = tuple(
        _timed(one, found[one.id], told) if one.id in found and one is not first else one
        for one in waypoints
    )
    return timed, told.notes(etd)


def _given(root: Element) -> tuple[Element, ...] | None:
    """Return the elements that somebody gave, of the first schedule with any that counts."""
    written_here = own_element(root, PLAN) is not None
    for schedules in root.named("schedules"):
        for schedule in schedules.named("schedule"):
            if written_here and own_element(schedule, SCHEDULE) is None:
                continue
            for manual in schedule.named("manual"):
                rows = tuple(one for name in _ELEMENTS for one in manual.named(name))
                if rows:
                    return rows
    return None


class _Told:
    """What was taken and what was not, to be said once."""

    def __init__(self) -> None:
        self.left_s = -math.inf
        self.taken: Counter[str] = Counter()
        self.left: list[str] = []

    def windows(self, waypoint: Waypoint, row: Element) -> None:
        """Say which windows a row of the schedule gives: none of them is taken."""
        given = [name for name in _WINDOWS if row.attribute(name)]
        if given:
            self.left.append(f"{', '.join(given)} at {waypoint.id}: no window is taken")

    def notes(self, etd: str | None) -> tuple[str, ...]:
        """Return the notes."""
        notes = []
        if self.taken:
            count = ", ".join(f"{_WORDS[name]} ({n})" for name, n in sorted(self.taken.items()))
            notes.append(f"taken from the manual schedule of the file, as wishes: {count}")
        if etd:
            notes.append(f"departure in the file {etd[:40]!r}: not taken, a route has none")
        if self.left:
            more = len(self.left) - _MOST_NAMED
            said = "; ".join(self.left[:_MOST_NAMED]) + (f"; and {more} more" if more > 0 else "")
            notes.append(f"not taken from the manual schedule of the file: {said}")
        return tuple(notes)


def _timed(waypoint: Waypoint, row: Element, told: _Told) -> Waypoint:
    """Return a waypoint with what a row of the schedule gives it."""
    for name, words in _WORDS.items():
        text = row.attribute(name)
        if not text:
            continue
        try:
            waypoint = _with(waypoint, name, _READ[name](text), told.left_s)
        except NotUnderstood as reason:
            told.left.append(f"{words} at {waypoint.id}: {reason}")
        else:
            told.taken[name] += 1
    waypoint = _departing(waypoint, row, told)
    told.windows(waypoint, row)
    if waypoint.eta_s is not None:
        told.left_s = max(told.left_s, waypoint.eta_s + waypoint.stay_s)
    return waypoint


def _departing(waypoint: Waypoint, row: Element, told: _Told) -> Waypoint:
    """Return a waypoint with the stay that a time of departure, after that of arrival, makes."""
    etd = row.attribute("etd")
    if not etd:
        return waypoint
    try:
        stay_min = _between_min(row.attribute("eta"), etd)
        if row.attribute("stay"):
            if waypoint.stay_min is None or abs(stay_min - waypoint.stay_min) > _SAME_MIN:
                raise NotUnderstood("a stay is given beside it that is not the time between")
        elif stay_min > 0.0:
            waypoint = _with(waypoint, "stay", stay_min, told.left_s)
            told.taken["stay"] += 1
    except NotUnderstood as reason:
        told.left.append(f"departure {etd[:40]!r} at {waypoint.id}: {reason}")
    return waypoint


def _between_min(eta: str | None, etd: str) -> float:
    """Return the minutes from arrival to departure."""
    if not eta:
        raise NotUnderstood("no arrival is given beside it")
    stay_s = _eta(etd) - _eta(eta)
    if stay_s < 0.0:
        raise NotUnderstood("it is before the arrival given beside it")
    return _within("stay_min", stay_s / 60.0)


def _with(waypoint: Waypoint, name: str, value: float, left_s: float) -> Waypoint:
    """Return a waypoint with one value of the schedule, unless the file asks its own there."""
    leg = waypoint.leg or LegWishes()
    asked = {
        "eta": (waypoint.eta_s,),
        "stay": (waypoint.stay_min,),
        "speed": (leg.speed_over_ground_kn, leg.speed_kn),
    }
    if any(one is not None for one in asked[name]):
        raise NotUnderstood("the file asks its own there")
    if name == "speed":
        return replace(waypoint, leg=replace(leg, speed_over_ground_kn=value))
    if name == "stay":
        return replace(waypoint, stay_min=value)
    if value <= left_s:
        raise NotUnderstood("it is not after the time before it")
    return replace(waypoint, eta_s=value)


def _eta(text: str) -> float:
    """Return a time with its zone, in seconds since 1970 UTC."""
    match = _TIME.fullmatch(text)
    if match is None:
        raise NotUnderstood(f"{text[:40]!r} is no time with its zone, Z or +hh:mm")
    zone = match[2]
    offset_s = 0.0
    if zone != "Z":
        hours, minutes = int(zone[1:3]), int(zone[4:6])
        if hours > 14 or minutes > 59:
            raise NotUnderstood(f"{text[:40]!r} has a zone that is none")
        offset_s = (hours * 3600.0 + minutes * 60.0) * (-1.0 if zone[0] == "-" else 1.0)
    try:
        return seconds_from_utc(f"{text[: -len(zone)]}Z") - offset_s
    except ValueError as reason:
        raise NotUnderstood(f"{text[:40]!r} is a time that is not in the calendar") from reason


def _stay(text: str) -> float:
    """Return a duration in minutes."""
    match = _STAY.fullmatch(text)
    if match is None or text.endswith(("P", "T")):
        raise NotUnderstood(f"{text[:40]!r} is no duration such as PT90M")
    parts = zip(match.groups(), _PARTS_MIN, strict=True)
    return _within("stay_min", sum(int(one or 0) * factor for one, factor in parts))


def _speed(text: str) -> float:
    """Return a speed in knots."""
    return _within("speed_over_ground_kn", decimal(text, "speed"))


def _within(name: str, value: float) -> float:
    """Return a value that a plan takes."""
    least, most = _SPANS[name]
    if not least <= value <= most:
        raise NotUnderstood(f"{value:g} is not from {least:g} to {most:g}")
    return value


_READ = {"eta": _eta, "stay": _stay, "speed": _speed}
