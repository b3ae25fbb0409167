"""Damaged cells through the whole import: the service goes on, and nothing is kept by half."""

import random
from pathlib import Path

import pytest

from tests.charts.cells import rich_cell
from tests.charts.test_fuzz import damaged
from tests.charts.test_importing import children
from wheelover.charts.importing import File
from wheelover.charts.messages import Limits
from wheelover.core.errors import UnreadableFile
from wheelover.store import open_store
from wheelover.usecases.chart_imports import import_charts
from wheelover.usecases.clock import now_utc
from wheelover.usecases.stored_cells import STORED_CELLS

SHORT, LONG = 6, 300


def test_damaged_cells_are_imported_whole_or_not_at_all(
    tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    count = LONG if request.config.getoption("--long") else SHORT
    chance = random.Random(59)  # noqa: S311  the same damage each time
    desk = rich_cell()
    base = desk.base()
    desk.modify(700, VALSOU=2.5)
    desk.redraw(500, 1, 1, [(50.0, -1.4)])
    update = desk.update()
    store = open_store(f"sqlite:///{tmp_path / 'kept.sqlite3'}")
    kept = 0
    for _ in range(count):
        files = [damaged(base, chance), damaged(update, chance)]
        given = [File(name=f"ZZ5TEST.{n:03d}", body=one) for n, one in enumerate(files)]
        try:
            found = import_charts(store, given, Limits(wall_s=20), now_utc)
        except UnreadableFile:
            continue
        kept += sum(one["fate"] in ("new", "renewed") for one in found.cells)
        assert len(found.files) >= 1
    assert children() == []
    with store.reading() as unit:
        cells = unit.charts.page(500, None)
        assert unit.blobs.damaged() == []
        # Every edition that is listed can be read, and there is one for each that was told of.
        assert sum(one.edition for one in cells) == kept
        for one in cells:
            for number in range(1, one.edition + 1):
                edition = unit.charts.get(one.id, number)
                cell = STORED_CELLS.taken(edition, unit.charts.body(edition))
                assert cell.count == edition.object_count
    store.close()
