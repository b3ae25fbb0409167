"""Lights whose sectors change between the ends and the middle of what a clearing line serves."""

import math

import numpy as np
import pytest

from tests.core.aids.test_clearing import cleared, rock
from tests.core.aids.test_clearing_limits import MIDNIGHT_S, at
from tests.core.aids.waters import beside, mark
from wheelover.core.aids.sectors import looks_along
from wheelover.core.types.marks import Light


def light(from_deg: float | None, to_deg: float | None) -> Light:
    return Light(nominal_range_nm=15.0, sector_from_deg=from_deg, sector_to_deg=to_deg)


def test_looks_at_the_limits_of_sectors_by_plane_geometry() -> None:
    """1,000 m abeam: 45 deg before to 45 deg past; bearing 60 deg it is 1,000 / sin 60 deg off."""
    by = mark("M", beside(0.0, 0.0), lights=(light(60.0, 200.0),))
    places = np.array([[-1000.0, 0.0], [0.0, 0.0], [1000.0, 0.0]])
    looks = looks_along(by, np.array([0.0, 1000.0]), places, 0.0)
    assert [bearing for bearing, _ in looks[:3]] == pytest.approx([45.0, 90.0, 135.0])
    assert [bearing for bearing, _ in looks[3:]] == pytest.approx([59.99, 60.01])
    for bearing, range_m in looks[3:]:
        assert range_m == pytest.approx(1000.0 / math.sin(math.radians(bearing)), rel=1e-9)
    turned = looks_along(by, np.array([0.0, 1000.0]), places, 30.0)
    assert [bearing for bearing, _ in turned] == pytest.approx([75.0, 120.0, 165.0])


def test_a_light_hidden_over_a_narrow_sector_gives_no_bearing_by_night() -> None:
    """It is dark over 0.06 deg, which the bearing comes through between the first two places."""
    place = beside(14_000.0, 400.0)
    given = {"height_m": 40.0, "lit": True, "nominal_range_nm": 15.0}
    whole = mark("M", place, lights=(light(None, None),), **given)
    night = at(MIDNIGHT_S)
    (line,) = cleared(rock(5000.0, 900.0), whole, eye_m=20.0, when=night).bearings
    assert line.sight == "in_sight"
    # From 5,000 m along: atan(400 / 9,000) = 2.545 deg; from the first place, 4,630 m, 2.444 deg.
    hidden = mark("M", place, lights=(light(2.52, 2.46),), **given)
    found = cleared(rock(5000.0, 900.0), hidden, eye_m=20.0, when=night)
    assert all(one.sight != "in_sight" for one in found.bearings)
    assert found.bearings == ()
