"""Cells as they are read, against GDAL's reader and a counter of records.

Real cells are read where the variable WHEELOVER_TEST_CELLS names a folder of them.
"""

import shutil
import subprocess
from collections import Counter
from pathlib import Path

import numpy as np
import pytest
import shapely

from tests.charts import gdal_reader, record_counts
from tests.charts.cell_writer import ATTRIBUTE_CODES, INSERT, MODIFY, CellWriter
from tests.charts.cells import reading_of, real_cells, rich_cell
from wheelover.charts.s57 import CellReading
from wheelover.charts.s57_tables import KEPT

_OF_NODES = {"QUAPOS", "POSACC"}
"""What stands with the node of a point; GDAL's reader leaves it out."""


def held_against_gdal(found: CellReading, path: Path) -> int:
    """Compare every object, attribute and vertex; return how many objects were compared."""
    cell = found.cell
    names = gdal_reader.layers(path)
    assert set(names) == set(found.counts)
    compared = 0
    for name in names:
        columns, shapes = gdal_reader.read(path, name)
        assert len(shapes) == found.counts[name], name
        if name not in KEPT:
            continue
        rows = [index for index, one in enumerate(cell.classes) if one == name]
        ours = Counter(key for row in rows for key in cell.attributes[row])
        theirs = gdal_reader.attribute_counts(columns)
        extra = ours - theirs
        assert theirs - ours == Counter(), name
        assert set(extra) <= _OF_NODES, name
        ids = gdal_reader.object_ids(columns)
        assert sorted(ids) == sorted(cell.ids[row] for row in rows), name
        places = {one: number for number, one in enumerate(ids)}
        for row in rows:
            number = places[cell.ids[row]]
            compared += 1
            _same_values(cell.attributes[row], columns, number)
            if name == "SOUNDG":
                _same_soundings(found, row, shapes[number])
            elif shapes[number] is None:
                assert cell.geometries[row] is None
            else:
                mine, its = (
                    shapely.normalize(one) for one in (cell.geometries[row], shapes[number])
                )
                assert mine == its, (name, cell.ids[row])
    return compared


def _same_values(attributes: object, columns: dict[str, np.ndarray], number: int) -> None:
    """Compare the values of one object's attributes."""
    assert isinstance(attributes, dict)
    for name, value in attributes.items():
        if name in columns:
            its = columns[name][number]
            shown = ",".join(value) if isinstance(value, tuple) else value
            assert shown == its, name


def _same_soundings(found: CellReading, row: int, shape: shapely.Geometry) -> None:
    """Compare the soundings of one object, in their order."""
    soundings = found.cell.soundings
    of = soundings.of == row
    ours = np.column_stack((soundings.lon_deg[of], soundings.lat_deg[of], soundings.depth_m[of]))
    assert np.array_equal(ours, shapely.get_coordinates(shape, include_z=True))


def test_a_cell_of_everything_is_read_as_gdal_reads_it(tmp_path: Path) -> None:
    body = rich_cell().base()
    path = tmp_path / "ZZ5TEST.000"
    path.write_bytes(body)
    found = reading_of(body)
    assert held_against_gdal(found, path) == 20
    assert Counter(found.counts) == record_counts.class_counts(body)
    assert found.remarks == ()


def test_attributes_are_counted_alike(tmp_path: Path) -> None:
    body = rich_cell().base()
    cell = reading_of(body).cell
    ours = Counter(
        (name, ATTRIBUTE_CODES[key])
        for name, given in zip(cell.classes, cell.attributes, strict=True)
        for key in given
    )
    counted = record_counts.attribute_counts(body)
    assert ours == Counter({key: one for key, one in counted.items() if key[0] in KEPT})


def test_a_cell_with_updates_is_read_as_gdal_reads_it(tmp_path: Path) -> None:
    desk = rich_cell()
    files = [desk.base()]
    desk.delete(900)
    desk.modify(700, VALSOU=2.5, QUASOU=None, OBJNAM="Old Mary")
    desk.move(700, (50.15, -1.24))
    files.append(desk.update())
    desk.point("UWTROC", (50.2, -1.1), VALSOU=1, WATLEV=3)
    desk.redraw(500, INSERT, 1, [(50.0, -1.4), (50.0, -1.3)])
    desk.redraw(500, MODIFY, 2, [(49.99, -1.31)])
    files.append(desk.update())
    for number, body in enumerate(files):
        (tmp_path / f"ZZ5TEST.{number:03d}").write_bytes(body)
    found = reading_of(*reversed(files))
    assert held_against_gdal(found, tmp_path / "ZZ5TEST.000") == 20
    assert (found.cell.about.edition, found.cell.about.update) == (1, 2)
    assert found.cell.about.updates_missing == ()


@pytest.mark.skipif(shutil.which("ogrinfo") is None, reason="GDAL's own tools are not installed")
def test_counts_are_those_of_debians_gdal(tmp_path: Path) -> None:
    path = tmp_path / "ZZ5TEST.000"
    path.write_bytes(rich_cell().base())
    for one in [path, *real_cells()]:
        found = reading_of(one.read_bytes())
        said = subprocess.run(["ogrinfo", "-so", "-al", one], capture_output=True, check=True)
        layers = said.stdout.decode().split("Layer name: ")[1:]
        counts = {
            text.splitlines()[0].strip(): int(text.partition("Feature Count: ")[2].split()[0])
            for text in layers
        }
        counts.pop("DSID")
        assert counts == found.counts


@pytest.mark.skipif(not real_cells(), reason="WHEELOVER_TEST_CELLS names no folder of cells")
@pytest.mark.parametrize("path", real_cells(), ids=lambda path: path.stem)
def test_real_cells_are_read_as_gdal_reads_them(path: Path) -> None:
    body = path.read_bytes()
    found = reading_of(body)
    assert held_against_gdal(found, path) == found.cell.count
    assert Counter(found.counts) == record_counts.class_counts(body)


def test_what_a_cell_says_of_itself() -> None:
    desk = CellWriter(name="GB400123", edition=7, band=4, scale=45_000, issued="20251231")
    desk.point("WRECKS", (50.0, -1.0))
    about = reading_of(desk.base()).cell.about
    assert (about.name, about.edition, about.update, about.issued) == (
        "GB400123", 7, 0, "2025-12-31",
    )  # fmt: skip
    assert (about.scale, about.band) == (45_000, 4)
    assert about.depth_datum == "lowest astronomical tide"
    assert about.height_datum == "mean high water springs"


def test_identifiers_are_the_same_in_every_edition() -> None:
    first, second = rich_cell(), rich_cell(CellWriter(edition=2))
    assert reading_of(first.base()).cell.ids == reading_of(second.base()).cell.ids
