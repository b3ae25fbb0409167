"""Every class of chart object and its rule."""

from typing import Any

import numpy as np
import pytest
from shapely.geometry import LineString, Point, box

from tests.core.charted.made import (
    SPOT,
    TEN,
    WHOLE,
    cell,
    charted,
    classes_of,
    depth_area,
    quality,
    square,
)
from tests.core.charted.plans import plan_over
from wheelover.core.charted.classes import CLASSES
from wheelover.core.types.dangers import DANGER_CLASSES

ALWAYS = (
    *("LNDARE", "COALNE", "SLCONS", "UNSARE", "PILPNT", "MORFAC", "OFSPLF", "FSHFAC", "MARCUL"),
    *("ICEARE", "PONTON", "HULKES", "BOYCAR", "BOYINB", "BOYISD", "BOYLAT", "BOYSAW", "BOYSPP"),
    *("BCNCAR", "BCNISD", "BCNLAT", "BCNSAW", "BCNSPP", "LITFLT", "LITVES"),
)
SINGLE = ("WRECKS", "OBSTRN", "UWTROC")
SURE_DEEP = {"WATLEV": 3, "EXPSOU": 1}


def found_with(name: str, attributes: dict[str, Any], *around: Any) -> list[str]:
    """Return the dangers found of one object in deep, well surveyed water."""
    others = around or (depth_area(), quality(3))
    return [
        one
        for one in classes_of(charted(cell((name, SPOT, attributes), *others, bare=True)))
        if one == name
    ]


def test_every_row_is_of_a_known_class() -> None:
    assert {row.danger_class for row in CLASSES.values()} <= set(DANGER_CLASSES)
    for name in (*ALWAYS, *SINGLE, "DEPARE", "DRGARE", "DEPCNT", "SOUNDG", "BRIDGE", "CBLOHD"):
        assert name in CLASSES


@pytest.mark.parametrize("name", ALWAYS)
def test_what_is_always_a_danger_is_one_in_deep_water(name: str) -> None:
    assert found_with(name, {}) == [name]


@pytest.mark.parametrize("name", ["DEPARE", "DRGARE"])
@pytest.mark.parametrize(
    ("shallow_m", "counts"), [(9.9, True), (10.0, False), (None, True), (-1.5, True), (0.0, True)]
)
def test_depth_areas_count_by_their_shallow_end(
    name: str, shallow_m: float | None, counts: bool
) -> None:
    ends = {} if shallow_m is None else {"DRVAL1": shallow_m, "DRVAL2": 30.0}
    found = charted(cell((name, WHOLE, ends)))
    assert (name in classes_of(found)) == counts
    if counts:
        assert found.dangers.hazards.classes == ("shoal",)
        depth_m = found.dangers.hazards.depth_m[0]
        assert np.isnan(depth_m) if shallow_m is None else depth_m == shallow_m


def test_soundings_count_when_less_than_the_depth_wanted() -> None:
    made = cell(
        depth_area(),
        soundings=[(50.1, 0.1, 9.9), (50.2, 0.2, 10.0), (50.3, 0.3, -0.4), (50.4, 0.4, np.nan)],
    )
    found = charted(made).dangers
    assert found.hazards.ids == tuple(f"XX5TEST1/SOUNDG.1.2.1.{n}" for n in (0, 2, 3))
    np.testing.assert_array_equal(found.hazards.depth_m, [9.9, -0.4, np.nan])
    assert "dries 0.4 m" in found.why[1]


@pytest.mark.parametrize("name", SINGLE)
def test_a_known_depth_decides(name: str) -> None:
    assert found_with(name, {"VALSOU": 9.9, "WATLEV": 3}) == [name]
    assert found_with(name, {"VALSOU": 10.0, "WATLEV": 3}) == []
    assert found_with(name, {"VALSOU": "10.0"}) == []
    assert found_with(name, {"VALSOU": -2.0}) == [name]


@pytest.mark.parametrize("name", SINGLE)
@pytest.mark.parametrize("level", [1, 2, 4, 5, 6, 7])
def test_what_shows_above_water_counts_at_any_depth(name: str, level: int) -> None:
    assert found_with(name, {"VALSOU": 25.0, "WATLEV": level}) == [name]
    assert found_with(name, {"WATLEV": level, "EXPSOU": 1}) == [name]


@pytest.mark.parametrize("name", SINGLE)
def test_an_unknown_depth_is_dangerous_unless_the_surroundings_prove_otherwise(name: str) -> None:
    assert found_with(name, {}) == [name]
    assert found_with(name, {"WATLEV": 3}) == [name]
    assert found_with(name, {"EXPSOU": 1}) == [name]
    assert found_with(name, SURE_DEEP) == []
    assert found_with(name, {"WATLEV": 3, "EXPSOU": 3}) == []
    assert found_with(name, {"WATLEV": 3, "EXPSOU": 2}) == [name]
    assert found_with(name, {"VALSOU": "", **SURE_DEEP}) == []


def test_surroundings_prove_nothing_where_they_are_shallow_unknown_or_not_charted() -> None:
    for around in (
        (depth_area(DRVAL1=9.9), quality(3)),
        (depth_area(DRVAL2=50.0), quality(3)),
        (quality(3),),
        # 50 m from a shallow depth area, with a place that is sure to 50 m.
        (
            depth_area(Point(0.5, 50.5).buffer(0.0004)),
            ("DRGARE", WHOLE.difference(Point(0.5, 50.5).buffer(0.0004)), {"DRVAL1": 5.0}),
            quality(3),
        ),
        # Deep as far as zone B needs, but the zone is C: 500 m.
        (depth_area(Point(0.5, 50.5).buffer(0.004)), quality(4)),
    ):
        assert found_with("WRECKS", SURE_DEEP, *around) == ["WRECKS"]
    deep = depth_area(Point(0.5, 50.5).buffer(0.004))
    assert found_with("WRECKS", SURE_DEEP, deep, quality(3)) == []


def test_what_counts_only_for_want_of_knowledge_is_doubtful() -> None:
    found = charted(cell(("WRECKS", SPOT, {"WATLEV": 3}), depth_area(), quality(3))).dangers
    assert found.doubtful.tolist() == [True]
    assert "not charted" in found.why[0]
    shallow = charted(cell(("WRECKS", SPOT, {"WATLEV": 3}), depth_area(DRVAL1=12.0)), wanted=TEN)
    assert shallow.dangers.doubtful.tolist() == [True]
    never = charted(cell(("WRECKS", SPOT, {"WATLEV": 3, "EXPSOU": 2}), depth_area())).dangers
    assert never.doubtful.tolist() == [False]
    reported = charted(cell(("OBSTRN", SPOT, {"VALSOU": 15.0, "QUASOU": ("8",)}), depth_area()))
    assert reported.dangers.doubtful.tolist() == [True]


@pytest.mark.parametrize("kind", [2, 4, 5])
def test_dangerous_and_showing_wrecks_count_at_any_depth(kind: int) -> None:
    assert found_with("WRECKS", {"CATWRK": kind, "VALSOU": 25.0, **SURE_DEEP}) == ["WRECKS"]


def test_other_wrecks_count_by_their_depth() -> None:
    assert found_with("WRECKS", {"CATWRK": 1, "VALSOU": 25.0}) == []
    assert found_with("WRECKS", {"CATWRK": 1}) == ["WRECKS"]


def test_foul_ground_and_fish_havens_are_called_so() -> None:
    for kind, word in ((5, "fish haven"), (6, "foul area"), (7, "foul ground")):
        found = charted(cell(("OBSTRN", SPOT, {"CATOBS": kind}), depth_area())).dangers
        assert found.hazards.names[0] == f"{word}, depth unknown"


def test_a_contour_counts_where_no_depth_area_says_more() -> None:
    line = LineString([(0.2, 50.2), (0.8, 50.2)])
    alone = charted(cell(("DEPCNT", line, {"VALDCO": 5.0}), bare=True))
    assert classes_of(alone) == ["DEPCNT"]
    shoal = depth_area(DRVAL1=5.0, DRVAL2=30.0)
    assert classes_of(charted(cell(("DEPCNT", line, {"VALDCO": 5.0}), shoal))) == ["DEPARE"]
    assert classes_of(charted(cell(("DEPCNT", line, {"VALDCO": 10.0}), bare=True))) == []


@pytest.mark.parametrize(
    "line",
    [
        [(0.2, 50.2), (0.8, 50.2)],
        [(0.4, 50.2), (0.6, 50.2)],
        [(0.5, 50.0), (0.5, 50.1)],
        [(0.0, 50.5), (0.5, 50.5), (0.4, 50.2), (0.6, 50.2), (0.5, 50.5), (1.0, 50.5)],
    ],
)
def test_a_shallow_contour_in_deep_water_is_kept(line: list[tuple[float, float]]) -> None:
    """Class DEPCNT and VALDCO of the S-57 object catalogue: water is shallower on one side."""
    deep = depth_area(box(0.0, 50.0, 1.0, 50.5))
    shoal = depth_area(box(0.0, 50.5, 1.0, 51.0), DRVAL1=5.0, DRVAL2=10.0)
    found = charted(cell(deep, shoal, ("DEPCNT", LineString(line), {"VALDCO": 5.0})))
    assert sorted(classes_of(found)) == ["DEPARE", "DEPCNT"]


def test_a_contour_between_several_shallow_areas_is_told_by_them() -> None:
    areas = [
        depth_area(box(west, 50.0, west + 0.5, 50.5), DRVAL1=2.0, DRVAL2=5.0) for west in (0.0, 0.5)
    ]
    deep = depth_area(box(0.0, 50.5, 1.0, 51.0))
    line = LineString([(0.0, 50.5), (0.5, 50.5), (1.0, 50.5)])
    found = charted(cell(*areas, deep, ("DEPCNT", line, {"VALDCO": 5.0})))
    assert classes_of(found) == ["DEPARE", "DEPARE"]


def test_overhead_objects_cables_and_areas_are_kept_apart() -> None:
    line = LineString([(0.2, 50.2), (0.8, 50.2)])
    found = charted(
        cell(
            ("BRIDGE", line, {"VERCLR": 30.0}),
            ("CBLOHD", line, {}),
            ("CBLSUB", line, {}),
            ("CTNARE", WHOLE, {}),
            ("TSSLPT", WHOLE, {"ORIENT": 90.0}),
        )
    )
    assert found.dangers.count == 0
    assert found.overhead.object_classes == ("BRIDGE", "CBLOHD")
    assert found.overhead.attributes[0]["VERCLR"] == 30.0
    assert found.cables.object_classes == ("CBLSUB",)
    assert found.areas.hazards.classes == ("special", "routeing")


@pytest.mark.parametrize(
    ("attributes", "expected"),
    [
        ({}, "restricted"),
        ({"RESTRN": ("7",)}, "restricted"),
        ({"RESTRN": ("1", "14")}, "restricted"),
        ({"CATREA": ("28",)}, "special"),
        ({"CATREA": "28", "RESTRN": "14"}, "restricted"),
    ],
)
def test_restricted_areas(attributes: dict[str, Any], expected: str) -> None:
    found = charted(cell(("RESARE", WHOLE, attributes)))
    assert found.areas.hazards.classes == (expected,)


def test_nothing_is_left_out_for_the_scale_of_a_screen() -> None:
    assert found_with("UWTROC", {"VALSOU": 3.0, "SCAMIN": 1}) == ["UWTROC"]


def test_classes_without_a_rule_are_told() -> None:
    found = charted(cell(("ZZZZZZ", SPOT, {}), ("ZZZZZZ", SPOT, {}), depth_area()))
    assert found.cells[0].unknown_classes == (("ZZZZZZ", 2),)


def test_names_say_what_a_thing_is() -> None:
    found = charted(
        cell(
            ("WRECKS", SPOT, {"OBJNAM": "Vigo", "VALSOU": 4.0}),
            ("BCNLAT", SPOT, {}),
            depth_area(DRVAL1=-1.5),
        )
    ).dangers
    assert found.hazards.names == (
        "Vigo (wreck 4 m)",
        "lateral beacon",
        "depth area drying 1.5 m",
    )


def test_an_empty_cell_charts_nothing() -> None:
    found = charted(cell(covers=None))
    assert found.dangers.count == 0
    assert found.coverage[0] is None
    assert not found.cells[0].covers


STANDING = ("LNDMRK", "SILTNK", "BUISGL", "CRANES")
EQUIPMENT = ("LIGHTS", "DAYMAR", "FOGSIG", "RTPBCN", "RADRFL", "RETRFL", "DISMAR")


@pytest.mark.parametrize("name", [*STANDING, *EQUIPMENT])
def test_what_stands_in_the_water_is_a_danger_and_on_land_it_is_none(name: str) -> None:
    assert found_with(name, {}) == [name]
    island = ("LNDARE", square(SPOT.x, SPOT.y, 0.01), {})
    assert found_with(name, {}, island, depth_area(), quality(3)) == []


@pytest.mark.parametrize("name", EQUIPMENT)
@pytest.mark.parametrize("carrier", ["BOYLAT", "BCNLAT", "PILPNT", "LNDMRK"])
def test_equipment_on_a_mark_or_structure_is_no_danger_of_its_own(name: str, carrier: str) -> None:
    assert found_with(name, {}, (carrier, SPOT, {}), depth_area(), quality(3)) == []


def test_a_light_on_a_bridge_is_no_danger_to_who_passes_beneath() -> None:
    bridge = ("BRIDGE", LineString([(0.4, 50.5), (0.6, 50.5)]), {"VERCLR": 40.0})
    assert found_with("LIGHTS", {}, bridge, depth_area(), quality(3)) == []
    assert found_with("LNDMRK", {}, bridge, depth_area(), quality(3)) == ["LNDMRK"]


def test_a_distance_mark_that_is_not_installed_is_none() -> None:
    assert found_with("DISMAR", {"CATDIS": 1}) == []
    assert found_with("DISMAR", {"CATDIS": 2}) == ["DISMAR"]


def test_a_landmark_on_the_track_is_crossed() -> None:
    plan = plan_over([cell(("LNDMRK", SPOT, {}), depth_area(), quality(2))])
    (finding,) = [one for one in plan.findings if "landmark" in one.message]
    assert (finding.code, finding.grade) == ("clearance_not_met", "must_resolve")
