"""How well the water beside each leg was surveyed is told by areas, with or without dangers."""

import pytest
import shapely

from tests.core.charted.made import WHOLE, cell, depth_area, quality
from tests.core.charted.plans import found, plan_over, row
from wheelover.core.types.charted import PieceSurvey
from wheelover.core.types.plan import Plan

WEST, EAST = shapely.box(0.0, 50.0, 0.5, 51.0), shapely.box(0.5, 50.0, 1.0, 51.0)
NORTH = shapely.box(0.0, 50.7, 1.0, 51.0)


def _survey(plan: Plan) -> PieceSurvey:
    assert plan.on_chart is not None
    (one,) = plan.on_chart.surveys
    return one


def test_water_without_a_zone_is_told_where_no_danger_lies() -> None:
    plan = plan_over([cell(depth_area(), quality(1, WEST))])
    one = _survey(plan)
    assert (one.zones, one.unzoned) == (("A1",), True)
    (finding,) = found(plan, "survey_unstated")
    assert (finding.subject.kind, finding.grade) == ("leg", "must_explain")
    assert "lies in no zone" in finding.message
    assert "the rest is zone A1" in finding.message
    assert row(plan, "leg_charts").result == "must_explain"


@pytest.mark.parametrize(("code", "zone"), [(5, "D"), (6, "U")])
def test_a_zone_without_figures_is_told(code: int, zone: str) -> None:
    plan = plan_over([cell(depth_area(), quality(2, WEST), quality(code, EAST))])
    one = _survey(plan)
    assert (one.zones, one.unzoned) == (("A2", zone), False)
    (finding,) = found(plan, "survey_unstated")
    assert f"zone {zone}" in finding.message


def test_stated_zones_are_listed_and_nothing_is_found() -> None:
    plan = plan_over([cell(depth_area(), quality(1, WEST), quality(4, EAST))])
    one = _survey(plan)
    assert (one.zones, one.unzoned) == (("A1", "C"), False)
    assert found(plan, "survey_unstated") == []


def test_a_zone_that_the_leg_does_not_come_near_does_not_count() -> None:
    south = shapely.box(0.0, 50.0, 1.0, 50.7)
    plan = plan_over([cell(depth_area(), quality(2, south), quality(6, NORTH))])
    assert _survey(plan).zones == ("A2",)


def test_land_beside_a_leg_needs_no_zone() -> None:
    """Within 2 NM of the leg, nothing being asked, lies an island without a zone."""
    island = shapely.box(0.4, 50.505, 0.6, 50.52)
    water = shapely.difference(WHOLE, island)
    plan = plan_over([cell(depth_area(water), ("LNDARE", island, {}), quality(2, water))])
    assert _survey(plan).unzoned is False


def test_an_area_of_quality_without_its_zone_states_nothing() -> None:
    plan = plan_over([cell(depth_area(), ("M_QUAL", WHOLE, {}))])
    assert (_survey(plan).zones, _survey(plan).unzoned) == ((), True)


def test_a_turn_has_a_survey_of_its_own() -> None:
    plan = plan_over([cell(depth_area(), quality(2, WEST), quality(5, EAST))],
                     places=((50.5, 0.2), (50.5, 0.4), (50.8, 0.4)))  # fmt: skip
    assert plan.on_chart is not None
    assert [one.zones for one in plan.on_chart.surveys] == [("A2",)] * 3
