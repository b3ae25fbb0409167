"""Where the plan can be given up in turns: room along their arcs, to the side of the turn.

Sums by hand in the plane: the arc of R to starboard from a course due north has its places at
R (1 - cos a) east and R sin a north of where it begins, and the course there is a.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from tests import zoo
from tests.core.monitoring.narrows import PILOTAGE, SHIP, beside, codes
from wheelover.core.geo import geodesic
from wheelover.core.monitoring.places import on_arc
from wheelover.core.planning import make_plan
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.monitoring import LegAbort
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import LegWishes
from wheelover.core.types.watch import LegMonitoring

RADIUS_M = 926.0
AHEAD_M, ASIDE_M, HALF_M = 700.0, 780.0, 100.0
CORNER_M = float(geodesic.inverse(47.0, -30.0, 47.3, -30.0)[2][0])
BEGINS_M = CORNER_M - RADIUS_M
"""Where the arc begins, along the leg north: half a right angle's tangent is one."""

PLACES = [(47.0, -30.0), (47.3, -30.0), (47.3, -29.5)]


def planned(chart: Chart, *stages: str, radius_nm: float | None = None) -> Plan:
    route = zoo.route(PLACES)
    legs = [
        LegWishes(
            line="rhumb", speed_kn=12.0,
            monitoring=PILOTAGE if stage == "pilotage" else LegMonitoring(stage="open"),
        )
        for stage in (stages or ("pilotage", "pilotage"))
    ]  # fmt: skip
    waypoints = [route.waypoints[0]]
    waypoints += [replace(one, leg=leg) for one, leg in zip(route.waypoints[1:], legs, strict=True)]
    waypoints[1] = replace(waypoints[1], turn_radius_nm=radius_nm)
    return make_plan(
        replace(route, waypoints=tuple(waypoints)), SHIP, chart, Conditions(), Limits()
    )


def abort_of(plan: Plan, leg_index: int = 0) -> LegAbort:
    return next(one for one in plan.bridge.aborts if one.leg_index == leg_index)


def in_box(turned_deg: float, place: tuple[float, float], *, ahead_m: float = AHEAD_M) -> bool:
    """Return whether a place north and east of where the arc begins is in the box about her."""
    a = math.radians(turned_deg)
    north = place[0] - RADIUS_M * math.sin(a)
    east = place[1] - RADIUS_M * (1.0 - math.cos(a))
    ahead, aside = (
        north * math.cos(a) + east * math.sin(a),
        east * math.cos(a) - north * math.sin(a),
    )
    return -HALF_M <= ahead <= ahead_m + HALF_M and -HALF_M <= aside <= ASIDE_M + HALF_M


def test_places_of_an_arc_lie_on_its_circle_with_the_tangent_as_course() -> None:
    arc = planned(zoo.chart((10.0, 10.0))).turns[0].arc
    assert arc is not None
    places = on_arc(arc)
    _, _, off_m = geodesic.inverse(
        np.full(places.lat_deg.size, arc.centre.lat_deg),
        np.full(places.lat_deg.size, arc.centre.lon_deg), places.lat_deg, places.lon_deg,
    )  # fmt: skip
    assert off_m == pytest.approx(np.full(off_m.size, RADIUS_M), abs=0.01)
    assert np.cos(np.radians(places.course_deg[0])) == pytest.approx(1.0, abs=1e-5)
    assert places.course_deg[-1] == pytest.approx(90.0, abs=0.3)
    towards, _, step_m = geodesic.inverse(
        places.lat_deg[:-1], places.lon_deg[:-1], places.lat_deg[1:], places.lon_deg[1:]
    )
    courses = np.degrees(np.unwrap(np.radians(places.course_deg)))
    middle = (courses[:-1] + courses[1:]) / 2.0
    assert (towards - middle + 180.0) % 360.0 - 180.0 == pytest.approx(
        np.zeros(off_m.size - 1), abs=0.1
    )
    assert np.all(step_m <= 92.6)


def test_the_room_that_ends_in_the_turn_puts_the_point_of_no_return_on_its_arc() -> None:
    """A rock that neither leg's boxes hold, but those about places late on the arc do."""
    rock = (RADIUS_M + 250.0, RADIUS_M + 300.0 - RADIUS_M + 500.0)
    plan = planned(zoo.chart(beside(BEGINS_M + rock[0], rock[1])))
    one = abort_of(plan)
    (bend,) = one.bends
    arc = plan.turns[0].arc
    assert arc is not None
    places = on_arc(arc)
    turned = places.along_m / RADIUS_M
    held = [in_box(math.degrees(float(a)), rock) for a in turned]
    assert any(held)
    assert not held[0]
    assert not bend.whole
    assert one.no_return is not None
    first = held.index(True)
    gone_m = (one.no_return.track_m or 0.0) - BEGINS_M
    assert gone_m == pytest.approx(float(places.along_m[first - 1]), abs=3.0)
    assert one.no_return.leg_to_id == "W1"
    assert one.no_return.along_m == pytest.approx(BEGINS_M, abs=3.0)
    assert any("only the side of the turn" in note for note in one.notes)


def test_to_the_other_side_of_a_turn_there_is_no_room_for_her() -> None:
    """A wall inside the bend: on the leg she would turn to port, in the turn she cannot."""
    places = [
        beside(BEGINS_M + 400.0 + north, 350.0 + east)
        for north in (0.0, 100.0)
        for east in (0.0, 100.0)
    ]
    one = abort_of(planned(zoo.chart(*places)))
    assert one.room[-1].side == "port"
    assert one.no_return is not None
    assert (one.no_return.track_m or 0.0) <= BEGINS_M + 1.0
    (bend,) = one.bends
    assert bend.side == "starboard"
    assert bend.room == () or bend.room[0].from_m > 0.0


def test_a_turn_with_room_all_along_it_changes_nothing() -> None:
    one = abort_of(planned(zoo.chart((10.0, 10.0))))
    (bend,) = one.bends
    assert bend.whole
    assert one.no_return is None
    assert bend.arc_m == pytest.approx(RADIUS_M * math.pi / 2.0, rel=2e-3)


def test_the_turn_that_leads_to_the_first_such_leg_counts_for_it() -> None:
    """Open water, then pilotage: a rock in the way of the last places of the arc alone."""
    rock = zoo.chart(beside(BEGINS_M + RADIUS_M + 250.0, 800.0))
    plan = planned(rock, "open", "pilotage")
    one = abort_of(plan, 1)
    assert [bend.waypoint_id for bend in one.bends] == ["W1"]
    assert one.no_return is not None
    assert one.no_return.leg_to_id == "W1"
    both = planned(rock, "pilotage", "pilotage")
    assert abort_of(both, 1).bends == ()
    assert abort_of(both, 0).no_return == one.no_return


def test_a_turn_without_an_arc_is_told_as_not_known() -> None:
    plan = make_plan(
        zoo.route(PLACES, leg=LegWishes(line="rhumb", speed_kn=12.0, monitoring=PILOTAGE)),
        replace(SHIP, turn_radius_nm=None), zoo.chart((10.0, 10.0)), Conditions(), Limits(),
    )  # fmt: skip
    assert any(
        "in the turn at W1 the room is not looked at" in one for one in abort_of(plan).reasons
    )
    row = next(one for one in plan.checks if one.check == "leg_abort" and one.subject.index == 0)
    assert row.result == "not_checked"


def test_she_gives_up_before_the_turn_where_the_room_in_it_ends() -> None:
    rock = zoo.chart(beside(BEGINS_M + RADIUS_M + 250.0, 800.0))
    plan = planned(rock)
    one = abort_of(plan)
    assert one.abort is not None
    assert one.stop is not None
    assert one.no_return is not None
    assert (one.no_return.track_m or 0.0) - (one.abort.track_m or 0.0) == pytest.approx(
        one.stop.run_m, abs=1e-6
    )
    assert {"no_return_not_given", "abort_not_given"} <= codes(plan)
