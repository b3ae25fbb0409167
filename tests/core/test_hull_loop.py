"""The convex hulls of neighbouring poses of the ship."""

import numpy as np
import shapely

from wheelover.core.sweep.hull_loop import hulls_loop


def test_convex_hulls_are_those_of_a_library() -> None:
    """Source: GEOS by shapely, corner for corner; places along an edge are no corners."""
    rng = np.random.default_rng(20_260)
    place_m = rng.normal(size=(500, 8, 2)) * 100.0
    place_m[:100, 4:] = place_m[:100, :4] + [3.0, 40.0]
    place_m[100:200, 4:] = place_m[100:200, :4] + rng.normal(size=(100, 1, 2))
    square_m = [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]]
    place_m[200] = [*square_m, [1.0, 0.0], [1.0, 1.0], [0.0, 1.0], [2.0, 1.0]]
    corner_m = np.empty_like(place_m)
    hulls_loop(place_m, corner_m)
    for group, found_m in zip(place_m, corner_m, strict=True):
        ring_m = shapely.get_coordinates(shapely.convex_hull(shapely.MultiPoint(group)))[:-1]
        count = len(ring_m)
        assert np.array_equal(found_m[:count], ring_m)
        assert bool(np.all(found_m[count:] == ring_m[-1]))
