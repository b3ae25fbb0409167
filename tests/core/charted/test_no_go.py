"""No-go areas, margins and holes of coverage near the track."""

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Point, box

from tests.core.charted.made import SPOT, WHOLE, cell, depth_area, quality, square
from tests.core.charted.plans import EAST, plan_over
from wheelover.core.charted.no_go import near_track
from wheelover.core.types.charted import NearTrack
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.plan import Plan
from wheelover.core.units import NM_M

GOOD = (depth_area(), quality(2))
ROCK = {"VALSOU": 3.0}


def near(plan: Plan) -> NearTrack:
    """Return what is drawn near the track of a plan on cells."""
    assert plan.on_chart is not None
    return near_track(plan.on_chart)


def ring(place: Point, distance_m: float) -> list[Point]:
    """Return places all round another at a geodesic distance."""
    found = [Geodesic.WGS84.Direct(place.y, place.x, a, distance_m) for a in range(0, 360, 15)]
    return [Point(one["lon2"], one["lat2"]) for one in found]


def test_a_rock_is_surrounded_by_its_uncertainty_and_then_by_the_margin() -> None:
    drawn = near(plan_over([cell(("UWTROC", SPOT, ROCK), *GOOD)]))
    # Zone A2: 20 m; the plan asks for 100 m.
    assert drawn.no_go.covers(SPOT)
    assert shapely.covers(drawn.no_go, ring(SPOT, 19.9)).all()
    assert not shapely.covers(drawn.no_go, ring(SPOT, 20.0 + 4.0 + 2.0 + 0.1)).any()
    assert shapely.covers(drawn.margin, ring(SPOT, 60.0)).all()
    assert shapely.covers(drawn.margin, ring(SPOT, 119.9)).all()
    assert not shapely.covers(drawn.margin, ring(SPOT, 120.0 * 1.1 + 4.0)).any()
    assert not drawn.margin.covers(SPOT)


@given(
    lon=st.floats(0.25, 0.75),
    lat=st.floats(50.49, 50.51),
    half=st.floats(1e-4, 5e-3),
    code=st.sampled_from([1, 2, 3, 4]),
)
def test_no_go_areas_hold_all_that_a_danger_may_lie_in(
    lon: float, lat: float, half: float, code: int
) -> None:
    land = square(lon, lat, half)
    shoal = ("DEPARE", land, {"DRVAL1": 5.0})
    plan = plan_over([cell(shoal, depth_area(WHOLE.difference(land)), quality(code))])
    unsure_m = {1: 5.25, 2: 20.0, 3: 50.0, 4: 500.0}[code]
    area = near(plan).no_go
    west, south, east, north = land.bounds
    for place, azimuth in (
        (Point(east, lat), 90.0),
        (Point(west, lat), 270.0),
        (Point(lon, north), 0.0),
        (Point(lon, south), 180.0),
    ):
        foot = Geodesic.WGS84.Direct(place.y, place.x, azimuth, unsure_m * 0.999)
        beyond = Geodesic.WGS84.Direct(place.y, place.x, azimuth, unsure_m * 1.1 + 4.1)
        assert area.covers(Point(foot["lon2"], foot["lat2"]))
        assert not area.covers(Point(beyond["lon2"], beyond["lat2"]))


def test_water_deep_enough_is_no_no_go_area() -> None:
    drawn = near(plan_over([cell(*GOOD)]))
    assert drawn.no_go.is_empty
    assert drawn.margin.is_empty
    assert drawn.dangers == ()


def test_shapes_end_two_miles_from_the_track() -> None:
    drawn = near(plan_over([cell(depth_area(WHOLE, DRVAL1=2.0), quality(2))]))
    assert drawn.near_m == pytest.approx(2.0 * NM_M)
    inside = Geodesic.WGS84.Direct(50.5, 0.5, 0.0, 1.99 * NM_M)["lat2"]
    outside = Geodesic.WGS84.Direct(50.5, 0.5, 0.0, 2.02 * NM_M)["lat2"]
    (danger,) = drawn.dangers
    for shape in (drawn.no_go, danger.shape):
        assert shape.covers(Point(0.5, inside))
        assert not shape.covers(Point(0.5, outside))


def test_what_no_chart_covers_is_drawn_as_a_hole() -> None:
    holed = WHOLE.difference(square(0.5, 50.501, 0.0005))
    drawn = near(plan_over([cell(*GOOD, covers=holed)]))
    # Of the hole only what was to be looked at, 105 m from the track.
    assert square(0.5, 50.501, 0.000501).covers(drawn.holes)
    assert drawn.holes.covers(Point(0.5, 50.5008))
    assert not drawn.holes.intersects(Point(0.5, 50.5012))
    assert near(plan_over([cell(*GOOD)])).holes.is_empty
    half = near(plan_over([cell(*GOOD, covers=box(0.0, 50.0, 0.5, 51.0))])).holes
    assert half.covers(Point(0.6, 50.5))
    assert not half.intersects(Point(0.49, 50.5))


def test_each_cell_is_drawn_where_it_counts() -> None:
    fine = box(0.0, 50.0, 0.5, 51.0)
    cells = [
        cell(*GOOD, name="XX3", scale=180_000),
        cell(*GOOD, name="XX5", scale=22_000, covers=fine),
    ]
    drawn = near(plan_over(cells))
    by_cell = {one.number: one.shape for one in drawn.covers}
    assert by_cell[0].covers(Point(0.7, 50.5))
    assert not by_cell[0].intersects(Point(0.4, 50.5))
    assert by_cell[1].covers(Point(0.4, 50.5))


def test_shapes_across_180_degrees_are_cut_there() -> None:
    west, east = box(179.0, 50.0, 180.0, 51.0), box(-180.0, 50.0, -179.0, 51.0)
    cells = [
        cell(depth_area(area, DRVAL1=2.0), quality(2, area), name=name, covers=area)
        for name, area in (("XX5F", west), ("XX5G", east))
    ]
    drawn = near(plan_over(cells, ((50.5, 179.9), (50.5, -179.9))))
    bounds = drawn.no_go.bounds
    assert (bounds[0], bounds[2]) == (-180.0, 180.0)
    assert drawn.no_go.covers(Point(179.95, 50.5))
    assert drawn.no_go.covers(Point(-179.95, 50.5))
    assert not drawn.no_go.intersects(Point(0.0, 50.5))
    assert drawn.holes.is_empty
    assert len(drawn.dangers) == 2


def test_margins_are_those_of_the_class() -> None:
    rock, pile = Point(0.4, 50.5), Point(0.6, 50.5)
    plan = plan_over(
        [cell(("UWTROC", rock, ROCK), ("PILPNT", pile, {}), *GOOD)],
        limits=Limits(safety_contour_m=10.0),
        min_clearance_by_class=(("structure", 300.0),),
    )
    drawn = near(plan)
    assert shapely.covers(drawn.margin, ring(pile, 299.0)).all()
    assert not shapely.intersects(drawn.margin, rock.buffer(0.005))


def test_a_long_route_is_drawn_by_its_neighbourhood_alone() -> None:
    spots = [(50.5 + 0.4 * np.sin(n), 0.02 * n, 3.0) for n in range(50)]
    drawn = near(plan_over([cell(*GOOD, soundings=spots)]))
    near_lat = {n for n, one in enumerate(spots) if abs(one[0] - 50.5) < 0.033}
    inside = {n for n in near_lat if EAST[0][1] <= spots[n][1] <= EAST[1][1]}
    assert inside <= {one.number for one in drawn.dangers}
    assert len(drawn.dangers) < len(spots)
