"""Warnings in force and areas at other departures: the same as the plan made anew for each."""

from dataclasses import replace

import pytest

from tests import zoo
from tests.core.schedule.test_areas import HOUR_S, LEAVES, START_S, _box
from wheelover.core.planning import make_plan
from wheelover.core.times.departures import Retimed, departed, retimed
from wheelover.core.types.chart import Chart, WarningTimes
from wheelover.core.types.circumstances import NO_LIMITS, Conditions
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import LegWishes, Route
from wheelover.core.types.stream import Stream, StreamAt

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
