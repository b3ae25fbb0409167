"""Times, speeds and streams of a route, settled with each other before its track is laid.

Speeds make times, times make the streams that run then, and streams and given ETAs make speeds.
Arcs hang on none of them, so all of it is found on the shape of the track alone.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Literal

import scipy

from wheelover.core.errors import Fault, InvalidRoute
from wheelover.core.times.clock import Asked, Clock, LegRun, Log, State
from wheelover.core.times.made_good import Wish
from wheelover.core.times.shape import Shape, Stretch, shape_before
from wheelover.core.times.water import Water, waters_of
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.route import LegWishes, Route, Settled, Waypoint
from wheelover.core.types.ship import ShipProfile
from wheelover.core.units import kn_from_m_per_s, m_per_s_from_kn

LEAST_KN, MOST_KN = 0.001, 100.0
"""Between these a speed that makes an ETA is looked for."""

GUESSED = 2.0
"""The speed sought is at first looked for within this ratio of the mean over the ground."""

CLOSE_M_PER_S = 1e-7
"""So near it is found: a day under way then ends within 0.01 s."""

MET_S = 1.0
"""An ETA that is made within a second is met."""

SAME_S = 0.05
ROUNDS = 12

EtaKind = Literal["made", "missed", "impossible"]


@dataclass(frozen=True, slots=True, kw_only=True)
class EtaOutcome:
    """What came of a given ETA.

    ``missed`` is one whose legs all have speeds of their own, ``impossible`` one that no speed
    makes. ``off_s`` is how much later than it she comes, earlier below zero.
    """

    waypoint_index: int
    kind: EtaKind
    off_s: float | None = None
    needed_kn: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """When she is where: what the clock said, for the shape of the track that it ran along.

    ``departure_given`` says whether the departure was given or counted back from an ETA.
    """

    route: Route
    shape: Shape
    log: Log
    departure_s: float | None
    departure_given: bool
    etas: tuple[EtaOutcome, ...]

    def speed_kn(self, leg_index: int) -> float | None:
        """Return the speed through the water on a leg, None where none is known."""
        return _speed_kn(self.log.legs[leg_index])


def settle(
    route: Route,
    ship: ShipProfile | None,
    conditions: Conditions,
    shape: Shape | None = None,
) -> Timing:
    """Return the times, speeds and streams of a route.

    Parameters
    ----------
    route : Route
        Waypoints with their wishes.
    ship : ShipProfile or None
        Gives speed, radius and loss of speed in turns.
    conditions : Conditions
        Departure, streams and current.
    shape : Shape or None
        The shape of the track, where it is known already.

    Returns
    -------
    Timing
        Its route knows what was settled, so that a track laid of it has those speeds and currents.

    Raises
    ------
    InvalidRoute
        For an ETA that is not later than the departure.
    """
    shape = shape or shape_before(route, ship)
    _require_after(route, conditions.departure_s)
    waters = waters_of(route, conditions)
    ratio = 1.0 if ship is None or ship.turn_speed_ratio is None else ship.turn_speed_ratio
    clock = Clock(
        shape=shape,
        route=route,
        waters=waters,
        turn_ratio=ratio,
        departure_s=conditions.departure_s,
    )
    plain = _asked(route, shape, ship)
    given = conditions.departure_s is not None
    if not given:
        clock = _counted_back(clock, plain)
    log, etas = _through(clock, plain)
    settled = route
    if _hangs_on_times(route, waters):
        settled = replace(route, waypoints=_settled(route, shape, log))
    return Timing(
        route=settled,
        shape=shape,
        log=log,
        departure_s=clock.departure_s,
        departure_given=given,
        etas=etas,
    )


def _require_after(route: Route, departure_s: float | None) -> None:
    """Refuse an ETA that is not later than the departure."""
    if departure_s is None:
        return
    for index, one in enumerate(route.waypoints):
        if one.eta_s is not None and one.eta_s <= departure_s:
            message = f"the ETA at {one.id} is not later than the departure"
            fault = Fault(pointer=f"/route/waypoints/{index}/eta_utc", message=message)
            raise InvalidRoute(message, (fault,))


def _hangs_on_times(route: Route, waters: Mapping[int, Water]) -> bool:
    """Return whether anything of the track hangs on times."""
    return any(one.table is not None for one in waters.values()) or any(
        one.eta_s is not None or (one.leg is not None and one.leg.speed_over_ground_kn is not None)
        for one in route.waypoints
    )


def _asked(route: Route, shape: Shape, ship: ShipProfile | None) -> dict[int, Asked]:
    """Return how fast she is to go on each leg, ETAs aside."""
    found = {}
    for one in shape.stretches:
        wishes = route.waypoints[one.from_index + 1].leg or LegWishes()
        if wishes.speed_over_ground_kn is not None:
            speed = m_per_s_from_kn(wishes.speed_over_ground_kn)
            found[one.index] = Asked(
                wish=Wish(speed_m_per_s=speed, over_ground=True), source="ground"
            )
        elif wishes.speed_kn is not None:
            speed = m_per_s_from_kn(wishes.speed_kn)
            found[one.index] = Asked(
                wish=Wish(speed_m_per_s=speed), source="leg", given_kn=wishes.speed_kn
            )
        elif ship is not None and ship.speed_kn is not None:
            speed = m_per_s_from_kn(ship.speed_kn)
            found[one.index] = Asked(
                wish=Wish(speed_m_per_s=speed), source="ship", given_kn=ship.speed_kn
            )
    return found


def _counted_back(clock: Clock, asked: Mapping[int, Asked]) -> Clock:
    """Return the clock with the departure that makes the first given ETA, if there is one."""
    anchor = next((n for n, one in enumerate(clock.route.waypoints) if one.eta_s is not None), None)
    if anchor is None:
        return clock
    eta_s = clock.route.waypoints[anchor].eta_s or 0.0
    before = _between(clock.shape, 0, anchor)
    if before is None:
        return clock
    for _ in range(ROUNDS):
        arrived = clock.run(before, asked, State(0.0), Log())
        if arrived.now_s is None:
            return clock
        departure_s = eta_s - arrived.now_s
        near = clock.departure_s is not None and abs(departure_s - clock.departure_s) < SAME_S
        clock = replace(clock, departure_s=departure_s)
        if near:
            break
    return clock


def _between(shape: Shape, first: int, last: int) -> tuple[Stretch, ...] | None:
    """Return the legs from one waypoint to another; None where they do not join."""
    found = tuple(one for one in shape.stretches if first <= one.from_index < last)
    return found if len(found) == last - first else None


def _through(clock: Clock, plain: Mapping[int, Asked]) -> tuple[Log, tuple[EtaOutcome, ...]]:
    """Return what the clock says of the whole route, from one known time to the next."""
    log = Log()
    outcomes: list[EtaOutcome] = []
    waypoints = clock.route.waypoints
    state = State(0.0)
    log.at[0] = state
    known = 0
    anchors = [n for n, one in enumerate(waypoints) if one.eta_s is not None]
    for anchor in dict.fromkeys([*anchors, len(waypoints) - 1]):
        last = anchor not in anchors
        legs = _between(clock.shape, known, anchor)
        if legs is None:
            state = _over_holes(clock, plain, known, anchor, state, log)
        elif last or clock.departure_s is None:
            state = clock.run(legs, plain, state, log)
        else:
            state = _to_eta(clock, plain, legs, state, log, outcomes, anchor)
        if anchor in anchors:
            state = _resumed(clock, state, anchor, log)
        known = anchor
    return log, tuple(outcomes)


def _over_holes(
    clock: Clock, plain: Mapping[int, Asked], first: int, last: int, state: State, log: Log
) -> State:
    """Run what there is of legs between which the route has holes; after one no time is known."""
    index = first
    while index < last:
        legs = _between(clock.shape, index, index + 1)
        if legs is None:
            state = State(
                None, f"the route has a hole before {clock.route.waypoints[index + 1].id}"
            )
            log.at[index + 1] = state
        else:
            state = clock.run(legs, plain, state, log)
        index += 1
    return state


def _resumed(clock: Clock, state: State, index: int, log: Log) -> State:
    """Return the clock at a waypoint whose ETA is given: where it stood still, it goes on."""
    eta_s = clock.route.waypoints[index].eta_s
    if state.now_s is not None or eta_s is None or clock.departure_s is None:
        return state
    state = State(eta_s - clock.departure_s, None, state.speed_m_per_s)
    log.at[index] = state
    return state


def _to_eta(
    clock: Clock,
    plain: Mapping[int, Asked],
    legs: tuple[Stretch, ...],
    state: State,
    log: Log,
    outcomes: list[EtaOutcome],
    anchor: int,
) -> State:
    """Run to a waypoint whose ETA is given, at the speed that makes it where legs have none."""
    eta_s = (clock.route.waypoints[anchor].eta_s or 0.0) - (clock.departure_s or 0.0)
    free = [
        one.index for one in legs if one.index not in plain or plain[one.index].source == "ship"
    ]
    if clock.departure_s is None or state.now_s is None:
        return clock.run(legs, plain, state, log)
    by_speeds = clock.run(legs, plain, state, Log())
    if by_speeds.now_s is not None and abs(by_speeds.now_s - eta_s) < MET_S:
        outcomes.append(EtaOutcome(waypoint_index=anchor, kind="made", off_s=0.0))
        return clock.run(legs, plain, state, log)
    needed = None if not free else _speed_for(clock, plain, legs, free, state, eta_s)
    if needed is None:
        end = clock.run(legs, plain, state, log)
        outcomes.append(
            EtaOutcome(
                waypoint_index=anchor,
                kind="impossible" if free else "missed",
                off_s=None if end.now_s is None else end.now_s - eta_s,
                needed_kn=_mean_kn(legs, eta_s - state.now_s - _stays_s(clock, legs)),
            )
        )
        return end
    asked = _with(plain, free, needed)
    outcomes.append(
        EtaOutcome(waypoint_index=anchor, kind="made", off_s=0.0, needed_kn=kn_from_m_per_s(needed))
    )
    return clock.run(legs, asked, state, log)


def _with(plain: Mapping[int, Asked], free: list[int], speed_m_per_s: float) -> dict[int, Asked]:
    """Return the speeds with one for all legs that have none of their own."""
    asked = Asked(wish=Wish(speed_m_per_s=speed_m_per_s), source="eta")
    return {**plain, **dict.fromkeys(free, asked)}


def _stays_s(clock: Clock, legs: tuple[Stretch, ...]) -> float:
    """Return how long she stays at the waypoints from which legs begin."""
    return sum(clock.route.waypoints[one.from_index].stay_s for one in legs)


def _mean_kn(legs: tuple[Stretch, ...], time_s: float) -> float | None:
    """Return the mean speed along legs in a time, None where there is no time."""
    length_m = sum(one.to_m - one.from_m for one in legs)
    return None if time_s <= 0.0 else kn_from_m_per_s(length_m / time_s)


def _speed_for(
    clock: Clock,
    plain: Mapping[int, Asked],
    legs: tuple[Stretch, ...],
    free: list[int],
    state: State,
    eta_s: float,
) -> float | None:
    """Return the speed through the water on the free legs that makes an ETA, None where none does.

    What is sought is where the mean speed over the whole way is the one asked for: it grows with
    the speed through the water, nearly evenly, and is none where a stream cannot be stemmed.
    """
    stays_s = _stays_s(clock, legs)
    asked_s = eta_s - (state.now_s or 0.0) - stays_s
    if asked_s <= 0.0:
        return None

    @cache
    def beyond(speed_m_per_s: float) -> float:
        end = clock.run(legs, _with(plain, free, speed_m_per_s), state, Log())
        if end.now_s is None:
            return -1.0 / asked_s
        return 1.0 / (end.now_s - (state.now_s or 0.0) - stays_s) - 1.0 / asked_s

    least, most = m_per_s_from_kn(LEAST_KN), m_per_s_from_kn(MOST_KN)
    length_m = sum(one.to_m - one.from_m for one in legs)
    guess = min(max(length_m / asked_s, least), most)
    low, high = max(guess / GUESSED, least), min(guess * GUESSED, most)
    if beyond(low) > 0.0:
        low, high = least, low
    elif beyond(high) < 0.0:
        low, high = high, most
    if beyond(low) > 0.0 or beyond(high) < 0.0:
        return None
    return float(scipy.optimize.brentq(beyond, low, high, xtol=CLOSE_M_PER_S, rtol=1e-12))


def _settled(route: Route, shape: Shape, log: Log) -> tuple[Waypoint, ...]:
    """Return the waypoints with what was settled of legs and turns."""
    by_end = {one.from_index + 1: log.legs.get(one.index) for one in shape.stretches}
    found = []
    for index, waypoint in enumerate(route.waypoints):
        leg = by_end.get(index)
        if leg is None:
            found.append(waypoint)
            continue
        turn = log.turns.get(index)
        _asked, speed_kn = leg.asked, _speed_kn(leg)
        found.append(
            replace(
                waypoint,
                settled=Settled(
                    speed_kn=speed_kn,
                    speed_source=None
                    if leg.asked is None or speed_kn is None
                    else leg.asked.source,
                    on_leg=leg.current,
                    in_turn=None if turn is None else turn.current,
                ),
            )
        )
    return tuple(found)


def _speed_kn(leg: LegRun) -> float | None:
    """Return the speed through the water on a leg, the greatest of it; None where none is known."""
    if leg.asked is None:
        return None
    if leg.asked.given_kn is not None:
        return leg.asked.given_kn
    if leg.run is not None:
        return kn_from_m_per_s(leg.run.most_m_per_s or leg.run.speed_m_per_s)
    return None if leg.asked.wish.over_ground else kn_from_m_per_s(leg.asked.wish.speed_m_per_s)
