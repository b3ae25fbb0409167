"""She lies at a stop as deep as she leaves it, and as long as she stays."""

from dataclasses import replace
from typing import Any

import pytest

from tests import zoo as common
from tests.core.depth import passages as zoo
from wheelover.core.types.plan import Plan
from wheelover.core.types.ship import DraughtChange

DEEPER: dict[str, Any] = {"draught_fore_m": 13.5, "draught_aft_m": 13.5, "reason": "cargo"}
EBB = zoo.tide((-2.0, 3.0), (4.0, 0.0), (10.0, 3.0))
"""From high water two hours before the departure to low water four hours after it."""


def stopped(at: int, change: DraughtChange, ship: Any = zoo.TANKER, **more: Any) -> Plan:
    plain = zoo.corner(zoo.depth(16.0))
    waypoints = [*plain.waypoints]
    waypoints[at] = replace(waypoints[at], stay_min=360.0)
    return common.plan(
        replace(plain, waypoints=tuple(waypoints)),
        ship=replace(ship, draughts=(change,)),
        limits=zoo.ASKED,
        **{"conditions": replace(zoo.CALM, tides=(EBB,)), **more},
    )


def test_at_a_stop_on_a_corner_the_deeper_draught_meets_the_low_water() -> None:
    """She lies there from 1.2 to 7.2 h after departure; low water, 0.0 m, is at 4 h."""
    change = DraughtChange(from_id="W1", **DEEPER)
    for ship in (replace(zoo.TANKER, turn_radius_nm=None), zoo.TANKER):
        found = zoo.turn_sum(stopped(1, change, ship))
        terms = zoo.terms(found)
        assert terms["tide"].value_m == 0.0
        assert terms["draught"].value_m == pytest.approx(-13.5)
        assert found.passing is not None
        stay_s = found.passing.to_s - found.passing.from_s
        assert 21_600.0 <= stay_s < 22_200.0


def test_loading_where_the_route_ends_is_told_and_not_taken_for_looked_at() -> None:
    conditions = replace(zoo.CALM, tide_m=2.0)
    loads = stopped(2, DraughtChange(from_id="W2", **DEEPER), conditions=conditions)
    found = zoo.leg_sum(loads, 1)
    assert found.met is None
    assert any("from W2 on" in said for said in found.left_out)
    assert zoo.result(loads, "leg_depth", 1).result == "not_checked"
    lighter = {**DEEPER, "draught_fore_m": 9.0, "draught_aft_m": 9.0}
    empties = stopped(2, DraughtChange(from_id="W2", **lighter), conditions=conditions)
    assert zoo.leg_sum(empties, 1).met is True
