"""Positions that nobody can have meant, and cross-track limits wider than the clearance."""

import pytest

from tests import zoo
from wheelover.core.geo import geodesic
from wheelover.core.types.plan import CheckRow, Finding, Plan
from wheelover.core.types.route import LegWishes

NORTH = [(47.0, -30.0), (47.5, -30.0)]


def found(plan: Plan, code: str) -> list[Finding]:
    return [one for one in plan.findings if one.code.startswith(code)]


def check_row(plan: Plan, check: str) -> CheckRow:
    return next(row for row in plan.checks if row.check == check)


def test_a_place_that_stands_twice_is_found_and_the_rest_stands() -> None:
    places = [(47.0, -30.0), (47.2, -30.0), (47.2, -29.7), (47.2, -30.0), (47.4, -30.2)]
    plan = zoo.plan(zoo.route(places))
    (one,) = found(plan, "position_doubled")
    assert (one.subject.id, one.grade) == ("W3", "must_explain")
    assert "W1" in one.message
    assert len(plan.legs) == 4


def test_a_closed_round_is_no_doubled_place() -> None:
    places = [(47.0, -30.0), (47.2, -30.0), (47.2, -29.7), (47.0, -30.0)]
    assert found(zoo.plan(zoo.route(places)), "position_") == []


def test_the_same_place_written_across_180_is_the_same() -> None:
    places = [(47.0, 180.0), (47.2, 179.0), (47.4, 179.5), (47.0, -180.0), (46.0, 179.0)]
    assert [one.subject.id for one in found(zoo.plan(zoo.route(places)), "position_doubled")] == [
        "W3"
    ]


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ((-30.1, 47.1), "swapped"),
        ((-47.1, -30.1), "north and south"),
        ((47.1, 30.1), "east and west"),
        ((17.1, -30.1), "far off"),
    ],
)
def test_a_position_far_off_names_the_slip(wrong: tuple[float, float], words: str) -> None:
    places = [(47.0, -30.0), wrong, (47.2, -30.2), (47.3, -30.2)]
    (one,) = found(zoo.plan(zoo.route(places)), "position_unlikely")
    assert one.subject.id == "W1"
    assert words in one.message


def test_long_ocean_legs_are_not_unlikely() -> None:
    places = [(35.0, 140.0), (48.0, -170.0), (37.7, -122.6), (37.8, -122.4)]
    assert found(zoo.plan(zoo.route(places)), "position_") == []


def test_a_position_never_filled_in() -> None:
    plan = zoo.plan(zoo.route([(1.0, 1.0), (0.0, 0.0), (1.0, 2.0)]))
    assert [one.subject.id for one in found(plan, "position_zero")] == ["W1"]


def off_track(distance_m: float, bearing_deg: float) -> tuple[float, float]:
    lat, lon, _ = geodesic.direct(47.25, -30.0, bearing_deg, distance_m)
    return float(lat[0]), float(lon[0])


@pytest.mark.parametrize(("bearing_deg", "side"), [(90.0, "starboard"), (270.0, "port")])
def test_a_limit_wider_than_the_clearance_on_its_side(bearing_deg: float, side: str) -> None:
    other = "port" if side == "starboard" else "starboard"
    wide = LegWishes(xtd_port_nm=0.5, xtd_starboard_nm=0.5)
    danger = off_track(800.0, bearing_deg)
    plan = zoo.plan(zoo.route(NORTH, leg=wide), a_chart=zoo.chart(danger))
    (one,) = found(plan, "cross_track_wider")
    assert one.code == f"cross_track_wider_{side}"
    assert one.measured == pytest.approx(800.0 / 1852.0, abs=1e-6)
    assert check_row(plan, "leg_cross_track").result == "must_resolve"
    narrow = LegWishes(**{f"xtd_{side}_nm": 0.4, f"xtd_{other}_nm": 5.0})
    plan = zoo.plan(zoo.route(NORTH, leg=narrow), a_chart=zoo.chart(danger))
    assert found(plan, "cross_track_wider") == []
    assert check_row(plan, "leg_cross_track").result == "not_checked"


def test_a_wide_limit_is_searched_beyond_the_usual_distance() -> None:
    wide = LegWishes(xtd_port_nm=6.0, xtd_starboard_nm=0.1)
    plan = zoo.plan(zoo.route(NORTH, leg=wide), a_chart=zoo.chart(off_track(10_000.0, 270.0)))
    assert len(plan.clearances.rows) == 0
    assert len(found(plan, "cross_track_wider_port")) == 1


def test_uncertainty_of_the_position_counts_against_the_limit() -> None:
    legs = LegWishes(xtd_port_nm=0.4, xtd_starboard_nm=0.4)
    danger = off_track(800.0, 90.0)
    for uncertainty_m, count in ((50.0, 0), (70.0, 1)):
        chart = zoo.chart(danger, uncertainty_m=uncertainty_m)
        plan = zoo.plan(zoo.route(NORTH, leg=legs), a_chart=chart)
        assert len(found(plan, "cross_track_wider")) == count


def test_a_danger_inside_the_bend_counts_for_the_leg_it_is_nearest_on() -> None:
    legs = LegWishes(xtd_port_nm=0.3, xtd_starboard_nm=0.3)
    corner = zoo.route([(47.0, -30.0), (47.2, -30.0), (47.2, -29.6)], leg=legs)
    plan = zoo.plan(corner, a_chart=zoo.chart((47.199, -29.9985)))
    assert {one.subject.index for one in found(plan, "cross_track_wider_starboard")} == {0, 1}


def test_an_empty_set_is_said_for_legs_and_corridors_alike() -> None:
    legs = LegWishes(xtd_port_nm=0.1, xtd_starboard_nm=0.1)
    plan = zoo.plan(zoo.route(NORTH, leg=legs), a_chart=zoo.chart(), limit_m=100.0)
    for check in ("leg_cross_track", "leg_clearance"):
        row = check_row(plan, check)
        assert row.result == "not_checked"
        assert "holds no danger" in (row.not_checked or "")


@pytest.mark.parametrize(
    ("leg", "loaded", "words"),
    [
        (LegWishes(), True, "no cross-track limit"),
        (LegWishes(xtd_port_nm=0.1), True, "to starboard"),
        (LegWishes(xtd_port_nm=0.1, xtd_starboard_nm=0.1), False, "no dangers"),
        (LegWishes(xtd_port_nm=0.1, xtd_starboard_nm=0.1), True, "not stated"),
    ],
)
def test_a_corridor_is_never_met_in_silence(leg: LegWishes, loaded: bool, words: str) -> None:
    chart = zoo.chart((10.0, 10.0)) if loaded else zoo.NO_CHART
    row = check_row(zoo.plan(zoo.route(NORTH, leg=leg), a_chart=chart), "leg_cross_track")
    assert row.result == "not_checked"
    assert words in (row.not_checked or "")
