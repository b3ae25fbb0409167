"""A moved waypoint checked again is the whole computation, row for row: here to the last digit.

The reference is ``clear`` on the whole moved track, itself held against geographiclib in
test_clearance.py and test_clearance_shapes.py.
"""

from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest

from tests import zoo
from wheelover.core.clearance import recheck as module
from wheelover.core.clearance.passing import TrackPiece
from wheelover.core.clearance.recheck import Checked, recheck
from wheelover.core.clearance.whole import clear, measured
from wheelover.core.geo import rhumb
from wheelover.core.geo.angles import normal_longitude_deg
from wheelover.core.track import lay_track
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.clearance import Clearances
from wheelover.core.types.limits import LimitSet, WaterLimits
from wheelover.core.types.route import LegWishes, Route

PLACES = {"mid": (50.0, 3.0), "dateline": (-17.0, 179.9), "north": (71.0, -179.8), "high": (84, 30)}
LIMITS = Limits(min_clearance_m=250.0)


def a_route(seed: int, place: tuple[float, float], length_nm: float) -> Route:
    """Return a route of twelve waypoints with wide and narrow turns."""
    rng = np.random.default_rng(seed)
    places, course_deg = [place], rng.uniform(0.0, 360.0)
    for _ in range(11):
        way_m = 1852.0 * length_nm * rng.uniform(0.6, 1.6)
        lat, lon = rhumb.direct(*places[-1], course_deg, way_m)
        places.append((float(lat[0]), float(lon[0])))
        course_deg += rng.uniform(-100.0, 100.0)
    radii_nm = rng.uniform(0.1, 0.4, 10).tolist()
    lines = [("rhumb", "geodesic")[one] for one in rng.integers(0, 2, 11)]
    return zoo.route(places, radii_nm=radii_nm, lines=lines)  # type: ignore[arg-type]


def about(a_route: Route, seed: int, count: int = 240) -> Hazards:
    """Return points, lines and areas about a route; some lines and areas reach past many legs."""
    rng = np.random.default_rng([seed, 1])
    shapes: list[tuple[str, Any]] = []
    for number in range(count):
        one = a_route.waypoints[int(rng.integers(0, len(a_route.waypoints)))]
        off_m = 1852.0 * abs(rng.normal(0.0, 2.0))
        lats, lons = rhumb.direct(one.lat_deg, one.lon_deg, rng.uniform(0.0, 360.0), off_m)
        lat, lon = float(lats[0]), float(normal_longitude_deg(lons)[0])
        wide = float(rng.choice([0.003, 0.02, 0.3], p=[0.5, 0.4, 0.1]))
        box = wide / np.cos(np.radians(lat))
        if number % 3 == 0 or abs(lon) + 3.0 * box > 180.0:
            shapes.append(("Point", [lon, lat]))
        elif number % 3 == 1:
            bent = [[lon, lat], [lon + box, lat + wide], [lon + 3.0 * box, lat - wide / 2.0]]
            shapes.append(("LineString", bent))
        else:
            ring = [[lon, lat], [lon + box, lat], [lon + box, lat + wide], [lon, lat + wide]]
            shapes.append(("Polygon", [[*ring, ring[0]]]))
    own_m = rng.choice([np.nan, 40.0, 900.0], count, p=[0.8, 0.1, 0.1])
    unsure_m = rng.choice([0.0, 60.0], count)
    found = zoo.dangers(shapes)
    return replace(found, min_clearance_m=own_m, position_uncertainty_m=unsure_m)


def moved(a_route: Route, number: int, seed: int, way_m: float) -> Route:
    """Return a route with one waypoint elsewhere."""
    rng = np.random.default_rng([seed, number])
    one = a_route.waypoints[number]
    lat, lon = rhumb.direct(one.lat_deg, one.lon_deg, rng.uniform(0.0, 360.0), way_m)
    waypoints = list(a_route.waypoints)
    waypoints[number] = replace(one, lat_deg=float(lat[0]), lon_deg=float(lon[0]))
    return replace(a_route, waypoints=tuple(waypoints))


def pieces_of(a_route: Route) -> tuple[TrackPiece, ...]:
    """Return the pieces of a route as it is laid."""
    return lay_track(a_route, None).pieces


def plain(found: Clearances) -> dict[str, Any]:
    """Return clearances as what can be compared: every member, every column, every digit."""
    rows = {one.name: getattr(found.rows, one.name) for one in fields(found.rows)}
    places = rows.pop("nearest")
    rows |= {"nearest_lat_deg": places.lat_deg, "nearest_lon_deg": places.lon_deg}
    columns = {
        name: one.tobytes() if isinstance(one, np.ndarray) else one for name, one in rows.items()
    }
    others = {one.name: getattr(found, one.name) for one in fields(found) if one.name != "rows"}
    return {**others, **{f"rows.{name}": one for name, one in columns.items()}}


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("length_nm", [1.5, 12.0])
def test_rows_are_those_of_the_whole_computation(place: str, length_nm: float) -> None:
    for seed in range(3):
        route = a_route(seed, PLACES[place], length_nm)
        hazards = about(route, seed)
        base = Checked(pieces_of(route), hazards, LIMITS)
        assert plain(base.clearances) == plain(clear(base.pieces, hazards, LIMITS))
        for number, way_m in ((0, 300.0), (4, 90.0), (5, 2500.0), (11, 700.0)):
            pieces = pieces_of(moved(route, number, seed, way_m))
            again = recheck(base, pieces)
            whole = clear(pieces, hazards, LIMITS)
            assert plain(again.clearances) == plain(whole), (seed, number)
            assert_local(again.local, whole, again)
            # Two legs, the turns at their ends and what these cut off the legs beyond.
            assert np.count_nonzero(again.moved) <= 7


def assert_local(local: Clearances, whole: Clearances, again: module.Rechecked) -> None:
    """Hold what the moved pieces clear against the same of the whole."""
    wanted = {
        one.piece for one, is_moved in zip(again.pieces, again.moved, strict=True) if is_moved
    }
    rows = [one for one in whole.rows if one.piece in wanted or one.limit_piece in wanted]
    assert list(local.rows) == rows
    for name in ("infringements", "least", "near", "sides"):
        assert getattr(local, name) == tuple(
            one for one in getattr(whole, name) if one.piece in wanted
        ), name


def test_limits_by_leg_and_by_water() -> None:
    water = WaterLimits(min_clearance_m=600.0, min_clearance_by_class=(("wreck", 800.0),))
    limits = Limits(
        min_clearance_m=100.0, limit_set=LimitSet(id="s", edition=1, name="s", coastal=water)
    )
    route = a_route(7, PLACES["mid"], 3.0)
    asked = {3: LegWishes(min_clearance_m=20.0, water="coastal"), 5: LegWishes(water="coastal")}
    waypoints = [
        replace(one, leg=asked.get(number, one.leg)) for number, one in enumerate(route.waypoints)
    ]
    route = replace(route, waypoints=tuple(waypoints))
    hazards = about(route, 7)
    base = Checked(pieces_of(route), hazards, limits)
    for number in (2, 4, 5):
        pieces = pieces_of(moved(route, number, 7, 500.0))
        again, whole = recheck(base, pieces), clear(pieces, hazards, limits)
        assert any(one.rule is not None for one in whole.infringements)
        assert plain(again.clearances) == plain(whole)
        assert_local(again.local, whole, again)


def test_a_waypoint_that_goes_and_one_that_comes() -> None:
    route = a_route(3, PLACES["mid"], 3.0)
    fewer = replace(route, waypoints=(*route.waypoints[:5], *route.waypoints[6:]))
    hazards = about(route, 3)
    for one, other in ((route, fewer), (fewer, route)):
        base, pieces = Checked(pieces_of(one), hazards, LIMITS), pieces_of(other)
        assert len(base.pieces) != len(pieces)
        again = recheck(base, pieces)
        assert plain(again.clearances) == plain(clear(pieces, hazards, LIMITS))


def test_without_dangers_and_with_nothing_moved() -> None:
    route = a_route(1, PLACES["mid"], 3.0)
    none = zoo.dangers([])
    assert len(recheck(Checked(pieces_of(route), none, LIMITS), pieces_of(route)).local.rows) == 0
    hazards = about(route, 1)
    base = Checked(pieces_of(route), hazards, LIMITS)
    again = recheck(base, pieces_of(route))
    assert not again.moved.any()
    assert plain(again.clearances) == plain(base.clearances)


def test_a_forgotten_neighbour_turn_is_caught() -> None:
    """With the turn at the next waypoint left as it was the rows are not those of the whole."""
    route = a_route(2, PLACES["mid"], 3.0)
    hazards = about(route, 2)
    base = Checked(pieces_of(route), hazards, LIMITS)
    right = pieces_of(moved(route, 5, 2, 600.0))
    whole = plain(clear(right, hazards, LIMITS))
    for turn in (3, 5):
        wrong = tuple(
            old if old.piece == type(old.piece)(kind="turn", index=turn) else new
            for old, new in zip(base.pieces, right, strict=True)
        )
        assert wrong != right
        assert plain(recheck(base, wrong).clearances) != whole
    assert plain(recheck(base, right).clearances) == whole


def test_rows_that_are_not_kept_are_caught() -> None:
    """Rows that matter to no piece as it was may matter once another has been moved."""
    caught = 0
    for seed in range(4):
        route = a_route(seed, PLACES["mid"], 3.0)
        hazards = replace(about(route, seed), min_clearance_m=np.full(240, np.nan))
        base = Checked(pieces_of(route), hazards, Limits())
        base.every = measured(base.pieces, hazards, Limits()).passing
        base.index_rows()
        pieces = pieces_of(moved(route, 5, seed, 8000.0))
        again = recheck(base, pieces)
        caught += plain(again.clearances) != plain(clear(pieces, hazards, Limits()))
    assert caught > 0
