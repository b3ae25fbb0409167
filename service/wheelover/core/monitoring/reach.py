"""How fast she can close a danger beside a leg: by her speed, and with the stream behind her."""

import math
from collections.abc import Mapping
from itertools import pairwise

import numpy as np

from wheelover.core.legs import points_along
from wheelover.core.schedule.streams import Flow, StreamTable
from wheelover.core.times.made_good import through_water_m_per_s
from wheelover.core.times.water import STILL, Water, waters_of
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.clearance import Piece
from wheelover.core.types.route import Route
from wheelover.core.types.times import PieceTime
from wheelover.core.types.track import LegLine, PlannedLeg
from wheelover.core.units import m_per_s_from_kn

_COURSES = 9


def reach_speeds_m_per_s(
    route: Route,
    conditions: Conditions,
    legs: tuple[PlannedLeg, ...],
    times: Mapping[Piece, PieceTime],
) -> dict[int, float]:
    """Return for each leg how fast she can come nearer to something beside it.

    Parameters
    ----------
    route : Route
        Whose legs may have currents of their own.
    conditions : Conditions
        The current of the plan, its streams, and the departure.
    legs : tuple of PlannedLeg
        Her speed through the water on each.
    times : mapping
        When she is on each, and how fast over the ground.

    Returns
    -------
    dict
        By the index of the leg; without those of which no speed is known.

    Notes
    -----
    Off the track she may head anywhere, with the stream behind her: her speed through the water
    and the whole drift add up. Of a table of streams all that runs while she is on the leg counts,
    or all of the table where the time is not known or not covered; between two of its rows no
    stream is faster than both. It is never less than she makes good along the leg.
    """
    waters = waters_of(route, conditions)
    found = {}
    for leg in legs:
        time = times.get(Piece(kind="leg", index=leg.index))
        if time is None or time.speed_m_per_s is None or leg.path is None:
            continue
        made_good = _fastest_m_per_s(time)
        through = [m_per_s_from_kn(leg.speed_kn)] if leg.speed_kn is not None else [made_good]
        flows = _flows(waters[leg.from_index + 1], time, conditions.departure_s)
        if leg.speed_source == "ground":
            through += [_through(leg.path, time.speed_m_per_s, one) for one in flows]
        drift = max(math.hypot(*one) for one in flows)
        found[leg.index] = max(made_good, max(through) + drift)
    return found


def _fastest_m_per_s(time: PieceTime) -> float:
    """Return the fastest that she goes along a piece over the ground."""
    steps = [
        (to_m - from_m) / (to_s - from_s)
        for (from_m, from_s), (to_m, to_s) in pairwise(time.knots)
        if to_s > from_s
    ]
    return max([time.speed_m_per_s or 0.0, *steps])


def _through(path: LegLine, made_good_m_per_s: float, flow: Flow) -> float:
    """Return the greatest speed through the water that makes good a speed along a leg."""
    _, _, courses = points_along(path, np.linspace(0.0, path.length_m, _COURSES))
    return max(through_water_m_per_s(one, made_good_m_per_s, flow) for one in courses.tolist())


def _flows(water: Water, time: PieceTime, departure_s: float | None) -> list[Flow]:
    """Return the streams among which the fastest of a leg is."""
    if water.table is None:
        return [STILL if water.flow is None else water.flow]
    end_s = time.knots[-1][1] if time.knots else None
    if departure_s is None or time.start_s is None or end_s is None:
        return _within(water.table, -math.inf, math.inf)
    first_s, last_s = departure_s + time.start_s, departure_s + end_s
    if not _covers(water.table, first_s, last_s):
        return _within(water.table, -math.inf, math.inf)
    ends = [water.table.flow_at(one) or STILL for one in (first_s, last_s)]
    return [*ends, *_within(water.table, first_s, last_s)]


def _covers(table: StreamTable, first_s: float, last_s: float) -> bool:
    """Return whether a table says all of a time; spans may follow on one another."""
    at_s = first_s
    for span in sorted(table.spans, key=lambda one: one.at_s[0]):
        if span.at_s[0] <= at_s <= span.at_s[-1]:
            at_s = span.at_s[-1]
        if at_s >= last_s:
            return True
    return False


def _within(table: StreamTable, first_s: float, last_s: float) -> list[Flow]:
    """Return the streams at the knots of a table within a time."""
    return [
        flow
        for span in table.spans
        for at_s, flow in zip(span.at_s, span.flows, strict=True)
        if first_s <= at_s <= last_s
    ]
