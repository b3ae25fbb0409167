"""The wheel-over methods beside geometry, how far they are apart, and what is said of them."""

import math
from dataclasses import replace
from typing import Any

import pytest

from tests import zoo
from wheelover.core.track import lay_track
from wheelover.core.types.plan import Finding, Plan
from wheelover.core.types.route import WheelOverChoice
from wheelover.core.types.ship import ShipProfile, TurnTable, TurnTableRow
from wheelover.core.types.track import NotApplicable, PlannedTurn, WheelOver

YD_M = 0.9144
# Source: [NAU102] (sources T12), yards, standard rudder; 90 and 105 degrees' transfer from memory
# of Bowditch's tactical table.
HEADINGS = tuple(range(15, 181, 15))
ADVANCE_YD = (500, 680, 827, 940, 1007, 1020, 993, 933, 827, 687, 533, 367)
TRANSFER_YD = (38, 100, 207, 347, 513, 687, 853, 1013, 1140, 1247, 1413, 1500)


def table(every: int = 1, **more: Any) -> TurnTable:
    rows = list(zip(HEADINGS, ADVANCE_YD, TRANSFER_YD, strict=True))[every - 1 :: every]
    return TurnTable(
        rudder_deg=more.pop("rudder_deg", 15.0),
        speed_kn=more.pop("speed_kn", 12.0),
        rows=tuple(
            TurnTableRow(heading_change_deg=float(h), advance_m=a * YD_M, transfer_m=x * YD_M)
            for h, a, x in rows
        ),
        **more,
    )


def ship(*tables: TurnTable, **more: Any) -> ShipProfile:
    return replace(zoo.SHIP, turn_tables=tables, **more)


def turned(change_deg: float, profile: ShipProfile | None) -> PlannedTurn:
    """Return the turn of a route that goes north and then on a course that much off."""
    north = math.cos(math.radians(change_deg)) * 0.2
    east = math.sin(math.radians(change_deg)) * 0.2
    (turn,) = lay_track(zoo.route([(-0.2, 0.0), (0.0, 0.0), (north, east)]), profile).turns
    return turn


def row(turn: PlannedTurn, method: str) -> WheelOver | NotApplicable:
    return next(one for one in turn.wheel_overs if one.method == method)


def computed(turn: PlannedTurn, method: str) -> WheelOver:
    found = row(turn, method)
    assert isinstance(found, WheelOver), found
    return found


def test_the_rule_of_thumb_by_hand() -> None:
    """Source: the rule as common practice has it: 12 kn, R 0.5 NM, 90 degrees: rate 24 deg/min,
    3.75 min, 0.75 NM run, half of it 0.375 NM, plus one length of 200 m.
    """
    turn = turned(90.0, zoo.SHIP)
    rule = computed(turn, "rule_of_thumb")
    change = abs(turn.course_change_deg or 0.0)
    assert rule.distance_m == pytest.approx(0.375 * 1852.0 * change / 90.0 + 200.0, abs=1e-6)
    assert any("24.000 deg/min" in line for line in rule.working)
    assert any("0.4830 NM" in line for line in rule.working)


def test_speed_lost_in_the_turn_lengthens_the_rule_only() -> None:
    slow = replace(zoo.SHIP, turn_speed_ratio=0.8)
    rule = computed(turned(60.0, slow), "rule_of_thumb").distance_m - 200.0
    plain = computed(turned(60.0, zoo.SHIP), "rule_of_thumb").distance_m - 200.0
    assert rule == pytest.approx(plain / 0.8, rel=1e-12)
    geometry = [computed(turned(60.0, one), "geometric").distance_m for one in (slow, zoo.SHIP)]
    assert geometry[0] == geometry[1]


@pytest.mark.parametrize(
    ("change_deg", "wheel_over_yd"),
    # Source: sources T13, computed from T12 by A - X cot(change).
    [(30, 506.8), (45, 620.0), (60, 739.7), (75, 869.5), (90, 1020.0), (105, 1221.6),
     (120, 1517.9), (135, 1967.0), (150, 2846.9), (165, 5806.4)],
)  # fmt: skip
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_advance_and_transfer_of_a_published_table(
    change_deg: int, wheel_over_yd: float, sign: float
) -> None:
    turn = turned(sign * change_deg, ship(table()))
    found = computed(turn, "advance_transfer")
    # The course of the outbound leg is not exactly the angle aimed at; the slope is below 100 yd
    # a degree up to 150 and 400 at 165.
    off_deg = abs(abs(turn.course_change_deg or 0.0) - change_deg)
    assert off_deg < 0.3
    slope = 60.0 if change_deg <= 135 else 400.0
    assert found.distance_m / YD_M == pytest.approx(wheel_over_yd, abs=0.1 + slope * off_deg)
    assert found.reach_m is None


def test_leaving_out_rows_moves_the_result_as_the_docstring_says() -> None:
    """Every second row left out moves the result by up to 35 yards; a quarter of that is left."""
    worst_yd = 0.0
    for change_deg in range(45, 136, 30):
        whole = computed(turned(change_deg, ship(table())), "advance_transfer")
        coarse = computed(turned(change_deg, ship(table(every=2))), "advance_transfer")
        worst_yd = max(worst_yd, abs(whole.distance_m - coarse.distance_m) / YD_M)
    assert 30.0 < worst_yd < 36.0


def test_nothing_is_extrapolated() -> None:
    for change_deg in (5.0, 14.0):
        found = row(turned(change_deg, ship(table())), "advance_transfer")
        assert isinstance(found, NotApplicable)
        assert "15 to 180" in found.reason
    short = replace(table(), rows=table().rows[:6])
    found = row(turned(100.0, ship(short)), "advance_transfer")
    assert isinstance(found, NotApplicable)
    assert "nothing is extrapolated" in found.reason


def test_the_table_of_the_side_then_rudder_then_speed_is_taken() -> None:
    port, either = table(side="port"), table(source="either")
    own, faster = table(side="starboard", source="own"), table(side="starboard", speed_kn=18.0)
    harder = table(side="starboard", rudder_deg=35.0)
    used = computed(turned(60.0, ship(port, either, faster, harder, own)), "advance_transfer").table
    assert used is not None
    assert used.table.source == "own"
    profile = ship(harder, faster, own, planned_rudder_deg=33.0)
    used = computed(turned(60.0, profile), "advance_transfer").table
    assert used is not None
    assert used.table.rudder_deg == 35.0
    used = computed(turned(60.0, ship(port, either)), "advance_transfer").table
    assert used is not None
    assert used.table.source == "either"
    other = row(turned(60.0, ship(port)), "advance_transfer")
    assert isinstance(other, NotApplicable)
    assert "other side" in other.reason


def test_another_point_of_the_ship_is_carried_to_midships() -> None:
    """The bridge 60 m ahead of midships passes the wheel-over 60 m before midships does."""
    bridge = table(reference_from_bow_m=40.0)
    found = computed(turned(60.0, ship(bridge)), "advance_transfer").distance_m
    plain = computed(turned(60.0, ship(table())), "advance_transfer").distance_m
    assert found - plain == pytest.approx(60.0, abs=1e-9)


def test_what_a_table_does_not_say_is_said() -> None:
    notes = " ".join(computed(turned(60.0, ship(table())), "advance_transfer").notes)
    assert "rudder of the planned turn is not given" in notes
    assert "heading reached or steadied" in notes
    assert "midships is taken" in notes
    known = table(rows_are="steadied", reference_from_bow_m=100.0)
    profile = ship(known, planned_rudder_deg=15.0, turn_radius_nm=0.35)
    assert computed(turned(60.0, profile), "advance_transfer").notes == ()


def test_a_table_of_another_turn_than_the_planned_one_is_named() -> None:
    """Source: sources T15: the naval table is a circle of 694 yards (0.34 NM) at 60 degrees."""
    fitting = ship(table(rows_are="steadied"), planned_rudder_deg=15.0, turn_radius_nm=0.35)
    notes = computed(turned(60.0, fitting), "advance_transfer").notes
    assert not any("radius" in note for note in notes)
    wide = replace(fitting, turn_radius_nm=1.0)
    notes = computed(turned(60.0, wide), "advance_transfer").notes
    assert any("0.34 NM radius" in note and "1.00 NM" in note for note in notes)
    assert _found(_plan(60.0, wide), "table_other_setting") != []


def test_the_spread_is_from_the_earliest_to_the_latest() -> None:
    turn = turned(90.0, ship(table()))
    found = {one.method: one.distance_m for one in turn.wheel_overs if isinstance(one, WheelOver)}
    assert turn.spread is not None
    assert turn.spread.distance_m == pytest.approx(max(found.values()) - min(found.values()))
    assert found[turn.spread.earliest] == max(found.values())
    assert turn.spread.time_s == pytest.approx(turn.spread.distance_m / (12.0 * 1852.0 / 3600.0))


def test_one_method_alone_has_no_spread() -> None:
    assert turned(60.0, replace(zoo.SHIP, speed_kn=None)).spread is None


def _plan(change_deg: float, profile: ShipProfile | None, **more: Any) -> Plan:
    north = math.cos(math.radians(change_deg)) * 0.2
    east = math.sin(math.radians(change_deg)) * 0.2
    return zoo.plan(zoo.route([(-0.2, 0.0), (0.0, 0.0), (north, east)], **more), ship=profile)


def _found(plan: Plan, code: str) -> list[Finding]:
    return [one for one in plan.findings if one.code == code]


def test_a_method_that_waits_until_the_arc_has_begun_is_to_be_explained() -> None:
    profile = ship(table(rows_are="steadied"), turn_radius_nm=1.0)
    north, east = 0.1, 0.2
    route = zoo.route([(-0.2, 0.0), (0.0, 0.0), (north, east)])
    waypoints = list(route.waypoints)
    for method, count in (("advance_transfer", 1), ("geometric", 0)):
        chosen = replace(waypoints[1], wheel_over=WheelOverChoice(method=method))
        plan = zoo.plan(
            replace(route, waypoints=(waypoints[0], chosen, waypoints[2])), ship=profile
        )
        found = _found(plan, "helm_after_arc")
        assert len(found) == count
    assert found == []


def test_methods_further_apart_than_the_ship_is_long_must_be_explained() -> None:
    (found,) = _found(_plan(120.0, zoo.SHIP), "methods_apart")
    assert found.grade == "must_explain"
    assert " m apart" in found.message
    assert " s at her approach speed" in found.message
    assert _found(_plan(20.0, zoo.SHIP), "methods_apart") == []


def test_a_change_beyond_the_table_is_found() -> None:
    short = replace(table(), rows=table().rows[:4])
    (found,) = _found(_plan(90.0, ship(short)), "beyond_table")
    assert "15 to 60 degrees" in found.message
    assert _found(_plan(45.0, ship(short)), "beyond_table") == []


def test_a_table_for_another_rudder_or_speed_is_named() -> None:
    poster = table(rudder_deg=35.0, speed_kn=16.0, rows_are="heading_reached")
    profile = ship(poster, planned_rudder_deg=15.0)
    (found,) = _found(_plan(60.0, profile), "table_other_setting")
    assert found.grade == "note"
    assert "35 degrees of rudder" in found.message
    assert "16 kn" in found.message
    fitting = ship(
        table(rudder_deg=15.0, speed_kn=12.0), planned_rudder_deg=15.0, turn_radius_nm=0.35
    )
    assert _found(_plan(60.0, fitting), "table_other_setting") == []
