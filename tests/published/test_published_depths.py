"""Squat, heel and allowances against published values. Sources stand beside each row in SOURCES.md.

Where the formula is from memory the value is computed again here from its words, by plain
arithmetic that shares nothing with the service.
"""

import math

import numpy as np
import pytest

from wheelover.core.charted.accuracy import ZONES, depth_allowance_m, stated
from wheelover.core.depth import allowances, heel, squat
from wheelover.core.depth.policy import Policy, required_ukc_m

G_M_PER_S2 = 9.81
KN_M_PER_S = 1852.0 / 3600.0


def test_squat_in_open_water_by_the_short_rule() -> None:
    """U1, read at tstarmet.com: Cb V^2 / 100 for Cb 0.9."""
    found_m = squat.barrass_open_m(0.9, [4.0, 8.0, 12.0, 16.0, 20.0])
    assert found_m == pytest.approx([0.144, 0.576, 1.296, 2.304, 3.600], abs=1e-3)


def test_squat_in_confined_water_by_the_short_rule() -> None:
    """U2, rule read at whatisflike.com: twice that of open water."""
    assert squat.barrass_confined_m(0.8, 10.0)[0] == pytest.approx(1.600, abs=1e-3)
    assert squat.barrass_open_m(0.8, 10.0)[0] == pytest.approx(0.800, abs=1e-3)


def test_squat_by_blockage() -> None:
    """U4, from memory of Barrass, Ship Design and Performance: Cb S^0.81 V^2.08 / 20."""
    found_m = squat.barrass_general_m(0.8, 0.1024, [6.0, 8.0, 10.0])
    assert found_m == pytest.approx([0.2624, 0.4773, 0.7593], abs=1e-3)
    again_m = [
        0.8 / 20.0 * math.exp(0.81 * math.log(0.1024) + 2.08 * math.log(speed_kn))
        for speed_kn in (6.0, 8.0, 10.0)
    ]
    assert found_m == pytest.approx(again_m, abs=1e-12)
    assert squat.blockage_ratio(32.0, 12.0, 15.0, 250.0)[0] == pytest.approx(0.1024, abs=1e-12)


def test_squat_by_the_rule_of_2004() -> None:
    """U5, from memory of PIANC 121: K = 5.74 S^0.76, held between 1 and 2."""
    assert squat.channel_factor_2004_ratio(0.1024)[0] == pytest.approx(1.0156, abs=1e-3)
    assert squat.barrass_2004_m(0.8, 0.1024, 10.0)[0] == pytest.approx(0.8125, abs=1e-3)
    assert 5.74 * math.exp(0.76 * math.log(0.25)) == pytest.approx(2.001, abs=1e-3)
    held = squat.channel_factor_2004_ratio([0.0, 0.05, 0.25, 0.5])
    assert held.tolist() == [1.0, 1.0, 2.0, 2.0]


def test_squat_by_icorels_and_huuska() -> None:
    """U6, from memory of PIANC: 2.4 volume / L^2 F^2 / sqrt(1 - F^2)."""
    ship = (0.8, 200.0, 32.0, 12.0, 15.0)
    number = squat.froude_depth_ratio([10.0, 8.0], 15.0)
    assert number == pytest.approx([0.4241, 0.3393], abs=1e-4)
    found_m = squat.icorels_m(*ship, [10.0, 8.0])
    assert found_m == pytest.approx([0.732, 0.451], abs=2e-3)
    for speed_kn, one_m in zip((10.0, 8.0), found_m, strict=True):
        square = (speed_kn * KN_M_PER_S) ** 2 / (G_M_PER_S2 * 15.0)
        volume_m3 = 0.8 * 200.0 * 32.0 * 12.0
        again_m = 2.4 * volume_m3 / 200.0**2 * square / math.sqrt(1.0 - square)
        assert one_m == pytest.approx(again_m, abs=1e-12)
    # The channel factor: 1 up to 0.03, then 7.45 s + 0.76, never below 1.
    factors = squat.huuska_factor_ratio([0.0, 0.03, 0.0301, 0.1024])
    assert factors == pytest.approx([1.0, 1.0, 1.0, 7.45 * 0.1024 + 0.76], abs=1e-12)
    assert squat.huuska_m(*ship, 10.0, 0.02)[0] == found_m[0]
    assert squat.huuska_m(*ship, 10.0, 0.1024)[0] == pytest.approx(found_m[0] * factors[3])


def test_icorels_has_no_answer_from_the_critical_speed_on() -> None:
    critical_kn = float(squat.critical_speed_kn(15.0)[0])
    below, at, beyond = squat.icorels_m(
        0.8, 200.0, 32.0, 12.0, 15.0, [critical_kn - 0.01, critical_kn + 1e-9, 40.0]
    )
    assert np.isfinite(below)
    assert np.isinf(at)
    assert np.isinf(beyond)


def test_survey_allowance_by_zone_of_confidence() -> None:
    """U8: A1 read at whatisflike.com, the others from memory of S-57, CATZOC."""
    found = {one: float(depth_allowance_m(one, 18.8)[0]) for one in ZONES}
    assert found["A1"] == pytest.approx(0.688, abs=1e-3)
    assert found["A2"] == found["B"] == pytest.approx(1.0 + 18.8 / 50.0, abs=1e-12)
    assert found["A2"] == pytest.approx(1.376, abs=1e-3)
    assert found["C"] == pytest.approx(2.0 + 18.8 / 20.0, abs=1e-12)
    assert found["C"] == pytest.approx(2.94, abs=1e-3)
    # Worse than C, by how much is not stated: never less than it.
    assert {found[one] for one in ZONES if not stated(one)} == {found["C"]}


def test_critical_speed() -> None:
    """U10, from memory of PIANC 121: the square root of g h."""
    found_kn = squat.critical_speed_kn([10.0, 15.0, 20.0])
    assert found_kn == pytest.approx([19.25, 23.58, 27.23], abs=0.01)
    again_kn = [math.sqrt(G_M_PER_S2 * depth_m) / KN_M_PER_S for depth_m in (10.0, 15.0, 20.0)]
    assert found_kn == pytest.approx(again_kn, abs=1e-12)
    assert squat.froude_depth_ratio(found_kn, [10.0, 15.0, 20.0]) == pytest.approx([1.0] * 3)


def test_deeper_by_heel() -> None:
    """U11, read at oic-nwreviewer.blogspot.com: a beam of 78 ft heeled 8 degrees."""
    assert heel.deeper_by_heel_m(78.0, 8.0)[0] == pytest.approx(5.43, abs=0.005)
    assert heel.deeper_by_heel_m(78.0, -8.0)[0] == heel.deeper_by_heel_m(78.0, 8.0)[0]


def test_heel_in_a_turn() -> None:
    """U13 and U14, from memory of Derrett and Barrass: tan(heel) = V^2 BG / (g R GM)."""
    found_deg = heel.heel_in_turn_deg(15.0, [500.0, 100.0], [4.0, 1.0], [1.0, 2.0 / 3.0])
    assert found_deg[0] == pytest.approx(2.78, abs=0.01)
    assert found_deg[1] == pytest.approx(5.2, abs=0.1)
    square = (15.0 * KN_M_PER_S) ** 2
    again_rad = math.atan2(square * 4.0, G_M_PER_S2 * 500.0)
    assert found_deg[0] == pytest.approx(math.degrees(again_rad), abs=1e-12)


def test_policy_of_a_part_of_the_draught() -> None:
    """U17, read at marinegyaan.com: 10 per cent of 5.5 m is 0.55 m, so 6.05 m are needed."""
    required_m = required_ukc_m(Policy(draught_ratio=0.1), 5.5)
    assert required_m == pytest.approx(0.55, abs=1e-12)
    assert required_m is not None
    assert required_m + 5.5 == pytest.approx(6.05, abs=1e-12)
    # Of a percentage and metres the greater counts.
    assert required_ukc_m(Policy(draught_ratio=0.1, metres_m=0.5), 5.5) == pytest.approx(0.55)
    assert required_ukc_m(Policy(draught_ratio=0.1, metres_m=1.0), 5.5) == 1.0


def test_fresh_and_dock_water_allowance() -> None:
    """U18, from memory of load-line texts: D / (4 TPC) millimetres; 40 000 t, TPC 50."""
    allowance_m = allowances.fresh_water_allowance_m(40_000.0, 50.0)
    assert allowance_m == 0.200
    assert allowances.density_change_m(allowance_m, 1025.0, 1010.0) == pytest.approx(0.120)
    assert allowances.density_change_m(allowance_m, 1025.0, 1000.0) == pytest.approx(0.200)
    # Recomputed: the volume that 40 000 t more take in fresh water, over her waterplane.
    waterplane_m2 = 50.0 * 100.0 / 1.025
    again_m = 40_000.0 * (1.0 / 1.000 - 1.0 / 1.025) / waterplane_m2
    assert allowance_m == pytest.approx(again_m, rel=1e-9)
    # Without displacement and TPC the most that Archimedes allows is more than that.
    assert allowances.most_density_change_m(9.0, 1025.0, 1000.0) > allowance_m


def test_heel_to_a_steady_wind() -> None:
    """U19, from memory of the 2008 IS Code, Part A, 2.3: 504 Pa in 26 m/s."""
    lever_m = heel.wind_lever_m(26.0, 3000.0, 12.0, 60_000.0)
    assert lever_m[0] == pytest.approx(0.0308, abs=1e-3)
    assert lever_m[0] == pytest.approx(504.0 * 3000.0 * 12.0 / (1000.0 * 9.81 * 60_000.0))
    angle_deg = heel.wind_heel_deg(lever_m, 1.5)
    assert angle_deg[0] == pytest.approx(1.18, abs=0.01)
    assert angle_deg[0] == pytest.approx(math.degrees(math.atan(0.0308 / 1.5)), abs=1e-2)
    assert heel.deeper_by_heel_m(32.0, angle_deg)[0] == pytest.approx(0.329, abs=1e-3)
    # Half the wind has a quarter of the pressure.
    assert heel.wind_lever_m(13.0, 3000.0, 12.0, 60_000.0) == pytest.approx(lever_m / 4.0)
