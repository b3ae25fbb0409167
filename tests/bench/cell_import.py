"""Importing a chart cell: ``python -m tests.bench.cell_import``.

Each cell goes into a new store in a file, process and all, as from the command or the API. The
cells are those of the folder that WHEELOVER_TEST_CELLS names; without one, a cell of about 3 MB
that the tests' own writer makes. Medians, in seconds, with the least and the most; beside the time
by the clock that of the processors, which other work on the machine changes less.
"""

import math
import os
import statistics
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

from tests.charts.cell_writer import CellWriter
from tests.charts.cells import reading_of, real_cells
from wheelover.charts.importing import File
from wheelover.charts.messages import Limits
from wheelover.formats.cell_document import cell_bytes, cell_of
from wheelover.store import open_store
from wheelover.usecases.chart_imports import import_charts
from wheelover.usecases.clock import now_utc

ROUNDS = 7


def large_cell() -> bytes:
    """Return a cell of about 3 MB: contours and areas of many vertices, soundings, points."""
    desk = CellWriter(name="ZZ5LARGE")
    desk.area("M_COVR", [(50.0, -1.0), (50.0, 0.0), (51.0, 0.0), (51.0, -1.0)], CATCOV=1)
    for number in range(900):
        lat, lon = 50.0 + number % 40 / 41, -1.0 + number // 40 / 41
        ring = [
            (lat + 0.01 + 0.009 * math.sin(step / 20), lon + 0.01 + 0.009 * math.cos(step / 20))
            for step in range(100)
        ]
        desk.area("DEPARE", ring, DRVAL1=number % 30, DRVAL2=number % 30 + 5)
        desk.line("DEPCNT", ring, VALDCO=number % 30)
        desk.point("OBSTRN", (lat, lon), VALSOU=number % 30, WATLEV=3)
    for number in range(20):
        rows = [(50.0 + step / 250, -1.0 + number / 21, step % 30 + 0.3) for step in range(200)]
        desk.soundings(rows)
    return desk.base()


def processor_s() -> float:
    """Return the time of processors that this process and those it started have had."""
    had = os.times()
    return had.user + had.system + had.children_user + had.children_system


def row(what: str, work: Callable[[], object]) -> None:
    """Print the time that something takes by the clock, and of the processors."""
    clock, worked = [], []
    for _ in range(ROUNDS):
        began, before = time.perf_counter(), processor_s()
        work()
        clock.append(time.perf_counter() - began)
        worked.append(processor_s() - before)
    print(
        f"  {what:24}{statistics.median(clock):7.3f} ({min(clock):.3f} to {max(clock):.3f})"
        f"   processors {statistics.median(worked):6.3f}"
    )


def imported(name: str, body: bytes, folder: Path) -> None:
    """Import a cell into a new store."""
    store = open_store(f"sqlite:///{folder / str(time.monotonic_ns())}.sqlite3")
    found = import_charts(store, [File(name=name, body=body)], Limits(), now_utc)
    store.close()
    assert found.cells[0]["fate"] == "new"


def main() -> None:
    """Print what each cell takes."""
    cells = {path.name: path.read_bytes() for path in real_cells()}
    cells = cells or {"ZZ5LARGE.000": large_cell()}
    with tempfile.TemporaryDirectory() as scratch:
        open_store(f"sqlite:///{scratch}/first.sqlite3").close()  # loads what opening needs
        for name, body in cells.items():
            cell = reading_of((name, body)).cell
            stored = cell_bytes(cell)
            print(
                f"{name}: {len(body) / 1e6:.1f} MB, {cell.count} objects kept, "
                f"{cell.soundings.count} soundings, {len(stored) / 1e6:.1f} MB as stored"
            )
            row("read in this process", partial(reading_of, (name, body)))
            row("to bytes", partial(cell_bytes, cell))
            row("back from bytes", partial(cell_of, stored))
            row("import, process and all", partial(imported, name, body, Path(scratch)))
    print(f"load of the machine meanwhile: {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main()
