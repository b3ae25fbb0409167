"""Clearing transits: wherever the rear mark stands open to the side told, the margin is kept.

Places are tried one by one with geographiclib, another library than the one that finds the lines.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from tests import zoo
from tests.core.aids.test_clearing import cleared, rock
from tests.core.aids.test_clearing_limits import MIDNIGHT_S, NOON_S, at
from tests.core.aids.waters import beside, mark
from wheelover.core.types.aid_lines import ClearingTransit
from wheelover.core.types.marks import Mark


def beacons(side: float = 1.0, **more: object) -> tuple[Mark, Mark]:
    """Return a front and a rear beacon ahead: their line runs 95 m beside the track at the rock."""
    front = mark("F", beside(12_000.0, 200.0 * side), height_m=20.0, visually_conspicuous=True)
    rear = mark("R", beside(14_000.0, 230.0 * side), height_m=40.0, visually_conspicuous=True)
    return replace(front, **more), replace(rear, **more)  # type: ignore[arg-type]


def nearest_open_m(
    line: ClearingTransit, front: Mark, rear: Mark, place: tuple[float, float]
) -> float:
    """Return how near she may come to a danger while the rear mark stands open as told."""
    least = math.inf
    out = 1.0 if line.danger_side == "starboard" else -1.0
    for along in np.arange(line.from_m, line.to_m, 100.0):
        for across in np.arange(0.0, 1600.0, 20.0):
            spot = beside(float(along), out * float(across))
            bearings = [
                Geodesic.WGS84.Inverse(*spot, one.position.lat_deg, one.position.lon_deg)["azi1"]
                for one in (front, rear)
            ]
            opened = (bearings[1] - bearings[0] + 180.0) % 360.0 - 180.0
            if (opened if line.open_side == "starboard" else -opened) <= 0.0:
                break
            least = min(least, Geodesic.WGS84.Inverse(*spot, *place)["s12"])
    return least


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_kept_open_the_marks_keep_her_off_the_danger(side: float) -> None:
    """With the danger to starboard she is to port of the line, and so is the rear mark's opening:
    seen from there the nearer mark is drawn to the other side.
    """
    front, rear = beacons(side)
    found = cleared(rock(5000.0, 700.0 * side), front, rear, limit_m=200.0)
    (line,) = found.transits
    assert (line.front_id, line.rear_id, line.hazard_index) == ("F", "R", 0)
    assert line.open_side == ("port" if side > 0.0 else "starboard")
    assert line.mark_ahead
    ends = [(one.position.lat_deg, one.position.lon_deg) for one in (front, rear)]
    wanted = Geodesic.WGS84.Inverse(*ends[0], *ends[1])["azi1"]
    assert line.bearing_deg == pytest.approx(wanted % 360.0, abs=1e-6)
    assert line.from_m < 5000.0 < line.to_m
    assert nearest_open_m(line, front, rear, beside(5000.0, 700.0 * side)) > 200.0
    # By hand: 12,000 - 5,000 = 7,000 m, the line 95 m off there; the ends of its stretch differ.
    assert line.room_m == pytest.approx(95.0, abs=8.0)
    assert found.none_for == ()


def test_open_by_a_tenth_of_a_degree_is_plane_geometry() -> None:
    """Beside it by a (a + s) tan(0.1 deg) / s for a small angle, at the far end of the danger."""
    (line,) = cleared(rock(5000.0, 700.0), *beacons(), limit_m=200.0).transits
    far_m = 7000.0 + 200.0
    wanted_m = math.radians(0.1) * far_m * (far_m + 2000.0) / 2000.0
    assert line.open_m == pytest.approx(wanted_m, rel=0.05)


def test_a_line_that_runs_through_the_margin_is_not_offered() -> None:
    """Its edge at 300 m: 95 m of line, 60 m for the opening; at 150 m there is no more room."""
    assert cleared(rock(5000.0, 500.0), *beacons(), limit_m=200.0).transits
    assert cleared(rock(5000.0, 350.0), *beacons(), limit_m=200.0).transits == ()


def test_unsure_marks_want_more_room() -> None:
    """30 m each: 30 m at the front one and 60 m over 2,000 m behind, 7,200 m before it: 246 m."""
    unsure = beacons(position_uncertainty_m=30.0)
    assert cleared(rock(5000.0, 700.0), *unsure, limit_m=200.0).transits
    assert cleared(rock(5000.0, 560.0), *unsure, limit_m=200.0).transits == ()
    assert cleared(
        rock(5000.0, 560.0), *beacons(position_uncertainty_m=0.0), limit_m=200.0
    ).transits


def test_one_transit_serves_for_all_dangers_behind_it_and_names_those_it_leaves() -> None:
    rocks = [beside(5000.0 + 400.0 * n, 700.0) for n in range(5)]
    front, rear = beacons()
    found = cleared(zoo.points(rocks), front, rear, limit_m=200.0)
    served = {one.hazard_index for one in found.transits}
    served |= {other for one in found.transits for other in one.clears}
    assert served == set(range(5))
    assert len(found.transits) < 5
    for line in found.transits:
        for number in (line.hazard_index, *line.clears):
            assert nearest_open_m(line, front, rear, rocks[number]) > 200.0
    inner = zoo.points([beside(5000.0, 700.0), beside(5050.0, 250.0)])
    left = cleared(inner, front, rear, limit_m=200.0).transits
    assert all(1 in one.not_cleared for one in left if one.hazard_index == 0)


def test_marks_that_are_not_seen_or_say_nothing_make_no_transit() -> None:
    front, rear = beacons()
    plain = replace(front, visually_conspicuous=None), rear
    assert cleared(rock(5000.0, 700.0), *plain, limit_m=200.0).transits == ()
    chosen = cleared(rock(5000.0, 700.0), *plain, limit_m=200.0, chosen=("F", "R"))
    assert [one.chosen for one in chosen.transits] == [True]
    floating = replace(front, floating=True), rear
    assert cleared(rock(5000.0, 700.0), *floating, limit_m=200.0).transits == ()
    day = cleared(rock(5000.0, 700.0), front, rear, limit_m=200.0, eye_m=16.0, when=at(NOON_S))
    assert [one.sight for one in day.transits] == ["in_sight"]
    night = cleared(
        rock(5000.0, 700.0), front, rear, limit_m=200.0, eye_m=16.0, when=at(MIDNIGHT_S)
    )
    assert night.transits == ()
