"""Rules of the limit set: what became of each, and waivers of them."""

from dataclasses import replace

import pytest

from tests import zoo
from tests.core.test_margins import COMPANY, NORTH, _beside
from wheelover.core.checks.catalogue import TITLES
from wheelover.core.checks.rules import CHECKS_OF
from wheelover.core.types.chart import Chart, Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.limits import RULE_MEMBERS, LimitSet, Waiver, WaterLimits
from wheelover.core.types.plan import Finding, Plan, RuleRow
from wheelover.core.types.route import LegWishes, Route

WRECK = "coastal/min_clearance_m/wreck"


def _route(**wishes: object) -> Route:
    leg = LegWishes(water="coastal", **wishes)  # type: ignore[arg-type]
    route = zoo.route(NORTH)
    first, *others = route.waypoints
    return replace(route, waypoints=(first, *(replace(one, leg=leg) for one in others)))


def _plan(hazards: Hazards, *waivers: Waiver, of_set: LimitSet = COMPANY, **wishes: object) -> Plan:
    limits = Limits(limit_set=of_set, waivers=waivers)
    chart = Chart(loaded=True, hazards=hazards)
    return zoo.plan(_route(**wishes), a_chart=chart, limits=limits)


def _rule(plan: Plan, rule: str) -> RuleRow:
    (found,) = [one for one in plan.rules if one.rule.id == rule]
    return found


def _of(plan: Plan, code: str) -> list[Finding]:
    return [one for one in plan.findings if one.code == code]


def _waiver(**more: object) -> Waiver:
    given = {"id": "w1", "rule": WRECK, "reason": "Pilot aboard", "by_name": "R. Holm"}
    return Waiver(**{**given, **more})  # type: ignore[arg-type]


def test_every_member_of_a_set_has_its_checks() -> None:
    assert set(CHECKS_OF) == set(RULE_MEMBERS)
    assert {check for checks in CHECKS_OF.values() for check in checks} <= set(TITLES)


def test_a_finding_names_rule_set_and_edition() -> None:
    plan = _plan(_beside((1200.0, "wreck")))
    (found,) = _of(plan, "clearance_not_met")
    assert found.rules == (WRECK,)
    assert f"Company, edition 3 asks for 1500 m ({WRECK})" in found.message
    assert (found.grade, found.limit) == ("must_resolve", 1500.0)
    row = _rule(plan, WRECK)
    assert row.result == "missed"
    (miss,) = row.misses
    assert (miss.about, miss.finding_id, miss.waiver) == ("h0", found.id, None)
    assert miss.measured == pytest.approx(1200.0, abs=0.01)


def test_what_was_not_checked_is_not_met() -> None:
    plan = _plan(_beside((9000.0, "wreck")))
    assert {one.result for one in plan.rules} == {"not_checked"}
    assert all(one.reason for one in plan.rules)
    assert {one.rule.water for one in plan.rules} == {"coastal"}


@pytest.mark.parametrize(
    "more",
    [
        {},
        {"rule": "min_clearance_m"},
        {"danger_id": "h0"},
        {"subject_kind": "leg", "subject_id": "P2", "danger_id": "h0"},
    ],
)
def test_a_waived_miss_is_shown_with_who_and_why_and_never_as_met(
    more: dict[str, object],
) -> None:
    to_id = zoo.route(NORTH).waypoints[1].id
    more = {**more, **({"subject_id": to_id} if "subject_id" in more else {})}
    plan = _plan(_beside((1200.0, "wreck")), _waiver(by_rank="master", **more))
    (found,) = _of(plan, "clearance_not_met")
    assert found.grade == "must_explain"
    assert found.message.endswith("Waived by R. Holm, master: Pilot aboard.")
    row = _rule(plan, WRECK)
    assert row.result == "waived"
    assert [one.waiver and one.waiver.by_name for one in row.misses] == ["R. Holm"]
    assert {one.met for one in plan.clearances.rows} == {False}
    assert not _of(plan, "waiver_unused")


@pytest.mark.parametrize(
    "more",
    [
        {"rule": "open/min_clearance_m"},
        {"rule": "no rule"},
        {"danger_id": "h1"},
        {"subject_kind": "turn", "subject_id": "nowhere"},
    ],
)
def test_a_waiver_that_matches_nothing_is_a_finding(more: dict[str, object]) -> None:
    plan = _plan(_beside((1200.0, "wreck")), _waiver(**more))
    (found,) = _of(plan, "clearance_not_met")
    assert (found.grade, found.waiver) == ("must_resolve", None)
    (unused,) = _of(plan, "waiver_unused")
    assert (unused.grade, unused.about) == ("must_explain", "w1")


def test_a_waiver_of_one_danger_leaves_the_others() -> None:
    plan = _plan(_beside((1200.0, "wreck"), (1300.0, "wreck")), _waiver(danger_id="h1"))
    grades = {one.about: one.grade for one in _of(plan, "clearance_not_met")}
    assert grades == {"h0": "must_resolve", "h1": "must_explain"}
    assert _rule(plan, WRECK).result == "missed"


@pytest.mark.parametrize(
    ("kind", "grade"), [("wreck", "must_resolve"), ("restricted area", "must_explain")]
)
def test_no_waiver_answers_a_danger_that_lies_on_the_track(kind: str, grade: str) -> None:
    plan = _plan(_beside((0.0, kind)), _waiver(rule="min_clearance_m"))
    (found,) = _of(plan, "clearance_not_met")
    assert found.grade == grade
    assert found.waiver is not None


def test_a_leg_that_asks_for_less_misses_the_rule_and_keeps_its_limit() -> None:
    plan = _plan(_beside((1200.0, "wreck")), min_clearance_m=400.0)
    assert not _of(plan, "clearance_not_met")
    (found,) = _of(plan, "set_limit_not_met")
    assert "the leg's limit is 400 m, and is kept" in found.message
    assert (found.limit, found.rules, found.grade) == (1500.0, (WRECK,), "must_resolve")


def test_cross_track_limits_are_held_against_the_set() -> None:
    of_set = LimitSet(name="X", coastal=WaterLimits(min_xtd_nm=0.5, min_clearance_m=200.0))
    narrow = _plan(_beside((3000.0, None)), of_set=of_set, xtd_port_nm=0.2, xtd_starboard_nm=0.6)
    (found, _) = _of(narrow, "cross_track_below_set_port")
    assert found.rules == ("coastal/min_xtd_nm",)
    assert not _of(narrow, "cross_track_below_set_starboard")
    assert _rule(narrow, "coastal/min_xtd_nm").result == "missed"
    # Where the leg gives none the set's corridor is measured: 926 m, and 200 m beyond its edge.
    inside, near, off = (_plan(_beside((m, None)), of_set=of_set) for m in (900.0, 1100.0, 1130.0))
    assert len(_of(inside, "cross_track_wider_port")) == 1
    (edge,) = _of(near, "corridor_inside_margin_port")
    assert edge.measured == pytest.approx(1100.0 - 926.0, abs=0.01)
    assert not _of(off, "corridor_inside_margin_port")
    assert not _of(off, "cross_track_wider_port")


def test_the_strictest_counts_where_the_water_is_not_known() -> None:
    limits = Limits(limit_set=COMPANY)
    chart = Chart(loaded=True, hazards=_beside((2000.0, "rock")))
    plan = zoo.plan(zoo.route(NORTH), a_chart=chart, limits=limits)
    assert len(_of(plan, "water_not_given")) == 1
    (found,) = _of(plan, "clearance_not_met")
    assert found.rules == ("open/min_clearance_m",)
    basis = {one.input: one for one in plan.basis}
    assert (basis["kind of water"].source, basis["limit set"].value) == (
        "default",
        "Company, edition 3",
    )


def test_a_set_that_says_nothing_of_a_water_says_so() -> None:
    of_set = LimitSet(name="X", open=WaterLimits(min_clearance_m=200.0))
    plan = _plan(_beside((100.0, None)), of_set=of_set)
    (found,) = _of(plan, "water_without_limits")
    assert "coastal" in found.message
    assert not plan.rules
