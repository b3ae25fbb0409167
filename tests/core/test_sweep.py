"""The swept hull: outlines, strip, and how near it comes to dangers."""

import math
from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from tests import swept_runs, zoo
from tests.swept_runs import BEAM_M, LOA_M
from wheelover.core.errors import InvalidShip, OutOfDomain
from wheelover.core.geo import geodesic
from wheelover.core.geo.plane import from_plane_deg, to_plane_m
from wheelover.core.manoeuvre.helm_orders import speed_made_good_m_per_s
from wheelover.core.sweep.hull import (
    clear_of_leg_m,
    crab_deg,
    half_width_m,
    hull_box_m,
    hull_shape_m,
)
from wheelover.core.sweep.near import hull_clearances
from wheelover.core.sweep.poses import MOST_STEP_DEG, outlines_m, pieces_between
from wheelover.core.sweep.strip import outlines_deg, swept_polygon_m, swept_strip, swept_width
from wheelover.core.turns.solve_arc import solve_arc
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.limits import LegAsked
from wheelover.core.types.manoeuvre import Current, Motion
from wheelover.core.types.route import Position
from wheelover.core.types.sweep import HullClearance
from wheelover.core.types.track import Arc

HERE = Position(lat_deg=60.0, lon_deg=10.0)
BOX_M = hull_box_m(LOA_M, BEAM_M)


def _run(rows: list[tuple[float, float, float, float]]) -> Motion:
    """Return a motion of (time, east, north, heading) rows."""
    time_s, east_m, north_m, heading_deg = np.array(rows, np.float64).reshape(-1, 4).T
    plain = np.zeros(time_s.size)
    return Motion(
        time_s=time_s,
        east_m=east_m,
        north_m=north_m,
        heading_deg=heading_deg,
        rate_deg_per_min=plain,
        speed_m_per_s=plain,
        rudder_deg=plain,
    )


STILL = _run([(0.0, 0.0, 0.0, 0.0)])


def _geometry(kind: str, places_m: Any, about: Position = HERE) -> tuple[str, Any]:
    """Return a GeoJSON geometry of places (east, north) in the plane about a position."""
    rings = [
        np.stack(
            from_plane_deg((about.lat_deg, about.lon_deg), np.array(ring, np.float64))[::-1]
        ).T.tolist()
        for ring in places_m
    ]
    return kind, {"Point": lambda: rings[0][0], "LineString": lambda: rings[0]}.get(
        kind, lambda: rings
    )()


def _points(places_m: Any, about: Position = HERE, **more: float) -> Hazards:
    return zoo.dangers([_geometry("Point", [[one]], about) for one in places_m], **more)


def _clear(motion: Motion, hazards: Hazards, **more: Any) -> tuple[HullClearance, ...]:
    return hull_clearances(motion, HERE, LOA_M, BEAM_M, hazards, **more)


# The plane


@pytest.mark.parametrize("middle_deg", [(0.0, 0.0), (60.0, 179.999), (-85.0, -180.0)])
def test_distances_in_the_plane_are_true_to_a_millimetre_within_2_nm(
    middle_deg: tuple[float, float],
) -> None:
    rng = np.random.default_rng(1)
    bearing_deg, off_m = (
        rng.uniform(0, 360, (2, 400)),
        3704.0 * np.sqrt(rng.uniform(0, 1, (2, 400))),
    )
    ends = [geodesic.direct(*middle_deg, bearing_deg[i], off_m[i])[:2] for i in (0, 1)]
    place_m = [to_plane_m(middle_deg, *end) for end in ends]
    true_m = geodesic.inverse(*ends[0], *ends[1])[2]
    error_m = np.abs(np.linalg.norm(place_m[0] - place_m[1], axis=1) - true_m)
    assert np.max(error_m) < 1e-3
    lat, lon = from_plane_deg(middle_deg, place_m[0])
    assert np.max(geodesic.inverse(lat, lon, *ends[0])[2]) < 1e-6


def test_a_plane_of_no_places() -> None:
    assert to_plane_m((10.0, 10.0), [], []).shape == (0, 2)
    assert from_plane_deg((10.0, 10.0), np.empty((0, 2)))[0].shape == (0,)


# The hull


def test_the_shape_to_draw_is_convex_and_inside_the_box() -> None:
    shape = shapely.Polygon(hull_shape_m(LOA_M, BEAM_M))
    assert shape.is_valid
    assert shape.equals(shape.convex_hull)
    assert shapely.Polygon(BOX_M).covers(shape)
    assert shape.bounds == (-LOA_M / 2, -BEAM_M / 2, LOA_M / 2, BEAM_M / 2)


@pytest.mark.parametrize(("loa_m", "beam_m"), [(0.0, 30.0), (200.0, -1.0), (math.nan, 30.0)])
def test_a_hull_without_size_is_refused(loa_m: float, beam_m: float) -> None:
    for outline in (hull_box_m, hull_shape_m):
        with pytest.raises(InvalidShip, match="must be above 0"):
            outline(loa_m, beam_m)


@given(st.floats(-89.0, 89.0))
def test_half_width_is_what_the_box_reaches_aside(crab: float) -> None:
    motion = _run([(0.0, 0.0, 0.0, crab % 360.0)])
    east_m = outlines_m(motion, BOX_M)[0, :, 0]
    assert half_width_m(LOA_M, BEAM_M, crab) == pytest.approx(np.max(east_m), abs=1e-9)
    assert half_width_m(LOA_M, BEAM_M, crab) == pytest.approx(-np.min(east_m), abs=1e-9)


def test_half_widths_of_many_and_of_none() -> None:
    assert half_width_m(LOA_M, BEAM_M, [0.0, 90.0]).tolist() == [BEAM_M / 2, LOA_M / 2]
    assert half_width_m(LOA_M, BEAM_M, []).shape == (0,)


def test_crab_and_speed_made_good_close_the_triangle() -> None:
    stream = Current(set_deg=200.0, drift_m_per_s=1.5)
    crab, over = crab_deg(70.0, 6.0, stream), speed_made_good_m_per_s(70.0, 6.0, stream)
    heading, course, sets = (math.radians(one) for one in (70.0 + crab, 70.0, 200.0))
    for way in (math.sin, math.cos):
        made_good = 6.0 * way(heading) + 1.5 * way(sets)
        assert made_good == pytest.approx(over * way(course), abs=1e-12)


def test_clear_of_a_leg() -> None:
    clear_m = clear_of_leg_m([100.0, 10.0, 100.0], 16.0, [0.0, 0.0, 85.3])
    assert clear_m.tolist() == pytest.approx([84.0, 0.0, 0.0])


@given(st.floats(-25.0, 25.0), st.floats(-3000.0, 3000.0), st.floats(20.0, 900.0))
def test_clear_of_a_leg_is_never_more_than_the_strip_says(
    crab: float, along_m: float, aside_m: float
) -> None:
    """Abeam of a leg of 3,000 m it is the distance from the strip; off its ends it is less."""
    motion = _run([(0.0, 0.0, 0.0, crab % 360.0), (1.0, 0.0, 3000.0, crab % 360.0)])
    strip = swept_polygon_m(motion, BOX_M)
    true_m = strip.distance(shapely.Point(aside_m, along_m))
    line_m = shapely.LineString([(0, 0), (0, 3000)]).distance(shapely.Point(aside_m, along_m))
    half_m = float(half_width_m(LOA_M, BEAM_M, crab))
    ends_m = math.hypot(LOA_M, BEAM_M) / 2 - half_m
    off_end = not 0.0 <= along_m <= 3000.0
    clear_m = float(clear_of_leg_m(line_m, half_m, ends_m if off_end else 0.0))
    assert clear_m <= true_m + 1e-6
    if LOA_M / 2 <= along_m <= 3000.0 - LOA_M / 2:
        assert clear_m == pytest.approx(true_m, abs=1e-6)


# The strip


def test_strips_of_one_pose_and_of_a_straight_run() -> None:
    assert swept_polygon_m(STILL, BOX_M).area == pytest.approx(LOA_M * BEAM_M)
    straight = _run([(0.0, 0.0, 0.0, 0.0), (9.0, 0.0, 50.0, 0.0), (60.0, 0.0, 300.0, 0.0)])
    assert swept_polygon_m(straight, BOX_M).area == pytest.approx((LOA_M + 300.0) * BEAM_M)
    crab = replace(straight, heading_deg=np.full(3, 10.0))
    wide_m = 2.0 * float(half_width_m(LOA_M, BEAM_M, 10.0))
    assert swept_polygon_m(crab, BOX_M).area == pytest.approx(LOA_M * BEAM_M + 300.0 * wide_m)


@pytest.mark.parametrize(("radius_m", "drift_deg"), [(500.0, 0.0), (500.0, 8.0), (300.0, 15.0)])
def test_a_steady_turn_by_its_closed_form(radius_m: float, drift_deg: float) -> None:
    """The outer stern corner bounds the strip outside, the side at the pivot point inside.

    Plane kinematics: the hull turns about a place R sin b ahead of and R cos b abeam of midships.
    """
    motion = swept_runs.circle(radius_m, 400, drift_deg, swept_deg=300.0)
    ahead_m, aside_m = (radius_m * f(math.radians(drift_deg)) for f in (math.sin, math.cos))
    outer_m = math.hypot(-LOA_M / 2 - ahead_m, -BEAM_M / 2 - aside_m)
    inner_m = aside_m - BEAM_M / 2
    assert ahead_m < LOA_M / 2
    strip, centre = swept_polygon_m(motion, BOX_M), shapely.Point(radius_m, 0.0)
    assert shapely.hausdorff_distance(strip, centre) == pytest.approx(outer_m, abs=1e-6)
    pieces = pieces_between(motion, BOX_M)
    assert 0.0 < pieces.bulge_m.max() < 0.02
    # The convex pieces fill the inside of the bend, by a bound that shrinks with the steps.
    assert pieces.spare_m.max() < 0.75
    assert inner_m - pieces.spare_m.max() <= strip.distance(centre) <= inner_m + 1e-6
    fine = swept_runs.circle(radius_m, 8000, drift_deg, swept_deg=300.0)
    poses = shapely.union_all(shapely.polygons(outlines_m(fine, BOX_M)[::20]))
    assert poses.distance(centre) == pytest.approx(inner_m, abs=0.01)


def _arc(turn: swept_runs.Turn, radius_m: float, change_deg: float) -> Arc:
    assert turn.leg_in.path is not None
    assert turn.leg_out.path is not None
    arc = solve_arc(turn.leg_in.path, turn.leg_out.path, radius_m, change_deg)
    assert arc is not None
    return arc


def test_swept_width_of_a_run_on_its_own_arc() -> None:
    """Midships on the planned arc: each side reaches as far as the closed form says."""
    turn = swept_runs.turn(0.0, 140.0, waypoint=HERE)
    arc = _arc(turn, 600.0, 140.0)
    whole = swept_runs.circle(600.0, 281, 6.0, swept_deg=140.0)
    # From 20 to 120 degrees of the arc, so that the hull never lies over its ends.
    columns = {one.name: getattr(whole, one.name)[40:241] for one in fields(Motion)}
    motion = Motion(**columns)
    ahead_m, aside_m = 600.0 * math.sin(math.radians(6.0)), 600.0 * math.cos(math.radians(6.0))
    width = swept_width(motion, arc.start, arc, LOA_M, BEAM_M)
    outer_m = math.hypot(LOA_M / 2 + ahead_m, BEAM_M / 2 + aside_m)
    assert width.port_m == pytest.approx(outer_m - 600.0, abs=0.05)
    assert width.starboard_m == pytest.approx(600.0 - (aside_m - BEAM_M / 2), abs=0.05)


def test_the_swept_width_is_mirrored_with_the_turn() -> None:
    widths = []
    for change_deg in (70.0, -70.0):
        turn = swept_runs.turn(0.0, change_deg, waypoint=HERE)
        arc = _arc(turn, 600.0, change_deg)
        widths.append(swept_width(turn.motion, turn.wheel_over, arc, LOA_M, BEAM_M))
    assert widths[0].port_m == pytest.approx(widths[1].starboard_m, abs=1e-3)
    assert widths[0].starboard_m == pytest.approx(widths[1].port_m, abs=1e-3)
    assert widths[0].port_at_s == pytest.approx(widths[1].starboard_at_s, abs=1e-3)
    assert widths[0].port_m > BEAM_M / 2


def test_the_strip_is_drawn_where_it_is() -> None:
    turn = swept_runs.turn()
    strip = swept_strip(turn.motion, turn.wheel_over, hull_shape_m(LOA_M, BEAM_M))
    assert strip.outer.lat_deg[0] == strip.outer.lat_deg[-1]
    middle_deg = (turn.wheel_over.lat_deg, turn.wheel_over.lon_deg)
    drawn = shapely.Polygon(to_plane_m(middle_deg, strip.outer.lat_deg, strip.outer.lon_deg))
    poses = outlines_m(turn.motion, hull_shape_m(LOA_M, BEAM_M))
    assert all(drawn.buffer(1e-3).covers(shapely.Polygon(pose)) for pose in poses)
    lat, lon = outlines_deg(turn.motion, turn.wheel_over, hull_shape_m(LOA_M, BEAM_M))
    assert lat.shape == poses.shape[:2]
    again_m = to_plane_m(middle_deg, lat.ravel(), lon.ravel())
    assert np.max(np.abs(again_m - poses.reshape(-1, 2))) < 1e-6


def test_a_round_turn_leaves_a_hole() -> None:
    strip = swept_strip(swept_runs.circle(500.0, 400, swept_deg=359.9), HERE, BOX_M)
    assert len(strip.holes) == 1


@given(st.floats(0.0, 360.0), st.floats(0.0, 3.0))
def test_a_current_carries_every_outline_along(set_deg: float, drift: float) -> None:
    """A uniform current moves the hull with the water and changes nothing else."""
    still = swept_runs.turn().motion
    sets = math.radians(set_deg)
    east_m, north_m = drift * still.time_s * math.sin(sets), drift * still.time_s * math.cos(sets)
    carried = replace(still, east_m=still.east_m + east_m, north_m=still.north_m + north_m)
    moved = outlines_m(carried, BOX_M) - np.stack([east_m, north_m], axis=-1)[:, None]
    assert np.max(np.abs(moved - outlines_m(still, BOX_M))) < 1e-9
    # What may bulge between poses is bent by the helm alone.
    assert np.max(pieces_between(carried, BOX_M).bulge_m) < 0.1


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        ([], "at least one row"),
        ([(0.0, 0.0, 0.0, math.nan)], "heading_deg of the motion"),
        ([(0.0, 0.0, 0.0, 0.0), (0.0, 0.0, 9.0, 0.0)], "must increase"),
        ([(0.0, 0.0, 0.0, 0.0), (1.0, 0.0, 9.0, MOST_STEP_DEG + 1.0)], "give more rows"),
    ],
)
def test_motions_no_hull_can_follow_are_refused(
    rows: list[tuple[float, float, float, float]], says: str
) -> None:
    with pytest.raises(OutOfDomain, match=says):
        swept_polygon_m(_run(rows), BOX_M)
    with pytest.raises(OutOfDomain, match=says):
        _clear(_run(rows), _points([(0.0, 0.0)]))


def test_columns_of_different_lengths_are_refused() -> None:
    with pytest.raises(OutOfDomain, match="one length"):
        swept_polygon_m(replace(STILL, east_m=np.zeros(2)), BOX_M)


# Dangers


def test_points_about_a_hull_that_lies_still() -> None:
    places = [(46.0, 0.0), (0.0, 131.0), (-46.0, -140.0), (10.0, -90.0), (0.0, 4000.0)]
    rows = _clear(STILL, _points(places))
    assert [row.hazard_index for row in rows] == [3, 0, 1, 2]
    assert [row.distance_m for row in rows] == pytest.approx([0.0, 30.0, 31.0, 50.0], abs=1e-6)
    assert {row.met for row in rows} == {None}


def test_no_danger_and_one() -> None:
    assert _clear(STILL, _points([])) == ()
    assert len(_clear(STILL, _points([(0.0, 300.0)]))) == 1
    assert _clear(STILL, _points([(0.0, 300.0)]))[0].hazard_id == "h0"


def test_limits_and_uncertainty() -> None:
    hazards = replace(
        _points([(116.0, 0.0), (216.0, 0.0), (9000.0, 0.0)], uncertainty_m=20.0),
        min_clearance_m=np.array([math.nan, 180.5, 9000.0]),
    )
    first, second, far = _clear(
        STILL,
        hazards,
        asked=(LegAsked(min_clearance_m=79.9), LegAsked()),
        limits=Limits(min_clearance_m=50.0),
    )
    assert (first.limit_m, first.limit_source, first.met) == (79.9, "leg", True)
    assert first.clearance_m == pytest.approx(80.0, abs=1e-6)
    assert (second.limit_source, second.met) == ("hazard", False)
    assert (far.limit_m, far.met) == (9000.0, False)
    (first, *_) = _clear(STILL, hazards, limits=Limits(min_clearance_m=81.0))
    assert (first.limit_source, first.met) == ("plan", False)


def test_lines_and_areas_with_holes() -> None:
    square = [(-900, -900), (900, -900), (900, 900), (-900, 900), (-900, -900)]
    hole = [(-300, -400), (300, -400), (300, 400), (-300, 400), (-300, -400)]
    shapes = [
        _geometry("LineString", [[(-500, 160), (500, 160)]]),
        _geometry("Polygon", [square]),
        _geometry("Polygon", [square, hole]),
        _geometry("LineString", [[(-500, 0), (500, 0)]]),
        _geometry("Polygon", [[(200, 0), (400, 0), (400, 9), (200, 0)]]),
    ]
    found = {row.hazard_index: row for row in _clear(STILL, zoo.dangers(shapes))}
    wanted = {0: 60.0, 1: 0.0, 2: 284.0, 3: 0.0, 4: 184.0}
    # Edges are straight in longitude and latitude, not in the plane: 2 cm over 1,800 m.
    assert {k: row.distance_m for k, row in found.items()} == pytest.approx(wanted, abs=0.15)


def test_a_turn_into_an_area_enters_it_once() -> None:
    turn = swept_runs.turn(0.0, 70.0, waypoint=HERE)
    last = (turn.motion.east_m[-1], turn.motion.north_m[-1])
    around = [
        (last[0] + x, last[1] + y) for x, y in [(-50, -500), (50, -500), (50, 500), (-50, 500)]
    ]
    area = _geometry("Polygon", [[*around, around[0]]], turn.wheel_over)
    (row,) = hull_clearances(turn.motion, turn.wheel_over, LOA_M, BEAM_M, zoo.dangers([area]))
    assert row.distance_m == 0.0
    assert 0 < row.pose_index < len(turn.motion.time_s) - 1
    assert row.at_s == turn.motion.time_s[row.pose_index]


@given(st.floats(-75.0, 75.0), st.sampled_from([179.99, -180.0, 5.0]), st.integers(0, 2**32 - 1))
def test_edges_against_many_places_on_them(lat_deg: float, lon_deg: float, seed: int) -> None:
    """The same edge by four thousand places on it, joined by straight lines: within 1 cm."""
    rng = np.random.default_rng(seed)
    about = Position(lat_deg=lat_deg, lon_deg=lon_deg)
    way_deg = rng.uniform(-0.06, 0.06, (2, 2)) / [np.cos(np.radians(lat_deg)), 1.0]
    ends = [[float(x + lon_deg), float(y + lat_deg)] for x, y in way_deg]
    rows = hull_clearances(STILL, about, LOA_M, BEAM_M, zoo.dangers([("LineString", ends)]))
    share = np.linspace(0.0, 1.0, 4001)[:, None]
    places = np.array(ends[0]) * (1 - share) + np.array(ends[1]) * share
    place_m = to_plane_m((lat_deg, lon_deg), places[:, 1], places[:, 0])
    way = shapely.LineString(place_m)
    wanted_m = shapely.Polygon(BOX_M[:, ::-1]).distance(way)
    if rows:
        assert rows[0].distance_m == pytest.approx(wanted_m, abs=0.011)
    else:
        assert wanted_m > 3700.0


@given(
    st.integers(0, 2**32 - 1),
    st.sampled_from([25, 60, 120]),
    st.sampled_from([(-100.0, 0.0), (30.0, 2.0), (150.0, 2.0)]),
)
def test_nothing_slips_through_between_poses(
    seed: int, rows: int, case: tuple[float, float]
) -> None:
    """Against the same run in poses twenty times as close: never farther off, hardly nearer."""
    rng = np.random.default_rng(seed)
    change_deg, drift = case
    current = Current(set_deg=120.0, drift_m_per_s=drift)
    turn, fine = (
        swept_runs.turn(20.0, change_deg, current=current, rows=count)
        for count in (rows, 20 * rows - 19)
    )
    box = outlines_m(fine.motion, BOX_M)
    # On the very corners and sides of the hull, and about the run.
    pose = rng.integers(0, len(box), 20)
    share = rng.uniform(0, 1, (20, 1))
    side = rng.integers(0, 4, 20)
    on_hull = box[pose, side] * share + box[pose, (side + 1) % 4] * (1 - share)
    about = box[rng.integers(0, len(box), 20), 0] + rng.uniform(-600, 600, (20, 2))
    places = np.concatenate([on_hull, about])
    hazards = _points(places, turn.wheel_over)
    found = hull_clearances(turn.motion, turn.wheel_over, LOA_M, BEAM_M, hazards)
    assert len(found) == 40
    # Between two close poses she sweeps their hull, to less than a millimetre.
    pairs = np.concatenate([box[:-1], box[1:]], axis=1)
    owner = np.repeat(np.arange(len(pairs)), pairs.shape[1])
    hulls = shapely.convex_hull(shapely.multipoints(pairs.reshape(-1, 2), indices=owner))
    for row in found:
        if row.hazard_index < 20:
            # Its place went by degrees, which hold it to some 1e-9 m.
            assert row.distance_m <= 1e-8
        true_m = shapely.distance(hulls, shapely.Point(places[row.hazard_index])).min()
        assert row.distance_m <= true_m + 1e-6
        assert row.distance_m >= true_m - row.allowance_m - 1e-3
        gap = geodesic.inverse(
            row.hull_point.lat_deg,
            row.hull_point.lon_deg,
            row.hazard_point.lat_deg,
            row.hazard_point.lon_deg,
        )[2][0]
        # Both places are on the piece that is nearest, which is looked at with its bulge.
        assert row.distance_m - 1e-3 <= gap <= row.distance_m + row.allowance_m + 1e-3


@given(st.integers(0, 2**32 - 1))
def test_clearances_are_mirrored_with_the_turn(seed: int) -> None:
    places = np.random.default_rng(seed).uniform(-1500, 1500, (12, 2))
    mirrored = places * [-1.0, 1.0]
    one = swept_runs.turn(0.0, 60.0, rows=60)
    other = swept_runs.turn(0.0, -60.0, rows=60)
    rows = [
        hull_clearances(
            turn.motion, turn.wheel_over, LOA_M, BEAM_M, _points(where, turn.wheel_over)
        )
        for turn, where in ((one, places), (other, mirrored))
    ]
    assert [row.hazard_index for row in rows[0]] == [row.hazard_index for row in rows[1]]
    for a, b in zip(*rows, strict=True):
        assert a.distance_m == pytest.approx(b.distance_m, abs=1e-6)


def test_a_danger_across_the_date_line() -> None:
    about = Position(lat_deg=-20.0, lon_deg=180.0)
    hazards = zoo.dangers(
        [("Point", [-179.998, -20.0]), ("LineString", [[179.99, -19.99], [180.0, -19.99]])]
    )
    rows = hull_clearances(STILL, about, LOA_M, BEAM_M, hazards)
    east_m = geodesic.inverse(-20.0, 180.0, -20.0, -179.998)[2][0]
    assert rows[0].distance_m == pytest.approx(east_m - BEAM_M / 2, abs=0.01)
    assert rows[1].hazard_index == 1
