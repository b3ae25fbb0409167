"""Clearance: limits, sides, ends, and dangers that must not get lost."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests import zoo
from tests.zoo import clear
from wheelover.core.clearance.limits import keeps_limit
from wheelover.core.geo import geodesic
from wheelover.core.track import lay_track
from wheelover.core.types.route import LegWishes
from wheelover.core.units import NM_M

STRAIGHT = [(47.0, -30.0), (47.5, -30.0)]
BEND = [(47.0, -30.0), (47.3, -30.0), (47.3, -29.5)]


def _at(lat: float, lon: float, bearing_deg: float, distance_m: float) -> tuple[float, float]:
    found = geodesic.direct(lat, lon, bearing_deg, distance_m)
    return float(found[0][0]), float(found[1][0])


def _clear(places: list[tuple[float, float]], *hazards: tuple[float, float], **more: float):
    pieces = lay_track(zoo.route(places, radii_nm=[0.5] * (len(places) - 2)), None).pieces
    return clear(pieces, zoo.points(hazards, **more), None)


@pytest.mark.parametrize(("bearing_deg", "side"), [(90.0, "starboard"), (270.0, "port")])
def test_side_of_a_leg(bearing_deg: float, side: str) -> None:
    (row,) = _clear(STRAIGHT, _at(47.25, -30.0, bearing_deg, 1000.0)).rows
    assert row.side == side
    assert row.distance_m == pytest.approx(1000.0, abs=1e-3)


def test_beyond_the_ends_of_the_track() -> None:
    ahead, astern = _at(47.5, -30.0, 10.0, 900.0), _at(47.0, -30.0, 175.0, 800.0)
    rows = {row.hazard_index: row for row in _clear(STRAIGHT, ahead, astern).rows}
    assert rows[0].side == "ahead"
    assert rows[1].side == "astern"
    assert rows[0].distance_m == pytest.approx(900.0, abs=1e-6)


def test_on_the_track_is_crossed_and_never_met() -> None:
    (row,) = _clear(STRAIGHT, (47.25, -30.0), limit_m=0.0).rows
    assert (row.distance_m, row.side, row.met) == (0.0, "crossed", False)


def test_outside_of_a_corner_without_an_arc() -> None:
    pieces = lay_track(zoo.route(BEND), None).pieces
    (row,) = clear(pieces, zoo.points([_at(47.3, -30.0, 315.0, 700.0)]), None).rows
    assert row.side == "port"


def test_inside_and_outside_of_an_arc() -> None:
    track = lay_track(zoo.route(BEND, radii_nm=[0.5]), None)
    arc = track.turns[0].arc
    assert arc is not None
    centre = (arc.centre.lat_deg, arc.centre.lon_deg)
    rows = clear(track.pieces, zoo.points([centre, (47.3, -30.0)]), None).rows
    by_hazard = {row.hazard_index: row for row in rows}
    assert by_hazard[0].distance_m == pytest.approx(0.5 * NM_M, abs=1e-3)
    assert by_hazard[1].piece.kind == "turn"
    assert by_hazard[1].side == "port"


def test_the_most_specific_limit_wins() -> None:
    hazard = _at(47.25, -30.0, 90.0, 1000.0)
    wishes = LegWishes(min_clearance_m=1500.0)
    pieces = lay_track(zoo.route(STRAIGHT, leg=wishes), None).pieces
    own = clear(pieces, zoo.points([hazard], limit_m=900.0), 5000.0).rows[0]
    legs = clear(pieces, zoo.points([hazard]), 5000.0).rows[0]
    general = clear(lay_track(zoo.route(STRAIGHT), None).pieces, zoo.points([hazard]), 5000.0)
    assert (own.limit_m, own.limit_source, own.met) == (900.0, "hazard", True)
    assert (legs.limit_m, legs.limit_source, legs.met) == (1500.0, "leg", False)
    assert (general.rows[0].limit_source, general.rows[0].met) == ("plan", False)


def test_without_a_limit_nothing_is_met() -> None:
    row = _clear(STRAIGHT, _at(47.25, -30.0, 90.0, 1000.0)).rows[0]
    assert (row.limit_m, row.met) == (None, None)


def test_uncertainty_counts_against_the_limit_and_widens_the_search() -> None:
    hazard = _at(47.25, -30.0, 90.0, 6000.0)
    wide = _clear(STRAIGHT, hazard, limit_m=5000.0, uncertainty_m=1500.0)
    assert wide.rows[0].clearance_m == pytest.approx(4500.0, abs=1e-3)
    assert wide.rows[0].met is False
    assert len(wide.infringements) == 1


def test_a_smaller_limit_nearby_hides_no_larger_one_farther_off() -> None:
    """The nearest leg asks for 500 m and has it; the next asks for 5 km and has it not."""
    places = [(47.0, -30.0), (47.3, -30.0), (47.3, -29.5)]
    route = zoo.route(places, leg=LegWishes(min_clearance_m=500.0))
    far = replace(route.waypoints[2], leg=LegWishes(min_clearance_m=5000.0))
    route = replace(route, waypoints=(*route.waypoints[:2], far))
    hazard = _at(47.27, -30.0, 90.0, 2000.0)
    plan = zoo.plan(route, a_chart=zoo.chart(hazard))
    (row,) = plan.clearances.rows
    assert (row.piece.kind, row.piece.index) == ("leg", 0)
    assert (row.limit_m, row.limit_source, row.met) == (5000.0, "leg", False)
    assert row.limit_piece is not None
    assert row.limit_piece.index == 1 or row.limit_piece.kind == "turn"
    results = {
        (one.check, one.subject.index): one.result
        for one in plan.checks
        if one.check == "leg_clearance"
    }
    assert results["leg_clearance", 1] == "must_resolve"
    assert results["leg_clearance", 0] == "not_checked"
    (finding,) = [one for one in plan.findings if one.code == "clearance_not_met"]
    assert "leg W1 to W2" in finding.message


@pytest.mark.parametrize("with_own", [1, 2])
def test_a_turn_keeps_the_plans_limit_where_only_one_leg_has_its_own(with_own: int) -> None:
    route = zoo.route(BEND, radii_nm=[0.5])
    waypoints = list(route.waypoints)
    waypoints[with_own] = replace(waypoints[with_own], leg=LegWishes(min_clearance_m=100.0))
    track = lay_track(replace(route, waypoints=tuple(waypoints)), None)
    arc = track.turns[0].arc
    assert arc is not None
    middle = arc.from_bearing_deg + arc.sweep_deg / 2.0
    hazard = _at(arc.centre.lat_deg, arc.centre.lon_deg, middle, arc.radius_m - 200.0)
    (row,) = clear(track.pieces, zoo.points([hazard]), 300.0).rows
    assert (row.piece.kind, row.limit_m, row.limit_source, row.met) == (
        "turn",
        300.0,
        "plan",
        False,
    )


def test_a_danger_inside_the_limit_of_a_farther_leg_is_listed() -> None:
    """100 m asked for on the nearest leg, 20 km by the plan on the other: 13 km is listed."""
    route = zoo.route(BEND)
    near = replace(route.waypoints[1], leg=LegWishes(min_clearance_m=100.0))
    route = replace(route, waypoints=(route.waypoints[0], near, route.waypoints[2]))
    pieces = lay_track(route, None).pieces
    (row,) = clear(pieces, zoo.points([_at(47.25, -30.0, 270.0, 13_000.0)]), 20_000.0).rows
    assert (row.limit_m, row.met) == (20_000.0, False)


def test_ahead_and_astern_are_said_at_the_ends_of_the_track_only() -> None:
    places = [(50.0, 0.0), (50.1, 0.0), (50.1, 0.0), (50.1, 0.2)]
    pieces = lay_track(zoo.route(places), None).pieces
    (row,) = clear(pieces, zoo.points([(50.105, -0.001)]), None).rows
    assert row.side == "port"


def test_an_undefined_clearance_keeps_no_limit() -> None:
    assert not keeps_limit(float("nan"), 0.0)
    assert not keeps_limit(100.0, 100.0)
    assert keeps_limit(100.1, 100.0)


def test_dangers_beyond_two_miles_get_no_row_unless_asked_for() -> None:
    hazard = _at(47.25, -30.0, 90.0, 2.01 * NM_M)
    assert len(_clear(STRAIGHT, hazard).rows) == 0
    assert len(_clear(STRAIGHT, hazard, limit_m=2.02 * NM_M).rows) == 1
    assert len(_clear(STRAIGHT, _at(47.25, -30.0, 90.0, 1.99 * NM_M)).rows) == 1


@given(st.integers(0, 2**32 - 1))
def test_no_danger_is_lost_and_none_is_farther_than_any_point_of_the_track(seed: int) -> None:
    """Against a dense walk along the whole track with the exact inverse, on a long bent route."""
    chance = np.random.default_rng(seed)
    places = [(60.0, 170.0), (62.0, -178.0), (55.0, -170.0), (50.0, 176.0)]
    lines = [("rhumb", "geodesic")[chance.integers(2)] for _ in range(3)]
    track = lay_track(zoo.route(places, lines=lines, radii_nm=[1.0, 2.0]), None)  # type: ignore[arg-type]
    walk_lat, walk_lon = _walk(track)
    pick = chance.integers(0, walk_lat.size, 12)
    off_m = chance.uniform(0.0, 3.0 * NM_M, 12)
    hazard_lat, hazard_lon, _ = geodesic.direct(
        walk_lat[pick], walk_lon[pick], chance.uniform(0, 360, 12), off_m
    )
    hazards = list(zip(hazard_lat.tolist(), hazard_lon.tolist(), strict=True))
    found = {row.hazard_index: row for row in clear(track.pieces, zoo.points(hazards), None).rows}
    for index, (lat, lon) in enumerate(hazards):
        walked_m = float(np.min(geodesic.inverse(walk_lat, walk_lon, lat, lon)[2]))
        if walked_m <= 2.0 * NM_M - 100.0:
            assert found[index].distance_m <= walked_m + 1e-6
            assert found[index].distance_m >= walked_m - 260.0


def _walk(track):
    """Return places every 500 m along the whole track."""
    from wheelover.core.legs import points_along  # noqa: PLC0415
    from wheelover.core.turns.arc import points_on_arc  # noqa: PLC0415

    lat, lon = [], []
    for piece in track.pieces:
        if piece.arc is not None:
            steps = np.linspace(0.0, abs(piece.arc.sweep_deg), 40)
            here = points_on_arc(piece.arc, steps)
        else:
            steps = np.append(np.arange(piece.from_m, piece.to_m, 500.0), piece.to_m)
            here = points_along(piece.leg, steps)[:2]
        lat.append(here[0])
        lon.append(here[1])
    return np.concatenate(lat), np.concatenate(lon)


@given(st.permutations(range(6)))
def test_the_order_in_which_dangers_came_in_says_nothing(order: list[int]) -> None:
    """Three lie in one place, two as far on either hand: ids settle what is equal."""
    spot, other = _at(47.25, -30.0, 90.0, 400.0), _at(47.1, -30.0, 270.0, 900.0)
    east, west = (47.4, -29.99), (47.4, -30.01)
    places = [spot, spot, spot, east, west, other]
    pieces = lay_track(zoo.route(STRAIGHT), None).pieces
    shuffled = replace(
        zoo.points([places[index] for index in order], limit_m=1000.0),
        ids=tuple(f"h{index}" for index in order),
    )
    found = clear(pieces, shuffled, None)
    rows = [shuffled.ids[row.hazard_index] for row in found.rows]
    in_order = clear(pieces, zoo.points(places, limit_m=1000.0), None)
    assert rows == [f"h{row.hazard_index}" for row in in_order.rows]
    assert [shuffled.ids[one.hazard_index] for one in found.least] == ["h0"]
