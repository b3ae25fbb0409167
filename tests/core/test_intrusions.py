"""The nearest danger inside each side of each corridor, against going through all that is near.

The loop is held against its own definition, written down plainly. Distances are drawn from a few,
so that very many are the same.
"""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from tests import zoo
from wheelover.core.arrays import Floats, tied_m
from wheelover.core.clearance.index import vertex_index
from wheelover.core.clearance.intrusions import intrusions_of
from wheelover.core.clearance.passing import Passing
from wheelover.core.track import lay_track
from wheelover.core.types.chart import Hazards
from wheelover.core.types.clearance import SIDES, Intrusion
from wheelover.core.types.track import PlannedLeg, Side
from wheelover.core.units import NM_M

LEGS = 9
DISTANCES_M = (0.0, 1e-4, 100.0, 100.0000004, 100.0000006, 200.0, 500.0, 926.0, 2000.0)
LOST = frozenset([4])


LIMITS_NM = (None, 0.05, 0.5)


def legs(rng: np.random.Generator) -> tuple[PlannedLeg, ...]:
    """Return legs with limits on both sides, on one, or none."""
    places = [(47.0 + 0.1 * number, -30.0) for number in range(LEGS + 1)]
    return tuple(
        replace(one, xtd_port_nm=LIMITS_NM[port], xtd_starboard_nm=LIMITS_NM[starboard])
        for one, (port, starboard) in zip(
            lay_track(zoo.route(places), None).legs,
            rng.integers(0, len(LIMITS_NM), (LEGS, 2)).tolist(),
            strict=True,
        )
    )


def dangers(rng: np.random.Generator, count: int) -> Hazards:
    """Return dangers whose ids stand in no order."""
    return replace(
        zoo.points([(0.0, 0.0)] * count),
        ids=tuple(f"h{one}" for one in rng.permutation(count)),
        position_uncertainty_m=rng.choice([0.0, 30.0], count),
    )


def rows_of(rng: np.random.Generator, rows: int, count: int) -> Passing:
    """Return rows in the order of legs, several of some dangers on one leg."""
    return Passing(
        piece=np.sort(rng.integers(0, LEGS, rows)),
        hazard=rng.integers(0, count, rows),
        distance_m=rng.choice(DISTANCES_M, rows),
        along_m=np.zeros(rows),
        danger_lat_deg=np.zeros(rows),
        danger_lon_deg=np.zeros(rows),
        side=rng.integers(0, len(SIDES), rows),
    )


Row = tuple[float, str, int, float, float]
"""What is left, the id of the danger, the row, its clearance and margin."""


def inside(
    passing: Passing, hazards: Hazards, beside_m: Floats, number: int, side: tuple[str, float]
) -> Iterator[tuple[bool, Row]]:
    """Yield the rows inside one side of one leg, and whether each is outside the limit itself."""
    other, limit_m = side
    for row in np.flatnonzero(passing.piece == number).tolist():
        hazard, distance_m = int(passing.hazard[row]), float(passing.distance_m[row])
        clearance_m = 0.0 if distance_m < 0.0005 else distance_m
        clearance_m -= float(hazards.position_uncertainty_m[hazard])
        if SIDES[passing.side[row]] == other or clearance_m > limit_m + beside_m[row]:
            continue
        margin_m = float(beside_m[row]) if clearance_m > limit_m else 0.0
        left_m = float(tied_m(clearance_m - margin_m)[0])
        yield clearance_m > limit_m, (left_m, hazards.ids[hazard], row, clearance_m, margin_m)


@pytest.mark.parametrize("rows", [0, 5, 60, 700])
@pytest.mark.parametrize("seed", range(5))
def test_of_each_side_the_nearest_inside_the_limit_and_inside_its_margin(
    rows: int, seed: int
) -> None:
    rng = np.random.default_rng(seed)
    planned, count = legs(rng), max(rows // 4, 1)
    hazards, passing = dangers(rng, count), rows_of(rng, rows, count)
    beside_m = rng.choice([0.0, 150.0, 600.0], count)[passing.hazard]
    expected: list[Intrusion] = []
    for number, leg in enumerate(planned):
        sides: tuple[tuple[Side, Side, float | None], ...] = (
            ("port", "starboard", leg.xtd_port_nm),
            ("starboard", "port", leg.xtd_starboard_nm),
        )
        for side, other, limit_nm in sides:
            if limit_nm is None or number in LOST:
                continue
            within: dict[bool, list[Row]] = {}
            beyond = (other, limit_nm * NM_M)
            for is_near, row in inside(passing, hazards, beside_m, number, beyond):
                within.setdefault(is_near, []).append(row)
            for _, found in sorted(within.items()):
                _, name, _, clearance_m, margin_m = min(found)
                expected.append(
                    Intrusion(
                        leg_index=leg.index,
                        side=side,
                        hazard_index=hazards.ids.index(name),
                        clearance_m=clearance_m,
                        limit_m=limit_nm * NM_M,
                        count=len({each[1] for each in found}),
                        margin_m=margin_m,
                    )
                )
    assert intrusions_of(planned, passing, hazards, beside_m, LOST) == tuple(expected)
    assert rows < 700 or any(one.margin_m > 0.0 and one.count > 1 for one in expected)


def test_every_vertex_is_looked_for_and_none_twice_in_a_row() -> None:
    """Beside a leg each end of an edge counts: a line has its vertices, a ring its first twice."""
    line = [[-30.0, 47.0], [-29.99, 47.013], [-29.97, 47.011]]
    ring = [[-30.0, 47.1], [-29.99, 47.1], [-29.993, 47.107], [-30.0, 47.1]]
    far = [[10.0, 1.0], [10.03, 1.0]]
    hazards = zoo.dangers([("LineString", line), ("Polygon", [ring]), ("LineString", far)])
    index = vertex_index(hazards, np.full(3, 1000.0))
    assert index is not None
    points = index.points
    found = sorted(
        (hazard, round(lon, 9), round(lat, 9))
        for hazard, lon, lat in zip(
            points.hazard.tolist(), points.lon_deg.tolist(), points.lat_deg.tolist(), strict=True
        )
    )
    every = enumerate((line, ring, far))
    assert found == sorted((number, *place) for number, places in every for place in places)
