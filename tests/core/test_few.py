"""The few dangers that matter to each piece, where they are abeam, and when."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests import zoo
from tests.core.test_margins import NORTH, _beside, _route
from wheelover.core.clearance.foremost import FEW, MOST
from wheelover.core.geo import geodesic
from wheelover.core.times.pieces import NO_CURRENT_NOTE, piece_times
from wheelover.core.track import lay_track
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.clearance import Piece
from wheelover.core.types.route import LegWishes, Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.times import PieceTime
from wheelover.core.units import NM_M, m_per_s_from_kn

FIRST = Piece(kind="leg", index=0)


def test_the_few_with_the_least_margin_and_every_one_inside_its_limit() -> None:
    hazards = _beside(*((distance_m, None) for distance_m in (900, 100, 300, 200, 600, 700)))
    track = lay_track(_route(), zoo.SHIP)
    found = [one for one in zoo.clear(track.pieces, hazards, 50.0).near if one.piece == FIRST]
    assert [one.hazard_index for one in found] == [1, 3, 2]
    found = [one for one in zoo.clear(track.pieces, hazards, 650.0).near if one.piece == FIRST]
    assert [one.hazard_index for one in found] == [1, 3, 2, 4]
    assert [one.met for one in found] == [False] * 4


def test_a_danger_off_a_corner_is_told_by_the_turn_alone() -> None:
    lat, lon, _ = geodesic.direct(47.3, -30.0, 315.0, 1000.0)
    track = lay_track(_route(), zoo.SHIP)
    found = zoo.clear(track.pieces, zoo.points([(float(lat[0]), float(lon[0]))]), 50.0).near
    told = [one.piece.kind for one in found if one.abeam]
    assert told == ["turn"]
    # Where nothing else is near the leg tells it too, and that it is not abeam there.
    assert {one.piece.kind for one in found if not one.abeam} <= {"leg"}


@given(st.floats(-30_000.0, 30_000.0), st.floats(10.0, 3000.0), st.sampled_from([90.0, 270.0]))
def test_abeam_is_square_to_the_track(north_m: float, off_m: float, bearing_deg: float) -> None:
    lat, lon, _ = geodesic.direct(47.15, -30.0, 0.0 if north_m >= 0 else 180.0, abs(north_m))
    lat, lon, _ = geodesic.direct(lat, lon, bearing_deg, off_m)
    track = lay_track(zoo.route(NORTH[:2]), zoo.SHIP)
    found = zoo.clear(track.pieces, zoo.points([(float(lat[0]), float(lon[0]))])).near
    for one in found:
        at, to = one.nearest, one.hazard_point
        bearing, _, distance_m = geodesic.inverse(at.lat_deg, at.lon_deg, to.lat_deg, to.lon_deg)
        assert one.distance_m == pytest.approx(float(distance_m[0]), abs=1e-3)
        if one.abeam:
            square = 90.0 if one.side == "starboard" else 270.0
            assert float(bearing[0]) == pytest.approx(square, abs=1e-3)
        else:
            assert one.side in ("ahead", "astern")


def test_a_crossed_danger_is_abeam_where_it_is_met() -> None:
    line = [[-30.1, 47.1], [-29.9, 47.1]]
    track = lay_track(_route(), zoo.SHIP)
    found = zoo.clear(track.pieces, zoo.dangers([("LineString", line)])).near
    (one,) = [one for one in found if one.piece == FIRST]
    assert (one.side, one.abeam, one.distance_m) == ("crossed", True, 0.0)
    assert one.nearest.lat_deg == pytest.approx(47.1, abs=1e-9)


def test_without_dangers_nothing_is_told() -> None:
    track = lay_track(_route(), zoo.SHIP)
    assert zoo.clear(track.pieces, zoo.points([])).near == ()


def test_no_more_than_the_few_are_told_of_many() -> None:
    spread = np.random.default_rng(3).uniform(200.0, 3000.0, 400)
    hazards = _beside(*((float(one), None) for one in spread))
    track = lay_track(_route(), zoo.SHIP)
    found = [one for one in zoo.clear(track.pieces, hazards, 100.0).near if one.piece == FIRST]
    assert [one.hazard_index for one in found] == np.argsort(spread)[:FEW].tolist()


def _times(route: Route, ship: ShipProfile, conditions: Conditions) -> dict[Piece, PieceTime]:
    return piece_times(lay_track(route, ship, conditions), route, ship, conditions)


def test_times_count_along_legs_and_through_turns() -> None:
    conditions = Conditions(set_deg=0.0, drift_kn=2.0)
    track = lay_track(_route(), zoo.SHIP, conditions)
    times = piece_times(track, _route(), zoo.SHIP, conditions)
    leg, turn = times[FIRST], times[Piece(kind="turn", index=0)]
    (first, second), (arc,) = track.legs, [one.arc for one in track.turns]
    assert arc is not None
    assert (leg.start_s, leg.note) == (0.0, None)
    assert leg.speed_m_per_s == pytest.approx(m_per_s_from_kn(14.0), rel=1e-12)
    run_s = first.track_to_m / m_per_s_from_kn(14.0)
    assert turn.start_s == pytest.approx(run_s)
    last = times[Piece(kind="leg", index=1)]
    # From north to east in a stream to the north: 14 kn at first, sqrt(12^2 - 2^2) at the end.
    duration_s = (last.start_s or 0.0) - run_s
    speeds = (m_per_s_from_kn(14.0), m_per_s_from_kn(np.sqrt(144.0 - 4.0)))
    assert arc.arc_m / speeds[0] < duration_s < arc.arc_m / speeds[1]
    assert last.at_s(second.track_from_m) == pytest.approx(last.start_s)
    assert leg.at_s(NM_M) == pytest.approx(3600.0 / 14.0)


def test_in_still_water_an_arc_takes_its_length_at_the_speed_in_the_turn() -> None:
    times = _times(_route(), zoo.SHIP, Conditions())
    track = lay_track(_route(), zoo.SHIP)
    turn, last = times[Piece(kind="turn", index=0)], times[Piece(kind="leg", index=1)]
    assert (last.start_s or 0.0) - (turn.start_s or 0.0) == pytest.approx(track.turns[0].duration_s)


def test_without_a_current_still_water_is_assumed_and_said() -> None:
    times = _times(_route(), zoo.SHIP, Conditions())
    assert {one.note for one in times.values()} == {NO_CURRENT_NOTE}


def test_after_a_leg_without_speed_or_a_hole_no_time_is_known() -> None:
    slow = replace(zoo.SHIP, speed_kn=None)
    times = _times(_route(LegWishes(speed_kn=10.0)), slow, Conditions())
    assert times[FIRST].at_s(100.0) is not None
    last = times[Piece(kind="leg", index=1)]
    assert (last.at_s(0.0), last.reason) == (None, "no speed is given on the leg to W2")
    holed = zoo.route([*NORTH, (47.4, -29.4)])
    points = holed.waypoints
    holed = replace(holed, waypoints=(*points[:2], replace(points[2], gap_before=True), points[3]))
    times = _times(holed, zoo.SHIP, Conditions())
    assert times[FIRST].at_s(0.0) == 0.0
    reason = times[Piece(kind="leg", index=1)].reason
    assert reason is not None
    assert "hole" in reason


def test_against_a_stream_faster_than_the_ship_no_time_is_known() -> None:
    reason = _times(_route(), zoo.SHIP, Conditions(set_deg=180.0, drift_kn=13.0))[FIRST].reason
    assert reason is not None
    assert "faster than the ship" in reason


def test_of_very_many_inside_their_limit_the_worst_are_told_and_the_rest_counted() -> None:
    spread = np.random.default_rng(5).uniform(10.0, 900.0, 40)
    hazards = _beside(*((float(one), None) for one in spread))
    track = lay_track(_route(), zoo.SHIP)
    found = zoo.clear(track.pieces, hazards, 1000.0)
    told = [one.hazard_index for one in found.near if one.piece == FIRST]
    assert told == np.argsort(spread)[:MOST].tolist()
    assert found.near_left_out[FIRST] == 40 - MOST
