"""When areas to know of are entered and left, and where she is at full hours."""

from dataclasses import replace

import numpy as np
import pytest

from tests import zoo
from wheelover.core.geo import geodesic
from wheelover.core.planning import make_plan
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import NO_LIMITS, STILL_WATER, Conditions
from wheelover.core.types.dangers import DangerClass
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import Route
from wheelover.core.units import NM_M

HOUR_S = 3600.0
START_S = 1_795_600_800.0
LEAVES = Conditions(departure_s=START_S)
NORTH = [(47.0, -30.0), (47.5, -30.0)]


def _box(south: float, north: float, west: float = -30.1, east: float = -29.9) -> list[object]:
    corners = [(west, south), (east, south), (east, north), (west, north), (west, south)]
    return [[list(one) for one in corners]]


def _plan(
    route: Route,
    *areas: list[object],
    kind: DangerClass = "restricted",
    conditions: Conditions = LEAVES,
) -> Plan:
    hazards = zoo.dangers([("Polygon", one) for one in areas])
    hazards = replace(hazards, classes=(kind,) * len(areas))
    chart = Chart(loaded=True, hazards=hazards)
    return make_plan(route, zoo.SHIP, chart, conditions, NO_LIMITS)


def _gone_s(lat_deg: float) -> float:
    """How long 12 kn take north along the meridian of the first waypoint."""
    _, _, length_m = geodesic.inverse(47.0, -30.0, lat_deg, -30.0)
    return float(length_m[0]) / NM_M / 12.0 * HOUR_S


def test_an_area_is_entered_and_left_where_its_edges_are_crossed() -> None:
    plan = _plan(zoo.route(NORTH), _box(47.1, 47.2), _box(47.3, 47.4), _box(46.0, 46.9))
    first, second = plan.schedule.areas
    assert (first.area_id, second.area_id, first.source) == ("h0", "h1", "you")
    for area, south, north in ((first, 47.1, 47.2), (second, 47.3, 47.4)):
        for edge, lat_deg in ((area.enters, south), (area.leaves, north)):
            assert edge is not None
            assert edge.position.lat_deg == pytest.approx(lat_deg, abs=1e-7)
            assert edge.at_s == pytest.approx(_gone_s(lat_deg), abs=0.05)
            assert (edge.piece.kind, edge.piece.index) == ("leg", 0)


def test_an_area_over_two_legs_and_the_turn_between_them_is_one_stretch() -> None:
    route = zoo.route([(47.0, -30.0), (47.2, -30.0), (47.2, -29.5)])
    (area,) = _plan(route, _box(47.15, 47.3, -30.2, -29.8)).schedule.areas
    assert area.enters is not None
    assert area.leaves is not None
    assert (area.enters.piece.index, area.leaves.piece.index) == (0, 1)
    assert area.leaves.position.lon_deg == pytest.approx(-29.8, abs=1e-6)


def test_an_area_that_only_the_arc_cuts_is_entered_and_left_in_the_turn() -> None:
    route = zoo.route([(47.0, -30.0), (47.2, -30.0), (47.2, -29.5)])
    plan = _plan(route)
    arc = plan.turns[0].arc
    assert arc is not None
    lat, lon, _ = geodesic.direct(
        arc.centre.lat_deg, arc.centre.lon_deg, arc.from_bearing_deg + 45.0, arc.radius_m
    )
    lat_deg, lon_deg = float(lat[0]), float(lon[0])
    box = _box(lat_deg - 0.0005, lat_deg + 0.0005, lon_deg - 0.0005, lon_deg + 0.0005)
    (area,) = _plan(route, box, kind="special").schedule.areas
    assert area.enters is not None
    assert area.leaves is not None
    assert {area.enters.piece.kind, area.leaves.piece.kind} == {"turn"}
    times = plan.schedule.wheel_overs[0]
    assert (times.arc_start_s or 0.0) < (area.enters.at_s or 0.0) < (area.leaves.at_s or 0.0)
    assert (area.leaves.at_s or 0.0) < (times.arc_end_s or 0.0)


def test_a_track_that_begins_or_ends_in_an_area_does_not_cross_its_edge_there() -> None:
    begins, ends = _plan(zoo.route(NORTH), _box(46.9, 47.1), _box(47.4, 47.6)).schedule.areas
    assert (begins.enters, ends.leaves) == (None, None)
    assert begins.leaves is not None
    assert ends.enters is not None


def test_across_the_date_line_an_area_is_found_and_its_times_go_on() -> None:
    route = zoo.route([(10.0, 179.5), (10.0, -179.5)])
    split = [_box(9.9, 10.1, 179.8, 180.0), _box(9.9, 10.1, -180.0, -179.7)]
    west, east = _plan(route, *split).schedule.areas
    assert west.leaves is not None
    assert east.enters is not None
    assert west.leaves.at_s == pytest.approx(east.enters.at_s, abs=1.0)
    assert east.leaves is not None
    assert east.leaves.position.lon_deg == pytest.approx(-179.7, abs=1e-6)


def test_dangers_that_are_no_such_areas_are_not_told() -> None:
    assert _plan(zoo.route(NORTH), _box(47.1, 47.2), kind="shoal").schedule.areas == ()
    assert "no chart cells" in (_plan(zoo.route(NORTH)).schedule.areas_reason or "")


def test_without_a_time_the_place_stands_alone() -> None:
    route = zoo.route(NORTH)
    slow = replace(zoo.SHIP, speed_kn=None)
    hazards = replace(zoo.dangers([("Polygon", _box(47.1, 47.2))]), classes=("restricted",))
    plan = make_plan(route, slow, Chart(loaded=True, hazards=hazards), LEAVES, NO_LIMITS)
    (area,) = plan.schedule.areas
    assert area.enters is not None
    assert area.enters.at_s is None


def test_full_hours_lie_where_she_is_then() -> None:
    plan = _plan(zoo.route(NORTH), conditions=replace(LEAVES, departure_s=START_S + 600.0))
    labels = plan.schedule.labels
    assert [one.at_s for one in labels] == pytest.approx([3000.0, 6600.0])
    for one in labels:
        assert _gone_s(one.position.lat_deg) == pytest.approx(one.at_s, abs=0.1)
    undated = _plan(zoo.route(NORTH), conditions=STILL_WATER).schedule.labels
    assert [one.at_s for one in undated] == pytest.approx([0.0, 3600.0, 7200.0])


def test_on_a_long_passage_no_more_labels_stand_than_can_be_read() -> None:
    plan = _plan(zoo.route([(10.0, -60.0), (40.0, -10.0)]))
    at_h = np.array([one.at_s for one in plan.schedule.labels]) / HOUR_S
    assert 10 < at_h.size <= 61
    assert np.ptp(np.diff(at_h)) == pytest.approx(0.0, abs=1e-6)
