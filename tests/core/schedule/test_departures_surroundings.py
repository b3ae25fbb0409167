"""Warnings in force and areas at other departures: the same as the plan made anew for each."""

from dataclasses import replace

import pytest

from tests import zoo
from tests.core.schedule.test_areas import HOUR_S, LEAVES, START_S, _box
from wheelover.core.planning import make_plan
from wheelover.core.times.departures import Retimed, departed, retimed
from wheelover.core.times.in_force import deciding
from wheelover.core.types.chart import Chart, WarningTimes
from wheelover.core.types.circumstances import NO_LIMITS, Conditions, Limits
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import LegWishes, Route
from wheelover.core.types.ship import Consumption
from wheelover.core.types.stream import Stream, StreamAt
from wheelover.render.departures import departures_document

BEND = [(47.0, -30.0), (47.3, -30.0), (47.3, -29.5)]
ROCK = (47.15, -29.99)
SHIFTS_H = (-3.0, 0.0, 0.5, 1.0, 2.0, 5.0, 30.0)
STREAM = Stream(
    station="Invented",
    rows=tuple(
        StreamAt(at_s=START_S + hours * HOUR_S, set_deg=0.0, drift_kn=drift_kn)
        for hours, drift_kn in ((-12.0, 0.0), (0.0, 2.0), (6.0, -0.0), (12.0, 2.0), (60.0, 0.5))
    ),
)


def chart(*warnings: WarningTimes, areas: bool = False) -> Chart:
    """Return a rock beside the first leg that warnings tell of, and areas over legs and turn."""
    shapes: list[tuple[str, object]] = [("Point", [ROCK[1], ROCK[0]])]
    if areas:
        shapes += [
            ("Polygon", _box(47.1, 47.2)), ("Polygon", _box(47.28, 47.4, -30.2, -29.8)),
            ("Polygon", _box(46.9, 47.05)),
        ]  # fmt: skip
    hazards = zoo.dangers(shapes)
    classes = ("warning", *("special",) * (len(shapes) - 1))
    return Chart(loaded=True, hazards=replace(hazards, classes=classes, warnings=warnings))  # type: ignore[arg-type]


def made(a_chart: Chart, conditions: Conditions, route: Route) -> tuple[Plan, Retimed]:
    plan = make_plan(route, zoo.SHIP, a_chart, conditions, NO_LIMITS)
    return plan, retimed(plan, zoo.SHIP, conditions, NO_LIMITS)


def route() -> Route:
    return zoo.route(BEND, leg=LegWishes(line="rhumb", speed_kn=12.0))


@pytest.mark.parametrize("streams", [(), (STREAM,)])
def test_areas_are_entered_and_left_when_the_plan_of_that_departure_says(
    streams: tuple[Stream, ...],
) -> None:
    conditions = replace(LEAVES, streams=streams)
    plan, base = made(chart(areas=True), conditions, route())
    assert len(plan.schedule.areas) == 3
    assert any(one.leaves and one.leaves.piece.index == 1 for one in plan.schedule.areas)
    for shift_h in SHIFTS_H:
        departure_s = START_S + shift_h * HOUR_S
        then = departed(base, departure_s).areas
        anew, _ = made(chart(areas=True), replace(conditions, departure_s=departure_s), route())
        assert len(then) == len(anew.schedule.areas)
        for one, area in zip(then, anew.schedule.areas, strict=True):
            assert one.area.area_id == area.area_id
            for at_s, edge in ((one.enters_s, area.enters), (one.leaves_s, area.leaves)):
                if edge is None:
                    assert at_s is None
                    continue
                assert edge.at_s is not None
                # Within a step of half a mile the line's clock runs straight.
                assert at_s == pytest.approx(departure_s + edge.at_s, abs=1.0)


def test_warnings_count_as_the_plan_of_that_departure_says() -> None:
    """The rock is passed on the first leg, under way for 1.5 h less the turn at its end."""
    cancelled = WarningTimes(hazard=0, number="1/26", cancel_s=START_S + 1.0 * HOUR_S)
    later = WarningTimes(hazard=0, number="2/26", issued_s=START_S + 2.0 * HOUR_S)
    always = WarningTimes(hazard=0, number="3/26", issued_s=START_S - 100.0 * HOUR_S)
    _, base = made(chart(cancelled, later, always), LEAVES, route())
    seen = set()
    for shift_h in SHIFTS_H:
        departure_s = START_S + shift_h * HOUR_S
        then = {one.warning.name: one.state for one in departed(base, departure_s).warnings}
        anew, _ = made(
            chart(cancelled, later, always), Conditions(departure_s=departure_s), route()
        )
        told = {one.message.split()[2]: one.code for one in anew.findings if "warning_" in one.code}
        words = {"warning_cancelled": "cancelled", "warning_later": "later"}
        assert then == {
            name: words[told[name]] if name in told else "in_force"
            for name in ("1/26", "2/26", "3/26")
        }
        seen |= set(then.items())
    assert seen == {
        ("1/26", "in_force"), ("1/26", "cancelled"), ("2/26", "later"), ("2/26", "in_force"),
        ("3/26", "in_force"),
    }  # fmt: skip


def test_by_hand_a_warning_is_in_force_until_the_leg_begins_after_its_end() -> None:
    """Cancelled an hour after the plan departs: departing 59 minutes later it still counts."""
    one = WarningTimes(hazard=0, number="1/26", cancel_s=START_S + 1.0 * HOUR_S)
    _, base = made(chart(one), LEAVES, route())

    def state(shift_s: float) -> str:
        return departed(base, START_S + shift_s).warnings[0].state

    assert (state(0.0), state(3540.0), state(3600.0)) == ("in_force", "in_force", "cancelled")


def test_without_a_speed_it_is_not_known() -> None:
    one = WarningTimes(hazard=0, number="1/26", cancel_s=START_S + 1.0 * HOUR_S)
    ship = replace(zoo.SHIP, speed_kn=None)
    plan = make_plan(zoo.route(BEND), ship, chart(one, areas=True), LEAVES, NO_LIMITS)
    found = departed(retimed(plan, ship, LEAVES, NO_LIMITS), START_S)
    assert [each.state for each in found.warnings] == ["not_known"]
    assert all(each.reason for each in found.areas)


def test_a_warning_far_from_the_track_is_not_told() -> None:
    hazards = replace(zoo.points([(48.5, -29.0)]), warnings=(WarningTimes(hazard=0, cancel_s=1.0),))
    _, base = made(Chart(loaded=True, hazards=hazards), LEAVES, route())
    assert departed(base, START_S).warnings == ()


@pytest.mark.parametrize("limits", [Limits(min_clearance_m=1000.0), NO_LIMITS])
def test_a_warning_passed_twice_counts_if_it_does_at_either(limits: Limits) -> None:
    """Out north at 720 m, back south at 490 m: 30 NM at 12 kn, so each leg takes 2.5 hours."""
    places = [(47.0, -30.0), (47.5, -30.0), (47.5, -29.984), (47.0, -29.984)]
    out_and_back = zoo.route(places, leg=LegWishes(speed_kn=12.0), radii_nm=[0.1, 0.1])
    hazards = zoo.points([(47.1, -29.9905)])

    def then(cancel_h: float) -> tuple[str, int, list[str]]:
        one = WarningTimes(hazard=0, number="1/26", cancel_s=START_S + cancel_h * HOUR_S)
        a_chart = Chart(loaded=True, hazards=replace(hazards, warnings=(one,)))
        plan = make_plan(out_and_back, zoo.SHIP, a_chart, LEAVES, limits)
        (found,) = departed(retimed(plan, zoo.SHIP, LEAVES, limits), START_S).warnings
        codes = [each.code for each in plan.findings if "warning_" in each.code]
        return found.state, found.piece.index, codes

    assert then(2.0) == ("in_force", 0, [])
    assert then(9.0) == ("in_force", 2, [])
    assert then(-1.0) == ("cancelled", 2, ["warning_cancelled"])


def test_of_several_passings_one_in_force_decides_then_one_not_known() -> None:
    assert deciding(["cancelled", "not_known", "later"]) == 1
    assert deciding(["not_known", "in_force"]) == 1
    assert deciding(["later", "cancelled"]) == 0


def test_where_the_plans_own_departure_has_only_a_reason_the_others_keep_their_rows() -> None:
    """Its ETA is not later than its departure; two hours earlier it is."""
    one = WarningTimes(hazard=0, number="1/26", cancel_s=START_S - 10.0 * HOUR_S)
    _, base = made(chart(one, areas=True), LEAVES, route())
    last = replace(base.route.waypoints[-1], eta_s=START_S)
    timed = replace(
        base, route=replace(base.route, waypoints=(*base.route.waypoints[:-1], last)),
    )  # fmt: skip
    was, moved = departed(timed, START_S), departed(timed, START_S - 20.0 * HOUR_S)
    assert was.reason is not None
    assert (was.warnings, moved.reason) == ((), None)
    document = departures_document(was, [moved], timed.route, (timed.legs, timed.turns))
    assert document["was"]["reason"] == was.reason
    (then,) = document["moved"]
    assert [(each["state"], each["was"]) for each in then["warnings"]] == [("in_force", None)]
    assert len(then["areas"]) == len(base.areas) > 0
    assert all(each["was_enters_utc"] is None for each in then["areas"])
    assert len(then["wheel_overs"]) == len(moved.wheel_overs)


def test_a_step_slower_than_the_table_is_told_as_the_plan_of_that_departure_does() -> None:
    """12 kn over the ground, a stream of up to 4 kn with her: the greatest speed lies inside."""
    drifts = ((-25.0, 0.0), (2.0, 0.0), (5.0, 4.0), (40.0, 4.0))
    stream = Stream(
        station="Invented",
        rows=tuple(
            StreamAt(at_s=START_S + hours * HOUR_S, set_deg=0.0, drift_kn=drift_kn)
            for hours, drift_kn in drifts
        ),
    )
    table = ((10.0, 20.0), (14.0, 40.0))
    ship = replace(
        zoo.SHIP,
        consumption=tuple(Consumption(speed_kn=kn, rate_t_per_day=rate) for kn, rate in table),
    )
    north = zoo.route([(47.0, -30.0), (48.2, -30.0)], leg=LegWishes(speed_over_ground_kn=12.0))

    def planned(departure_s: float) -> tuple[Plan, Retimed]:
        conditions = Conditions(departure_s=departure_s, streams=(stream,))
        plan = make_plan(north, ship, zoo.NO_CHART, conditions, NO_LIMITS)
        return plan, retimed(plan, ship, conditions, NO_LIMITS)

    slack_s = START_S - 12.0 * HOUR_S
    plan, base = planned(slack_s)
    assert plan.schedule.fuel[0].reason is None
    assert departed(base, slack_s).problems == ()
    anew, _ = planned(START_S)
    (words,) = departed(base, START_S).problems
    outside_kn = anew.schedule.fuel[0].outside_kn
    assert outside_kn is not None
    assert 8.0 <= outside_kn < 10.0
    assert f"{outside_kn:.2f} kn, outside her table of consumption of 10 to 14 kn" in words
