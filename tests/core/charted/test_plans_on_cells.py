"""Plans checked against cells: coverage, dangers that are found, grades, scale, survey."""

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Point, box

from tests.core.charted.made import SPOT, WHOLE, cell, depth_area, quality, square
from tests.core.charted.plans import EAST, LIMITS, found, plan_over, row
from tests.zoo import points
from wheelover.core.types.circumstances import Limits
from wheelover.core.units import NM_M

GOOD = (depth_area(), quality(2))


def test_where_charts_cover_all_of_it_a_clearance_may_be_met() -> None:
    plan = plan_over([cell(*GOOD)], xtd_port_nm=0.2, xtd_starboard_nm=0.2)
    for check in ("leg_charts", "leg_clearance", "leg_cross_track", "leg_swept", "leg_routeing"):
        assert row(plan, check).result == "met", check
    assert row(plan, "dangers_loaded", None).result == "met"
    assert row(plan, "safety_contour", None).result == "met"
    assert plan.on_chart is not None
    assert plan.on_chart.charted.contour.used_m == 20.0


def test_without_cells_or_with_typed_dangers_alone_nothing_is_met() -> None:
    plan = plan_over([])
    assert row(plan, "leg_charts").result == "not_checked"
    assert row(plan, "leg_clearance").reason == "no dangers are loaded"
    typed = plan_over([], typed=points([(50.4, 0.5)]))
    assert "not stated" in str(row(typed, "leg_clearance").reason)


def test_the_stretch_that_no_chart_covers_is_named() -> None:
    west = box(0.0, 50.0, 0.5, 51.0)
    plan = plan_over([cell(*GOOD, covers=west)])
    assert plan.on_chart is not None
    (leg,) = plan.on_chart.covered
    (stretch,) = leg.uncovered
    half = Geodesic.WGS84.Inverse(50.5, 0.2, 50.5, 0.5)["s12"]
    assert half - 0.06 * NM_M <= stretch.from_m <= half
    assert stretch.to_m == pytest.approx(leg.length_m)
    reason = str(row(plan, "leg_charts").reason)
    assert f"{stretch.from_m / NM_M:.2f} to {leg.length_m / NM_M:.2f} NM" in reason
    for check in ("leg_clearance", "leg_routeing"):
        assert "outside the loaded charts" in str(row(plan, check).not_checked)


def test_a_hole_in_the_coverage_beside_the_leg_is_found() -> None:
    holed = WHOLE.difference(square(0.5, 50.501, 0.0005))
    plan = plan_over([cell(*GOOD, covers=holed)])
    assert plan.on_chart is not None
    (stretch,) = plan.on_chart.covered[0].uncovered
    assert stretch.to_m - stretch.from_m < 0.2 * NM_M
    # The same hole farther off than anybody asked to look.
    wide = WHOLE.difference(square(0.5, 50.503, 0.0005))
    assert row(plan_over([cell(*GOOD, covers=wide)]), "leg_charts").result == "met"


def test_neighbouring_cells_cover_together_and_across_180_degrees() -> None:
    west = cell(*GOOD, name="XX5W", covers=box(0.0, 50.0, 0.5, 51.0))
    east = cell(*GOOD, name="XX5E", covers=box(0.5, 50.0, 1.0, 51.0))
    assert row(plan_over([west, east]), "leg_charts").result == "met"
    far = (
        cell(
            depth_area(box(179.0, 50.0, 180.0, 51.0)),
            quality(2, box(179.0, 50.0, 180.0, 51.0)),
            name="XX5F",
            covers=box(179.0, 50.0, 180.0, 51.0),
        ),
        cell(
            depth_area(box(-180.0, 50.0, -179.0, 51.0)),
            quality(2, box(-180.0, 50.0, -179.0, 51.0)),
            name="XX5G",
            covers=box(-180.0, 50.0, -179.0, 51.0),
        ),
    )
    across = ((50.5, 179.7), (50.5, -179.7))
    assert row(plan_over(far, across), "leg_charts").result == "met"
    half = plan_over(far[:1], across)
    assert half.on_chart is not None
    (stretch,) = half.on_chart.covered[0].uncovered
    assert stretch.from_m == pytest.approx(half.on_chart.covered[0].length_m / 2.0, abs=100.0)


def test_turns_have_charts_of_their_own() -> None:
    corner = ((50.5, 0.2), (50.5, 0.6), (50.8, 0.6))
    holed = WHOLE.difference(square(0.593, 50.504, 0.0003))
    plan = plan_over([cell(*GOOD, covers=holed)], corner, Limits(min_clearance_m=300.0))
    assert row(plan, "turn_charts").result == "not_checked"
    whole = plan_over([cell(*GOOD)], corner)
    assert row(whole, "turn_charts").result == "met"
    assert row(whole, "turn_clearance").result == "met"


def test_missing_updates_leave_it_open() -> None:
    plan = plan_over([cell(*GOOD, updates_missing=(3, 4))])
    reason = str(row(plan, "leg_charts").reason)
    assert "XX5TEST1 edition 3 lacks updates 3, 4" in reason
    assert row(plan, "leg_clearance").result == "not_checked"


def test_a_cancelled_cell_leaves_it_open() -> None:
    plan = plan_over([cell(*GOOD, superseded="its producer has cancelled the cell")])
    reason = str(row(plan, "leg_charts").reason)
    assert "XX5TEST1 edition 3 is out of date: its producer has cancelled the cell" in reason
    assert row(plan, "leg_charts").result == "not_checked"
    assert row(plan, "leg_clearance").result == "not_checked"


def test_objects_without_a_rule_leave_the_charts_open() -> None:
    plan = plan_over([cell(("XYZABC", SPOT, {}), *GOOD)])
    assert row(plan, "leg_charts").result == "not_checked"
    said = "XX5TEST1 holds objects of classes not judged: XYZABC (1)"
    assert said in str(row(plan, "leg_charts").reason)


def test_a_leg_over_a_shoal_crosses_it() -> None:
    shoal = depth_area(square(0.5, 50.5, 0.01), DRVAL1=5.0, DRVAL2=10.0)
    plan = plan_over([cell(shoal, depth_area(WHOLE.difference(shoal[1])), quality(2))])
    (finding,) = found(plan, "clearance_not_met")
    assert finding.grade == "must_resolve"
    assert finding.about == "XX5TEST1/DEPARE.1.0.1"
    assert "crosses depth area from 5 m" in finding.message


def test_what_the_chart_leaves_open_must_be_explained() -> None:
    doubtful = plan_over([cell(("WRECKS", SPOT, {"WATLEV": 3}), *GOOD)])
    (finding,) = found(doubtful, "clearance_not_met")
    assert finding.grade == "must_explain"
    assert "how deep it lies beside it is not charted" in finding.message
    sure = plan_over([cell(("WRECKS", SPOT, {"WATLEV": 3, "EXPSOU": 2}), *GOOD)])
    assert found(sure, "clearance_not_met")[0].grade == "must_resolve"


def test_an_assumed_uncertainty_must_be_explained_and_a_stated_one_resolved() -> None:
    rock = ("UWTROC", Point(0.5, 50.504), {"VALSOU": 3.0})
    stated = plan_over([cell(rock, depth_area(), quality(4))])
    assert found(stated, "clearance_not_met")[0].grade == "must_resolve"
    assumed = plan_over([cell(rock, depth_area(), quality(6))])
    (finding,) = found(assumed, "clearance_not_met")
    assert finding.grade == "must_explain"
    assert "500 m are assumed" in finding.message
    (survey,) = found(assumed, "survey_unstated")
    assert survey.subject.id == "W1"
    assert not found(stated, "survey_unstated")


def test_small_scales_are_told() -> None:
    plan = plan_over([cell(*GOOD, scale=1_200_000)])
    assert found(plan, "small_scale")[0].grade == "must_explain"
    at_sea = plan_over([cell(*GOOD, scale=1_200_000)], water="open")
    assert found(at_sea, "small_scale")[0].grade == "note"
    assert not found(plan_over([cell(*GOOD, scale=90_000)]), "small_scale")


def test_the_contour_in_use_and_where_it_came_from() -> None:
    plan = plan_over([cell(*GOOD)])
    assert found(plan, "contour_deeper")[0].grade == "note"
    none = plan_over([cell(*GOOD)], limits=Limits(safety_contour_m=40.0))
    assert row(none, "safety_contour", None).result == "must_explain"
    proposed = plan_over([cell(*GOOD)], limits=Limits())
    assert found(proposed, "contour_assumed")[0].grade == "must_explain"
    basis = {one.input: one for one in proposed.basis}
    assert basis["safety contour wanted"].source == "default"
    assert "20 m" in str(basis["safety contour wanted"].note)


def test_typed_dangers_stand_beside_charted_ones() -> None:
    typed = points([(50.5, 0.4)])
    rock = ("UWTROC", SPOT, {"VALSOU": 3.0})
    plan = plan_over([cell(rock, *GOOD)], typed=typed)
    abouts = [one.about for one in found(plan, "clearance_not_met")]
    assert abouts == sorted(["XX5TEST1/UWTROC.1.0.1", typed.ids[0]])
    again = plan_over([cell(rock, *GOOD)], typed=points([(50.5, 0.4)]))
    assert [one.message for one in again.findings] == [one.message for one in plan.findings]


@given(
    spots=st.lists(
        st.tuples(st.floats(50.42, 50.58), st.floats(0.1, 0.9), st.floats(0.0, 30.0)),
        min_size=1,
        max_size=40,
    )
)
def test_every_charted_danger_within_the_search_distance_is_found(
    spots: list[tuple[float, float, float]],
) -> None:
    """By brute force: the distance of each from each of many places along the leg."""
    plan = plan_over([cell(*GOOD, soundings=spots)])
    line = Geodesic.WGS84
    along = np.linspace(EAST[0][1], EAST[1][1], 2000)
    expected = set()
    for number, (lat, lon, depth_m) in enumerate(spots):
        nearest = min(max(lon, EAST[0][1]), EAST[1][1])
        near_deg = along[np.argsort(np.abs(along - nearest))[:5]]
        away_m = min(
            line.Inverse(lat, lon, 50.5, float(one))["s12"] for one in (*near_deg, nearest)
        )
        if depth_m < LIMITS.safety_depth_m - 1e-6 and away_m < 2.0 * NM_M - 1.0:
            expected.add(f"XX5TEST1/SOUNDG.1.3.1.{number}")
    listed = {one.hazard_id for one in plan.clearances.rows}
    assert expected <= listed
    shallow = {n for n, one in enumerate(spots) if one[2] < LIMITS.safety_depth_m}
    assert {int(one.rpartition(".")[2]) for one in listed} <= shallow


def test_areas_that_hold_the_whole_track_are_crossed() -> None:
    plan = plan_over([cell(depth_area(WHOLE, DRVAL1=2.0), quality(2))])
    (finding,) = found(plan, "clearance_not_met")
    assert "crosses" in finding.message
    assert shapely.covers(WHOLE, Point(0.5, 50.5))
