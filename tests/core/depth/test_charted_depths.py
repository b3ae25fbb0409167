"""The least depth that cells chart under the track, its survey, and what no depth speaks for."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon, box

from tests import zoo as common
from tests.core.charted.made import cell, depth_area, quality, square
from tests.core.depth import passages as zoo
from wheelover.core.depth.levels import LEVELS
from wheelover.core.types.cells import Cell
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import LegWishes

NEAR = "within 370 m of the track and the 6 m by which its place is unsure"
EAST = ((50.5, 0.2), (50.5, 0.8))
BEND = ((50.5, 0.2), (50.5, 0.5), (50.7, 0.5))


def over(
    *cells: Cell,
    places: Sequence[tuple[float, float]] = EAST,
    conditions: Conditions = zoo.CALM,
    limits: Limits = zoo.ASKED,
    **leg: Any,
) -> Plan:
    """Return the plan of the tanker over cells, within 0.2 miles to either side."""
    asked = LegWishes(**{"xtd_port_nm": 0.2, "xtd_starboard_nm": 0.2, **leg})
    return common.plan(
        common.route(places, leg=asked),
        ship=zoo.TANKER,
        a_chart=Chart(loaded=False, hazards=common.points([]), cells=cells),
        conditions=conditions,
        limits=limits,
    )


def depth(made: Plan) -> tuple[float | None, str]:
    term = zoo.terms(zoo.leg_sum(made))["charted_depth"]
    assert term.source == "chart"
    return term.value_m, term.reason


def test_the_shallow_end_of_the_depth_area_counts() -> None:
    made = over(cell(depth_area(DRVAL1=18.0, DRVAL2=25.0), quality(1)))
    assert depth(made) == (
        18.0,
        f"depth area in XX5TEST1, {NEAR}",
    )
    found = zoo.leg_sum(made)
    assert zoo.terms(found)["survey"].value_m == -0.68
    assert "zone of confidence A1" in zoo.terms(found)["survey"].reason
    assert found.left_out == ()
    assert found.met is True
    assert zoo.result(made, "leg_depth").result == "met"


def test_a_shoaler_area_a_sounding_and_a_wreck_in_the_corridor_count() -> None:
    deep, good = depth_area(DRVAL1=20.0, DRVAL2=30.0), quality(1)
    near, far = 50.5 + 0.1 / 60.0, 50.5 + 0.5 / 60.0
    shoal = depth_area(square(0.5, near, 0.0005), DRVAL1=16.0, DRVAL2=20.0)
    assert depth(over(cell(deep, shoal, good)))[0] == 16.0
    beside = depth_area(square(0.5, far, 0.0005), DRVAL1=16.0, DRVAL2=20.0)
    assert depth(over(cell(deep, beside, good)))[0] == 20.0
    assert depth(over(cell(deep, good, soundings=[(near, 0.5, 15.2), (far, 0.5, 9.0)]))) == (
        15.2, f"sounding in XX5TEST1, {NEAR}",
    )  # fmt: skip
    wreck = ("WRECKS", Point(0.5, near), {"VALSOU": 14.5})
    assert depth(over(cell(deep, good, wreck)))[0] == 14.5
    # A wider corridor finds what a narrow one does not.
    wide = over(cell(deep, beside, good), xtd_starboard_nm=0.1, xtd_port_nm=0.6)
    assert depth(wide)[0] == 16.0


def test_what_has_no_depth_is_named_and_not_met() -> None:
    deep, good = depth_area(DRVAL1=20.0, DRVAL2=30.0), quality(1)
    spot = square(0.5, 50.5, 0.001)
    for thing, word in (
        (("UNSARE", spot, {}), "unsurveyed area"),
        (("WRECKS", Point(0.5, 50.5), {}), "wreck"),
        (("DEPARE", spot, {"DRVAL2": 5.0}), "depth area"),
        (("LNDARE", spot, {}), "land"),
    ):
        made = over(cell(deep, thing, good))
        assert any(f"no depth is charted of {word}" in said for said in zoo.leg_sum(made).left_out)
        assert zoo.leg_sum(made).met is None
        assert zoo.result(made, "leg_depth").result == "not_checked"


def test_the_survey_that_is_worst_counts_and_unassessed_is_not_met() -> None:
    deep = depth_area(DRVAL1=20.0, DRVAL2=30.0)
    mixed = cell(deep, quality(1), quality(3, square(0.5, 50.5, 0.01)))
    assert zoo.terms(zoo.leg_sum(over(mixed)))["survey"].value_m == -1.4
    for bad in (cell(deep, quality(6)), cell(deep)):
        found = zoo.leg_sum(over(bad))
        assert zoo.terms(found)["survey"].value_m == -3.0
        assert found.met is None
        assert any("survey quality" in said for said in found.left_out)


def test_the_largest_scale_counts_where_it_covers() -> None:
    small = cell(depth_area(DRVAL1=12.0, DRVAL2=30.0), quality(1), name="XX2SMALL", scale=350_000)
    large = cell(depth_area(DRVAL1=19.0, DRVAL2=30.0), quality(1), name="XX5LARGE")
    assert depth(over(small, large))[0] == 19.0
    assert depth(over(small))[0] == 12.0


def test_a_part_outside_the_charts_and_a_missing_update_leave_it_open() -> None:
    west = cell(depth_area(DRVAL1=20.0), quality(1), covers=box(0.0, 50.0, 0.5, 51.0))
    assert "outside the loaded charts" in zoo.leg_sum(over(west)).left_out[0]
    lacking = cell(depth_area(DRVAL1=20.0), quality(1), updates_missing=(1,))
    assert "lacks updates" in zoo.leg_sum(over(lacking)).left_out[0]
    far = cell(depth_area(DRVAL1=20.0), quality(1), covers=box(0.0, 52.0, 0.5, 52.5))
    assert over(far).depths.sums == () or zoo.leg_sum(over(far)).met is None
    # The officer's own depth covers the whole leg, and of both the lesser counts.
    typed = over(west, charted_depth_m=17.0, catzoc="A1")
    assert zoo.terms(zoo.leg_sum(typed))["charted_depth"].value_m == 17.0
    assert zoo.leg_sum(typed).left_out == ()


def test_the_turn_looks_where_she_lies_across_the_track() -> None:
    deep, good = depth_area(DRVAL1=20.0, DRVAL2=30.0), quality(1)
    made = over(cell(deep, good), places=BEND)
    arc = made.turns[0].arc
    assert arc is not None
    middle = Point(arc.start.lon_deg, arc.start.lat_deg)
    shoal = depth_area(middle.buffer(0.0003), DRVAL1=14.0, DRVAL2=20.0)
    found = zoo.turn_sum(over(cell(deep, shoal, good), places=BEND))
    assert zoo.terms(found)["charted_depth"].value_m == 14.0


@settings(max_examples=20, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(50.45, 50.55), st.floats(0.25, 0.75), st.floats(5.0, 19.0)),
        min_size=1,
        max_size=30,
    )
)
def test_the_least_is_that_of_a_search_of_all(rows: list[tuple[float, float, float]]) -> None:
    made = over(cell(depth_area(DRVAL1=20.0), quality(1), soundings=rows))
    line = LineString([(lon, lat) for lat, lon in EAST])
    mile_deg = 1.0 / 60.0
    surely = [d for lat, lon, d in rows if abs(lat - 50.5) < 0.199 * mile_deg]
    maybe = [d for lat, lon, d in rows if line.distance(Point(lon, lat)) < 0.21 * mile_deg]
    found = depth(made)[0]
    assert found is not None
    assert found <= min([20.0, *surely])
    assert found >= np.floor(min([20.0, *maybe]) * 100.0) / 100.0 - 1e-9


def test_a_charted_bridge_over_the_track_is_summed() -> None:
    deep, good = depth_area(DRVAL1=20.0, DRVAL2=30.0), quality(1)
    line = LineString([(0.5, 50.45), (0.5, 50.55)])
    conditions = Conditions(
        tide_m=3.0, wave_height_m=0.0, wind_kn=0.0, wind_from_deg=0.0, height_datum_m=5.5
    )
    limits = Limits(min_overhead_m=2.0, electrical_distance_m=6.0)

    def under(name: str, **attributes: Any) -> Any:
        made = over(
            cell(deep, good, (name, line, attributes)), conditions=conditions, limits=limits
        )
        (found,) = made.depths.overheads
        return found

    bridge = under("BRIDGE", VERCLR=38.0)
    assert bridge.clearance_m == pytest.approx(38.0 + 5.5 - 3.0 - 34.0)
    assert "mean high water springs" in zoo.terms(bridge)["datum"].reason
    assert under("CBLOHD", VERCLR=38.0).clearance_m == pytest.approx(0.5)
    assert under("CBLOHD", VERCLR=44.0, VERCSA=38.0).clearance_m == pytest.approx(6.5)
    assert under("BRIDGE", VERCCL=10.0, VERCOP=50.0).met is False
    assert under("BRIDGE").clearance_m is None


def test_the_antimeridian_is_no_border() -> None:
    """A cell on the far side of 180 degrees chiefly, a leg across it."""
    east, west = box(179.0, -17.0, 180.0, -16.0), box(-180.0, -17.0, -179.0, -16.0)
    cells = [
        cell(depth_area(area, DRVAL1=deep), quality(1, area), name=name, covers=area)
        for area, deep, name in ((east, 20.0, "XX5EAST"), (west, 16.5, "XX5WEST"))
    ]
    made = over(*cells, places=((-16.5, 179.8), (-16.5, -179.8)))
    assert depth(made)[0] == 16.5


def test_a_typed_depth_does_not_answer_what_the_chart_leaves_open() -> None:
    deep, good = depth_area(DRVAL1=20.0, DRVAL2=30.0), quality(1)
    spot = square(0.5, 50.5, 0.001)
    for thing, word in (
        (("UNSARE", spot, {}), "unsurveyed area"),
        (("WRECKS", Point(0.5, 50.5), {}), "wreck"),
        (("LNDARE", spot, {}), "land"),
    ):
        for depth_m in (17.0, 25.0):
            made = over(cell(deep, thing, good), charted_depth_m=depth_m, catzoc="A1")
            assert any(word in said for said in zoo.leg_sum(made).left_out), word
            assert zoo.result(made, "leg_depth").result == "not_checked"
    # Also where no depth at all is charted, and where updates are lacking.
    bare = over(cell(("LNDARE", square(0.5, 50.5, 1.0), {}), good), charted_depth_m=17.0)
    assert any("land" in said for said in zoo.leg_sum(bare).left_out)
    lacking = cell(deep, good, updates_missing=(1,))
    made = over(lacking, charted_depth_m=17.0, catzoc="A1")
    assert any("lacks updates" in said for said in zoo.leg_sum(made).left_out)


def test_of_typed_and_charted_depth_the_one_counts_that_is_less_sure() -> None:
    """Allowances by zone of confidence (S-57 CATZOC): A1 0.5 m and 1 %, C 2 m and 5 %.

    17 m typed of zone A1 are 16.33 m that are sure, 17.5 m charted in zone C 14.625 m.
    """
    charted = cell(depth_area(DRVAL1=17.5, DRVAL2=30.0), quality(4))
    made = over(charted, charted_depth_m=17.0, catzoc="A1")
    terms = zoo.terms(zoo.leg_sum(made))
    assert (terms["charted_depth"].value_m, terms["survey"].value_m) == (17.5, -2.88)
    made = over(charted, charted_depth_m=14.0, catzoc="A1")
    terms = zoo.terms(zoo.leg_sum(made))
    assert (terms["charted_depth"].value_m, terms["survey"].value_m) == (14.0, -0.64)


def test_the_level_of_a_charted_clearance_is_its_own_else_that_of_its_cell() -> None:
    """The height of the level is given for the plan, and holds for the level of the cell only."""
    line = LineString([(0.5, 50.45), (0.5, 50.55)])
    calm = Conditions(
        tide_m=3.0, wave_height_m=0.0, wind_kn=0.0, wind_from_deg=0.0, height_datum_m=5.5
    )

    def under(attributes: dict[str, Any], *more: Cell, **about: Any) -> Any:
        bridge = ("BRIDGE", line, {"VERCLR": 38.0, **attributes})
        made = over(
            cell(depth_area(), quality(1), bridge, **about),
            *more,
            conditions=calm,
            limits=Limits(min_overhead_m=2.0),
        )
        (found,) = made.depths.overheads
        return found

    assert zoo.terms(under({}))["datum"].value_m == 5.5
    # Mean high water springs, as the cell says itself.
    assert zoo.terms(under({"VERDAT": 17}))["datum"].value_m == 5.5
    # The lowest astronomical tide, from which the depths count too.
    lowest = under({"VERDAT": 23})
    assert zoo.terms(lowest)["datum"].value_m == 0.0
    assert lowest.clearance_m == pytest.approx(38.0 - 3.0 - 34.0)
    assert zoo.terms(under({}, height_datum="lowest astronomical tide"))["datum"].value_m == 0.0
    # Any other is not the level whose height is given: nothing is added.
    for number, word in ((3, "mean sea level"), (24, "local datum"), (77, "not known")):
        other = under({"VERDAT": number})
        assert zoo.terms(other)["datum"].value_m is None
        assert word in other.left_out[0]
        assert (other.clearance_m, other.met) == (None, None)
    # A cell whose depths do not count from it: then it is not chart datum.
    assert zoo.terms(under({"VERDAT": 23}, depth_datum="low water"))["datum"].value_m is None


@pytest.mark.parametrize(
    ("number", "words"),
    # IHO S-57 appendix A, attribute VERDAT, from memory.
    [(3, "mean sea level"), (12, "mean lower low water"), (17, "mean high water springs"),
     (23, "lowest astronomical tide"), (30, "highest astronomical tide")],
)  # fmt: skip
def test_levels_have_the_words_of_their_numbers(number: int, words: str) -> None:
    assert LEVELS[number] == words


def test_a_charted_bridge_that_ends_inside_the_cross_track_limit_is_summed() -> None:
    """The limit is 370 m; one minute of latitude is 1854 m."""
    for aside_m, count in ((300.0, 1), (420.0, 0)):
        line = LineString([(0.5, 50.5005 + aside_m / 111_230.0), (0.5, 50.6)])
        bridge = ("BRIDGE", line, {"VERCLR": 38.0})
        made = over(cell(depth_area(), quality(1), bridge))
        assert len(made.depths.overheads) == count


WEST, REST = box(0.0, 50.0, 0.5, 51.0), box(0.5, 50.0, 1.0, 51.0)


def test_a_survey_that_is_not_stated_everywhere_is_not_stated() -> None:
    for zones in (
        (quality(1, WEST),),
        (quality(1, WEST), ("M_QUAL", REST, {})),
        (quality(1), ("M_QUAL", REST, {})),
    ):
        found = zoo.leg_sum(over(cell(depth_area(), *zones)))
        assert zoo.terms(found)["survey"].value_m == -3.0
        assert any("survey quality" in said for said in found.left_out)
        assert found.met is None
    both = zoo.leg_sum(over(cell(depth_area(), quality(1, WEST), quality(3, REST))))
    assert zoo.terms(both)["survey"].value_m == -1.4
    assert both.left_out == ()


def test_water_in_which_no_depth_area_is_charted_is_not_met() -> None:
    """The cell covers the whole leg, and its soundings are deep."""
    good, soundings = quality(1), [(50.5, 0.4, 25.0), (50.5, 0.6, 25.0)]
    for things in ((depth_area(WEST),), (), (depth_area(box(0.0, 50.0, 1.0, 50.501)),)):
        made = over(cell(*things, good, soundings=soundings, bare=True))
        assert zoo.result(made, "leg_depth").result == "not_checked"
    for other in (depth_area(REST), ("DRGARE", REST, {"DRVAL1": 21.0})):
        made = over(cell(depth_area(WEST), other, good))
        assert zoo.leg_sum(made).left_out == ()
        assert zoo.result(made, "leg_depth").result == "met"


def test_the_depth_of_a_swept_area_counts() -> None:
    swept = ("SWPARE", square(0.5, 50.5, 0.01), {"DRVAL1": 14.0})
    assert depth(over(cell(depth_area(), quality(1), swept))) == (
        14.0, f"swept area in XX5TEST1, {NEAR}",
    )  # fmt: skip


def test_a_depth_area_whose_rings_cross_is_still_cut_with() -> None:
    bow = Polygon([(0.4, 50.49), (0.6, 50.51), (0.6, 50.49), (0.4, 50.51)])
    made = over(cell(("DEPARE", bow, {"DRVAL1": 20.0}), quality(1)))
    assert any("outside the loaded charts" in said for said in zoo.leg_sum(made).left_out)


BEYOND = 50.5 + (0.2 + 0.1) / 60.0
"""A tenth of a mile beyond the corridor, in latitude."""


@pytest.mark.parametrize(("code", "least_m"), [(1, 18.0), (3, 18.0), (4, 9.0)])
def test_a_sounding_beyond_the_corridor_counts_as_far_as_its_place_is_unsure(
    code: int, least_m: float
) -> None:
    """185 m beyond: in zones A1 and B places are known better than that, in C to 500 m."""
    made = over(
        cell(
            depth_area(DRVAL1=18.0, DRVAL2=25.0),
            quality(code),
            soundings=[(BEYOND, 0.5, 9.0)],
        )
    )
    assert depth(made)[0] == least_m


@pytest.mark.parametrize("said", [{"QUAPOS": 4}, {"QUAPOS": 2}, {"POSACC": 300.0}])
def test_a_wreck_that_may_lie_under_the_track_leaves_the_depth_open(
    said: dict[str, float],
) -> None:
    """185 m beyond in zone A1: its own QUAPOS or POSACC (S-57) says that it may lie nearer."""
    wreck = ("WRECKS", Point(0.5, BEYOND), {"VALSOU": 9.0, **said})
    made = over(cell(depth_area(DRVAL1=18.0, DRVAL2=25.0), quality(1), wreck))
    if "POSACC" in said:
        assert depth(made)[0] == 9.0
    else:
        assert depth(made)[0] == 18.0
        assert any("whose place no survey states" in one for one in zoo.leg_sum(made).left_out)
    sure = ("WRECKS", Point(0.5, BEYOND), {"VALSOU": 9.0, "QUAPOS": 10})
    made = over(cell(depth_area(DRVAL1=18.0, DRVAL2=25.0), quality(1), sure))
    assert depth(made)[0] == 18.0
    assert not any("whose place" in one for one in zoo.leg_sum(made).left_out)


def test_shallower_water_whose_place_nobody_states_leaves_the_depth_open() -> None:
    north, south = box(0.0, 50.504, 1.0, 51.0), box(0.0, 50.0, 1.0, 50.504)
    made = over(
        cell(
            depth_area(DRVAL1=18.0, DRVAL2=25.0),
            quality(1, south),
            quality(6, north),
            soundings=[(BEYOND, 0.5, 9.0)],
        )
    )
    assert depth(made)[0] == 18.0
    assert any("whose place no survey states" in one for one in zoo.leg_sum(made).left_out)
    assert zoo.result(made, "leg_depth").result == "not_checked"
