"""Published and recomputed values about wheel-over methods. Sources stand beside each.

Rows are those of the project's list of published check values (T11 to T31); CALC means that the
value was recomputed there with independent code, "common practice" that it is a rule of the trade.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from tests import zoo
from tests.core.test_methods import ADVANCE_YD, HEADINGS, TRANSFER_YD, computed, ship, table, turned
from wheelover.core.units import m_from_nm, m_per_s_from_kn, rate_of_turn_deg_per_min


def test_advance_and_transfer_of_a_plane_arc() -> None:
    """T11, CALC: R 0.5 NM, 60 degrees: advance 0.43301, transfer 0.25000 NM. The arc of the
    service on the ellipsoid, laid beside it, agrees to a metre.
    """
    turn = turned(60.0, zoo.SHIP)
    assert turn.arc is not None
    change = math.radians(abs(turn.course_change_deg or 0.0))
    north_m = (turn.arc.end.lat_deg - turn.arc.start.lat_deg) * 110_574.3
    east_m = (turn.arc.end.lon_deg - turn.arc.start.lon_deg) * 111_319.5
    assert north_m == pytest.approx(m_from_nm(0.5) * math.sin(change), abs=1.0)
    assert east_m == pytest.approx(m_from_nm(0.5) * (1.0 - math.cos(change)), abs=1.0)
    assert north_m / 1852.0 == pytest.approx(0.43301, abs=2e-3)


def test_the_equivalent_circle_of_the_naval_table() -> None:
    """T15, CALC from T12: R = X / (1 - cos), F = A - R sin. It fits large turns only, which is
    why the table is used as it stands and no circle is put in its place.
    """
    wanted = {15: (1115, 211), 30: (746, 307), 45: (707, 327), 60: (694, 339), 90: (687, 333),
              120: (675, 348), 150: (668, 353)}  # fmt: skip
    rows = dict(zip(HEADINGS, zip(ADVANCE_YD, TRANSFER_YD, strict=True), strict=True))
    for heading, (radius_yd, reach_yd) in wanted.items():
        advance, transfer = rows[heading]
        angle = math.radians(heading)
        radius = transfer / (1.0 - math.cos(angle))
        assert radius == pytest.approx(radius_yd, abs=1.0)
        assert advance - radius * math.sin(angle) == pytest.approx(reach_yd, abs=1.0)


@pytest.mark.parametrize("change_deg", [20.0, 45.0, 60.0, 90.0, 120.0, 140.0])
def test_radius_and_reach_is_a_table_of_that_circle(change_deg: float) -> None:
    """T16, identity: R tan(D/2) + F = A - X cot D where A = F + R sin D and X = R (1 - cos D). A
    ship whose table is that circle must get the same wheel-over by both methods, but for what the
    ellipsoid and straight lines between rows do.
    """
    radius_m, reach_m = m_from_nm(0.5), 200.0
    headings = np.arange(10.0, 150.1, 0.25)
    angles = np.radians(headings)
    rows = tuple(
        replace(
            table().rows[0], heading_change_deg=float(h), advance_m=float(a), transfer_m=float(x)
        )
        for h, a, x in zip(
            headings,
            reach_m + radius_m * np.sin(angles),
            radius_m * (1.0 - np.cos(angles)),
            strict=True,
        )
    )
    turn = turned(change_deg, ship(replace(table(), rows=rows), reach_m=reach_m))
    both = [computed(turn, method).distance_m for method in ("geometric", "advance_transfer")]
    assert both[0] == pytest.approx(both[1], abs=0.1)


@pytest.mark.parametrize(
    ("change_deg", "shortcut_nm"), [(30, 0.358), (60, 0.541), (90, 0.608), (120, 0.541)]
)
def test_advance_alone_is_no_wheel_over(change_deg: int, shortcut_nm: float) -> None:
    """T18, CALC: for a ship of 200 m, R 0.5 NM and F one length, "advance alone" is right at 90
    degrees only: 0.433 NM late at 120, 0.144 NM early at 60.
    """
    turn = turned(float(change_deg), zoo.SHIP)
    geometric_nm = computed(turn, "geometric").distance_m / 1852.0
    apart = {60: 0.144, 90: 0.0, 120: -0.433}
    if change_deg in apart:
        assert shortcut_nm - geometric_nm == pytest.approx(apart[change_deg], abs=0.02)
    angle = math.radians(change_deg)
    assert 0.10799 + 0.5 * math.sin(angle) == pytest.approx(shortcut_nm, abs=1e-3)


@pytest.mark.parametrize(("speed_kn", "run_nm"), [(8.0, 0.0667), (12.0, 0.1), (16.0, 0.1333)])
def test_a_reach_in_seconds_grows_with_speed(speed_kn: float, run_nm: float) -> None:
    """T23, CALC: a helm delay of 30 s is 123, 185 and 247 m at 8, 12 and 16 kn."""
    slow = replace(zoo.SHIP, reach_s=30.0, speed_kn=speed_kn)
    found = computed(turned(60.0, slow), "geometric").reach_m
    assert found is not None
    assert found / 1852.0 == pytest.approx(run_nm, abs=1e-4)
    assert found == pytest.approx(30.0 * m_per_s_from_kn(speed_kn), abs=1e-9)


def test_the_rate_falls_with_the_speed_in_the_turn() -> None:
    """T26, CALC: 12 to 9 kn at R 0.5 NM: 22.92 to 17.19 deg/min."""
    assert rate_of_turn_deg_per_min(12.0, 0.5) == pytest.approx(22.92, abs=0.01)
    slowed = turned(60.0, replace(zoo.SHIP, turn_speed_ratio=0.75))
    assert slowed.rate_deg_per_min == pytest.approx(17.19, abs=0.01)


def test_a_held_rate_is_another_turn() -> None:
    """T27, CALC: 15 deg/min held from 12 to 9 kn: the radius falls from 0.764 to 0.573 NM."""
    for speed_kn, radius_nm in ((12.0, 0.764), (9.0, 0.573)):
        assert rate_of_turn_deg_per_min(speed_kn, radius_nm) == pytest.approx(15.0, abs=0.02)
