"""Overlapping cells: the largest scale counts where it covers."""

import numpy as np
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon, box

from tests.core.charted.made import TEN, WHOLE, cell, charted, classes_of, depth_area, square
from wheelover.core.charted.select import dangers_of

WEST = box(0.0, 50.0, 0.5, 51.0)


def small(*objects: object, covers: object = WHOLE) -> object:
    """Return a cell of a smaller scale."""
    return cell(*objects, name="XX3SMALL", scale=180_000, covers=covers)


def test_points_lines_and_areas_of_a_smaller_scale_are_cut() -> None:
    coarse = small(
        ("UWTROC", Point(0.25, 50.5), {}),
        ("UWTROC", Point(0.75, 50.5), {}),
        ("COALNE", LineString([(0.2, 50.2), (0.8, 50.2)]), {}),
        ("LNDARE", box(0.4, 50.4, 0.6, 50.6), {}),
        depth_area(WEST, DRVAL1=2.0),
    )
    found = charted(coarse, cell(name="XX5LARGE", covers=WEST)).dangers
    assert found.object_classes == ("UWTROC", "COALNE", "LNDARE")
    assert found.hazards.ids[0] == "XX3SMALL/UWTROC.1.1.1"
    assert found.geometries[1].equals(LineString([(0.5, 50.2), (0.8, 50.2)]))
    assert found.geometries[2].equals(box(0.5, 50.4, 0.6, 50.6))
    assert set(found.scale.tolist()) == {180_000}


def test_the_order_of_cells_changes_nothing_that_counts() -> None:
    coarse = small(("LNDARE", box(0.4, 50.4, 0.6, 50.6), {}), ("UWTROC", Point(0.75, 50.5), {}))
    fine = cell(("UWTROC", Point(0.25, 50.5), {}), name="XX5LARGE", covers=WEST)
    one, other = charted(coarse, fine).dangers, charted(fine, coarse).dangers
    assert sorted(one.hazards.ids) == sorted(other.hazards.ids)


def test_cells_of_one_scale_are_both_kept() -> None:
    first = cell(("UWTROC", Point(0.25, 50.5), {}), name="XX5ONE", covers=WEST)
    second = cell(("UWTROC", Point(0.26, 50.5), {}), name="XX5TWO", covers=WEST)
    assert len(classes_of(charted(first, second))) == 2


def test_what_a_larger_scale_does_not_cover_is_kept() -> None:
    """An area of category 2 says that there is nothing, and a rock on the rim stays."""
    coarse = small(("UWTROC", Point(0.75, 50.5), {}), ("UWTROC", Point(0.5, 50.5), {}))
    fine = cell(("M_COVR", box(0.5, 50.0, 1.0, 51.0), {"CATCOV": 2}), name="XX5LARGE", covers=WEST)
    assert len(classes_of(charted(coarse, fine))) == 2


def test_a_line_on_the_rim_of_a_larger_scale_stays() -> None:
    """All of it, or the part of it that runs along the rim, also with vertices of its own."""
    rim = LineString([(0.5, 50.2), (0.5, 50.45), (0.5, 50.8)])
    bent = LineString([(0.3, 50.6), (0.5, 50.6), (0.5, 50.7)])
    inside = LineString([(0.1, 50.2), (0.3, 50.2)])
    lines = [("COALNE", one, {}) for one in (rim, bent, inside)]
    found = charted(small(*lines), cell(name="XX5LARGE", covers=WEST)).dangers
    assert found.count == 2
    assert found.geometries[0].equals(rim)
    assert found.geometries[1].equals(LineString([(0.5, 50.6), (0.5, 50.7)]))


def test_a_larger_scale_cuts_only_where_it_charts_depth_or_land() -> None:
    """It says that it covers the west, and charts the southern half of that alone."""
    rocks = [("UWTROC", Point(0.25, lat), {}) for lat in (50.25, 50.75)]
    empty = charted(small(*rocks), cell(name="XX5LARGE", covers=WEST, bare=True))
    assert len(classes_of(empty)) == 2
    assert [one.covers for one in empty.cells] == [True, False]
    half = cell(depth_area(box(0.0, 50.0, 1.0, 50.5)), name="XX5LARGE", covers=WEST)
    found = charted(small(*rocks), half)
    assert found.dangers.hazards.ids == ("XX3SMALL/UWTROC.1.1.1",)
    assert found.coverages[1].equals(box(0.0, 50.0, 0.5, 50.5))


def test_water_that_a_cell_says_to_hold_no_data_is_not_covered() -> None:
    none = ("M_COVR", box(0.0, 50.0, 0.25, 51.0), {"CATCOV": 2})
    found = charted(small(("UWTROC", Point(0.1, 50.5), {})), cell(none, name="XX5L", covers=WEST))
    assert classes_of(found) == ["UWTROC"]
    assert found.coverages[1].equals(box(0.25, 50.0, 0.5, 51.0))


def test_ground_of_crossing_rings_is_made_valid() -> None:
    bow = Polygon([(0.0, 50.0), (1.0, 51.0), (1.0, 50.0), (0.0, 51.0), (0.0, 50.0)])
    assert charted(cell(("LNDARE", bow, {}))).coverages[0].area == 0.5


def test_a_cell_without_coverage_cuts_nothing_and_covers_nothing() -> None:
    coarse = small(("UWTROC", Point(0.25, 50.5), {}))
    found = charted(coarse, cell(name="XX5LARGE", covers=None))
    assert len(classes_of(found)) == 1
    assert [one.covers for one in found.cells] == [True, False]


def test_soundings_of_a_smaller_scale_are_dropped_and_keep_their_names() -> None:
    coarse = cell(
        name="XX3SMALL",
        scale=180_000,
        soundings=[(50.5, 0.25, 3.0), (50.5, 0.75, 4.0), (50.6, 0.3, 5.0), (50.6, 0.8, 6.0)],
    )
    found = charted(coarse, cell(name="XX5LARGE", covers=WEST)).dangers
    assert [one.rpartition(".")[2] for one in found.hazards.ids] == ["1", "3"]
    np.testing.assert_array_equal(found.hazards.depth_m, [4.0, 6.0])


def test_three_scales() -> None:
    rocks = [("UWTROC", Point(lon, 50.5), {}) for lon in (0.1, 0.4, 0.9)]
    cells = (
        cell(*rocks, name="XX2", scale=700_000),
        cell(*rocks[:2], name="XX4", scale=90_000, covers=WEST),
        cell(*rocks[:1], name="XX6", scale=8_000, covers=box(0.0, 50.0, 0.2, 51.0)),
    )
    found = charted(*cells).dangers
    places = shapely.get_x(found.geometries).tolist()
    names = [one.split("/")[0] for one in found.hazards.ids]
    assert dict(zip(places, names, strict=True)) == {0.1: "XX6", 0.4: "XX4", 0.9: "XX2"}
    assert found.count == 3


@given(
    spots=st.lists(st.tuples(st.floats(0.0, 1.0), st.floats(50.0, 51.0)), min_size=1, max_size=12),
    half=st.floats(0.05, 0.4),
)
def test_each_place_is_charted_by_the_largest_scale_that_covers_it(
    spots: list[tuple[float, float]], half: float
) -> None:
    fine_covers = square(0.5, 50.5, half)
    rocks = [("UWTROC", Point(one), {}) for one in spots]
    coarse = cell(*rocks, name="XX3", scale=180_000)
    fine = cell(name="XX5", covers=fine_covers)
    found = dangers_of((coarse, fine), TEN).dangers
    inside = [shapely.contains_properly(fine_covers, Point(one)) for one in spots]
    assert found.count == len(spots) - sum(map(bool, inside))
