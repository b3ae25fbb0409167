"""Clearing lines beside dangers of which no margin is asked, and past dangers of two legs."""

from dataclasses import replace

import numpy as np
import pytest

from tests import zoo
from tests.core.aids.test_clearing import MILE_M, cleared
from tests.core.aids.test_clearing_limits import nearest_allowed_m
from tests.core.aids.test_clearing_transits import beacons
from tests.core.aids.waters import beside, mark, off
from wheelover.core.checks.clearing_lines import _unknown
from wheelover.core.types.aid_lines import ClearingBearing, ClearingRange
from wheelover.core.types.chart import Hazards

WRECK_M, ROCK_M = 0.9 * MILE_M, 0.3 * MILE_M


def wreck_and_rock(
    side: float, rock_limit_m: float, *, rock_m: float = ROCK_M, unsure_m: float = 0.0
) -> Hazards:
    """Return a wreck with a limit of its own, and a rock before it with another or none (nan)."""
    both = zoo.points([beside(5000.0, WRECK_M * side), beside(5100.0, rock_m * side)])
    return replace(
        both,
        min_clearance_m=np.array([200.0, rock_limit_m]),
        position_uncertainty_m=np.array([0.0, unsure_m]),
    )


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("by", [(12_000.0, 500.0), (5000.0, 2200.0), (5000.0, -1500.0)])
def test_a_line_beyond_a_danger_without_a_margin_says_that_it_does_not_clear_it(
    side: float, by: tuple[float, float]
) -> None:
    """Places tried one by one with another library: the line lets her onto the rock."""
    hazards = wreck_and_rock(side, float("nan"))
    one = mark("M", beside(by[0], by[1] * side), height_m=40.0)
    found = cleared(hazards, one, limit_m=None)
    lines: list[ClearingBearing | ClearingRange] = [*found.bearings, *found.ranges]
    assert lines
    places = [beside(5000.0, WRECK_M * side), beside(5100.0, ROCK_M * side)]
    for line in lines:
        assert line.hazard_index == 0
        assert nearest_allowed_m(line, one, places)[1] < 60.0
        assert (line.not_cleared, line.clears) == ((1,), ())
        assert all(type(other) is int for other in line.not_cleared)
    assert any(one.startswith("1 danger lies on the clear side") for one in _unknown(found))
    # As it is where a margin is asked of the rock.
    asked = cleared(wreck_and_rock(side, 100.0), one, limit_m=None)
    lines = [*asked.bearings, *asked.ranges]
    of_wreck = [one for one in lines if one.hazard_index == 0]
    assert of_wreck
    assert all(one.not_cleared == (1,) for one in of_wreck)


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_transit_beyond_a_danger_without_a_margin_says_so_too(side: float) -> None:
    """The line of the beacons runs 95 m beside the track there, so the rock lies 45 m before it."""
    hazards = wreck_and_rock(side, float("nan"), rock_m=50.0)
    (line,) = cleared(hazards, *beacons(side), limit_m=None).transits
    assert (line.hazard_index, line.not_cleared, line.clears) == (0, (1,), ())


def test_a_danger_without_a_margin_counts_as_far_as_its_place_is_unsure() -> None:
    """Plane sums: the range of a beacon on the wreck keeps 200 m off, 0.11 NM as set, and the rock
    lies 112 m from the beacon: the circle holds it while it may be off its place by 92 m at most.
    Said to be cleared it is only where a margin is asked of it.
    """
    by = mark("M", beside(5000.0, WRECK_M), height_m=40.0)
    circle_m = WRECK_M - 200.0
    for unsure_m, not_cleared in ((0.0, ()), (90.0, ()), (95.0, (1,))):
        hazards = wreck_and_rock(1.0, float("nan"), rock_m=circle_m + 150.0, unsure_m=unsure_m)
        (line,) = cleared(hazards, by, limit_m=None).ranges
        assert (line.not_cleared, line.clears) == (not_cleared, ())
    asked = cleared(wreck_and_rock(1.0, 20.0, rock_m=circle_m + 150.0), by, limit_m=None)
    assert [one.clears for one in asked.ranges if one.hazard_index == 0] == [(1,)]


def test_a_bearing_of_one_leg_does_not_spare_the_range_of_the_next() -> None:
    """A rock inside a corner, and nearer ones outside both legs past which lines are sought first.

    From the mark beyond the corner a bearing leads past it on the first leg; square across the
    second, only its range does.
    """
    corner = beside(6.0 * MILE_M, 0.0)
    end = off(corner, 90.0, 6.0 * MILE_M)
    nearer = [beside(6.0 * MILE_M - 4500.0 - 300.0 * n, -350.0) for n in range(4)]
    nearer += [off(off(corner, 90.0, 4500.0 + 300.0 * n), 0.0, 350.0) for n in range(4)]
    rock = off(off(corner, 180.0, 600.0), 90.0, 600.0)
    by = mark("M", beside(6.0 * MILE_M + 6000.0, 50.0), height_m=40.0)
    places = [beside(0.0, 0.0), corner, end]
    one, other = (
        cleared(zoo.points([*nearer, rock]), by, limit_m=200.0, places=places, leg_index=index)
        for index in (0, 1)
    )
    assert 8 in {line.hazard_index for line in one.bearings}
    assert 8 not in {line.hazard_index for line in other.bearings}
    assert 8 in {line.hazard_index for line in other.ranges}
    assert 8 not in other.none_for
