"""Index lines of a bend and transits, against another library and plane geometry."""

import math

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from tests.core.aids.waters import index_of, mark, off, seen, track, waters
from wheelover.core.aids.bend_index import bend_lines
from wheelover.core.aids.clearing_lines import MOST_RANGE_M
from wheelover.core.aids.leg_light import When
from wheelover.core.aids.mark_set import MarkSet
from wheelover.core.aids.near_marks import near_marks
from wheelover.core.aids.transits import transit_lines
from wheelover.core.types.aid_lines import BendIndex, Transit
from wheelover.core.types.clearance import Piece
from wheelover.core.types.marks import Mark
from wheelover.core.types.times import PieceTime

MILE_M = 1852.0
START = (47.0, -30.0)
CORNER = off(START, 0.0, 5.0 * MILE_M)


def bend(change_deg: float = 60.0) -> list[tuple[float, float]]:
    """Return a route due north that turns by an angle after five miles."""
    return [START, CORNER, off(CORNER, change_deg, 5.0 * MILE_M)]


def of_bend(*marks: Mark, change_deg: float = 60.0) -> BendIndex:
    laid = track(bend(change_deg))
    of = seen(*marks)
    (found,) = bend_lines(laid.turns, laid.legs, of, index_of(laid.legs, of, {}, waters()))
    return found


@pytest.mark.parametrize("change_deg", [60.0, -90.0, 120.0])
def test_the_lines_at_the_radius_cross_at_the_centre(change_deg: float) -> None:
    """A mark at the centre lies on both lines, and on one ring all along the arc."""
    arc = track(bend(change_deg)).turns[0].arc
    assert arc is not None
    at = mark("M", (arc.centre.lat_deg, arc.centre.lon_deg))
    (one,) = of_bend(at, change_deg=change_deg).objects
    assert one.inside_in_m == pytest.approx(0.0, abs=1e-3)
    assert one.inside_out_m == pytest.approx(0.0, abs=1e-3)
    assert one.least_m == pytest.approx(arc.radius_m, abs=1e-3)
    assert one.most_m == pytest.approx(arc.radius_m, abs=1e-3)
    assert one.ring_nm == 0.5
    assert math.copysign(1.0, one.in_range_m) == math.copysign(1.0, change_deg)


@pytest.mark.parametrize("change_deg", [60.0, -90.0])
@pytest.mark.parametrize(("bearing", "away_nm"), [(10.0, 1.3), (250.0, 0.8), (100.0, 2.0)])
def test_ranges_through_the_bend_by_another_library(
    change_deg: float, bearing: float, away_nm: float
) -> None:
    """Least and most along the arc by geographiclib, from a fine walk; the wheel-over range by
    what is seen from the wheel-over point itself.
    """
    laid = track(bend(change_deg))
    turn = laid.turns[0]
    assert turn.arc is not None
    at = mark("M", off(CORNER, bearing, away_nm * MILE_M))
    found = of_bend(at, change_deg=change_deg)
    one = next(each for each in found.objects if each.mark_id == "M")
    centre = turn.arc.centre
    away = []
    for turned in np.linspace(0.0, turn.arc.sweep_deg, 721):
        spot = Geodesic.WGS84.Direct(
            centre.lat_deg, centre.lon_deg, turn.arc.from_bearing_deg + turned, turn.arc.radius_m
        )
        away.append(
            Geodesic.WGS84.Inverse(
                spot["lat2"], spot["lon2"], at.position.lat_deg, at.position.lon_deg
            )["s12"]
        )
    assert one.least_m == pytest.approx(min(away), abs=0.01)
    assert one.most_m == pytest.approx(max(away), abs=0.01)
    helm = turn.planned.position
    assert helm is not None
    assert turn.course_out_deg is not None
    sight = Geodesic.WGS84.Inverse(
        helm.lat_deg, helm.lon_deg, at.position.lat_deg, at.position.lon_deg
    )
    across = sight["s12"] * math.sin(math.radians(sight["azi1"] - turn.course_out_deg))
    assert one.helm_range_m == pytest.approx(across, abs=0.5)


@pytest.mark.parametrize("change_deg", [60.0, -60.0])
@pytest.mark.parametrize("bearing", [20.0, 200.0, 300.0])
def test_what_rounding_the_wheel_over_range_costs(change_deg: float, bearing: float) -> None:
    """Sailing on by the metres it says the echo stands on the range as set."""
    laid = track(bend(change_deg))
    turn = laid.turns[0]
    at = mark("M", off(CORNER, bearing, 1.6037 * MILE_M))
    one = next(x for x in of_bend(at, change_deg=change_deg).objects if x.mark_id == "M")
    assert one.helm_rounding_m is not None
    assert one.helm_set_nm is not None
    helm = turn.planned.position
    assert helm is not None
    assert turn.course_out_deg is not None
    spot = off((helm.lat_deg, helm.lon_deg), 0.0, one.helm_rounding_m)
    sight = Geodesic.WGS84.Inverse(*spot, at.position.lat_deg, at.position.lon_deg)
    across = sight["s12"] * math.sin(math.radians(sight["azi1"] - turn.course_out_deg))
    assert abs(across) == pytest.approx(one.helm_set_nm * MILE_M, abs=0.5)


def test_without_marks_it_says_so() -> None:
    found = of_bend()
    assert (found.objects, found.reason) == ((), "no index object near the bend")


def transits(
    *marks: Mark, change_deg: float = 60.0, departure_s: float | None = None
) -> list[Transit]:
    laid = track(bend(change_deg))
    time = PieceTime(from_m=0.0, start_s=0.0, speed_m_per_s=5.0)
    times = {Piece(kind="leg", index=leg.index): time for leg in laid.legs}
    when = When(times=times, departure_s=departure_s)
    of = seen(*marks, when=when, eye_height_m=16.0)
    near = near_marks(laid.legs, MarkSet(marks), MOST_RANGE_M)
    found = transit_lines(laid.legs, laid.turns, of, near, None)
    return [one for each in found for one in each.transits]


def test_leading_marks_ahead_of_a_leg() -> None:
    """Two marks due north, 40 m to starboard of the leg: off, bearing and opening recomputed."""
    front = off(off(START, 0.0, 7.0 * MILE_M), 90.0, 40.0)
    rear = off(front, 0.0, 900.0)
    (one,) = transits(mark("F", front, leading_deg=0.0), mark("R", rear, leading_deg=0.0))
    assert (one.use, one.source, one.marks_ahead) == ("track", "leading_marks", True)
    assert (one.front_id, one.rear_id) == ("F", "R")
    assert one.off_m == pytest.approx(40.0, abs=0.2)
    assert one.bearing_deg == pytest.approx(0.0, abs=1e-6)
    spot = off(START, 0.0, one.at_m)
    before = Geodesic.WGS84.Inverse(*spot, *front)["s12"]
    # A tenth of a degree open: tan of the angles to both marks from x off the line.
    assert one.open_m is not None
    apart = math.atan(one.open_m / before) - math.atan(one.open_m / (before + 900.0))
    assert math.degrees(apart) == pytest.approx(0.1, abs=0.002)


def test_leading_marks_astern_lie_on_the_side_seen_from_her_course() -> None:
    front = off(off(START, 180.0, 1.0 * MILE_M), 90.0, 40.0)
    rear = off(front, 180.0, 900.0)
    one = transits(mark("F", front, leading_deg=180.0), mark("R", rear, leading_deg=180.0))[0]
    assert (one.marks_ahead, one.angle_deg) == (False, pytest.approx(0.0, abs=1e-6))
    assert one.off_m == pytest.approx(40.0, abs=0.2)


def test_two_lights_that_mark_the_wheel_over() -> None:
    """In line parallel to the new course, 60 m beyond the point: helm by it comes so much late."""
    laid = track(bend())
    turn = laid.turns[0]
    helm = turn.planned.position
    assert helm is not None
    assert turn.course_out_deg is not None
    through = off((helm.lat_deg, helm.lon_deg), turn.course_out_deg - 90.0, 60.0)
    run = Geodesic.WGS84.DirectLine(*through, turn.course_out_deg, 4000.0)
    front, rear = ((at["lat2"], at["lon2"]) for at in (run.Position(3000.0), run.Position(4000.0)))
    found = transits(mark("F", front, lit=True), mark("R", rear, lit=True))
    one = next(each for each in found if each.use == "wheel_over" and each.marks_ahead)
    assert (one.leg_index, one.source, one.front_id) == (0, "two_marks", "F")
    assert one.off_m == pytest.approx(-60.0, abs=0.5)
    assert abs(one.angle_deg) < 0.1


def test_marks_that_nothing_makes_conspicuous_are_no_transit() -> None:
    front = off(START, 0.0, 7.0 * MILE_M)
    assert transits(mark("F", front), mark("R", off(front, 0.0, 900.0))) == []


def test_one_mark_that_leads_alone_has_no_opening() -> None:
    (one,) = transits(mark("L", off(START, 0.0, 7.0 * MILE_M), leading_deg=1.0))
    assert (one.source, one.open_m, one.rear_id) == ("leading_mark", None, None)
    assert one.angle_deg == pytest.approx(-1.0, abs=1e-6)


def test_marks_that_are_not_seen_then_are_no_transit() -> None:
    """21 June 2025, 14:00 UTC and the next day, 02:00 UTC: noon and midnight by the sun at 30 W."""
    noon_s, midnight_s = 1_750_514_400.0, 1_750_557_600.0
    front = off(START, 0.0, 7.0 * MILE_M)
    rear = off(front, 0.0, 900.0)

    def told(departure_s: float | None, **more: object) -> list[str]:
        both = [
            mark(name, place, leading_deg=0.0, height_m=40.0, **more)
            for name, place in (("F", front), ("R", rear))
        ]
        return [one.name for one in transits(*both, departure_s=departure_s)]

    assert told(noon_s) == ["F and R"]
    assert told(midnight_s) == []
    assert told(midnight_s, lit=True, nominal_range_nm=15.0) == ["F and R"]
    assert told(None) == ["F and R (not known whether its marks are seen)"]
