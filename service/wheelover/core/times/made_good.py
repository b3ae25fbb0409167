"""What is made good along a course in a stream, and how a leg is run through changing streams."""

import math
from dataclasses import dataclass, replace

from wheelover.core.manoeuvre.helm_orders import speed_made_good_m_per_s
from wheelover.core.schedule.streams import Flow
from wheelover.core.times.water import STILL, Water
from wheelover.core.types.manoeuvre import Current

STEP_S = 240.0
"""A leg in a stream that changes is run in steps of about so long."""

MOST_STEPS = 2000
COURSE_STEPS = 16
"""So many steps at least where the course changes along the leg."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """How fast she is to go: through the water, or over the ground."""

    speed_m_per_s: float
    over_ground: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A piece of track to be run: its length, and the course at its start and end.

    ``change_deg`` is the change of course from end to end, starboard positive.
    """

    length_m: float
    course_deg: float
    change_deg: float = 0.0

    def course_at_deg(self, part_ratio: float) -> float:
        """Return the course after a part of it."""
        return self.course_deg + self.change_deg * part_ratio


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """How a way was run: how long, the flow met on it, and the times at places along it.

    ``flow`` is the mean that takes the same time along the first course; ``covered`` is false where
    a part of the time lies outside the table of streams, for which still water was taken, and
    ``known`` false where all of it does.
    ``speed_m_per_s`` is through the water; where the speed over the ground is given and the stream
    changes it is that of the middle of the time, ``steps_m_per_s`` holds that of each step, all of
    one time, and ``most_m_per_s`` the greatest.
    """

    duration_s: float
    speed_m_per_s: float
    flow: Flow
    covered: bool
    known: bool = True
    knots: tuple[tuple[float, float], ...] = ()
    steps_m_per_s: tuple[float, ...] = ()
    most_m_per_s: float | None = None


def parts_of(flow: Flow, course_deg: float) -> tuple[float, float]:
    """Return a flow across a course, starboard positive, and along it, metres per second."""
    east, north = flow
    course_rad = math.radians(course_deg)
    across = east * math.cos(course_rad) - north * math.sin(course_rad)
    return across, east * math.sin(course_rad) + north * math.cos(course_rad)


def over_ground_m_per_s(course_deg: float, wish: Wish, flow: Flow) -> float:
    """Return the speed over the ground along a course.

    Raises
    ------
    OutOfDomain
        When the flow cannot be stemmed.

    Examples
    --------
    9 kn over the ground is 9 kn in any stream:

    >>> over_ground_m_per_s(90.0, Wish(speed_m_per_s=4.63, over_ground=True), (1.0, 2.0))
    4.63
    """
    if wish.over_ground:
        return wish.speed_m_per_s
    across, along = parts_of(flow, course_deg)
    speed = wish.speed_m_per_s
    if abs(across) < speed:
        made_good = math.sqrt(speed * speed - across * across) + along
        if made_good > 0.0:
            return made_good
    toward = Current(
        set_deg=math.degrees(math.atan2(*flow)) % 360.0, drift_m_per_s=math.hypot(*flow)
    )
    return speed_made_good_m_per_s(course_deg, speed, toward)


def through_water_m_per_s(course_deg: float, made_good_m_per_s: float, flow: Flow) -> float:
    """Return the speed through the water that makes good a speed along a course."""
    across, along = parts_of(flow, course_deg)
    return math.hypot(made_good_m_per_s - along, across)


def run_way(way: Way, wish: Wish, water: Water, begin_s: float | None) -> Run:
    """Return how a way is run.

    Parameters
    ----------
    way : Way
        The piece of track.
    wish : Wish
        How fast she goes.
    water : Water
        The stream there.
    begin_s : float or None
        When she begins, seconds since 1970 UTC; None where it is not known: then no table counts.

    Raises
    ------
    OutOfDomain
        When the stream cannot be stemmed somewhere on it.
    """
    if water.table is None or begin_s is None:
        flow = STILL if water.flow is None else water.flow
        covered = water.table is None
        if way.change_deg == 0.0 or flow == STILL:
            made_good = over_ground_m_per_s(way.course_deg, wish, flow)
            duration_s = way.length_m / made_good
            speed = through_water_m_per_s(way.course_deg, made_good, flow)
            return Run(
                duration_s=duration_s,
                speed_m_per_s=speed,
                flow=flow,
                covered=covered,
                known=covered,
            )
        return _in_steps(way, wish, water, 0.0, COURSE_STEPS)
    about_s = way.length_m / max(wish.speed_m_per_s, 0.01)
    steps = min(max(math.ceil(about_s / STEP_S), 1), MOST_STEPS)
    if way.change_deg != 0.0:
        steps = max(steps, COURSE_STEPS)
    return _in_steps(way, wish, water, begin_s, steps)


def _in_steps(way: Way, wish: Wish, water: Water, begin_s: float, steps: int) -> Run:
    """Return how a way is run in steps of one length, each at the speed in its middle."""
    step_m = way.length_m / steps
    now_s, across_m = begin_s, 0.0
    seen: list[bool] = []
    knots = [(0.0, 0.0)]
    for step in range(steps):
        first, known = _flow_at(water, now_s)
        half_s = step_m / 2.0 / over_ground_m_per_s(way.course_at_deg(step / steps), wish, first)
        flow, middle_known = _flow_at(water, now_s + half_s)
        seen += (known, middle_known)
        course_deg = way.course_at_deg((step + 0.5) / steps)
        step_s = step_m / over_ground_m_per_s(course_deg, wish, flow)
        across_m += parts_of(flow, course_deg)[0] * step_s
        now_s += step_s
        knots.append((way.length_m * (step + 1) / steps, now_s - begin_s))
    end, known = _flow_at(water, now_s)
    seen.append(known)
    run = Run(
        duration_s=now_s - begin_s,
        speed_m_per_s=wish.speed_m_per_s,
        flow=end,
        covered=all(seen),
        known=any(seen),
        knots=tuple(knots),
    )
    if run.duration_s == 0.0:
        return replace(run, knots=())
    if wish.over_ground:
        run = _with_steps(way, wish, water, begin_s, run)
    middle, _ = _flow_at(water, begin_s + run.duration_s / 2.0)
    return _with_mean(way, wish, run, across_m / run.duration_s, middle)


def _with_steps(way: Way, wish: Wish, water: Water, begin_s: float, run: Run) -> Run:
    """Return a run over the ground with the speeds through the water that its steps ask for."""

    def asked_m_per_s(part_ratio: float) -> float:
        flow, _ = _flow_at(water, begin_s + part_ratio * run.duration_s)
        return through_water_m_per_s(way.course_at_deg(part_ratio), wish.speed_m_per_s, flow)

    count = len(run.knots) - 1
    middles = tuple(asked_m_per_s((step + 0.5) / count) for step in range(count))
    edges = (asked_m_per_s(step / count) for step in range(count + 1))
    return replace(run, steps_m_per_s=middles, most_m_per_s=max(*middles, *edges))


def _with_mean(way: Way, wish: Wish, run: Run, across_m_per_s: float, middle: Flow) -> Run:
    """Return a run with the mean flow that takes the same time along its first course.

    Over the ground any flow takes the same time; there the one in the middle of the time counts.
    """
    made_good, across = way.length_m / run.duration_s, across_m_per_s
    if wish.over_ground:
        along = parts_of(middle, way.course_deg)[1]
        speed = math.hypot(made_good - along, across)
    else:
        speed = wish.speed_m_per_s
        along = made_good - math.sqrt(speed * speed - across * across)
    course_rad = math.radians(way.course_deg)
    flow = (
        across * math.cos(course_rad) + along * math.sin(course_rad),
        along * math.cos(course_rad) - across * math.sin(course_rad),
    )
    return replace(run, speed_m_per_s=speed, flow=flow)


def _flow_at(water: Water, at_s: float) -> tuple[Flow, bool]:
    """Return the flow at a time, and whether it is known."""
    if water.table is None:
        return (STILL if water.flow is None else water.flow), True
    found = water.table.flow_at(at_s)
    return (STILL, False) if found is None else (found, True)
