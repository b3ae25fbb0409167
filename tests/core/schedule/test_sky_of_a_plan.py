"""Courses by compass and daylight in a plan: what is found, what is missed, what is not known."""

from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from tests import zoo as common
from tests.core.depth import passages as zoo
from wheelover.core.planning import make_plan
from wheelover.core.schedule.sun import daylight_of
from wheelover.core.schedule.variation import variation_at
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.compass import DeviationCard, DeviationRow
from wheelover.core.types.plan import Finding, Plan
from wheelover.core.types.route import Position, Route
from wheelover.core.types.sky import DaylightNeed, PointPart, SunRow
from wheelover.core.types.tide import Constituent, Harmonics, Tide
from wheelover.core.utc import seconds_from_utc

CARD = DeviationCard(
    by="compass",
    rows=tuple(
        DeviationRow(heading_deg=45.0 * step, deviation_deg=deviation)
        for step, deviation in enumerate((1.0, 2.5, 2.0, 0.5, -1.0, -2.0, -1.5, 0.0))
    ),
)
EQUIPPED = replace(zoo.TANKER, deviation_card=CARD, gyro_error_deg=-0.5)


def planned(at_utc: str | None = "2026-11-25T14:00:00Z", **more: Any) -> Plan:
    """Return the plan of the corner at a departure."""
    departure_s = None if at_utc is None else seconds_from_utc(at_utc)
    conditions = replace(
        more.pop("conditions", zoo.CALM), departure_s=departure_s, set_deg=90.0, drift_kn=2.0
    )
    return zoo.plan(zoo.depth(30.0), **{"ship": EQUIPPED, "conditions": conditions, **more})


def row(plan: Plan, check: str) -> Any:
    """Return the first row of a check."""
    return next(one for one in plan.checks if one.check == check)


def codes(plan: Plan, code: str) -> list[Finding]:
    """Return the findings of a code."""
    return [one for one in plan.findings if one.code == code]


def test_course_and_course_to_steer_by_every_compass() -> None:
    """To make good 000 at 10 kn across 2 kn from the west she steers 348.5 (asin 0.2)."""
    plan = planned()
    found = plan.sky.courses[0]
    start = plan.route.waypoints[0]
    expected = variation_at(Position(lat_deg=start.lat_deg, lon_deg=start.lon_deg), zoo.DEPARTURE_S)
    assert found.variation == expected
    assert expected.value_deg is not None
    assert found.to_steer is not None
    assert found.to_steer.true_deg == pytest.approx(360.0 - 11.537, abs=0.001)
    for one in (found.course, found.to_steer):
        assert one is not None
        assert one.magnetic_deg is not None
        assert one.compass_deg is not None
        assert one.deviation_deg is not None
        assert one.gyro_deg == pytest.approx((one.true_deg + 0.5) % 360.0)
        # True virgins make dull company: from the compass back to true, easterly is added.
        back = one.compass_deg + one.deviation_deg + expected.value_deg
        assert back % 360.0 == pytest.approx(one.true_deg % 360.0, abs=1e-9)
    assert row(plan, "leg_compass").result == "met"
    basis = {one.input: one for one in plan.basis}
    assert basis["magnetic variation"].value == "WMM2025"
    assert basis[f"gyro error of {EQUIPPED.name}"].source == "ship"


def test_without_card_gyro_and_departure_each_is_named() -> None:
    plan = planned(None, ship=zoo.TANKER)
    found = plan.sky.courses[0]
    assert found.variation.value_deg is None
    assert found.course is not None
    assert (found.course.magnetic_deg, found.course.compass_deg) == (None, None)
    one = row(plan, "leg_compass")
    assert one.result == "not_checked"
    for words in ("no departure_utc", "no deviation card", "no gyro error"):
        assert words in one.reason


def test_outside_the_years_of_the_model_a_finding_and_no_number() -> None:
    plan = planned("2031-02-03T04:05:06Z")
    assert plan.sky.courses[0].variation.value_deg is None
    (told,) = codes(plan, "leg_compass")
    assert told.grade == "not_checked"
    assert "WMM2025 holds from 2025.0 to 2030.0" in told.message
    assert "2031-02-03" in told.message


def test_a_card_of_unsaid_headings_is_a_default() -> None:
    plan = planned(ship=replace(EQUIPPED, deviation_card=replace(CARD, by=None)))
    basis = {one.input: one for one in plan.basis}
    assert basis["headings of the deviation card"].source == "default"


def test_near_the_magnetic_pole_no_course_by_compass_is_given() -> None:
    """A long leg past it is looked at between its ends too."""
    arctic = common.route([(78.0, 139.0), (89.0, 139.0)])
    conditions = replace(zoo.CALM, departure_s=zoo.DEPARTURE_S)
    plan = common.plan(arctic, ship=EQUIPPED, conditions=conditions)
    (told,) = codes(plan, "compass_blackout")
    assert told.grade == "must_explain"
    assert told.measured is not None
    assert told.measured < 2000.0
    assert any("lies between" in words for words in plan.sky.courses[0].notes)


def test_the_light_at_each_point_is_that_of_its_time() -> None:
    plan = planned()
    parts = [(one.point.waypoint_index, one.point.part) for one in plan.sky.sun]
    assert parts == [(0, "waypoint"), (1, "wheel_over"), (1, "waypoint"), (2, "waypoint")]
    times = [one.at_s for one in plan.sky.sun]
    assert times[0] == zoo.DEPARTURE_S
    assert sorted(times) == times  # type: ignore[type-var]
    for one in plan.sky.sun:
        assert one.at_s is not None
        assert one.day == daylight_of(one.point.position, one.at_s)
    assert row(plan, "daylight").result == "not_checked"
    assert "nobody has said" in row(plan, "daylight").reason


@pytest.mark.parametrize(
    ("at_utc", "grade"),
    [("2026-11-25T11:00:00Z", None), ("2026-11-25T17:10:00Z", "must_explain"),
     ("2026-11-25T22:00:00Z", "must_resolve")],
)  # fmt: skip
def test_a_departure_moved_by_hours_misses_a_need_of_daylight(
    at_utc: str, grade: str | None
) -> None:
    """The wheel-over comes 73 minutes after the departure; the sun sets at 18:15 there."""
    ids = [one.id for one in zoo.corner(zoo.depth(30.0)).waypoints]
    needs = (DaylightNeed(waypoint_id=ids[1], part="wheel_over", reason="The mark is not lit"),)
    plan = planned(at_utc, limits=replace(zoo.ASKED, daylight_needs=needs))
    told = codes(plan, "daylight_at_wheel_over")
    assert [one.grade for one in told] == ([] if grade is None else [grade])
    assert row(plan, "daylight").result == ("met" if grade is None else grade)
    for one in told:
        assert "The mark is not lit" in one.message
        assert "Sunrise there 2026-11-25T09:1" in one.message
        assert one.subject.id == ids[1]


@pytest.mark.parametrize(
    ("at_utc", "part", "words"),
    [(None, "wheel_over", "no departure_utc"), ("2026-11-25T11:00:00Z", "first", "no wheel-over")],
)
def test_a_need_that_cannot_be_judged_is_not_checked(
    at_utc: str | None, part: str, words: str
) -> None:
    ids = [one.id for one in zoo.corner(zoo.depth(30.0)).waypoints]
    where: tuple[str, PointPart] = (ids[0 if part == "first" else 1], "wheel_over")
    needs = (DaylightNeed(waypoint_id=where[0], part=where[1], reason="x"),)
    plan = planned(at_utc, limits=replace(zoo.ASKED, daylight_needs=needs))
    one = row(plan, "daylight")
    assert one.result == "not_checked"
    assert words in one.reason


def test_before_a_hole_in_the_route_the_light_is_known_and_after_it_not() -> None:
    route = common.route([(47.0, -30.0), (47.2, -30.0), (47.2, -29.6), (47.3, -29.3)])
    holed = Route(
        name="zoo",
        waypoints=(
            *route.waypoints[:2],
            replace(route.waypoints[2], gap_before=True),
            route.waypoints[3],
        ),
    )
    conditions = replace(zoo.CALM, departure_s=zoo.DEPARTURE_S)
    plan = make_plan(holed, zoo.TANKER, common.NO_CHART, conditions, Limits())
    known: list[SunRow] = [one for one in plan.sky.sun if one.day is not None]
    lost = [one for one in plan.sky.sun if one.day is None]
    assert {one.point.waypoint_index for one in known} == {0, 1}
    assert {one.point.waypoint_index for one in lost} == {2, 3}
    assert all(one.reason for one in lost)


def test_a_harmonic_tide_gives_height_and_windows_like_a_table() -> None:
    """One constituent of 2 m and half a lunar day on 3 m; water enough from 3.5 m up."""
    harmonics = Harmonics(
        mean_level_m=3.0,
        lat_deg=47.0,
        constituents=(Constituent(name="M2", amplitude_m=2.0, phase_deg=0.0),),
    )
    tide = Tide(station="Zoo roads", harmonics=harmonics)
    made = planned(conditions=replace(zoo.CALM, tides=(tide,)))
    found = zoo.leg_sum(made)
    term = zoo.terms(found)["tide"]
    assert term.value_m is not None
    assert 0.9 <= term.value_m <= 5.1
    assert "from 1 harmonic constituent, without weather" in term.reason
    shallow = zoo.plan(
        zoo.depth(13.2),
        conditions=replace(zoo.CALM, tides=(tide,), departure_s=zoo.DEPARTURE_S),
    )
    windows = zoo.leg_sum(shallow).windows
    assert windows
    lunar_day_s = 24.84 * 3600.0
    starts = [one.from_s for one in windows[1:]]
    assert all(
        later - sooner == pytest.approx(lunar_day_s / 2.0, abs=120.0)
        for sooner, later in pairwise(starts)
    )
    basis = {one.input: one for one in made.basis}
    assert "25 h" in str(basis["harmonic constants of the tide"].note)
