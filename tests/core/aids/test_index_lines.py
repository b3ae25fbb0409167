"""Parallel index lines: ranges against another library, limits, hand-over and what is not known."""

import itertools
import math

import pytest
from geographiclib.geodesic import Geodesic
from pygeodesy.rhumb.aux_ import RhumbAux
from scipy.optimize import minimize_scalar

from tests import zoo
from tests.core.aids.waters import (
    NORTH,
    beside,
    ceiled,
    floored,
    index_of,
    mark,
    seen,
    track,
    waters,
)
from wheelover.core.types.aid_lines import IndexLine, LegIndex
from wheelover.core.types.marks import Mark
from wheelover.core.types.route import LegWishes

MILE_M = 1852.0


def of_leg(*marks: Mark, chosen: tuple[str, ...] = (), **more: object) -> LegIndex:
    laid = track(leg=more.pop("leg", None))  # type: ignore[arg-type]
    around = more.pop("waters", waters())
    asked = {0: chosen} if chosen else {}
    (found,) = index_of(laid.legs, seen(*marks, **more), asked, around)  # type: ignore[arg-type]
    return found


def one(found: LegIndex) -> IndexLine:
    (line,) = found.in_use
    return line


CASES = [
    (lat, course, along, across_nm, port)
    for (lat, port), course, (along, across_nm) in zip(
        itertools.cycle([(-70.0, True), (-33.3, False), (12.5, True), (51.0, False), (70.0, True)]),
        [1.0, 44.0, 90.0, 135.0, 179.0, 201.0, 270.0, 315.0, 359.0, 60.0],
        itertools.cycle([(0.2, 0.2), (0.5, 1.7), (0.8, 4.0)]),
        strict=False,
    )
]


@pytest.mark.parametrize(("lat", "course", "along", "across_nm", "port"), CASES)
def test_range_to_a_rhumb_leg_by_another_library(
    lat: float, course: float, along: float, across_nm: float, port: bool
) -> None:
    """The least distance to pygeodesy's rhumb line, by geographiclib's geodesics."""
    rhumb = RhumbAux(exact=True)
    end = rhumb.Direct(lat, 10.0, course, 5.0 * MILE_M)
    middle = rhumb.Direct(lat, 10.0, course, along * 5.0 * MILE_M)
    bearing = course + (-90.0 if port else 90.0)
    there = Geodesic.WGS84.Direct(middle.lat2, middle.lon2, bearing, across_nm * MILE_M)
    place = there["lat2"], there["lon2"]

    def away_m(run_m: float) -> float:
        spot = rhumb.Direct(lat, 10.0, course, run_m)
        return float(Geodesic.WGS84.Inverse(spot.lat2, spot.lon2, *place)["s12"])

    wanted = minimize_scalar(
        away_m, bounds=(0.0, 5 * MILE_M), method="bounded", options={"xatol": 1e-3}
    )
    laid = track([(lat, 10.0), (end.lat2, end.lon2)])
    (found,) = index_of(laid.legs, seen(mark("M", place)), {}, waters())
    line = one(found)
    assert line.range_m == pytest.approx(wanted.fun, abs=1e-5)
    assert line.side == ("port" if port else "starboard")
    assert abs(line.set_nm - line.range_m / MILE_M) <= 0.005 + 1e-9


def test_on_a_geodesic_leg_it_says_how_far_the_range_varies() -> None:
    """Against one bearing of the line the echo wanders as the course changes: recomputed."""
    places = [(60.0, 0.0), (60.0, 0.19)]
    laid = track(places, lines=["geodesic"])
    at = (60.0 + 1.5 / 60.0, 0.095)
    (found,) = index_of(laid.legs, seen(mark("M", at)), {}, waters())
    line = one(found)
    leg = laid.legs[0].path
    assert leg is not None
    run = Geodesic.WGS84.DirectLine(60.0, 0.0, leg.course_deg, leg.length_m)
    ends = [run.Position(x) for x in (line.serves_from_m, line.serves_to_m)]
    across = []
    for spot in ends:
        sight = Geodesic.WGS84.Inverse(spot["lat2"], spot["lon2"], *at)
        angle = sight["azi1"] - line.line_bearing_deg
        across.append(abs(sight["s12"] * math.sin(math.radians(angle))))
    assert line.varies_m == pytest.approx(max(abs(x - line.range_m) for x in across), abs=1e-4)
    assert line.course_change_deg == pytest.approx(ends[1]["azi2"] - ends[0]["azi2"], abs=1e-6)
    assert line.varies_m > 1.0


def test_limits_are_what_danger_and_margin_leave() -> None:
    """Plane sums: mark 1.000 NM to starboard, danger 800 m to port, 500 m asked, XTD 0.10 NM."""
    rock = beside(5000.0, -800.0)
    line = one(
        of_leg(
            mark("M", beside(5000.0, MILE_M)),
            waters=waters(zoo.chart(rock), limit_m=500.0),
            leg=LegWishes(xtd_starboard_nm=0.10),
        )
    )
    least, most = line.limits
    assert (least.word, least.room.source, least.range_nm) == ("NLT", "cross_track", 0.9)
    assert (most.word, most.room.source) == ("NMT", "danger")
    assert most.room.room_m == pytest.approx(300.0, abs=0.01)
    assert most.range_nm == floored((MILE_M - line.varies_m + 300.0) / MILE_M)
    assert most.room.not_checked is not None


def test_the_cross_track_limit_counts_where_it_is_nearer_than_the_danger() -> None:
    line = one(
        of_leg(
            mark("M", beside(5000.0, -2.0 * MILE_M)),
            waters=waters(zoo.chart(beside(5000.0, 1500.0)), limit_m=500.0),
            leg=LegWishes(xtd_port_nm=0.3, xtd_starboard_nm=0.25),
        )
    )
    assert [each.room.source for each in line.limits] == ["cross_track", "cross_track"]
    assert line.limits[0].range_nm == ceiled((2.0 * MILE_M + line.varies_m) / MILE_M - 0.3)
    assert line.limits[1].range_nm == floored((2.0 * MILE_M - line.varies_m) / MILE_M + 0.25)


def test_without_loaded_dangers_the_limits_are_not_known_whatever_the_corridor() -> None:
    line = one(
        of_leg(
            mark("M", beside(5000.0, MILE_M)),
            leg=LegWishes(xtd_port_nm=0.5, xtd_starboard_nm=0.5),
        )
    )
    assert [each.range_nm for each in line.limits] == [None, None]
    assert {each.reason for each in line.limits} == {"no dangers are loaded"}


def test_without_a_margin_nothing_is_a_limit() -> None:
    found = of_leg(
        mark("M", beside(5000.0, MILE_M)), waters=waters(zoo.chart(beside(5000.0, -800.0)))
    )
    port = one(found).limits[1]
    assert port.range_nm is None
    assert port.reason == "no margin is asked of h0, 800 m off"


def test_uncertain_places_of_danger_and_mark_count_against_the_limits() -> None:
    rock = zoo.chart(beside(5000.0, -1000.0), uncertainty_m=100.0)
    buoy = mark("B", beside(5000.0, MILE_M), floating=True, position_uncertainty_m=40.0)
    line = one(of_leg(buoy, waters=waters(rock, limit_m=500.0)))
    wanted_m = MILE_M - line.varies_m - 40.0 + 400.0
    assert line.limits[1].range_nm == floored(wanted_m / MILE_M)
    assert any("floating" in note for note in line.notes)


def test_the_range_is_set_so_that_she_runs_on_the_side_with_more_room() -> None:
    rock = zoo.chart(beside(5000.0, -800.0))
    mark_m = 1.0043 * MILE_M
    line = one(
        of_leg(
            mark("M", beside(5000.0, mark_m)),
            waters=waters(rock, limit_m=500.0),
            leg=LegWishes(xtd_starboard_nm=0.5),
        )
    )
    # 300 m to port, 926 m to starboard: a lesser range brings her to starboard.
    assert line.set_nm == 1.0
    assert line.set_off_m == pytest.approx(mark_m - MILE_M, abs=0.01)
    line = one(
        of_leg(
            mark("M", beside(5000.0, mark_m)),
            waters=waters(zoo.chart(beside(5000.0, 800.0)), limit_m=500.0),
            leg=LegWishes(xtd_port_nm=0.5),
        )
    )
    assert (line.set_nm, line.set_off_m < 0.0) == (1.01, True)


def test_a_track_that_does_not_keep_the_margin_has_no_room() -> None:
    line = one(
        of_leg(
            mark("M", beside(5000.0, MILE_M)),
            waters=waters(zoo.chart(beside(5000.0, -300.0)), limit_m=500.0),
        )
    )
    room = line.limits[1].room
    assert room.room_m == pytest.approx(-200.0, abs=0.01)
    assert line.limits[1].range_nm is not None
    assert line.limits[1].range_nm < line.range_m / MILE_M


def test_fixed_before_unsaid_before_floating_and_hand_over_between() -> None:
    far = mark("far", beside(1500.0, 2.0 * MILE_M))
    buoy = mark("buoy", beside(4000.0, MILE_M), floating=True)
    late = mark("late", beside(10_000.0, -MILE_M), radar_conspicuous=None)
    found = of_leg(far, buoy, late)
    assert [line.mark_id for line in found.in_use] == ["far", "late"]
    first, second = found.in_use
    assert first.hand_over_to_id == "late"
    assert first.use_to_m == second.use_from_m
    assert first.hand_over_from_m == pytest.approx(second.serves_from_m)
    assert first.hand_over_to_m == pytest.approx(first.serves_to_m)
    assert [line.mark_id for line in found.lines if line.use == "offered"] == ["buoy"]
    assert found.not_served == ()


def test_an_object_serves_half_the_range_scale_either_way_and_the_rest_is_named() -> None:
    found = of_leg(mark("M", beside(3000.0, MILE_M)), scale_nm=3.0)
    line = one(found)
    assert line.serves_from_m == pytest.approx(3000.0 - 1.5 * MILE_M, abs=5.0)
    assert line.serves_to_m == pytest.approx(3000.0 + 1.5 * MILE_M, abs=5.0)
    first, last = found.not_served
    assert first.to_m == pytest.approx(line.serves_from_m)
    assert last.from_m == pytest.approx(line.serves_to_m)
    assert last.to_m == pytest.approx(track().legs[0].track_to_m)


def test_a_choice_is_kept_and_one_that_cannot_be_used_says_why() -> None:
    near = mark("near", beside(5000.0, MILE_M))
    buoy = mark("buoy", beside(6000.0, 1.5 * MILE_M), floating=True)
    close = mark("close", beside(5000.0, 50.0))
    away = mark("away", beside(5000.0, 9.0 * MILE_M))
    found = of_leg(near, buoy, close, away, chosen=("buoy", "close", "away", "gone"))
    assert [(line.mark_id, line.use) for line in found.in_use] == [("buoy", "chosen")]
    reasons = {each.mark_id: each.reason for each in found.not_usable}
    assert set(reasons) == {"close", "away", "gone"}
    assert reasons["gone"] == "no mark of this id is loaded"
    assert "near" in {line.mark_id for line in found.lines if line.use == "offered"}


def test_a_mark_that_radar_does_not_show_is_not_proposed() -> None:
    dull = mark("dull", beside(5000.0, MILE_M), radar_conspicuous=False)
    assert of_leg(dull).in_use == ()
    assert of_leg(dull, chosen=("dull",)).in_use[0].mark_id == "dull"


def test_no_marks_leave_the_whole_leg_unserved() -> None:
    (gap,) = of_leg().not_served
    leg = track().legs[0]
    assert (gap.from_m, gap.to_m) == (leg.track_from_m, leg.track_to_m)


def test_the_first_leg_of_the_zoo_is_north() -> None:
    assert track(NORTH).legs[0].path.course_deg == 0.0  # type: ignore[union-attr]
