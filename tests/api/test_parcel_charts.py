"""Plans with charts on the other side: cells are named there and not carried."""

from pathlib import Path

import pytest

from tests.api.chart_keeping import imported, water_cell
from tests.api.sides import Sides, keep_plan, offer, two_sides


@pytest.fixture
def sides(tmp_path: Path) -> Sides:
    return two_sides(tmp_path)


def _marks(sides: Sides, plan_id: str) -> list[str]:
    return [one["words"] for one in sides.shore.record(plan_id)["marks"]]


def test_the_other_side_reads_the_plan_and_sees_which_cells_it_lacks(sides: Sides) -> None:
    ship, shore = sides.ship, sides.shore
    body = water_cell().base()
    cell = imported(ship, ("a.000", body))["result"]["cells"][0]
    digest = ship.get(f"/api/v1/charts/{cell['id']}").json()["sha256"]
    plan_id = keep_plan(ship, all_charts=True)
    offer(ship, plan_id)
    parcel = ship.parcel(shore, plan_id)
    assert len(parcel) < 60_000
    shore.taken(parcel)
    (chart,) = shore.get(f"/api/v1/plans/{plan_id}/revisions/1").json()["loaded"]["charts"]
    assert (chart["name"], chart["producer_edition"], chart["sha256"]) == ("ZZ4GAT", 1, digest)
    assert _marks(sides, plan_id) == [f"cell ZZ4GAT 1.0 is not kept here (sha256 {digest[:16]})"]
    lacking = shore.get(f"/api/v1/plans/{plan_id}/computed")
    assert lacking.status_code == 404
    assert lacking.json()["errors"][0]["pointer"].startswith("/chart_editions/cell-")
    imported(shore, ("ours.000", body))
    assert _marks(sides, plan_id) == []


def test_an_approval_that_lapsed_by_a_chart_is_told(sides: Sides) -> None:
    from tests.api.record_keeping import approve  # noqa: PLC0415

    ship, shore = sides.ship, sides.shore
    desk = water_cell()
    imported(ship, ("a.000", desk.base()))
    plan_id = keep_plan(ship, all_charts=True)
    offer(ship, plan_id)
    approve(ship, f"/api/v1/plans/{plan_id}", 1)
    shore.taken(ship.parcel(shore, plan_id))
    desk.modify(100, VALSOU=1.0)
    imported(ship, ("a.001", desk.update()))
    shore.taken(ship.parcel(shore, plan_id))
    (lapse,) = shore.record(plan_id)["lapses"]
    assert lapse["words"].startswith("cell ZZ4GAT 1.0 -> 1.1: 1 object near the track")
