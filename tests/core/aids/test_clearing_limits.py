"""What clearing lines must not promise: other dangers, darkness, radar and unsure marks."""

import math
from collections.abc import Sequence

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from tests import zoo
from tests.core.aids.test_clearing import MILE_M, cleared, rock
from tests.core.aids.waters import beside, mark, track
from wheelover.core.aids.leg_light import When
from wheelover.core.checks.clearing_lines import _unknown
from wheelover.core.types.aid_lines import ClearingBearing, ClearingRange
from wheelover.core.types.clearance import Piece
from wheelover.core.types.marks import Mark
from wheelover.core.types.times import PieceTime

NOON_S, MIDNIGHT_S = 1_750_514_400.0, 1_750_557_600.0
"""21 June 2025, 14:00 UTC and 22 June, 02:00 UTC: noon and midnight by the sun at 30 W."""


def at(departure_s: float) -> When:
    """Return times of one leg of an hour."""
    (leg,) = track().legs
    time = PieceTime(from_m=0.0, start_s=0.0, speed_m_per_s=3.0)
    return When(times={Piece(kind="leg", index=leg.index): time}, departure_s=departure_s)


def nearest_allowed_m(
    line: ClearingBearing | ClearingRange, by: Mark, dangers: Sequence[tuple[float, float]]
) -> list[float]:
    """Return how near she may come to each danger while the line lets her, by geographiclib."""
    least = [math.inf] * len(dangers)
    there = by.position.lat_deg, by.position.lon_deg
    out = 1.0 if line.danger_side == "starboard" else -1.0
    for along in np.arange(line.from_m, line.to_m, 100.0):
        for across in np.arange(0.0, 1600.0, 40.0):
            spot = beside(float(along), out * float(across))
            sight = Geodesic.WGS84.Inverse(*spot, *there)
            value, limit = (
                (sight["azi1"] % 360.0, line.set_deg)
                if isinstance(line, ClearingBearing)
                else (sight["s12"] / MILE_M, line.set_nm)
            )
            over = value - limit
            if isinstance(line, ClearingBearing):
                over = (over + 180.0) % 360.0 - 180.0
            if (over < 0.0) if line.word == "NLT" else (over > 0.0):
                break
            for number, place in enumerate(dangers):
                away_m = Geodesic.WGS84.Inverse(*spot, *place)["s12"]
                least[number] = min(least[number], away_m)
    return least


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize(
    "by", [(9000.0, 100.0), (-1500.0, 50.0), (6000.0, 3000.0), (5000.0, 1100.0), (4000.0, -2500.0)]
)
def test_no_other_danger_lies_unsaid_on_the_clear_side(
    side: float, by: tuple[float, float]
) -> None:
    """Wherever a line lets her go along its stretch she keeps the margin of every danger, but for
    those it names: places tried one by one with another library.
    """
    dangers = [beside(5000.0, 700.0 * side), beside(2500.0, 790.0 * side)]
    one = mark("M", beside(by[0], by[1] * side), height_m=40.0)
    found = cleared(zoo.points(dangers), one, limit_m=200.0)
    lines: list[ClearingBearing | ClearingRange] = [*found.bearings, *found.ranges]
    for line in lines:
        for number, least_m in enumerate(nearest_allowed_m(line, one, dangers)):
            if number not in line.not_cleared:
                assert least_m > 199.0, (line.word, line.hazard_index, number)


def test_a_danger_past_which_no_line_is_sought_is_counted_and_held_against_the_lines() -> None:
    """Rocks beside one leg of which each lies farther off than the one before: lines are sought
    past the nearest twelve, and what no line clears of the others makes the check not met.
    """
    places = [beside(4000.0 + 300.0 * n, 500.0 + 100.0 * n) for n in range(16)]
    by = mark("M", beside(12_000.0, 100.0), height_m=40.0)
    found = cleared(zoo.points(places), by)
    served = {one.hazard_index for one in found.bearings}
    served |= {other for one in found.bearings for other in one.clears}
    unknown = set(range(16)) - served - set(found.none_for)
    assert found.left_out_count == len(unknown) > 0
    assert any("no line was sought" in one for one in _unknown(found))


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_one_line_serves_for_all_dangers_that_it_clears(side: float) -> None:
    """Fifteen rocks in a row beside the track, 600 to 740 m off: the line past the nearest clears
    them all, and wherever it lets her go geographiclib finds their margin kept.
    """
    rows = [beside(3000.0 + 150.0 * n, (740.0 - 10.0 * n) * side) for n in range(15)]
    by = mark("M", beside(14_000.0, 280.0 * side), height_m=40.0)
    found = cleared(zoo.points(rows), by, limit_m=200.0)
    assert found.left_out_count == 0
    assert found.none_for == ()
    assert len(found.bearings) < 15
    assert any(len(one.clears) > 8 for one in found.bearings)
    lines: list[ClearingBearing | ClearingRange] = [*found.bearings, *found.ranges]
    for line in lines:
        least = nearest_allowed_m(line, by, rows)
        for number in (line.hazard_index, *line.clears):
            assert number not in line.not_cleared
            assert least[number] > 199.0, (line.word, line.hazard_index, number)


def test_a_line_clears_no_danger_that_its_stretch_does_not_pass() -> None:
    """Two rocks miles apart, and ranges of a mark abeam of the first: each wants its own."""
    places = [beside(5000.0, 700.0), beside(10_500.0, 700.0)]
    by = mark("M", beside(5000.0, 1500.0), height_m=40.0)
    found = cleared(zoo.points(places), by, limit_m=200.0)
    assert [one.hazard_index for one in found.ranges] == [0]
    assert all(one.clears == () for one in found.ranges)
    assert 1 in found.none_for or any(one.hazard_index == 1 for one in found.bearings)


def test_a_danger_partly_before_a_line_is_not_cleared_by_it() -> None:
    """A wreck of 400 m: its outer end lies behind the line past the rock, its inner before."""
    rock_place, low, high = beside(5000.0, 700.0), beside(5100.0, 560.0), beside(5100.0, 960.0)
    dangers = zoo.dangers([
        ("Point", [rock_place[1], rock_place[0]]),
        ("LineString", [[low[1], low[0]], [high[1], high[0]]]),
    ])  # fmt: skip
    by = mark("M", beside(12_000.0, 450.0), height_m=40.0)
    found = cleared(dangers, by, limit_m=200.0)
    of_rock = [one for one in found.bearings if one.hazard_index == 0]
    assert of_rock
    assert all(1 not in one.clears and 1 in one.not_cleared for one in of_rock)


def test_a_line_that_leaves_a_danger_out_is_not_checked() -> None:
    both = zoo.points([beside(5000.0, 1200.0), beside(5600.0, 700.0)])
    found = cleared(both, mark("M", beside(12_000.0, 300.0)))
    assert any("on the clear side" in one for one in _unknown(found))


def test_an_unlit_mark_clears_nothing_by_night() -> None:
    beacon = mark("M", beside(12_000.0, 300.0), height_m=40.0)
    day = cleared(rock(5000.0, 900.0), beacon, eye_m=16.0, when=at(NOON_S))
    assert [one.sight for one in day.bearings] == ["in_sight"]
    night = cleared(rock(5000.0, 900.0), beacon, eye_m=16.0, when=at(MIDNIGHT_S))
    assert (night.bearings, night.none_for) == ((), (0,))
    chosen = cleared(
        rock(5000.0, 900.0), beacon, eye_m=16.0, when=at(MIDNIGHT_S), chosen=("M",), scale_nm=3.0
    )
    assert "not seen" in chosen.not_usable[0].reason
    lit = mark("M", beside(12_000.0, 300.0), height_m=40.0, lit=True, nominal_range_nm=15.0)
    night = cleared(rock(5000.0, 900.0), lit, eye_m=16.0, when=at(MIDNIGHT_S))
    assert [one.sight for one in night.bearings] == ["in_sight"]


def test_without_a_time_an_unlit_mark_is_not_known_to_be_seen() -> None:
    beacon = mark("M", beside(12_000.0, 300.0), height_m=40.0)
    found = cleared(rock(5000.0, 900.0), beacon, eye_m=16.0)
    assert [one.sight for one in found.bearings] == ["not_known"]
    assert any("is not known" in one for one in _unknown(found))


def test_a_range_beyond_the_scale_or_the_horizon_is_not_given() -> None:
    """The islet is 5.4 km from the track: outside a 3 NM scale. The horizon of an antenna of
    0.25 m and an islet of 0.25 m is 2.21 NM.
    """
    islet = mark("islet", beside(5000.0, -6000.0), height_m=4.0)
    near = rock(5000.0, 900.0)
    (line,) = cleared(near, islet, scale_nm=6.0).ranges
    assert (line.word, line.sight) == ("NMT", "not_known")
    (line,) = cleared(near, islet, scale_nm=6.0, antenna_m=25.0).ranges
    assert line.sight == "in_sight"
    assert cleared(near, islet, scale_nm=3.0, antenna_m=25.0).ranges == ()
    low = mark("islet", beside(5000.0, -6000.0), height_m=0.25)
    assert cleared(near, low, scale_nm=6.0, antenna_m=0.25).ranges == ()


def test_how_unsure_the_mark_is_counts_as_the_margin_does() -> None:
    """Plane sums: a beacon 200 m beyond the rock, 60 m unsure, asks 60 m more of range; bearings
    lead past as if so much more were kept off.
    """
    near = rock(5000.0, 900.0)
    unsure = mark("M", beside(5000.0, 1100.0), position_uncertainty_m=60.0)
    (line,) = cleared(near, unsure).ranges
    assert line.set_nm == math.ceil(560.0 / MILE_M * 100.0) / 100.0
    ahead = beside(12_000.0, 300.0)
    (one,) = cleared(near, mark("M", ahead, position_uncertainty_m=60.0)).bearings
    (other,) = cleared(near, mark("M", ahead), limit_m=360.0).bearings
    assert one.bearing_deg == pytest.approx(other.bearing_deg, abs=1e-3)
    assert one.radius_m == pytest.approx(360.0)
    lost = cleared(near, mark("M", ahead, position_uncertainty_m=50_000.0))
    assert (lost.bearings, lost.ranges, lost.none_for) == ((), (), (0,))
    said = cleared(near, mark("M", ahead)).bearings[0].notes
    assert "How unsure its place is, is not given." in said
