"""The planned track: turns, room, holes, and legs that are no legs."""

import math
import random
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests import zoo
from wheelover.core.errors import InvalidRoute
from wheelover.core.geo import geodesic, rhumb
from wheelover.core.track import lay_track
from wheelover.core.turns.plan_turn import Corner, plan_turns
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.manoeuvre import Current
from wheelover.core.types.route import LegWishes, Route, TurnWishes, Waypoint, WheelOverChoice
from wheelover.core.types.track import NotApplicable, PlannedTurn, WheelOver
from wheelover.core.units import NM_M

BEND = [(47.0, -30.0), (47.3, -30.0), (47.3, -29.5)]


def _turned(change_deg: float, lat: float = 40.0, leg_m: float = 60_000.0) -> Route:
    """Return a route north to a corner and away from it after a change of course."""
    out = geodesic.direct(lat, 0.0, change_deg, leg_m)
    back = geodesic.direct(lat, 0.0, 180.0, leg_m)
    return zoo.route(
        [
            (float(back[0][0]), float(back[1][0])),
            (lat, 0.0),
            (float(out[0][0]), float(out[1][0])),
        ],
        lines=["geodesic", "geodesic"],
    )


def test_wheel_over_is_tangent_plus_reach() -> None:
    (turn,) = lay_track(zoo.route(BEND), zoo.SHIP).turns
    first = turn.wheel_overs[0]
    assert turn.arc is not None
    assert isinstance(first, WheelOver)
    assert first.distance_m == pytest.approx(turn.arc.tangent_in_m + zoo.SHIP.loa_m)
    assert turn.reach_source == "default"
    corner = geodesic.inverse(first.position.lat_deg, first.position.lon_deg, *BEND[1])
    assert float(corner[2][0]) == pytest.approx(first.distance_m, abs=1e-3)


def test_every_method_has_a_row_and_a_reason() -> None:
    (turn,) = lay_track(zoo.route(BEND), zoo.SHIP).turns
    methods = [row.method for row in turn.wheel_overs]
    assert methods == ["geometric", "rule_of_thumb", "advance_transfer", "simulated"]
    for row in turn.wheel_overs[2:]:
        assert isinstance(row, NotApplicable)
        assert row.reason
    (bare,) = lay_track(zoo.route(BEND, radii_nm=[0.5, 0.5, 0.5]), None).turns
    for row in bare.wheel_overs:
        assert isinstance(row, NotApplicable)
        assert row.reason


def test_the_wheel_over_line_lies_off_the_outbound_leg() -> None:
    (turn,) = lay_track(zoo.route(BEND), zoo.SHIP).turns
    line, planned = turn.wheel_over_line, turn.planned
    assert line is not None
    assert planned.distance_m is not None
    assert turn.course_change_deg is not None
    plane_m = planned.distance_m * math.sin(math.radians(turn.course_change_deg))
    assert line.offset_m == pytest.approx(plane_m, abs=0.5)
    assert line.offset_side == "starboard"
    assert line.course_deg == turn.course_out_deg


@pytest.mark.parametrize(
    ("members", "reach_m"),
    [({"reach_m": 333.0}, 333.0), ({"reach_lengths": 2.0}, 400.0), ({"reach_s": 60.0}, 370.4)],
)
def test_reach_in_metres_lengths_or_seconds(members: dict[str, float], reach_m: float) -> None:
    from dataclasses import replace  # noqa: PLC0415

    (turn,) = lay_track(zoo.route(BEND), replace(zoo.SHIP, **members)).turns
    assert turn.reach_m == pytest.approx(reach_m)
    assert turn.reach_source == "ship"


def test_own_distance_is_the_planned_wheel_over() -> None:
    waypoints = list(zoo.route(BEND).waypoints)
    choice = WheelOverChoice(distance_nm=0.75)
    waypoints[1] = Waypoint(id="W1", lat_deg=47.3, lon_deg=-30.0, wheel_over=choice)
    (turn,) = lay_track(Route(name="own", waypoints=tuple(waypoints)), zoo.SHIP).turns
    assert turn.planned.method == "own"
    assert turn.planned.distance_m == pytest.approx(0.75 * NM_M)


def test_a_chosen_method_that_gives_nothing_stays_empty() -> None:
    waypoints = list(zoo.route(BEND).waypoints)
    choice = WheelOverChoice(method="simulated")
    waypoints[1] = Waypoint(id="W1", lat_deg=47.3, lon_deg=-30.0, wheel_over=choice)
    plan = zoo.plan(Route(name="own", waypoints=tuple(waypoints)))
    assert plan.turns[0].planned.distance_m is None
    assert "planned_method_missing" in {finding.code for finding in plan.findings}


@given(st.floats(170.0, 180.0), st.sampled_from([-1.0, 1.0]))
def test_near_reversals_give_no_number_at_all(change_deg: float, side: float) -> None:
    track = lay_track(_turned(side * change_deg), zoo.SHIP)
    (turn,) = track.turns
    assert turn.arc is None
    assert not turn.fits
    assert all(isinstance(row, NotApplicable) for row in turn.wheel_overs)
    assert track.length_m is not None
    assert math.isfinite(track.length_m)


@pytest.mark.parametrize(("change_deg", "has_arc"), [(149.999, True), (150.001, False)])
def test_the_largest_change_with_a_circle(change_deg: float, has_arc: bool) -> None:
    (turn,) = lay_track(_turned(change_deg), zoo.SHIP).turns
    assert (turn.arc is not None) == has_arc


@given(st.floats(-149.0, 149.0), st.floats(-70.0, 70.0))
def test_the_way_back_has_the_mirrored_turn(change_deg: float, lat: float) -> None:
    assume(abs(change_deg) > 0.1)
    route = _turned(change_deg, lat)
    way_back = zoo.route(
        [(one.lat_deg, one.lon_deg) for one in reversed(route.waypoints)],
        lines=["geodesic", "geodesic"],
    )
    (turn,), (back,) = lay_track(route, zoo.SHIP).turns, lay_track(way_back, zoo.SHIP).turns
    assert turn.arc is not None
    assert back.arc is not None
    assert back.arc.tangent_in_m == pytest.approx(turn.arc.tangent_out_m, abs=1e-4)
    assert back.arc.arc_m == pytest.approx(turn.arc.arc_m, abs=1e-4)
    assert back.arc.sweep_deg == pytest.approx(-turn.arc.sweep_deg, abs=1e-6)


@given(st.floats(-180.0, 180.0))
def test_a_plan_is_the_same_on_every_meridian(by_deg: float) -> None:
    def at(offset: float) -> float:
        return (offset + by_deg + 180.0) % 360.0 - 180.0

    here = lay_track(zoo.route(BEND), zoo.SHIP)
    there = lay_track(zoo.route([(lat, at(lon)) for lat, lon in BEND]), zoo.SHIP)
    assert here.length_m is not None
    assert there.length_m == pytest.approx(here.length_m, abs=1e-4)


def test_a_straight_corner_needs_no_turn_room() -> None:
    (turn,) = lay_track(zoo.route([(47.0, 0.0), (47.2, 0.0), (47.4, 0.0)]), zoo.SHIP).turns
    assert turn.course_change_deg == pytest.approx(0.0, abs=1e-9)
    assert turn.arc is not None
    assert turn.arc.arc_m == pytest.approx(0.0, abs=1e-6)
    assert turn.fits


@pytest.mark.parametrize(
    ("lat", "lons", "radius_nm"),
    [(10.136, (-0.36, 1.32, 2.54), 1.0), (33.7, (49.0, 49.5, 50.0), 0.001), (60.0, (1, 2, 3), 2.0)],
)
def test_waypoints_in_line_never_make_a_circle(
    lat: float, lons: tuple[float, float, float], radius_nm: float
) -> None:
    """Noise of a bearing of 360 degrees once made a whole circle of no turn at all."""
    for shift in range(60):
        places = [(lat + 0.01 * shift, lon) for lon in lons]
        (turn,) = lay_track(zoo.route(places, radii_nm=[radius_nm]), zoo.SHIP).turns
        assert turn.arc is not None
        assert turn.arc.arc_m < 1e-3


def test_a_turn_after_an_ocean_leg_has_its_circle() -> None:
    """4194 NM away from where the leg begins, rounding keeps the centres 1e-8 m apart."""
    found = 0
    for jitter in range(40):
        places = [
            (61.02314910723313, 101.3329791928777 + 0.01 * jitter),
            (62.863823215094044, -110.68868076128263),
            (62.01478918338125, -110.06242744299786),
        ]
        (turn,) = lay_track(zoo.route(places, radii_nm=[1.0]), zoo.SHIP).turns
        found += turn.arc is not None
    assert found == 40


@pytest.mark.parametrize("radius_nm", [0.5, 5.0, 50.0])
def test_small_changes_join_the_larger_ones_without_a_step(radius_nm: float) -> None:
    """Half the change over (1/R less the rhumb's own curvature), by hand, at latitude -79.5."""
    start = (-79.4, 10.0)
    tangents = []
    for change_deg in (0.0045, 0.0055):
        corner = (-79.476, 9.0)
        leg_in = zoo.route([start, corner])
        course = float(lay_track(leg_in, None).legs[0].path.course_deg)  # type: ignore[union-attr]
        out_lat, out_lon = rhumb.direct(*corner, course - change_deg, 30_000.0)
        places = [start, corner, (float(out_lat[0]), float(out_lon[0]))]
        (turn,) = lay_track(zoo.route(places, radii_nm=[radius_nm]), None).turns
        assert turn.arc is not None
        assert turn.course_change_deg == pytest.approx(-change_deg, abs=1e-7)
        tangents.append(turn.arc.tangent_in_m / change_deg)
    assert tangents[0] == pytest.approx(tangents[1], rel=2e-3)


@pytest.mark.parametrize("lat", [89.0, 89.9, 89.99])
def test_beside_a_pole_a_turn_may_have_no_arc_but_the_plan_stands(lat: float) -> None:
    plan = zoo.plan(zoo.route([(lat - 0.05, 0.0), (lat, 0.0), (lat, 90.0)], radii_nm=[50.0]))
    assert len(plan.legs) == 2
    for turn in plan.turns:
        if turn.arc is not None:
            assert abs(abs(turn.arc.sweep_deg) - abs(turn.course_change_deg or 0.0)) < 20.0
    assert "rhumb_near_pole" in {finding.code for finding in plan.findings}


def test_a_leg_that_winds_about_the_pole_is_not_measured_and_the_rest_is() -> None:
    chance, seen = random.Random(1), 0  # noqa: S311  places, not secrets
    for _ in range(60):
        places = [
            (89.9 + chance.uniform(-0.05, 0.0999), chance.uniform(-180, 180)) for _ in range(3)
        ]
        dangers = [
            (89.9 + chance.uniform(-0.1, 0.0999), chance.uniform(-180, 180)) for _ in range(4)
        ]
        plan = zoo.plan(
            zoo.route(places), ship=None, a_chart=zoo.chart(*dangers), limit_m=200_000.0
        )
        rows = {row.subject.index: row for row in plan.checks if row.check == "leg_clearance"}
        for piece in plan.clearances.unmeasured:
            seen += 1
            assert rows[piece.index].result == "not_checked"
            assert "pole" in (rows[piece.index].reason or "")
        if plan.clearances.unmeasured:
            assert all(row.met is not True for row in plan.clearances.rows)
        assert plan.clearances.rows
    assert seen > 0


def test_turns_that_overlap_leave_no_track() -> None:
    crowded = [(47.0, -30.0), (47.2, -30.0), (47.2, -29.99), (47.4, -29.99)]
    plan = zoo.plan(zoo.route(crowded))
    codes = {finding.code for finding in plan.findings if finding.grade == "must_resolve"}
    assert "turns_overlap" in codes
    assert [turn.fits for turn in plan.turns] == [False, False]
    assert plan.track_m is None


def test_a_leg_too_short_for_the_helm_order() -> None:
    """Tangents of 0.5 NM each leave 0.04 NM, the reach needs 0.108 NM."""
    short_deg = 1.04 / 60 / math.cos(math.radians(47.2))
    places = [(47.0, -30.0), (47.2, -30.0), (47.2, -30.0 + short_deg), (47.4, -30.0 + short_deg)]
    plan = zoo.plan(zoo.route(places))
    found = [finding for finding in plan.findings if finding.code == "leg_too_short"]
    assert len(found) == 1
    assert found[0].measured is not None
    assert found[0].limit is not None
    assert found[0].measured > found[0].limit
    assert not any(turn.fits for turn in plan.turns)


def test_nothing_is_computed_through_a_leg_of_no_length() -> None:
    places = [(47.0, -30.0), (47.2, -30.0), (47.2, -30.0), (47.2, -29.6), (47.4, -29.4)]
    plan = zoo.plan(zoo.route(places))
    assert plan.legs[1].path is None
    assert [turn.arc is None for turn in plan.turns] == [True, True, False]
    assert plan.turns[0].course_out_deg is None
    finding = next(one for one in plan.findings if one.code == "leg_no_length")
    assert "W1" in finding.message
    assert "W2" in finding.message


def test_no_leg_and_no_turn_at_a_hole() -> None:
    waypoints = [
        Waypoint(id="a", lat_deg=47.0, lon_deg=-30.0),
        Waypoint(id="b", lat_deg=47.1, lon_deg=-30.0),
        Waypoint(id="c", lat_deg=47.2, lon_deg=-30.0, gap_before=True),
        Waypoint(id="d", lat_deg=47.3, lon_deg=-29.8, gap_after=True),
    ]
    plan = zoo.plan(Route(name="holes", waypoints=tuple(waypoints)))
    assert [(leg.from_id, leg.to_id) for leg in plan.legs] == [("a", "b"), ("c", "d")]
    assert plan.turns == ()
    assert {"hole_before", "hole_after"} <= {one.code for one in plan.findings}


@pytest.mark.parametrize(
    ("waypoints", "pointer"),
    [
        ([Waypoint(id="a", lat_deg=0, lon_deg=0)], "/route/waypoints"),
        (
            [Waypoint(id="a", lat_deg=0, lon_deg=0), Waypoint(id="a", lat_deg=1, lon_deg=0)],
            "/route/waypoints/1/id",
        ),
        (
            [Waypoint(id="a", lat_deg=0, lon_deg=0), Waypoint(id="b", lat_deg=90, lon_deg=0)],
            "/route/waypoints/1/lat_deg",
        ),
    ],
)
def test_routes_that_are_none(waypoints: list[Waypoint], pointer: str) -> None:
    with pytest.raises(InvalidRoute) as raised:
        Route(name="none", waypoints=tuple(waypoints))
    assert raised.value.faults[0].pointer == pointer


def _asked(leg: LegWishes | None = None, turn: TurnWishes | None = None) -> Route:
    """Return a bend with wishes for the leg to its corner and for the turn there."""
    start, corner, end = zoo.route(BEND).waypoints
    return Route(name="zoo", waypoints=(start, replace(corner, leg=leg, turn=turn), end))


@pytest.mark.parametrize(
    ("leg", "turn", "conditions", "on_leg", "in_turn"),
    [
        (None, None, (), (None, None, None), (None, None, None)),
        (None, None, (10.0, 1.0), (10.0, 1.0, "plan"), (10.0, 1.0, "plan")),
        ((20.0, 2.0), None, (10.0, 1.0), (20.0, 2.0, "leg"), (20.0, 2.0, "leg")),
        ((20.0, 2.0), None, (), (20.0, 2.0, "leg"), (20.0, 2.0, "leg")),
        ((20.0, 2.0), (30.0, 3.0), (10.0, 1.0), (20.0, 2.0, "leg"), (30.0, 3.0, "turn")),
        (None, (30.0, 3.0), (10.0, 1.0), (10.0, 1.0, "plan"), (30.0, 3.0, "turn")),
        (None, (30.0, 3.0), (), (None, None, None), (30.0, 3.0, "turn")),
        ((0.0, 0.0), None, (10.0, 1.0), (0.0, 0.0, "leg"), (0.0, 0.0, "leg")),
    ],
)
def test_the_current_is_that_of_the_turn_the_leg_or_the_plan(
    leg: tuple[float, float] | None,
    turn: tuple[float, float] | None,
    conditions: tuple[float, ...],
    on_leg: tuple[object, ...],
    in_turn: tuple[object, ...],
) -> None:
    route = _asked(
        leg and LegWishes(set_deg=leg[0], drift_kn=leg[1]),
        turn and TurnWishes(set_deg=turn[0], drift_kn=turn[1]),
    )
    water = Conditions(**dict(zip(("set_deg", "drift_kn"), conditions, strict=False)))
    track = lay_track(route, zoo.SHIP, water)
    first, second = track.legs
    (found,) = track.turns
    assert (first.set_deg, first.drift_kn, first.current_source) == on_leg
    # What a leg asks is of that leg alone.
    plan = (*conditions, "plan") if conditions else (None, None, None)
    assert (second.set_deg, second.drift_kn, second.current_source) == plan
    assert (found.current_set_deg, found.current_drift_kn, found.current_source) == in_turn


def test_a_corner_knows_its_current_in_metres_per_second(monkeypatch: pytest.MonkeyPatch) -> None:
    corners: list[Corner] = []

    def listening(given_: list[Corner], *more: Any) -> tuple[PlannedTurn, ...]:
        corners.extend(given_)
        return plan_turns(given_, *more)

    monkeypatch.setattr("wheelover.core.track.plan_turns", listening)
    lay_track(_asked(LegWishes(set_deg=20.0, drift_kn=3.6)), zoo.SHIP)
    lay_track(_asked(), zoo.SHIP)
    first, second = corners
    assert first.current == Current(set_deg=20.0, drift_m_per_s=pytest.approx(1.852))
    assert (first.current_source, second.current, second.current_source) == ("leg", None, None)


def test_a_turn_is_steered_with_the_rudder_unless_asked() -> None:
    for turn, steering in (
        (None, "rudder"),
        (TurnWishes(), "rudder"),
        (TurnWishes(rudder_deg=10.0), "rudder"),
        (TurnWishes(steering="rate"), "rate"),
        (TurnWishes(steering="radius"), "radius"),
    ):
        assert lay_track(_asked(turn=turn), zoo.SHIP).turns[0].steering == steering


def test_a_turn_without_a_course_keeps_what_is_asked_of_it() -> None:
    asked = TurnWishes(steering="rate", set_deg=30.0, drift_kn=3.0)
    start, corner, _ = zoo.route(BEND).waypoints
    again = replace(corner, id="again", leg=None)
    route = Route(name="zoo", waypoints=(start, replace(corner, turn=asked), again))
    (turn,) = lay_track(route, zoo.SHIP).turns
    assert turn.course_out_deg is None
    assert (turn.steering, turn.current_set_deg, turn.current_source) == ("rate", 30.0, "turn")


def test_half_a_current_is_no_current() -> None:
    start, corner, end = zoo.route(BEND).waypoints
    half = replace(corner, leg=LegWishes(drift_kn=1.0), turn=TurnWishes(set_deg=0.0))
    last = replace(end, leg=LegWishes(set_deg=0.0))
    with pytest.raises(InvalidRoute, match="set_deg is missing") as raised:
        Route(name="zoo", waypoints=(start, half, last))
    assert [fault.pointer for fault in raised.value.faults] == [
        "/route/waypoints/1/leg/set_deg",
        "/route/waypoints/1/turn/drift_kn",
        "/route/waypoints/2/leg/drift_kn",
    ]
