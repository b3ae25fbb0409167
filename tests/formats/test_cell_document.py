"""Cells as they are stored: the same cell back, and the same bytes on every machine."""

import hashlib
from dataclasses import replace

import numpy as np
import pytest
import shapely

from tests.charts.cells import reading_of, rich_cell
from wheelover.core.errors import Damaged
from wheelover.core.types.cells import NO_SOUNDINGS, Cell, CellAbout
from wheelover.formats.cell_document import cell_bytes, cell_of


def test_a_cell_comes_back_as_it_was() -> None:
    cell = reading_of(rich_cell().base()).cell
    again = cell_of(cell_bytes(cell))
    assert again.about == cell.about
    assert (again.classes, again.ids, again.attributes) == (cell.classes, cell.ids, cell.attributes)
    for one, two in zip(again.geometries, cell.geometries, strict=True):
        assert (one is None and two is None) or shapely.equals_identical(one, two)
    for name in ("of", "lat_deg", "lon_deg", "depth_m"):
        assert np.array_equal(getattr(again.soundings, name), getattr(cell.soundings, name))


def test_the_bytes_are_the_same_on_every_machine() -> None:
    """The digest of a cell that was written on another day: a change of it is a new format."""
    body = cell_bytes(reading_of(rich_cell().base()).cell)
    digest = hashlib.sha256(body).hexdigest()
    assert digest == "b81b51a483000a0500c74e0488d6f7f4b9219d13dc83d4551c3fca8d5b6b7599"
    assert cell_bytes(cell_of(body)) == body


def test_where_it_is_stored_stands_beside_the_bytes() -> None:
    cell = reading_of(rich_cell().base()).cell
    body = cell_bytes(cell)
    stored = cell_of(body, cell_id="cell-1", stored_edition=4, sha256="ab")
    assert (stored.about.id, stored.about.stored_edition, stored.about.sha256) == (
        "cell-1",
        4,
        "ab",
    )
    assert cell_bytes(replace(stored, about=replace(stored.about, id=cell.about.id))) == body


def test_every_kind_of_shape_and_none() -> None:
    shapes = [
        None,
        shapely.Point(179.9999999, -89.9999999),
        shapely.MultiPoint([(1, 2), (3, 4)]),
        shapely.LineString([(-180, 0), (180, 1e-7)]),
        shapely.MultiLineString([[(0, 0), (1, 1)], [(2, 2), (3, 3), (4, 2)]]),
        shapely.box(0, 0, 1, 1).difference(shapely.box(0.2, 0.2, 0.4, 0.4)),
        shapely.MultiPolygon([shapely.box(0, 0, 1, 1), shapely.box(5, 5, 6, 6)]),
    ]
    column = np.full(len(shapes), None, dtype=object)
    column[:] = shapes
    about = CellAbout(
        id="X", name="X", edition=1, update=0, issued=None, scale=1, band=None, depth_datum=None,
        height_datum=None, updates_missing=(2, 3), superseded="there is edition 9 of it",
    )  # fmt: skip
    cell = Cell(
        about=about,
        classes=("A",) * 7,
        ids=tuple("abcdefg"),
        attributes=({"L": ("1", "2"), "F": 1.5, "I": 3, "S": "æ"},) * 7,
        geometries=column,
        soundings=NO_SOUNDINGS,
    )
    again = cell_of(cell_bytes(cell))
    assert again.about == about
    assert again.attributes == cell.attributes
    for one, two in zip(again.geometries, shapes, strict=True):
        assert (one is None and two is None) or shapely.equals_exact(one, two, 1e-9)


def test_a_cell_that_nothing_supersedes_has_the_bytes_it_always_had() -> None:
    made = cell_bytes(reading_of(rich_cell().base()).cell)
    assert b"superseded" not in made
    assert cell_of(made).about.superseded is None


@pytest.mark.parametrize("body", [b"", b"{}", b'{"format": "other"}', b"\xff"])
def test_other_bytes_are_damage(body: bytes) -> None:
    with pytest.raises(Damaged):
        cell_of(body)
