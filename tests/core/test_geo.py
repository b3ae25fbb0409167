"""Angles, lines and points along them: shapes, edges and properties."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize.elementwise import find_root

from wheelover.core.errors import OutOfDomain
from wheelover.core.geo import geodesic, rhumb
from wheelover.core.geo.angles import normal_course_deg, signed_change_deg, sin_cos_deg
from wheelover.core.geo.nearest import share_of_change
from wheelover.core.legs import feet_on_leg, leg_line, points_along
from wheelover.core.types.route import LineKind, Position

LATITUDES = st.floats(-84.0, 84.0)
LONGITUDES = st.floats(-180.0, 180.0)
LINES = st.sampled_from(["rhumb", "geodesic"])


def test_courses_never_reach_360() -> None:
    found = normal_course_deg([-1e-20, 359.99999999999999, 720.0, -90.0])
    assert found.tolist() == [0.0, 0.0, 0.0, 270.0]


@given(st.floats(-1e4, 1e4), st.floats(-1e4, 1e4))
def test_changes_turn_one_course_into_the_other(one: float, other: float) -> None:
    change = float(signed_change_deg(one, other))
    assert -180.0 <= change <= 180.0
    left = (one + change - other) % 360.0
    assert min(left, 360.0 - left) < 1e-9


def test_cosine_of_east_is_zero() -> None:
    sine, cosine = sin_cos_deg(np.arange(-720.0, 721.0, 90.0))
    assert set(cosine.tolist()) == {-1.0, 0.0, 1.0}
    assert set(sine.tolist()) == {-1.0, 0.0, 1.0}


@pytest.mark.parametrize("places", [0, 1, 3])
def test_arrays_of_any_length(places: int) -> None:
    lat = np.linspace(10.0, 20.0, places)
    course, distance = rhumb.inverse(lat, 0.0, lat + 1.0, 1.0)
    assert course.shape == distance.shape == (places,)
    assert rhumb.direct(lat, 0.0, 45.0, 1000.0)[0].shape == (places,)


@given(LATITUDES, LONGITUDES, LATITUDES, LONGITUDES)
def test_scalar_equals_array(lat1: float, lon1: float, lat2: float, lon2: float) -> None:
    one = rhumb.inverse(lat1, lon1, lat2, lon2)
    many = rhumb.inverse([0.0, lat1, 5.0], [0.0, lon1, 5.0], [1.0, lat2, 5.0], [1.0, lon2, 6.0])
    assert one[0][0] == many[0][1]
    assert one[1][0] == many[1][1]


@given(LATITUDES, LONGITUDES, LATITUDES, LONGITUDES)
def test_a_rhumb_line_back_is_the_same_line(
    lat1: float, lon1: float, lat2: float, lon2: float
) -> None:
    course, distance = rhumb.inverse(lat1, lon1, lat2, lon2)
    back, again = rhumb.inverse(lat2, lon2, lat1, lon1)
    assert again[0] == pytest.approx(distance[0], abs=1e-6)
    half_round = abs(abs(float(signed_change_deg(lon1, lon2))) - 180.0) < 1e-9
    if distance[0] > 1.0 and not half_round:
        assert abs(signed_change_deg(course[0] + 180.0, back[0])) < 1e-6


@given(LATITUDES, st.floats(-60.0, 60.0), LATITUDES, st.floats(-60.0, 60.0), st.floats(-360, 360))
def test_turning_the_globe_changes_nothing(
    lat1: float, lon1: float, lat2: float, lon2: float, by_deg: float
) -> None:
    course, distance = rhumb.inverse(lat1, lon1, lat2, lon2)
    turned = rhumb.inverse(lat1, lon1 + by_deg, lat2, lon2 + by_deg)
    assert turned[1][0] == pytest.approx(distance[0], abs=1e-6)
    if distance[0] > 100.0:
        assert abs(signed_change_deg(course[0], turned[0][0])) < 1e-6


def test_a_parallel_is_followed_exactly() -> None:
    lat, lon = rhumb.direct(60.0, 170.0, 90.0, [0.0, 558_000.0, 1_116_000.0])
    assert lat.tolist() == [60.0, 60.0, 60.0]
    assert lon[2] == pytest.approx(-170.0, abs=1e-4)


@pytest.mark.parametrize("lat_deg", [90.0, -90.0])
def test_no_rhumb_line_from_a_pole(lat_deg: float) -> None:
    with pytest.raises(OutOfDomain, match="pole"):
        rhumb.inverse(lat_deg, 0.0, 0.0, 0.0)


def test_no_rhumb_line_beyond_a_pole() -> None:
    with pytest.raises(OutOfDomain, match="pole"):
        rhumb.direct(89.0, 0.0, 10.0, 200_000.0)


def test_a_leg_of_no_length_is_no_line() -> None:
    here = Position(lat_deg=10.0, lon_deg=20.0)
    assert leg_line("rhumb", here, here) is None
    assert leg_line("geodesic", here, Position(lat_deg=10.0, lon_deg=20.0)) is None


@given(
    LINES,
    st.floats(-70, 70),
    LONGITUDES,
    st.floats(0, 359),
    st.floats(0.0, 1.0),
    st.floats(-18_000.0, 18_000.0),
)
def test_the_foot_is_nearer_than_its_neighbours(
    line: LineKind, lat: float, lon: float, course: float, share: float, off_m: float
) -> None:
    start = Position(lat_deg=lat, lon_deg=lon)
    end_lat, end_lon, _ = geodesic.direct(lat, lon, course, 15_000.0)
    leg = leg_line(line, start, Position(lat_deg=float(end_lat[0]), lon_deg=float(end_lon[0])))
    assert leg is not None
    at_lat, at_lon, at_course = points_along(leg, share * leg.length_m)
    hazard_lat, hazard_lon, _ = geodesic.direct(at_lat, at_lon, at_course + 90.0, off_m)
    foot = feet_on_leg(leg, 0.0, leg.length_m, hazard_lat, hazard_lon)
    assert float(foot.distance_m[0]) <= abs(off_m) + 1e-6
    along = float(foot.along_m[0])
    for other in (along - 5.0, along + 5.0):
        if 0.0 <= other <= leg.length_m:
            lat2, lon2, _ = points_along(leg, other)
            distance = geodesic.inverse(lat2, lon2, hazard_lat, hazard_lon)[2][0]
            assert distance >= float(foot.distance_m[0]) - 1e-6


def test_places_where_something_changes_sign_beside_scipy() -> None:
    """Root by root beside scipy's ``find_root`` [Chandrupatla1997]_, the last with no change."""
    wanted = np.linspace(0.02, 0.97, 40)
    power = np.resize([1.0, 2.0, 3.0, 5.0], wanted.size)

    def off(share: np.ndarray, which: np.ndarray) -> np.ndarray:
        return share ** power[which] - wanted[which] ** power[which]

    one, other = np.ones(wanted.size), np.zeros(wanted.size)
    other[-1] = 0.98
    found = share_of_change(off, one, other)
    beside = find_root(
        lambda share, which: off(share, which.astype(np.int64)),
        (other, one),
        args=(np.arange(wanted.size, dtype=np.float64),),
        tolerances={"xatol": 1e-11, "xrtol": 0.0, "fatol": 0.0, "frtol": 0.0},
    )
    np.testing.assert_array_equal(found[:-1], beside.x[:-1])
    np.testing.assert_allclose(found[:-1], wanted[:-1], atol=1e-11)
    assert found[-1] == one[-1]
    assert np.isnan(beside.x[-1])
