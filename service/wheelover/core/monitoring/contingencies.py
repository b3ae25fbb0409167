"""Contingencies: each has a route of its own, which is checked as the main one is."""

from collections.abc import Callable
from dataclasses import replace

from wheelover.core.depth.draughts import change_in_force
from wheelover.core.monitoring.along import Way
from wheelover.core.monitoring.leaving import PlanFrom, leaving_of
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.contingency import CheckedContingency, Contingency
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import Position, Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.stream import Stream
from wheelover.core.types.tide import Tide

PlanOf = Callable[[Route, ShipProfile | None, Conditions, Limits], Plan]


def checked_contingencies(
    contingencies: tuple[Contingency, ...],
    way: Way,
    given: tuple[Route, ShipProfile | None, Conditions, Limits],
    plan_of: PlanOf,
) -> tuple[CheckedContingency, ...]:
    """Return each contingency with the plan of its route.

    Parameters
    ----------
    contingencies : tuple of Contingency
        The contingencies.
    way : Way
        The planned track that they leave.
    given : tuple
        Route, ship, conditions and limits of the main plan.
    plan_of : callable
        Makes the plan of a route, as the main plan is made.

    Notes
    -----
    Each has its own track, whose safety is checked like that of the main one [A893]_. She leaves at
    the time of the main plan there, with the draughts, tides and streams of the leg she leaves;
    waivers of the main plan do not count. ETAs of its own that are past by then are left out.
    """
    return tuple(_checked(one, way, given, plan_of) for one in contingencies)


def _checked(
    one: Contingency,
    way: Way,
    given: tuple[Route, ShipProfile | None, Conditions, Limits],
    plan_of: PlanOf,
) -> CheckedContingency:
    """Return one contingency with its plan."""
    _, _, conditions, limits = given
    first = one.route.waypoints[0]
    start = Position(lat_deg=first.lat_deg, lon_deg=first.lon_deg)
    found = None if way.leg(one.from_id) is None else way.nearest(start, one.from_id)
    leaves, off_m = found or (None, None)
    notes = []
    departure_s = None
    if conditions.departure_s is not None and leaves is not None and leaves.at_s is not None:
        departure_s = conditions.departure_s + leaves.at_s
    elif conditions.tides or conditions.streams:
        notes.append("the time of leaving is not known, so no table of tides or streams counts")
    if limits.waivers:
        notes.append("waivers of the plan do not count for it")
    itself, past_ids = _without_past(one.route, departure_s)
    plan_from = _planner(one.from_id, given, plan_of)
    return CheckedContingency(
        contingency=one,
        plan=plan_from(itself, departure_s),
        leaving=leaving_of(replace(one, route=itself), way, (leaves, off_m), given, plan_from),
        leaves=leaves,
        off_m=off_m,
        past_eta_ids=past_ids,
        notes=tuple(notes),
    )


def _planner(
    from_id: str, given: tuple[Route, ShipProfile | None, Conditions, Limits], plan_of: PlanOf
) -> PlanFrom:
    """Return what plans a route for the ship and the conditions of the leg that she leaves."""
    route, ship, conditions, limits = given
    ids = [waypoint.id for waypoint in route.waypoints]
    at = ids.index(from_id) if from_id in ids else 0

    def plan_from(itself: Route, departure_s: float | None) -> Plan:
        return plan_of(
            itself,
            _ship_there(ship, ids, at, itself.waypoints[0].id, conditions.water_density_kg_per_m3),
            _conditions_there(conditions, ids, at, departure_s),
            replace(limits, waivers=()),
        )

    return plan_from


def _without_past(route: Route, departure_s: float | None) -> tuple[Route, tuple[str, ...]]:
    """Return a route without the ETAs that are past as she leaves, and where those were given."""
    past = {
        one.id
        for one in route.waypoints
        if departure_s is not None and one.eta_s is not None and one.eta_s <= departure_s
    }
    if not past:
        return route, ()
    waypoints = tuple(
        replace(one, eta_s=None) if one.id in past else one for one in route.waypoints
    )
    return replace(route, waypoints=waypoints), tuple(
        one.id for one in route.waypoints if one.id in past
    )


def _ship_there(
    ship: ShipProfile | None,
    ids: list[str],
    at: int,
    first_id: str,
    water_density_kg_per_m3: float | None,
) -> ShipProfile | None:
    """Return the ship with the draughts that she has on the leg she leaves."""
    if ship is None or not ship.draughts:
        return ship
    before = [one for one in ship.draughts if one.from_id in ids and ids.index(one.from_id) < at]
    before.sort(key=lambda one: ids.index(one.from_id))
    in_force = change_in_force(before, first_id, water_density_kg_per_m3)
    return replace(ship, draughts=() if in_force is None else (in_force,))


def _conditions_there(
    conditions: Conditions, ids: list[str], at: int, departure_s: float | None
) -> Conditions:
    """Return the conditions with the tides and streams that count on the leg she leaves."""
    place = {one: index for index, one in enumerate(ids)}

    def counts(one: Tide | Stream) -> bool:
        first = place.get(one.from_id or "", 0)
        return first < at <= place.get(one.to_id or "", len(ids))

    return replace(
        conditions,
        tides=tuple(
            replace(one, from_id=None, to_id=None) for one in conditions.tides if counts(one)
        ),
        streams=tuple(
            replace(one, from_id=None, to_id=None) for one in conditions.streams if counts(one)
        ),
        departure_s=departure_s,
    )
