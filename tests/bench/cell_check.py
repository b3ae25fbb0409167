"""The dangers of one chart cell checked against a route of six legs, warm, apart from all else.

``python -m tests.bench.cell_check``, with ``service`` on the path. The cells are those of the
folder that WHEELOVER_TEST_CELLS names; without one, the cell of ``cell_import``. The route lies in
the middle of the cell, five turns of 0.1 NM, corridors of 0.05 NM, 100 m asked of every danger.
Milliseconds, medians: ``track`` is ``clear`` and ``corridors`` is ``inside_corridors``, as a plan
calls them; the dangers of the cell are made and kept before, as they are between plans.

On a machine of 2 processors that other work kept busy, by the clock and of processor; in brackets
before edges were found in grids and measured by compiled loops:

- 3.6 MB, 5,736 dangers of 340,000 vertices, 34 NM: track 63 and 32 (583 and 292), corridors 58 and
  28 (154 and 117);
- 3.2 MB, 7,369 dangers of 139,000 vertices, 26 NM: track 46 and 24 (261 and 104), corridors 36 and
  19 (225 and 93).
"""

import statistics
import time
from collections.abc import Callable
from functools import partial

import numpy as np

from tests import zoo
from tests.bench.cell_import import large_cell
from tests.charts.cells import reading_of, real_cells
from wheelover.core.clearance.corridors import inside_corridors
from wheelover.core.clearance.whole import clear
from wheelover.core.on_chart import on_cells, wanted_for
from wheelover.core.track import lay_track
from wheelover.core.types.chart import Chart, Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.route import LegWishes, Route

LIMITS = Limits(min_clearance_m=100.0)
ROUNDS = 9
_LEGS = 6


def route_in(hazards: Hazards) -> Route:
    """Return a route that goes to and fro over the middle of where dangers are."""
    lats = np.concatenate([hazards.points.lat_deg, hazards.paths.lat_deg])
    lons = np.concatenate([hazards.points.lon_deg, hazards.paths.lon_deg])
    (south, north), (west, east) = (np.quantile(one, [0.3, 0.7]).tolist() for one in (lats, lons))
    places = [
        (
            south + (north - south) * step / _LEGS,
            west + (east - west) * (0.6 * (step % 2) + step / 12),
        )
        for step in range(_LEGS + 1)
    ]
    wishes = LegWishes(xtd_port_nm=0.05, xtd_starboard_nm=0.05)
    return zoo.route(places, radii_nm=[0.1] * (_LEGS - 1), leg=wishes)


def row(what: str, work: Callable[[], object]) -> None:
    """Print what something takes by the clock and of the processor, after it was done once."""
    work()
    clock, worked = [], []
    for _ in range(ROUNDS):
        began, before = time.perf_counter(), time.process_time()
        work()
        clock.append(1e3 * (time.perf_counter() - began))
        worked.append(1e3 * (time.process_time() - before))
    print(
        f"  {what:10} {statistics.median(clock):7.1f} ms by the clock, processor "
        f"{statistics.median(worked):7.1f}"
    )


def main() -> None:
    """Print what the dangers of each cell take."""
    cells = {path.name: path.read_bytes() for path in real_cells()}
    for name, body in (cells or {"ZZ5LARGE.000": large_cell()}).items():
        chart = Chart(loaded=True, hazards=zoo.dangers([]), cells=(reading_of((name, body)).cell,))
        anywhere = zoo.route([(0.0, 0.0), (1.0, 1.0)])
        hazards = on_cells(chart, wanted_for(anywhere, zoo.SHIP, LIMITS))[0].hazards
        track = lay_track(route_in(hazards), zoo.SHIP)
        found = clear(track.pieces, hazards, LIMITS)
        length_nm = (track.length_m or 0.0) / 1852.0
        print(
            f"{name}: {len(body) / 1e6:.1f} MB, {hazards.count:,} dangers, "
            f"{hazards.paths.lat_deg.size:,} vertices; {length_nm:.0f} NM, {len(found.rows):,} near"
        )
        row("track", partial(clear, track.pieces, hazards, LIMITS))
        row("corridors", partial(inside_corridors, track.legs, hazards, LIMITS))


if __name__ == "__main__":
    main()
