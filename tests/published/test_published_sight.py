"""Published values of how far marks are seen and how fast they change: rows of SOURCES.md.

H1 to H4 are printed for feet; the service counts in metres with the one constant of core/aids/sight
that is held beside them here.
"""

import math

import pytest
from scipy.optimize import brentq

from wheelover.core.aids.sight import (
    HORIZON_NM_PER_ROOT_M,
    geographical_range_nm,
    luminous_range_nm,
    radar_range_nm,
    vertical_angle_min,
)

FOOT_M = 0.3048


def test_the_horizon_of_tables_for_feet() -> None:
    """H1, read [S28] (Bowditch): 1.17 for feet. H2, read [S29]: 1.169. Ours is the British tables'
    2.08 for metres, from memory: 1.148 for feet, 1.9 % less, so it promises less.
    """
    for feet, printed_nm in ((10, 3.70), (25, 5.85), (50, 8.27), (100, 11.70)):
        assert 1.17 * math.sqrt(feet) == pytest.approx(printed_nm, abs=0.01)
        ours_nm = float(geographical_range_nm(feet * FOOT_M, 0.0)[0])
        assert ours_nm < printed_nm
        assert ours_nm / printed_nm == pytest.approx(0.981, abs=0.003)
    assert 1.169 * math.sqrt(10.0) == pytest.approx(3.697, abs=0.001)


def test_constants_for_metres_that_do_not_agree() -> None:
    """H3, read [S28]: 2.07 for metres is printed beside 1.17 for feet, which is 2.12 (25 m: 10.35
    and 10.60 NM). The constant in use lies between them and is used for eye and mark alike.
    """
    roots = math.sqrt(25.0)
    assert roots * 2.07 == pytest.approx(10.35)
    assert 1.17 / math.sqrt(FOOT_M) == pytest.approx(2.12, abs=0.005)
    assert roots * 2.12 == pytest.approx(10.60)
    assert 2.07 < HORIZON_NM_PER_ROOT_M < 2.12
    assert float(geographical_range_nm(25.0, 0.0)[0]) == pytest.approx(10.40, abs=0.005)


@pytest.mark.parametrize(
    ("eye_ft", "object_ft", "printed_nm"),
    [(70, 0, 9.8), (70, 100, 21.5), (10, 6, 6.6)],
)
def test_geographical_ranges_of_a_text(eye_ft: float, object_ft: float, printed_nm: float) -> None:
    """H4, read [S59]: with 1.169 for feet; ours is 1.8 % less with the smaller constant."""
    theirs_nm = 1.169 * (math.sqrt(eye_ft) + math.sqrt(object_ft))
    assert theirs_nm == pytest.approx(printed_nm, abs=0.05)
    ours_nm = float(geographical_range_nm(eye_ft * FOOT_M, object_ft * FOOT_M)[0])
    assert ours_nm / theirs_nm == pytest.approx(
        HORIZON_NM_PER_ROOT_M * math.sqrt(FOOT_M) / 1.169, abs=1e-12
    )
    assert ours_nm == pytest.approx(printed_nm, rel=0.025)


def test_a_light_and_an_eye() -> None:
    """H5, computed: light 120 ft, eye 25 ft, 1.17 for feet: 18.67 NM; ours 1.9 % less."""
    assert 1.17 * (math.sqrt(120.0) + 5.0) == pytest.approx(18.67, abs=0.01)
    ours_nm = float(geographical_range_nm(25 * FOOT_M, 120 * FOOT_M)[0])
    assert ours_nm == pytest.approx(18.67 * 0.9815, abs=0.02)


def test_the_radar_horizon() -> None:
    """H6, from memory (radar texts): 2.21 for metres; 25 m give 11.05 NM."""
    assert float(radar_range_nm(25.0, 0.0)[0]) == pytest.approx(11.05, abs=0.01)


def test_vertical_angle() -> None:
    """H7, computed: 50 m seen at 2 NM stand 46.4 minutes of arc high."""
    assert float(vertical_angle_min(50.0, 2 * 1852.0)[0]) == pytest.approx(46.4, abs=0.1)


@pytest.mark.parametrize(
    ("nominal_nm", "visibility_nm", "read_nm", "within_nm"),
    [
        (15.0, 11.0, 16.0, 0.2),  # nauticalinformation.blogspot.com, 2008/01, read
        (15.0, 1.0, 2.8, 0.2),  # the same; diagrams are approximate, and say so
        (20.0, 11.0, 21.0, 0.6),  # nauticalive.com, read
        (10.0, 10.0, 10.0, 1e-9),  # by definition: ies.org, read
    ],
)
def test_luminous_ranges_read_from_a_diagram(
    nominal_nm: float, visibility_nm: float, read_nm: float, within_nm: float
) -> None:
    """L1: readings of the luminous range diagram that two pages print."""
    found_nm = float(luminous_range_nm(nominal_nm, visibility_nm)[0])
    assert found_nm == pytest.approx(read_nm, abs=within_nm)


@pytest.mark.parametrize("nominal_nm", [0.5, 3.0, 10.0, 25.0, 60.0])
@pytest.mark.parametrize("visibility_nm", [0.1, 1.0, 5.0, 10.0, 30.0])
def test_luminous_range_by_candelas_and_lux(nominal_nm: float, visibility_nm: float) -> None:
    """L2: the intensity of the nominal range by 0.2 microlux (IES, read) and Allard's law, and the
    distance where it gives as much in another visibility, by bracketing.
    """
    lux = 2e-7
    candelas = lux * (1852.0 * nominal_nm) ** 2 / 0.05 ** (nominal_nm / 10.0)

    def too_bright(log_nm: float) -> float:
        distance_nm = math.exp(log_nm)
        dimmed = -distance_nm / visibility_nm * math.log(20.0)
        return math.log(candelas) + dimmed - 2.0 * math.log(1852.0 * distance_nm) - math.log(lux)

    expected_nm = math.exp(brentq(too_bright, math.log(1e-3), math.log(500.0), xtol=1e-14))
    assert float(luminous_range_nm(nominal_nm, visibility_nm)[0]) == pytest.approx(
        expected_nm, rel=1e-9
    )


def test_intensities_of_nominal_ranges() -> None:
    """L3, from memory (IALA, table of nominal range and intensity): 1 NM 0.9 cd, 5 NM 77 cd."""
    for nominal_nm, candelas in ((1.0, 0.93), (5.0, 77.0)):
        found = 2e-7 * (1852.0 * nominal_nm) ** 2 / 0.05 ** (nominal_nm / 10.0)
        assert found == pytest.approx(candelas, rel=0.01)
