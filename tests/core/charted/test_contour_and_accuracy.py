"""The safety contour, and how well places and depths are known."""

import numpy as np
import pytest
from shapely.geometry import LineString, Point, box

from tests.core.charted.made import SPOT, WHOLE, cell, charted, depth_area, quality
from tests.zoo import SHIP
from wheelover.core.charted.accuracy import depth_allowance_m, position_allowance_m, stated
from wheelover.core.charted.contour import wanted_of
from wheelover.core.types.charted import Wanted
from wheelover.core.types.circumstances import Limits

LINE = LineString([(0.2, 50.2), (0.8, 50.2)])


def contours(*values: float, **other: object) -> object:
    """Return a cell with depth contours."""
    return cell(*(("DEPCNT", LINE, {"VALDCO": one}) for one in values), **other)


@pytest.mark.parametrize(
    ("wanted_m", "used_m"), [(8.0, 10.0), (10.0, 10.0), (10.1, 20.0), (4.0, 5.0), (20.5, None)]
)
def test_the_nearest_loaded_contour_equal_or_deeper(wanted_m: float, used_m: float | None) -> None:
    found = charted(contours(5.0, 10.0, 20.0), wanted=Wanted(contour_m=wanted_m, depth_m=wanted_m))
    assert found.contour.used_m == used_m


def test_ends_of_depth_areas_are_contours_and_each_cell_says_its_own() -> None:
    first = contours(5.0, 20.0, name="XX5A")
    second = cell(depth_area(DRVAL1=12.0), ("DRGARE", WHOLE, {"DRVAL1": 11.0}), name="XX5B")
    third = cell(depth_area(DRVAL1=3.0), name="XX5C")
    found = charted(first, second, third).contour
    assert found.of_cells_m == (20.0, 11.0, None)
    assert found.used_m == 11.0


def test_water_without_a_contour_deep_enough_is_all_shoal() -> None:
    found = charted(cell(depth_area(DRVAL1=5.0)), wanted=Wanted(contour_m=12.0, depth_m=12.0))
    assert found.contour.used_m is None
    assert found.dangers.hazards.classes == ("shoal",)


def test_what_is_wanted() -> None:
    assert wanted_of(Limits(), None) == Wanted(
        contour_m=30.0, depth_m=30.0, contour_source="default", depth_source="default"
    )
    given = wanted_of(Limits(safety_depth_m=9.0, safety_contour_m=12.0), None)
    assert (given.contour_m, given.depth_m) == (12.0, 9.0)
    one = wanted_of(Limits(safety_depth_m=9.0), None)
    assert (one.contour_m, one.contour_source) == (9.0, "you")
    draught_m = max(SHIP.draught_fore_m, SHIP.draught_aft_m)
    proposed = wanted_of(Limits(), SHIP)
    assert proposed.contour_m == pytest.approx(1.2 * draught_m)
    assert proposed.contour_source == "ship"
    kept = wanted_of(Limits(min_ukc_m=1.5, safety_contour_m=40.0), SHIP)
    assert (kept.contour_m, kept.depth_m) == (40.0, pytest.approx(draught_m + 1.5))


@pytest.mark.parametrize(
    ("zone", "allowance_m"),
    [("A1", 0.688), ("A2", 1.376), ("B", 1.376), ("C", 2.94), ("D", 2.94), ("U", 2.94)],
)
def test_depth_allowance_at_18_8_m(zone: str, allowance_m: float) -> None:
    """Row U8 of the collected oracles; D and U state nothing, and C's is the least of theirs."""
    assert depth_allowance_m(zone, 18.8)[0] == pytest.approx(allowance_m, abs=1e-9)
    assert stated(zone) == (zone in {"A1", "A2", "B", "C"})


def test_position_allowances() -> None:
    expected = {"A1": 5.94, "A2": 20.0, "B": 50.0, "C": 500.0, "D": 500.0, "U": 500.0, None: 500.0}
    for zone, allowance_m in expected.items():
        assert position_allowance_m(zone, 18.8)[0] == pytest.approx(allowance_m)
    np.testing.assert_array_equal(depth_allowance_m("A1", [-3.0, 0.0]), [0.5, 0.5])


def test_the_worst_zone_under_a_thing_counts() -> None:
    west, east = box(0.0, 50.0, 0.5, 51.0), box(0.5, 50.0, 1.0, 51.0)
    made = cell(
        ("UWTROC", Point(0.25, 50.5), {"VALSOU": 4.0}),
        ("UWTROC", Point(0.75, 50.5), {"VALSOU": 4.0}),
        depth_area(west, DRVAL1=2.0),
        depth_area(WHOLE, DRVAL1=2.0),
        quality(1, west),
        quality(4, east),
        quality(2, west),
    )
    found = charted(made).dangers
    assert found.zone == ("A2", "C", "A2", "C")
    np.testing.assert_array_equal(found.hazards.position_uncertainty_m, [20.0, 500.0, 20.0, 500.0])
    assert found.hazards.uncertainty_given.all()


@pytest.mark.parametrize("code", [None, 5, 6])
def test_unstated_zones_take_c_and_say_so(code: int | None) -> None:
    areas = () if code is None else (quality(code),)
    found = charted(cell(("UWTROC", SPOT, {"VALSOU": 4.0}), *areas)).dangers
    assert found.hazards.position_uncertainty_m[0] == 500.0
    assert not found.hazards.uncertainty_given[0]


def test_zones_say_nothing_of_land_and_marks() -> None:
    found = charted(cell(("LNDARE", WHOLE, {}), ("BCNLAT", SPOT, {}), quality(4))).dangers
    assert found.zone == (None, None)
    np.testing.assert_array_equal(found.hazards.position_uncertainty_m, [0.0, 0.0])


def test_floating_marks_swing_by_three_depths() -> None:
    made = cell(("BOYLAT", SPOT, {}), ("BCNLAT", SPOT, {}), depth_area(DRVAL1=10.0, DRVAL2=15.0))
    np.testing.assert_array_equal(charted(made).dangers.hazards.position_uncertainty_m, [45.0, 0.0])
    alone = charted(cell(("LITFLT", SPOT, {}), bare=True)).dangers.hazards
    np.testing.assert_array_equal(alone.position_uncertainty_m, [50.0])
    assert not alone.uncertainty_given[0]


def test_an_obstruction_of_loose_place_needs_deep_water_further_out() -> None:
    """Past 300 m nothing says how deep it is: a sure place in zone A2 clears that, a loose not."""
    within = {"WATLEV": 3, "EXPSOU": 1}
    deep = depth_area(box(0.0, 50.0, 0.5 + 300.0 / 71_000.0, 51.0))
    sure = charted(cell(("OBSTRN", SPOT, within), deep, quality(2)))
    assert sure.dangers.count == 0
    loose = charted(cell(("OBSTRN", SPOT, {**within, "QUAPOS": 4}), deep, quality(2)))
    assert loose.dangers.object_classes == ("OBSTRN",)


def test_a_place_is_no_surer_than_the_chart_says_of_itself() -> None:
    """POSACC, metres, of S-57; zone A2 alone gives 20 m."""
    made = cell(
        ("UWTROC", SPOT, {"VALSOU": 4.0, "POSACC": 75.0}),
        ("UWTROC", SPOT, {"VALSOU": 4.0, "POSACC": 3.0}),
        quality(2),
    )
    hazards = charted(made).dangers.hazards
    np.testing.assert_array_equal(hazards.position_uncertainty_m, [75.0, 20.0])
    np.testing.assert_array_equal(hazards.uncertainty_given, [True, True])


@pytest.mark.parametrize("code", [2, 3, 4, 5, 8, 9])
def test_a_place_charted_as_approximate_is_no_surer_than_in_zone_c(code: int) -> None:
    made = cell(
        ("UWTROC", SPOT, {"VALSOU": 4.0, "QUAPOS": code}),
        ("UWTROC", SPOT, {"VALSOU": 4.0, "QUAPOS": 1}),
        ("BCNLAT", SPOT, {"QUAPOS": code}),
        quality(2),
    )
    hazards = charted(made).dangers.hazards
    np.testing.assert_array_equal(hazards.position_uncertainty_m, [500.0, 20.0, 0.0])
    np.testing.assert_array_equal(hazards.uncertainty_given, [False, True, False])
