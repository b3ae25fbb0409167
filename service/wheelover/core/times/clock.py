"""The clock as it runs along the track from waypoint to waypoint; once not known it stays so.

At a waypoint with an arc she is at its middle. There she stays, if she is to; the arc before it and
the arc after it are run apart.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from wheelover.core.errors import OutOfDomain
from wheelover.core.geo.angles import signed_change_deg
from wheelover.core.schedule.streams import Flow
from wheelover.core.times.made_good import Run, Way, Wish, over_ground_m_per_s, run_way
from wheelover.core.times.shape import Bend, Shape, Stretch
from wheelover.core.times.water import NO_WATER, STILL, Water, constant, current_of
from wheelover.core.types.route import CurrentGiven, Route, SpeedSource

GAUSS_RATIOS = (0.2113248654051871, 0.7886751345948129)
"""Where along half an arc its stream is looked at: the two places of Gauss' rule."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """How fast she is to go on a leg, and what says so.

    ``given_kn`` is a speed through the water as it was given.
    """

    wish: Wish
    source: SpeedSource
    given_kn: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LegRun:
    """How a leg was run: when it begins after the departure, and how; or why that is not known."""

    start_s: float | None
    run: Run | None = None
    asked: Asked | None = None
    water: Water = NO_WATER
    reason: str | None = None
    not_stemmed: bool = False

    @property
    def current(self) -> CurrentGiven | None:
        """Return the current that counts on it; None where none is given, or none is known."""
        flow = self.water.flow if self.run is None else self.run.flow
        return _given(self.water, flow, self.run is not None and self.run.known)

    @property
    def covered(self) -> bool:
        """Return whether its stream is known all the time that she is on it."""
        return self.water.table is None or (self.run is not None and self.run.covered)


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnRun:
    """How a turn was run: begin, the waypoint, after the stay, and its end; lost by slowing.

    All times count from the departure and are None where they are not known.
    """

    start_s: float | None = None
    at_waypoint_s: float | None = None
    leaves_s: float | None = None
    end_s: float | None = None
    lost_s: float | None = None
    water: Water = NO_WATER
    flow: Flow | None = None
    covered: bool = True
    reason: str | None = None

    @property
    def current(self) -> CurrentGiven | None:
        """Return the current in the turn, from the schedule."""
        return _given(self.water, self.flow, self.covered)


@dataclass(frozen=True, slots=True)
class State:
    """Where the clock stands at a waypoint: its time, and the speed through the water she has."""

    now_s: float | None
    reason: str | None = None
    speed_m_per_s: float | None = None


@dataclass(slots=True)
class Log:
    """What was run so far: legs by number, turns and times by index of their waypoint."""

    legs: dict[int, LegRun] = field(default_factory=dict)
    turns: dict[int, TurnRun] = field(default_factory=dict)
    at: dict[int, State] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """Everything the clock needs; ``departure_s`` is in seconds since 1970 UTC."""

    shape: Shape
    route: Route
    waters: Mapping[int, Water]
    turn_ratio: float
    departure_s: float | None

    def run(
        self,
        stretches: tuple[Stretch, ...],
        asked: Mapping[int, Asked],
        state: State,
        log: Log,
    ) -> State:
        """Return how the clock stands at the end of some legs that follow one another.

        Parameters
        ----------
        stretches : tuple of Stretch
            The legs.
        asked : mapping of int to Asked
            How fast she is to go on each, by its number.
        state : State
            How the clock stands at the waypoint before the first.
        log : Log
            What is run is put in there.
        """
        for stretch in stretches:
            state = self._leave(stretch, state, log)
            state = self._along(stretch, asked.get(stretch.index), state, log)
            state = self._arrive(stretch.from_index + 1, state, log)
            log.at[stretch.from_index + 1] = state
        return state

    def _absolute_s(self, now_s: float) -> float | None:
        """Return a time since 1970, None without a departure."""
        return None if self.departure_s is None else self.departure_s + now_s

    def _leave(self, stretch: Stretch, state: State, log: Log) -> State:
        """Stay at the waypoint before a leg, and run the second half of the turn there."""
        index = stretch.from_index
        if state.now_s is not None:
            state = replace(state, now_s=state.now_s + self.route.waypoints[index].stay_s)
        bend = self.shape.bends.get(index)
        if bend is None:
            return state
        before = log.turns.get(index, TurnRun(reason=state.reason))
        leaves_s = state.now_s
        state, lost_s = self._half_arc(bend, before, state, second=True)
        log.turns[index] = replace(
            before,
            leaves_s=leaves_s,
            end_s=state.now_s,
            lost_s=None if before.lost_s is None or lost_s is None else before.lost_s + lost_s,
        )
        return state

    def _along(self, stretch: Stretch, asked: Asked | None, state: State, log: Log) -> State:
        """Run along a leg."""
        water = self.waters.get(stretch.from_index + 1, NO_WATER)
        reason = state.reason or self._no_time(stretch, asked)
        if reason is not None or asked is None or stretch.path is None or state.now_s is None:
            reason = reason or "no time is known"
            log.legs[stretch.index] = LegRun(start_s=None, asked=asked, water=water, reason=reason)
            return State(None, reason)
        try:
            run = run_way(_way(stretch), asked.wish, water, self._absolute_s(state.now_s))
        except OutOfDomain as error:
            log.legs[stretch.index] = LegRun(
                start_s=None, asked=asked, water=water, reason=str(error), not_stemmed=True
            )
            return State(None, str(error))
        log.legs[stretch.index] = LegRun(start_s=state.now_s, run=run, asked=asked, water=water)
        return State(state.now_s + run.duration_s, None, run.speed_m_per_s)

    def _no_time(self, stretch: Stretch, asked: Asked | None) -> str | None:
        """Return why a leg cannot be run."""
        to_id = self.route.waypoints[stretch.from_index + 1].id
        if not stretch.room:
            return f"turns overlap on the leg to {to_id}: no track exists there"
        if stretch.path is None:
            return f"the leg to {to_id} has no length"
        if asked is None:
            return f"no speed is given on the leg to {to_id}"
        return None

    def _arrive(self, index: int, state: State, log: Log) -> State:
        """Run the first half of the turn at a waypoint, if there is one."""
        bend = self.shape.bends.get(index)
        if bend is None:
            return state
        water = self._in_turn(index)
        flow, covered = self._flow_now(water, state)
        begun = TurnRun(
            start_s=state.now_s, water=water, flow=flow, covered=covered, reason=state.reason
        )
        state, lost_s = self._half_arc(bend, begun, state, second=False)
        log.turns[index] = replace(
            begun, at_waypoint_s=state.now_s, lost_s=lost_s, reason=state.reason
        )
        return state

    def _in_turn(self, index: int) -> Water:
        """Return the water in the turn at a waypoint: its own, else that of the leg to it."""
        own = self.route.waypoints[index].turn
        if own is not None and own.set_deg is not None and own.drift_kn is not None:
            return constant(own.set_deg, own.drift_kn, "turn")
        return self.waters.get(index, NO_WATER)

    def _flow_now(self, water: Water, state: State) -> tuple[Flow | None, bool]:
        """Return the flow when she comes to a turn, and whether it is known."""
        if water.table is None:
            return water.flow, True
        at_s = None if state.now_s is None else self._absolute_s(state.now_s)
        found = None if at_s is None else water.table.flow_at(at_s)
        return found, found is not None

    def _half_arc(
        self, bend: Bend, turn: TurnRun, state: State, *, second: bool
    ) -> tuple[State, float | None]:
        """Run half an arc, and say what slowing in it costs."""
        arc, speed = bend.arc, state.speed_m_per_s
        if arc is None or state.now_s is None:
            return state, None if state.now_s is None else 0.0
        if speed is None:
            return State(None, "no speed is known"), None
        first_deg = (arc.from_bearing_deg + (90.0 if arc.sweep_deg >= 0.0 else -90.0)) % 360.0
        half_deg = arc.sweep_deg / 2.0
        way = Way(
            length_m=arc.arc_m / 2.0,
            course_deg=first_deg + (half_deg if second else 0.0),
            change_deg=half_deg,
        )
        flow = STILL if turn.flow is None else turn.flow
        try:
            taken_s = _arc_s(way, speed * self.turn_ratio, flow)
            lost_s = taken_s - _arc_s(way, speed, flow)
        except OutOfDomain as error:
            return State(None, str(error)), None
        return replace(state, now_s=state.now_s + taken_s), lost_s


def _arc_s(way: Way, speed_m_per_s: float, flow: Flow) -> float:
    """Return how long half an arc takes at a speed through the water."""
    if flow == STILL:
        return way.length_m / speed_m_per_s
    wish, half_m = Wish(speed_m_per_s=speed_m_per_s), way.length_m / 2.0
    courses_deg = (way.course_at_deg(one) for one in GAUSS_RATIOS)
    return sum(half_m / over_ground_m_per_s(one, wish, flow) for one in courses_deg)


def _way(stretch: Stretch) -> Way:
    """Return the track's part of a leg as a way."""
    path = stretch.path
    if path is None:
        return Way(length_m=0.0, course_deg=0.0)
    length_m, change_deg = stretch.to_m - stretch.from_m, 0.0
    if path.line == "geodesic":
        whole_deg = float(signed_change_deg(path.course_deg, path.arrival_course_deg))
        change_deg = whole_deg * length_m / path.length_m
    return Way(length_m=length_m, course_deg=path.course_deg, change_deg=change_deg)


def _given(water: Water, flow: Flow | None, known: bool) -> CurrentGiven | None:
    """Return a current as legs and turns take it; None for one that is not known at all."""
    if water.table is None or water.source is None:
        return water.given
    if flow is None or not known:
        return None
    return current_of(flow, water.source)
