"""Windows and late helm on cells: what of the water they take is charted, and where coast lies."""

from dataclasses import replace

import pytest
import shapely

from tests import zoo
from tests.core.charted.made import cell, quality
from tests.core.charted.plans import LIMITS, found, row
from tests.core.coasts import box, coast_with
from wheelover.core.geo import geodesic
from wheelover.core.planning import make_plan
from wheelover.core.types.cells import Cell
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.coast import Coast
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import LegWishes, Route, Waypoint

SHIP = replace(zoo.SHIP, response=zoo.RESPONSE)
CORNER = (50.5, 0.5)
PLACES = ((50.5, 0.2), CORNER, (50.8, 0.5))
WEST, SOUTH, NORTH = 0.1, 50.3, 50.9


def _east_of_corner_deg(metres: float) -> float:
    """Return the longitude so far east of the corner."""
    _, lon, _ = geodesic.direct(*CORNER, 90.0, metres)
    return float(lon[0])


def _covered_to(metres: float, **about: object) -> Cell:
    """Return a cell whose charted water ends so far east of the corner."""
    whole = shapely.box(WEST, SOUTH, _east_of_corner_deg(metres), NORTH)
    return cell(
        quality(2, whole),
        covers=whole,
        **about,  # type: ignore[arg-type]
    )


def _plan(*cells: Cell, coast: Coast | None = None, limits: Limits = LIMITS) -> Plan:
    waypoints = tuple(
        Waypoint(
            id=f"W{number}",
            lat_deg=lat,
            lon_deg=lon,
            turn_radius_nm=0.5 if number == 1 else None,
            leg=LegWishes(speed_kn=12.0) if number else None,
        )
        for number, (lat, lon) in enumerate(PLACES)
    )
    chart = replace(zoo.NO_CHART, loaded=not cells, cells=cells, coast=coast)
    return make_plan(Route(name="bend", waypoints=waypoints), SHIP, chart, Conditions(), limits)


def test_a_window_whose_water_is_charted_is_met() -> None:
    plan = _plan(_covered_to(5000.0))
    assert row(plan, "turn_window").result == "met"
    (swept,) = plan.swept_turns
    assert swept.window is not None
    assert (swept.window.not_checked, swept.window.on_coast) == (None, None)


def test_a_window_that_reaches_beyond_the_charts_is_not_checked_there() -> None:
    """The latest helm, three lengths beyond the waypoint, takes her 600 m and more farther east."""
    plan = _plan(_covered_to(350.0))
    assert row(plan, "leg_charts", "W2").result == "met"
    assert row(plan, "turn_charts").result == "met"
    window = row(plan, "turn_window")
    assert (window.result, window.not_checked is not None) == ("not_checked", True)
    assert "outside the loaded charts" in str(window.not_checked)


def test_a_planned_run_that_leaves_the_charts_is_not_checked_there() -> None:
    """She swings out beyond the arc, beside which charts are asked for as far as the margin."""
    inside, beyond = _plan(_covered_to(600.0)), _plan(_covered_to(250.0))
    assert [row(one, "turn_charts").result for one in (inside, beyond)] == ["met", "met"]
    assert row(inside, "turn_swept").result == "met"
    assert row(inside, "turn_window").result == "not_checked"
    swept = row(beyond, "turn_swept")
    assert swept.result == "not_checked"
    assert "outside the loaded charts" in str(swept.not_checked)


def test_without_cells_no_window_is_met() -> None:
    window = row(_plan(), "turn_window")
    assert window.result == "not_checked"
    assert "what water they cover is not stated" in str(window.not_checked)


def test_a_window_in_water_whose_cell_lacks_an_update_is_not_checked() -> None:
    window = row(_plan(_covered_to(5000.0, updates_missing=(2,))), "turn_window")
    assert window.result == "not_checked"
    assert "lacks update 2" in str(window.not_checked)


def test_coast_in_the_water_of_a_window_is_told() -> None:
    """An island 450 m east of the corner: no run in time comes there, and the latest does."""
    west, east = _east_of_corner_deg(450.0), _east_of_corner_deg(800.0)
    island = coast_with(box(west, 50.505, east, 50.52))
    plan = _plan(coast=island)
    assert found(plan, "land_crossed", "hull_on_land") == []
    (one,) = found(plan, "window_on_land")
    assert (one.grade, one.subject.id) == ("must_explain", "W1")
    far = coast_with(box(0.9, 50.505, 0.95, 50.52))
    assert found(_plan(coast=far), "window_on_land") == []
    # Where a cell covers it, the cell's own land counts and not the coastline.
    assert found(_plan(_covered_to(5000.0), coast=island), "window_on_land") == []


@pytest.mark.parametrize(
    ("covered_m", "late_s", "result"),
    [(5000.0, 60.0, "met"), (700.0, 5.0, "met"), (700.0, 240.0, "not_checked")],
)
def test_late_helm_is_judged_where_its_water_is_charted(
    covered_m: float, late_s: float, result: str
) -> None:
    """At 12 kn four minutes are 1480 m: of charts that end 700 m off she runs out."""
    plan = _plan(_covered_to(covered_m), limits=replace(LIMITS, helm_late_s=late_s))
    late = row(plan, "turn_late_helm")
    assert (late.result, late.not_checked is None) == (result, result == "met")


def test_a_lateness_that_nobody_gave_is_not_judged() -> None:
    late = row(_plan(_covered_to(5000.0)), "turn_late_helm")
    assert late.result == "not_checked"
    assert "nobody said how late" in str(late.not_checked)


def test_coast_that_late_helm_leads_onto_is_told() -> None:
    west, east = _east_of_corner_deg(450.0), _east_of_corner_deg(800.0)
    island = coast_with(box(west, 50.505, east, 50.52))
    plan = _plan(coast=island, limits=replace(LIMITS, helm_late_s=120.0))
    assert [one.grade for one in found(plan, "late_helm_land")] == ["must_explain"]
    assert (
        found(_plan(coast=island, limits=replace(LIMITS, helm_late_s=2.0)), "late_helm_land") == []
    )
