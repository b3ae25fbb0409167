"""How far beside its legs a plan looks for cells."""

from typing import Any

import pytest

from wheelover.core.units import NM_M
from wheelover.usecases.chart_boxes import LEAST_REACH_M, heights, reach_m
from wheelover.usecases.search_boxes import asked_by

LEGS: list[dict[str, Any]] = [
    {"id": "A", "lat_deg": 47.0, "lon_deg": -30.0},
    {"id": "B", "lat_deg": 47.2, "lon_deg": -30.0, "leg": {}},
]
SET = {"open": {"min_clearance_m": 9_000.0}, "coastal": {"min_clearance_by_class": {"rock": 9_500}}}


@pytest.mark.parametrize(
    ("more", "limit_set", "wanted_m"),
    [
        ({}, None, LEAST_REACH_M),
        ({"limits": {"min_clearance_m": 6_000.0}}, None, 6_000.0),
        ({"limits": {"max_off_track_m": 7_000.0}}, None, 7_000.0),
        ({"limit_set_id": "named"}, SET, 9_500.0),
        ({"limit_set": SET}, None, 9_500.0),
    ],
)
def test_the_reach_is_the_largest_that_anything_asks(
    more: dict[str, Any], limit_set: dict[str, Any] | None, wanted_m: float
) -> None:
    document = {"inputs": {"route": {"waypoints": LEGS}, **more}, "result": {}}
    if limit_set is not None:
        document["result"] = {"limit_set": limit_set}
    inputs = asked_by(document)
    assert reach_m(inputs) == wanted_m
    south_deg, north_deg = heights(inputs)
    beside_deg = wanted_m / NM_M / 60.0
    assert south_deg <= 47.0 - beside_deg
    assert north_deg >= 47.2 + beside_deg


def test_a_leg_asks_too() -> None:
    wide = [LEGS[0], {**LEGS[1], "leg": {"xtd_port_nm": 5.0}}]
    assert reach_m({"route": {"waypoints": wide}}) == 5.0 * NM_M
