"""Turns about a fixed mark, against the turns of the reference: there the circle was sought."""

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from tests import zoo
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo import geodesic
from wheelover.core.track import lay_track
from wheelover.core.turns.about_mark import turn_about_mark, turn_between
from wheelover.core.types.route import Position

LENGTH_M = 2e-6


def _apart_m(one: dict[str, float], place: Position) -> float:
    end = (place.lat_deg, place.lon_deg)
    return float(geodesic.inverse(one["lat_deg"], one["lon_deg"], *end)[2][0])


def test_the_waypoints_of_the_reference_turns_are_found_again(vectors: zoo.Vectors) -> None:
    """Source: tests/design/make_vectors.py (geographiclib, mpmath). There the waypoint is given
    and the centre found; struck about that centre the same waypoint must come out.
    """
    cases = [case for case in vectors("turns") if case["lines"] == ["rhumb", "rhumb"]]
    assert len(cases) >= 20
    for case in cases:
        centre = Position(**case["centre"])
        turn = turn_about_mark(
            centre, case["radius_nm"] * 1852.0, case["course_in_deg"], case["course_out_deg"]
        )
        assert _apart_m(case["waypoints"][1], turn.waypoint) < 2e-5, case["id"]
        assert _apart_m(case["start"], turn.start) < LENGTH_M, case["id"]
        assert _apart_m(case["end"], turn.end) < LENGTH_M, case["id"]
        for name in ("tangent_in_m", "tangent_out_m", "arc_m"):
            assert abs(getattr(turn, name) - case[name]) < 2e-5, (case["id"], name)


def test_against_the_reference(vectors: zoo.Vectors) -> None:
    """Source: tests/design/make_about_mark.py, which moves the waypoint until the least distance of
    the mark from both rhumb lines, by geographiclib and 50-digit positions, is the radius.
    """
    cases = vectors("about_mark")
    assert len(cases) >= 60
    for case in cases:
        turn = turn_about_mark(
            Position(**case["mark"]),
            case["radius_nm"] * 1852.0,
            case["course_in_deg"],
            case["course_out_deg"],
        )
        for name in ("waypoint", "start", "end"):
            assert _apart_m(case[name], getattr(turn, name)) < LENGTH_M, (case["id"], name)
        for name in ("tangent_in_m", "tangent_out_m", "arc_m"):
            assert abs(getattr(turn, name) - case[name]) < LENGTH_M, (case["id"], name)


MARKS = st.builds(
    Position,
    lat_deg=st.floats(-81.0, 81.0),
    lon_deg=st.floats(-180.0, 180.0),
)


@given(
    mark=MARKS,
    radius_nm=st.floats(0.1, 2.0),
    course_deg=st.floats(0.0, 359.999),
    size_deg=st.floats(5.0, 150.0),
    starboard=st.booleans(),
)
def test_planning_the_waypoint_strikes_the_same_circle(
    mark: Position, radius_nm: float, course_deg: float, size_deg: float, starboard: bool
) -> None:
    change_deg = size_deg if starboard else -size_deg
    out_deg = (course_deg + change_deg) % 360.0
    turn = turn_about_mark(mark, radius_nm * 1852.0, course_deg, out_deg)
    for place in (turn.start, turn.end):  # geographiclib, beside PROJ in the service
        off = Geodesic.WGS84.Inverse(mark.lat_deg, mark.lon_deg, place.lat_deg, place.lon_deg)
        assert off["s12"] == pytest.approx(radius_nm * 1852.0, abs=1e-6)
    before = _run_back(turn.waypoint, course_deg, turn.tangent_in_m + 5000.0)
    after = _run_back(turn.waypoint, out_deg, -turn.tangent_out_m - 5000.0)
    corner = (turn.waypoint.lat_deg, turn.waypoint.lon_deg)
    route = zoo.route([before, corner, after], radii_nm=[radius_nm])
    (planned,) = lay_track(route, zoo.SHIP).turns
    assert planned.arc is not None
    centre = {"lat_deg": mark.lat_deg, "lon_deg": mark.lon_deg}
    assert _apart_m(centre, planned.arc.centre) < 1e-4
    assert planned.arc.tangent_in_m == pytest.approx(turn.tangent_in_m, abs=1e-4)
    assert planned.arc.arc_m == pytest.approx(turn.arc_m, abs=1e-4)


def _run_back(place: Position, course_deg: float, distance_m: float) -> tuple[float, float]:
    from wheelover.core.geo import rhumb  # noqa: PLC0415

    lat, lon = rhumb.direct(place.lat_deg, place.lon_deg, course_deg, -distance_m)
    return float(lat[0]), float(lon[0])


@pytest.mark.parametrize("out_deg", [0.0, 0.001, 150.1, 180.0, 209.9])
def test_courses_between_which_there_is_no_turn(out_deg: float) -> None:
    mark = Position(lat_deg=50.0, lon_deg=-6.0)
    with pytest.raises(OutOfDomain, match="change of course"):
        turn_about_mark(mark, 926.0, 0.0, out_deg)


@pytest.mark.parametrize("lat_deg", [89.95, 89.99, -89.99])
def test_beside_a_pole_there_is_an_answer_or_a_reason(lat_deg: float) -> None:
    mark = Position(lat_deg=lat_deg, lon_deg=20.0)
    try:
        turn = turn_about_mark(mark, 2.0 * 1852.0, 10.0, 120.0)
    except OutOfDomain:
        assert abs(lat_deg) > 89.9
        return
    off = Geodesic.WGS84.Inverse(lat_deg, 20.0, turn.start.lat_deg, turn.start.lon_deg)
    assert off["s12"] == pytest.approx(3704.0, abs=1e-6)


@given(
    mark=MARKS,
    radius_nm=st.floats(0.1, 2.0),
    course_deg=st.floats(0.0, 359.999),
    change_deg=st.floats(10.0, 140.0),
    runs_nm=st.tuples(st.floats(3.0, 40.0), st.floats(3.0, 40.0)),
    starboard=st.booleans(),
)
def test_between_waypoints_the_neighbours_stay(
    mark: Position,
    radius_nm: float,
    course_deg: float,
    change_deg: float,
    runs_nm: tuple[float, float],
    starboard: bool,
) -> None:
    """From a turn struck between courses the legs are run out; between their ends it is found."""
    out_deg = (course_deg + (change_deg if starboard else -change_deg)) % 360.0
    struck = turn_about_mark(mark, radius_nm * 1852.0, course_deg, out_deg)
    before = _run_back(struck.waypoint, course_deg, struck.tangent_in_m + runs_nm[0] * 1852.0)
    after = _run_back(struck.waypoint, out_deg, -struck.tangent_out_m - runs_nm[1] * 1852.0)
    ends = [Position(lat_deg=lat, lon_deg=lon) for lat, lon in (before, after)]
    if max(abs(end.lat_deg) for end in ends) > 85.0:
        return
    try:
        again = turn_between(mark, radius_nm * 1852.0, *ends)
    except OutOfDomain:
        # The way over the mark itself may turn the other way, or hardly, where the legs are short
        # for the circle; then nothing is struck.
        assert min(runs_nm) < 8.0 * radius_nm or change_deg < 30.0
        return
    if again.course_change_deg * struck.course_change_deg < 0.0:
        assert min(runs_nm) < 8.0 * radius_nm or change_deg < 30.0
        return
    place = {"lat_deg": struck.waypoint.lat_deg, "lon_deg": struck.waypoint.lon_deg}
    assert _apart_m(place, again.waypoint) < 1e-2


def test_a_neighbour_inside_the_circle_is_refused() -> None:
    mark = Position(lat_deg=50.0, lon_deg=-6.0)
    near, far = Position(lat_deg=50.01, lon_deg=-6.0), Position(lat_deg=50.0, lon_deg=-5.0)
    with pytest.raises(OutOfDomain, match="inside the circle"):
        turn_between(mark, 1852.0, near, far)
