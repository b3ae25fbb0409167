"""Published sailings and rules that count in other miles, on a sphere, or by a rule of thumb.

The service counts in nautical miles of 1852 m on WGS84. These rows hold it beside answers that do
not: where the two must agree they do, and where they must differ, by how much is in the row.
Row numbers are those of SOURCES.md, which names the sources.
"""

import math

import numpy as np
import pytest

from tests import zoo
from tests.core.test_methods import computed, turned
from wheelover.core.geo import geodesic, rhumb
from wheelover.core.geo.ellipsoid import meridian_radius_m, normal_radius_m
from wheelover.core.units import NM_M, rate_of_turn_deg_per_min


def _sphere(lat1: float, lon1: float, lat2: float, lon2: float) -> tuple[float, float]:
    """Great circle by G8's polar form: minutes of arc, and the first course in degrees [S51]."""
    one, two, apart = math.radians(lat1), math.radians(lat2), math.radians(lon2 - lon1)
    north = math.cos(one) * math.tan(two) - math.sin(one) * math.cos(apart)
    length = math.hypot(north, math.sin(apart))
    minutes = 60.0 * math.degrees(math.asin(length * math.cos(two)))
    return minutes, math.degrees(math.atan2(math.sin(apart), north)) % 360.0


@pytest.mark.parametrize("lat_deg", [0, 15, 30, 45, 60, 75])
def test_degrees_by_series(lat_deg: float) -> None:
    """E7, from memory (Bowditch, explanation of Table 7): cosine series for a degree of latitude
    and of longitude. Printed to 0.05 m per degree; it departs from WGS84 by up to 0.034 m.
    """
    phi = math.radians(lat_deg)
    north_m = 111132.954 - 559.822 * math.cos(2 * phi) + 1.175 * math.cos(4 * phi)
    east_m = 111412.84 * math.cos(phi) - 93.5 * math.cos(3 * phi) + 0.118 * math.cos(5 * phi)
    degree = math.radians(1.0)
    assert float(meridian_radius_m(lat_deg)) * degree == pytest.approx(north_m, abs=0.05)
    found = float(normal_radius_m(lat_deg)) * math.cos(phi) * degree
    assert found == pytest.approx(east_m, abs=0.05)


@pytest.mark.parametrize(
    ("lat_deg", "wgs84", "printed"),
    [(40 + 28 / 60, 2644.42, 2644.2), (39 + 51 / 60, 2596.19, 2596.0)],
)
def test_meridional_parts_of_an_old_table(lat_deg: float, wgs84: float, printed: float) -> None:
    """M5, read [S26]: an old table on Clarke 1866 prints 0.2 less than WGS84 gives."""
    found = math.degrees(float(rhumb.isometric_latitude_rad(lat_deg))) * 60.0
    assert found == pytest.approx(wgs84, abs=0.01)
    assert 0.1 < found - printed < 0.3


def test_mercator_sailing_counts_minutes_of_latitude() -> None:
    """M7, from memory (Bowditch, "The Sailings"): difference of latitude 284.0 over the cosine of
    the course is 538.2 "miles", which are minutes. The leg is 537.32 NM of 1852 m.
    """
    course, length = rhumb.inverse(
        32 + 14.7 / 60, -(66 + 28.9 / 60), 36 + 58.7 / 60, -(75 + 42.2 / 60)
    )
    minutes = 284.0 / math.cos(math.radians(float(course[0])))
    assert minutes == pytest.approx(538.2, abs=0.1)
    assert float(length[0]) / NM_M == pytest.approx(537.325, abs=1e-3)


def test_parallel_sailing_on_a_sphere_is_shorter() -> None:
    """M14, from memory (Bowditch): 600' of longitude at 60 degrees are 300.0 on a sphere; on WGS84
    a minute there is 930.000 m (row E6), so 301.296 NM.
    """
    _, length = rhumb.inverse(60.0, 0.0, 60.0, 10.0)
    assert float(length[0]) == pytest.approx(600 * 930.0, abs=0.5)
    assert float(length[0]) / NM_M / 300.0 - 1.0 == pytest.approx(0.00432, abs=1e-5)


def test_middle_latitude_sailing() -> None:
    """M15, read [S26]: 64.1' S and 92.3' E about 39-14: course S 48 E, distance 96. Departure is
    rounded there; half a degree and half a mile is what the method promises.
    """
    half, middle = 64.1 / 120.0, 39 + 14 / 60
    course, length = rhumb.inverse(middle + half, 0.0, middle - half, 92.3 / 60.0)
    assert 180.0 - float(course[0]) == pytest.approx(48.12, abs=0.5)
    assert float(length[0]) / NM_M == pytest.approx(96.03, abs=0.5)


def test_a_great_circle_is_not_the_geodesic() -> None:
    """G2, G5 and G8, recomputed: the sphere of 60 NM a degree is 0.3 per cent short here, and its
    course out by 0.03 degrees.
    """
    minutes, course = _sphere(40.6, -73.8, 51.6, -0.5)
    assert minutes == pytest.approx(2987.664, abs=0.001)
    assert course == pytest.approx(51.169, abs=0.001)
    azimuth, _, length = geodesic.inverse(40.6, -73.8, 51.6, -0.5)
    assert float(length[0]) / NM_M == pytest.approx(2997.710, abs=0.001)
    assert float(azimuth[0]) - course == pytest.approx(0.030, abs=0.001)
    minutes, course = _sphere(38.7, -(9 + 10.5 / 60), 32 + 5 / 60, -(81 + 5 / 60))
    assert minutes == pytest.approx(3449.43, abs=0.01)
    assert course == pytest.approx(287.246, abs=0.001)


def test_the_vertex_of_a_great_circle_lies_near_that_of_the_geodesic() -> None:
    """G6 and G7, inputs from memory (Bowditch, vertex example): from 38 N 125 W on 069 the sphere
    has its vertex in 42-38.2 N 093-03.4 W, 1478.4 minutes on. The geodesic's lies a mile north of
    it, and its points 12, 24 and 36 degrees of longitude on within a mile of the sphere's.
    """
    vertex = math.acos(math.sin(math.radians(69.0)) * math.cos(math.radians(38.0)))
    assert math.degrees(vertex) == pytest.approx(42 + 38.2 / 60, abs=0.1 / 60)
    along_m = np.linspace(0.0, 3300.0 * NM_M, 60_001)
    lat, lon, _ = geodesic.direct(38.0, -125.0, 69.0, along_m)
    top = int(np.argmax(lat))
    assert (lat[top] - math.degrees(vertex)) * 60.0 == pytest.approx(1.0, abs=0.1)
    assert lon[top] == pytest.approx(-(93 + 3.4 / 60), abs=0.02)
    assert along_m[top] / NM_M == pytest.approx(1478.4, abs=5.0)
    for apart_deg, printed in ((12.0, 42.0058), (24.0, 40.0675), (36.0, 36.6813)):
        on_sphere = math.degrees(math.atan(math.cos(math.radians(apart_deg)) * math.tan(vertex)))
        assert on_sphere == pytest.approx(printed, abs=1e-3)
        here = top + int(np.argmin(np.abs(lon[top:] - lon[top] - apart_deg)))
        assert abs(lat[here] - printed) * 60.0 < 1.0


def test_a_rhumb_line_across_an_ocean_is_longer() -> None:
    """G10, recomputed: 3116.14 NM against 2997.71, 3.95 per cent."""
    ends = (40.6, -73.8, 51.6, -0.5)
    rhumb_m, shortest_m = rhumb.inverse(*ends)[1][0], geodesic.inverse(*ends)[2][0]
    assert rhumb_m / NM_M == pytest.approx(3116.14, abs=0.01)
    assert rhumb_m / shortest_m - 1.0 == pytest.approx(0.0395, abs=1e-4)


def test_the_trade_rule_for_a_radius() -> None:
    """T4, read [S14], and T5, read [S13]: R = 0.96 V / ROT gives 3.84 NM for 20 kn and 5 deg/min
    and 0.96 NM for 15 and 15; exact are 3.8197 and 0.95493, so the rule is 0.53 per cent high.
    """
    for speed_kn, rate, rule_nm, exact_nm in (
        (20.0, 5.0, 3.84, 3.8197),
        (15.0, 15.0, 0.96, 0.95493),
    ):
        assert rate_of_turn_deg_per_min(speed_kn, exact_nm) == pytest.approx(rate, abs=2e-4)
        assert rule_nm == pytest.approx(0.96 * speed_kn / rate, abs=1e-12)
        assert rate_of_turn_deg_per_min(speed_kn, rule_nm) < rate
        assert rule_nm / exact_nm - 1.0 == pytest.approx(0.0053, abs=1e-4)


@pytest.mark.parametrize(("change_deg", "rule_nm"), [(30, 0.4), (60, 0.8), (90, 1.2), (120, 1.6)])
def test_a_rule_seen_in_the_trade_is_not_offered(change_deg: int, rule_nm: float) -> None:
    """T19, read [S15]: change over rudder, times 12, over 60. For the ship of row T18 at 15
    degrees of helm it is 0.16 to 0.63 NM from radius and reach. It is shown nowhere.
    """
    assert change_deg / 15.0 * 12.0 / 60.0 == pytest.approx(rule_nm)
    turn = turned(float(change_deg), zoo.SHIP)
    geometric_nm = computed(turn, "geometric").distance_m / NM_M
    assert 0.15 < rule_nm - geometric_nm < 0.64
    assert {row.method for row in turn.wheel_overs} == {
        "geometric",
        "rule_of_thumb",
        "advance_transfer",
        "simulated",
    }
