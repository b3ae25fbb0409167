"""The window of a wheel-over: how early and how late, and what binds."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from tests import swept_runs, zoo
from tests.swept_runs import BEAM_M, LOA_M, Turn
from wheelover.core.errors import InvalidShip, OutOfDomain
from wheelover.core.geo.plane import from_plane_deg
from wheelover.core.legs import points_along
from wheelover.core.sweep.gaps import forbidden, gaps_between, tightest_key
from wheelover.core.sweep.hull import hull_box_m
from wheelover.core.sweep.near import hull_clearances
from wheelover.core.sweep.shifts import too_near
from wheelover.core.sweep.strip import swept_polygon_m
from wheelover.core.sweep.window import SEARCH_BACK_M, SEARCH_ON_LENGTHS, wheel_over_window
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.manoeuvre import Current
from wheelover.core.types.route import Position
from wheelover.core.types.sweep import Window
from wheelover.core.units import nm_from_m

NOTHING = zoo.points([])
SPEED = 6.0


def _window(turn: Turn, hazards: Hazards = NOTHING, **more: Any) -> Window:
    given_more = {"loa_m": LOA_M, "beam_m": BEAM_M, "speed_over_ground_m_per_s": SPEED, **more}
    return wheel_over_window(
        turn.motion, turn.wheel_over, turn.leg_in, turn.leg_out, hazards, **given_more
    )


def _ends(window: Window) -> tuple[float, float]:
    assert window.earliest is not None
    assert window.latest is not None
    return window.earliest.later_m, window.latest.later_m


def _points(turn: Turn, places_m: Any, **more: float) -> Hazards:
    """Return point dangers at places (ahead, to starboard) of the wheel-over."""
    lat, lon = _positions(turn, places_m)
    return zoo.points(list(zip(lat.tolist(), lon.tolist(), strict=True)), **more)


def _positions(turn: Turn, places_m: Any) -> tuple[Any, Any]:
    assert turn.leg_in.path is not None
    course = math.radians(turn.leg_in.path.course_deg)
    ahead, aside = np.array(places_m, np.float64).reshape(-1, 2).T
    east_m = ahead * math.sin(course) + aside * math.cos(course)
    north_m = ahead * math.cos(course) - aside * math.sin(course)
    middle_deg = (turn.wheel_over.lat_deg, turn.wheel_over.lon_deg)
    return from_plane_deg(middle_deg, np.stack([east_m, north_m], axis=-1))


def _area(turn: Turn, places_m: Any) -> tuple[str, Any]:
    lat, lon = _positions(turn, [*places_m, places_m[0]])
    return "Polygon", [np.stack([lon, lat], axis=-1).tolist()]


def _moved(turn: Turn, later_m: float) -> Position:
    """Return the wheel-over, moved along the inbound leg."""
    assert turn.leg_in.path is not None
    along_m = turn.leg_in.length_m - turn.distance_m + later_m
    lat, lon, _ = points_along(turn.leg_in.path, along_m)
    return Position(lat_deg=float(lat[0]), lon_deg=float(lon[0]))


# Intervals


def test_gaps_between_intervals_and_what_bounds_them() -> None:
    them = forbidden(
        (-math.inf, 0.0, 9), (5.0, 6.0, 1), (5.5, 8.0, 2), (5.2, 5.8, 3), (20, math.inf, 9)
    )
    gaps = [(gap.low_m, gap.high_m, gap.low_key, gap.high_key) for gap in gaps_between(them)]
    assert gaps == [(0.0, 5.0, 9, 1), (8.0, 20.0, 2, 9)]
    assert gaps_between(forbidden()) == []
    assert gaps_between(forbidden((0.0, 1.0, 0))) == []
    assert gaps_between(forbidden((0.0, 1.0, 0), (1.05, 2.0, 0))) == []


def test_the_tightest_alone_leaves_least() -> None:
    ends = forbidden((-math.inf, 0.0, 7), (10.0, math.inf, 7))
    them = forbidden((1.0, 4.0, 1), (3.0, 5.0, 1), (5.0, 10.0, 2), (0.0, 2.0, 3))
    assert tightest_key(them, ends) == 2


@given(st.integers(0, 2**32 - 1), st.booleans(), st.sampled_from([0.0, 3.0, 40.0]))
def test_shifts_against_a_scan(seed: int, is_point: bool, margin_m: float) -> None:
    """The interval against distances by shapely at its ends, inside and outside of it."""
    rng = np.random.default_rng(seed)
    hull = shapely.convex_hull(shapely.multipoints(rng.uniform(-50, 50, (8, 2))))
    vertex_m = shapely.get_coordinates(hull)[:-1]
    ends_m = rng.uniform(-150, 150, (2, 2))
    if is_point:
        ends_m[1] = ends_m[0]
    shifts = too_near(vertex_m[None], np.zeros(1), ends_m[None], np.array([margin_m]), (-1e4, 1e4))
    thing = shapely.Point(ends_m[0]) if is_point else shapely.LineString(ends_m)

    def off_m(shift: float) -> float:
        return float(shapely.distance(shapely.Polygon(vertex_m + np.array([shift, 0.0])), thing))

    looks = np.linspace(-400.0, 400.0, 1601)
    near = np.array([off_m(one) for one in looks]) <= margin_m
    if shifts.part.size == 0:
        assert not near.any()
        return
    low_m, high_m = float(shifts.low_m[0]), float(shifts.high_m[0])
    assert np.array_equal(near, (looks >= low_m) & (looks <= high_m))
    assert off_m(low_m) == pytest.approx(margin_m, abs=1e-6)
    assert off_m(high_m) == pytest.approx(margin_m, abs=1e-6)


def test_shifts_of_nothing() -> None:
    found = too_near(
        np.zeros((1, 4, 2)), np.zeros(1), np.empty((0, 2, 2)), np.empty(0), (-10.0, 10.0)
    )
    assert found.part.size == 0


# The window


def test_without_limits_it_is_the_range_looked_at() -> None:
    turn = swept_runs.turn()
    window = _window(turn)
    assert window.planned_inside
    assert window.planned_distance_m == pytest.approx(turn.distance_m, abs=1e-3)
    assert _ends(window) == (
        -SEARCH_BACK_M,
        pytest.approx(turn.distance_m + SEARCH_ON_LENGTHS * LOA_M, abs=1e-3),
    )
    assert window.earliest is not None
    assert window.earliest.bound.kind == "range"
    assert window.latest is not None
    assert window.latest.bound.kind == "range"
    assert window.latest.distance_m == pytest.approx(-SEARCH_ON_LENGTHS * LOA_M)


def test_the_inbound_leg_begins_somewhere() -> None:
    turn = swept_runs.turn()
    short = replace(turn, leg_in=swept_runs.leg(_moved(turn, -500.0), swept_runs.WAYPOINT, 0))
    window = _window(short)
    assert window.earliest is not None
    assert window.earliest.bound.kind == "leg_start"
    assert window.earliest.later_m == pytest.approx(-500.0, abs=1e-3)


@pytest.mark.parametrize("change_deg", [70.0, -70.0, 25.0, 140.0])
def test_off_track_by_its_closed_form(change_deg: float) -> None:
    """Each metre later puts her the sine of the change of course farther outside."""
    turn = swept_runs.turn(30.0, change_deg)
    window = _window(turn, off_track_limit_m=150.0)
    sine = math.sin(math.radians(change_deg))
    # Still 0.3 m off: meridians meet, and the run was laid out on a plane with one north.
    assert abs(window.off_track_m) < 0.5
    assert window.off_track_m_per_s == pytest.approx(-SPEED * sine, rel=1e-3)
    early_m, late_m = _ends(window)
    assert (late_m - early_m) == pytest.approx(300.0 / abs(sine), rel=1e-3)
    assert (late_m + early_m) / 2 == pytest.approx(window.off_track_m / sine, abs=0.05)
    assert window.earliest is not None
    assert (window.earliest.bound.kind, window.earliest.bound.limit_m) == ("off_track", 150.0)
    assert window.earliest.later_s == pytest.approx(early_m / SPEED)
    assert window.earliest.distance_m == pytest.approx(turn.distance_m - early_m, abs=1e-3)


@pytest.mark.parametrize("change_deg", [70.0, -70.0])
def test_dangers_inside_bind_the_earliest_and_outside_the_latest(change_deg: float) -> None:
    turn = swept_runs.turn(30.0, change_deg)
    side = math.copysign(1.0, change_deg)
    hazards = _points(turn, [(250.0, 350.0 * side), (1000.0, -40.0 * side)])
    window = _window(turn, hazards, limits=Limits(min_clearance_m=60.0))
    assert window.planned_inside
    assert window.earliest is not None
    assert window.latest is not None
    assert window.earliest.bound.hazard_id == "h0"
    assert window.latest.bound.hazard_id == "h1"
    assert window.latest.bound.limit_m == 60.0
    assert window.earliest.later_m < 0.0 < window.latest.later_m


@given(
    st.integers(0, 2**32 - 1),
    st.sampled_from([70.0, -70.0]),
    st.sampled_from([0.0, 1.5]),
    st.sampled_from([None, 35.0]),
)
def test_the_run_from_either_end_keeps_just_its_distance(
    seed: int, change_deg: float, drift: float, hard_over_deg: float | None
) -> None:
    """A run begun at the ends has the margin, begun inside more, begun beyond less.

    In a current too: it moves everything. Looked at by another way, the distances of the run from
    its dangers where it then lies. Meridians meet, so that 2 km away it lies 0.3 m otherwise.
    """
    current = Current(set_deg=250.0, drift_m_per_s=drift)
    turn = swept_runs.turn(30.0, change_deg, current=current, hard_over_deg=hard_over_deg, rows=60)
    rng = np.random.default_rng(seed)
    hazards = _points(turn, rng.uniform(-700, 1600, (4, 2)), uncertainty_m=12.0)
    window = _window(turn, hazards, limits=Limits(min_clearance_m=30.0))
    if window.earliest is None or window.latest is None:
        assert window.tightest is not None
        return

    def least_m(later_m: float) -> float:
        rows = hull_clearances(turn.motion, _moved(turn, later_m), LOA_M, BEAM_M, hazards)
        return min((row.clearance_m for row in rows), default=math.inf)

    low_m, high_m = _ends(window)
    assert least_m(low_m) > 29.7
    assert least_m(high_m) > 29.7
    assert least_m((low_m + high_m) / 2) > 29.7
    if window.earliest.bound.kind == "danger":
        assert least_m(low_m) == pytest.approx(30.0, abs=0.3)
        assert least_m(low_m - 2.0) < 30.0
    if window.latest.bound.kind == "danger" and least_m(high_m + 2.0) < 30.0:
        # Else it is the way held on that meets the danger, not the run.
        assert least_m(high_m) == pytest.approx(30.0, abs=0.3)
    if window.planned_inside:
        assert least_m(0.0) > 30.0


@given(st.integers(0, 2**32 - 1), st.floats(20.0, 400.0), st.floats(1.0, 3.0))
def test_a_larger_off_track_limit_never_narrows_it(
    seed: int, limit_m: float, larger_ratio: float
) -> None:
    turn = swept_runs.turn(30.0, 70.0, rows=60)
    hazards = _points(turn, np.random.default_rng(seed).uniform(-900, 1800, (5, 2)))
    tight = _window(turn, hazards, off_track_limit_m=limit_m, limits=Limits(min_clearance_m=40.0))
    roomy = _window(
        turn, hazards, off_track_limit_m=limit_m * larger_ratio, limits=Limits(min_clearance_m=40.0)
    )
    if tight.earliest is None:
        return
    assert roomy.earliest is not None
    assert roomy.planned_inside or not tight.planned_inside
    if tight.planned_inside:
        assert _ends(roomy)[0] <= _ends(tight)[0]
        assert _ends(roomy)[1] >= _ends(tight)[1]


@given(st.integers(0, 2**32 - 1))
def test_it_is_mirrored_with_the_turn(seed: int) -> None:
    places = np.random.default_rng(seed).uniform(-500, 1500, (4, 2))
    found = []
    for side in (1.0, -1.0):
        turn = swept_runs.turn(0.0, 70.0 * side, rows=60)
        turn = replace(
            turn,
            leg_in=replace(turn.leg_in, xtd_port_nm=0.1, xtd_starboard_nm=0.1),
            leg_out=replace(turn.leg_out, xtd_port_nm=0.1, xtd_starboard_nm=0.1),
        )
        found.append(_window(turn, _points(turn, places * [1.0, side]), off_track_limit_m=400.0))
    one, other = found
    assert (one.planned_inside, one.window_count) == (other.planned_inside, other.window_count)
    if one.earliest is not None:
        assert _ends(one) == pytest.approx(_ends(other), abs=0.05)


def test_a_corridor_binds_outside_and_inside() -> None:
    """Late she swings out over the outer side of the outbound leg, early over its inner side."""
    turn = swept_runs.turn(30.0, 70.0)
    limit_nm = nm_from_m(250.0)
    bounded = replace(
        turn, leg_out=replace(turn.leg_out, xtd_port_nm=limit_nm, xtd_starboard_nm=limit_nm)
    )
    window = _window(bounded)
    assert window.planned_inside
    assert window.earliest is not None
    assert window.latest is not None
    late, early = window.latest.bound, window.earliest.bound
    assert (late.kind, late.leg, late.side) == ("corridor", "outbound", "port")
    assert (early.kind, early.leg, early.side) == ("corridor", "outbound", "starboard")
    assert late.limit_m == pytest.approx(250.0)
    # The steady hull alone leaves 250 m less half her beam, over the sine of the change.
    sine = math.sin(math.radians(70.0))
    assert window.latest.later_m <= (250.0 - BEAM_M / 2) / sine + 0.5
    assert window.earliest.later_m >= -(250.0 - BEAM_M / 2) / sine - 0.5
    for end, beyond in ((window.earliest, -1.0), (window.latest, 1.0)):
        assert _outside_m2(bounded, end.later_m - 0.2 * beyond, 250.0) < 1.0
        assert _outside_m2(bounded, end.later_m + 2.0 * beyond, 250.0) > 1.0


def _outside_m2(turn: Turn, later_m: float, limit_m: float) -> float:
    """Return how much of a moved run lies outside the outbound corridor, behind the mitre."""
    assert turn.leg_in.path is not None
    assert turn.leg_out.path is not None
    courses = [math.radians(one.course_deg) for one in (turn.leg_in.path, turn.leg_out.path)]
    into, out = (np.array([math.sin(one), math.cos(one)]) for one in courses)
    far, waypoint = 20_000.0, turn.distance_m * into
    mitre = (out - into) / np.hypot(*(out - into))
    before = shapely.Polygon(
        [waypoint + a * far * mitre - b * far * into for a, b in [(-1, 0), (1, 0), (1, 1), (-1, 1)]]
    )
    line = shapely.LineString([waypoint - far * out, waypoint + far * out])
    corridor = line.buffer(limit_m, cap_style="flat").union(before)
    strip = swept_polygon_m(turn.motion, hull_box_m(LOA_M, BEAM_M))
    moved = shapely.transform(strip, lambda place_m: place_m + later_m * into)
    return float(moved.difference(corridor).area)


def test_a_corridor_of_the_inbound_leg_too_narrow_for_the_hull() -> None:
    turn = swept_runs.turn(30.0, 70.0)
    narrow = replace(turn, leg_in=replace(turn.leg_in, xtd_port_nm=nm_from_m(10.0)))
    window = _window(narrow)
    assert window.earliest is None
    assert window.latest is None
    assert window.window_count == 0
    assert not window.planned_inside
    assert window.tightest is not None
    assert (window.tightest.kind, window.tightest.leg) == ("corridor", "inbound")


def test_an_area_that_holds_the_whole_run_leaves_nothing() -> None:
    turn = swept_runs.turn()
    far = 30_000.0
    area = _area(turn, [(-far, -far), (far, -far), (far, far), (-far, far)])
    window = _window(turn, zoo.dangers([area]))
    assert window.earliest is None
    assert window.tightest is not None
    assert (window.tightest.kind, window.tightest.hazard_id) == ("danger", "h0")


def test_an_area_ahead_lets_nobody_begin_inside_it() -> None:
    """The run from within the area touches no edge of it, and is in it all the same."""
    turn = swept_runs.turn(30.0, 70.0)
    area = _area(turn, [(600.0, -3000.0), (600.0, 9.0), (9000.0, 9.0), (9000.0, -3000.0)])
    window = _window(turn, zoo.dangers([area]))
    assert window.window_count == 1
    assert window.latest is not None
    assert window.latest.bound.hazard_id == "h0"


def test_holding_on_counts_when_the_helm_comes_later() -> None:
    """A rock close beside the leg ahead: the run from beyond it is clear, the way there is not."""
    turn = swept_runs.turn(30.0, 70.0)
    hazards = _points(turn, [(900.0, -60.0)])
    window = _window(turn, hazards, limits=Limits(min_clearance_m=50.0))
    assert window.planned_inside
    assert window.window_count == 1
    assert window.latest is not None
    assert window.latest.bound.hazard_id == "h0"


def test_of_several_windows_the_one_with_the_planned_wheel_over_counts() -> None:
    turn = swept_runs.turn(30.0, 70.0)
    course = math.radians(30.0)
    east_m, north_m = turn.motion.east_m[100], turn.motion.north_m[100]
    aside_m = east_m * math.cos(course) - north_m * math.sin(course)
    # In the way of runs that begin 900 m earlier, and of none much earlier or later.
    rock = (east_m * math.sin(course) + north_m * math.cos(course) - 900.0, aside_m)
    hazards = _points(turn, [rock])
    window = _window(turn, hazards)
    assert window.window_count == 2
    assert window.planned_inside
    assert _ends(window)[0] < 0.0 < _ends(window)[1]
    on_it = _points(turn, [(float(turn.distance_m) - 60.0, 150.0), rock])
    other = _window(turn, on_it, limits=Limits(min_clearance_m=60.0))
    assert not other.planned_inside
    assert other.earliest is not None
    low_m, high_m = _ends(other)
    assert high_m <= 0.0 or low_m >= 0.0


def test_the_danger_s_own_limit_counts_before_the_leg_s_and_the_plan_s() -> None:
    turn = swept_runs.turn(30.0, 70.0)
    hazards = _points(turn, [(1000.0, -12.0)])
    by_plan = _window(turn, hazards, limits=Limits(min_clearance_m=30.0))
    legs = replace(turn, leg_in=replace(turn.leg_in, min_clearance_m=45.0))
    by_leg = _window(legs, hazards, limits=Limits(min_clearance_m=30.0))
    own = replace(hazards, min_clearance_m=np.array([10.0]))
    by_own = _window(legs, own, limits=Limits(min_clearance_m=30.0))
    limits = [one.latest.bound.limit_m for one in (by_plan, by_leg, by_own) if one.latest]
    assert limits == [30.0, 45.0, 10.0]
    assert _ends(by_leg)[1] < _ends(by_plan)[1] < _ends(by_own)[1]
    none = _window(turn, hazards)
    assert none.latest is not None
    assert none.latest.bound.limit_m is None
    unsure = replace(hazards, position_uncertainty_m=np.array([10.0]))
    assert _ends(_window(turn, unsure))[1] == pytest.approx(_ends(by_own)[1], abs=1e-6)


def test_hard_over_may_be_given_later() -> None:
    """Hard over from the planned wheel-over ends inside; her window lies later."""
    planned = swept_runs.turn(30.0, 70.0)
    hard = swept_runs.turn(30.0, 70.0, hard_over_deg=35.0)
    one = _window(planned, off_track_limit_m=100.0)
    other = _window(hard, off_track_limit_m=100.0)
    assert other.off_track_m > 50.0
    assert _ends(other)[1] > _ends(one)[1] + 50.0


@pytest.mark.parametrize("change_deg", [70.0, -110.0])
def test_one_pose_and_many_dangers(change_deg: float) -> None:
    turn = swept_runs.turn(30.0, change_deg)
    columns = {name: getattr(turn.motion, name)[:1] for name in turn.motion.__dataclass_fields__}
    still = replace(turn, motion=type(turn.motion)(**columns))
    window = _window(still, _points(turn, [(400.0, 0.0)] * 50))
    # The bow touches what lies ahead.
    assert _ends(window)[1] == pytest.approx(400.0 - LOA_M / 2, abs=1e-3)


def test_input_that_says_nothing_is_refused() -> None:
    turn = swept_runs.turn(30.0, 70.0)
    for more, says in (
        ({"speed_over_ground_m_per_s": 0.0}, "speed over the ground"),
        ({"speed_over_ground_m_per_s": math.nan}, "speed over the ground"),
        ({"off_track_limit_m": -1.0}, "off-track limit"),
        ({"off_track_limit_m": math.nan}, "off-track limit"),
    ):
        with pytest.raises(OutOfDomain, match=says):
            _window(turn, **more)
    with pytest.raises(InvalidShip):
        _window(turn, beam_m=0.0)
    lat, lon = _positions(turn, [(0.0, 30.0)])
    beside = replace(turn, wheel_over=Position(lat_deg=float(lat[0]), lon_deg=float(lon[0])))
    with pytest.raises(OutOfDomain, match="beside the inbound leg"):
        _window(beside)
    with pytest.raises(OutOfDomain, match="no length"):
        _window(replace(turn, leg_out=replace(turn.leg_out, path=None)))
    with pytest.raises(OutOfDomain, match="along one line"):
        _window(replace(turn, leg_out=_straight_on(turn)))


def _straight_on(turn: Turn) -> Any:
    """Return a leg that goes on where the inbound leg ends."""
    assert turn.leg_in.path is not None
    ends = points_along(turn.leg_in.path, turn.leg_in.length_m + np.array([0.0, 5000.0]))
    start, end = (
        Position(lat_deg=lat, lon_deg=lon)
        for lat, lon in zip(ends[0].tolist(), ends[1].tolist(), strict=True)
    )
    return swept_runs.leg(start, end, 1)
