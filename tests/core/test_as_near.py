"""Dangers at one place are told in the order of their ids, however each of them was measured.

A danger of which much is asked is looked for farther off and so measured in another way than its
twin, which differs by nanometres. That the order is that of the ids follows from no publication: it
is what makes a plan the same whatever order its dangers came in.
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from tests import zoo
from tests.core.aids.waters import waters
from wheelover.core.aids.room import LegStretch, rooms_of
from wheelover.core.clearance.whole import clear
from wheelover.core.geo import geodesic
from wheelover.core.track import lay_track
from wheelover.core.types.chart import Chart, Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.clearance import Clearances

CORNER = ((50.0, 3.0), (50.1, 3.1), (50.0, 3.2))
WIDE_M = 20_000.0


def twins(count: int, *, turned: bool) -> Hazards:
    """Return short lines about a corner, each twice; of one of both much more is asked."""
    rng = np.random.default_rng(12)
    lat, lon, _ = geodesic.direct(
        *CORNER[1], rng.uniform(120.0, 240.0, count), rng.uniform(500.0, 3000.0, count)
    )
    lines = [
        ("LineString", [[x, y], [x + 0.002, y + 0.001]])
        for y, x in zip(lat.tolist(), lon.tolist(), strict=True)
    ]
    both = zoo.dangers([one for line in lines for one in (line, line)])
    limit_m = np.tile([WIDE_M, 50.0], count)
    names = np.array([f"h{number:03}" for number in range(2 * count)])
    return replace(
        both,
        ids=tuple(names.tolist()),
        min_clearance_m=limit_m[::-1].copy() if turned else limit_m,
    )


def found_in(hazards: Hazards) -> Clearances:
    """Return what the track about the corner clears."""
    pieces = lay_track(zoo.route(CORNER, radii_nm=[0.3]), None).pieces
    return clear(pieces, hazards, Limits(min_clearance_m=50.0))


@pytest.mark.parametrize("turned", [False, True])
def test_twins_stand_in_the_order_of_their_ids(turned: bool) -> None:
    rows = found_in(twins(60, turned=turned)).rows
    assert len(rows) == 120
    at_m, hazard = rows.distance_m.tolist(), rows.hazard.tolist()
    assert sorted(hazard) == list(range(120))
    assert all(one // 2 == other // 2 for one, other in zip(hazard[::2], hazard[1::2], strict=True))
    assert all(one < other for one, other in zip(hazard[::2], hazard[1::2], strict=True))
    assert all(far - near > -1e-6 for near, far in pairwise(at_m))
    # They are measured in two ways: rounding tells some of them apart.
    assert any(0.0 < abs(b - a) < 1e-7 for a, b in zip(at_m[::2], at_m[1::2], strict=True))


def test_nearest_to_each_side_is_the_first_of_twins() -> None:
    """The first of each two, of which more is asked, is measured from every piece that is near."""
    sides = found_in(twins(60, turned=False)).sides
    assert sides
    assert all(one.hazard_index % 2 == 0 for one in sides)


def test_the_room_beside_a_leg_names_the_first_of_twins_by_id() -> None:
    """Two rocks at one place, 800 m to starboard, given in either order."""
    laid = lay_track(zoo.route(((47.0, -30.0), (47.1, -30.0))), None)
    (leg,) = laid.legs
    stretch = LegStretch(leg=leg, from_m=0.0, to_m=leg.length_m)
    lat, lon, _ = geodesic.direct(47.05, -30.0, 90.0, 800.0)
    rocks = zoo.points([(float(lat[0]), float(lon[0]))] * 2)
    for ids in (("a", "b"), ("b", "a")):
        chart = Chart(loaded=True, hazards=replace(rocks, ids=ids))
        ((_, starboard),) = rooms_of([stretch], waters(chart, limit_m=100.0))
        assert starboard.hazard_index is not None
        assert ids[starboard.hazard_index] == "a"
        assert starboard.room_m == pytest.approx(700.0, abs=0.5)
        ((_, bare),) = rooms_of([stretch], waters(chart))
        assert bare.reason is not None
        assert bare.reason.startswith("no margin is asked of a,")
