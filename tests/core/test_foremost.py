"""Which rows of pieces and dangers count most, against the same found by going through them all.

The loops are held against their own definition, written down plainly: no publication says which of
two dangers as near is told first. Distances are drawn from a few, so that very many are the same.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import pytest

from tests import zoo
from wheelover.core.arrays import Floats, Ints, tied_m
from wheelover.core.clearance.foremost import FEW, MOST, by_danger, by_piece, by_side
from wheelover.core.clearance.limits import Judged, judge
from wheelover.core.clearance.passing import LEAST_SEARCH_M, NO_PASSING, Passing
from wheelover.core.margins import margins_of
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.clearance import SIDES
from wheelover.core.types.limits import LegAsked, LimitSet, WaterLimits

PIECES = 12
DISTANCES_M = (0.0, 100.0, 100.0000004, 100.0000006, 200.0, 500.0, 2000.0, 5000.0)
LIMITS = Limits(
    min_clearance_m=50.0,
    limit_set=LimitSet(name="s", coastal=WaterLimits(min_clearance_m=300.0)),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """Dangers, and rows of pieces and dangers that were judged."""

    hazards: Hazards
    judged: Judged


def scene(seed: int, rows: int) -> Scene:
    """Return rows drawn by chance, in the order of pieces and dangers, each pair once."""
    rng = np.random.default_rng(seed)
    count = max(rows // 3, 2)
    hazards = replace(
        zoo.points([(0.0, 0.0)] * count),
        ids=tuple(f"h{one}" for one in rng.permutation(count)),
        min_clearance_m=rng.choice([np.nan, np.nan, 0.0, 400.0, 20_000.0], count),
        position_uncertainty_m=rng.choice([0.0, 30.0], count),
    )
    key = np.unique(rng.integers(0, PIECES * count, rows))
    passing = Passing(
        piece=key // count,
        hazard=key % count,
        distance_m=rng.choice(DISTANCES_M, key.size),
        along_m=np.zeros(key.size),
        danger_lat_deg=np.zeros(key.size),
        danger_lon_deg=np.zeros(key.size),
        side=rng.integers(0, len(SIDES), key.size),
    )
    asked = [
        (LegAsked(water="coastal" if one % 3 == 0 else None, min_clearance_m=20.0 * (one % 2)),)
        for one in range(PIECES)
    ]
    return Scene(hazards=hazards, judged=judge(passing, hazards, margins_of(asked, LIMITS)))


SCENES = [(seed, rows) for rows in (1, 7, 60, 900) for seed in range(5)]


def grouped(numbers: Ints) -> dict[int, list[int]]:
    """Return the rows of each number."""
    found: dict[int, list[int]] = {}
    for row, number in enumerate(numbers.tolist()):
        found.setdefault(number, []).append(row)
    return found


def key_of(one: Scene, values_m: Floats) -> Callable[[int], tuple[float, str]]:
    """Return by what rows are sorted: values to a micrometre, and the ids of their dangers."""
    near_m, ids, hazard = tied_m(values_m), one.hazards.ids, one.judged.passing.hazard
    return lambda row: (float(near_m[row]), ids[hazard[row]])


def nearest_row(judged: Judged, rows: list[int]) -> int:
    """Return the row of the nearest piece of one danger, of those as near the first sailed."""
    distance_m = judged.passing.distance_m
    least_m = min(distance_m[row] for row in rows)
    return next(row for row in rows if distance_m[row] <= least_m + 1e-6)


@pytest.mark.parametrize(("seed", "rows"), SCENES)
def test_the_limit_that_counts_and_whether_it_is_kept(seed: int, rows: int) -> None:
    one = scene(seed, rows)
    judged, passing = one.judged, one.judged.passing
    for row in range(passing.piece.size):
        piece, hazard = int(passing.piece[row]), int(passing.hazard[row])
        own_m = float(one.hazards.min_clearance_m[hazard])
        limit_m = 20.0 * (piece % 2) if np.isnan(own_m) else own_m
        clearance_m = passing.distance_m[row] - one.hazards.position_uncertainty_m[hazard]
        assert judged.clearance_m[row] == clearance_m
        assert judged.limit_m[row] == limit_m
        assert judged.margin_m[row] == clearance_m - limit_m
        assert bool(judged.infringed[row]) is not bool(clearance_m > limit_m)
        # Where the kind of water is not known the set's largest rule counts, and it has but one.
        assert judged.rule[row] == 0
        assert bool(judged.rule_missed[row]) is not bool(clearance_m > 300.0)


@pytest.mark.parametrize(("seed", "rows"), SCENES)
def test_of_each_danger_its_nearest_piece_and_the_worst(seed: int, rows: int) -> None:
    one = scene(seed, rows)
    judged = one.judged
    found = by_danger(judged, one.hazards.ids)
    nearest, worst = {}, {}
    for hazard, of_danger in grouped(judged.passing.hazard).items():
        row = nearest_row(judged, of_danger)
        inside = [each for each in of_danger if judged.infringed[each]]
        listing_m = judged.limit_m[row] + one.hazards.position_uncertainty_m[hazard]
        if inside or judged.passing.distance_m[row] <= max(listing_m, LEAST_SEARCH_M):
            nearest[hazard] = row
        worst[row] = min(
            inside, key=lambda each: float(tied_m(judged.margin_m[each])[0]), default=-1
        )
    by_distance = key_of(one, judged.passing.distance_m)
    assert found.nearest.tolist() == sorted(nearest.values(), key=by_distance)
    assert found.worst.tolist() == [worst[row] for row in found.nearest.tolist()]
    assert np.flatnonzero(found.is_nearest).tolist() == sorted(worst)


@pytest.mark.parametrize(("seed", "rows"), SCENES)
def test_of_each_piece_the_few_that_matter_most(seed: int, rows: int) -> None:
    one = scene(seed, rows)
    judged = one.judged
    is_nearest = by_danger(judged, one.hazards.ids).is_nearest
    found = by_piece(judged, is_nearest, PIECES, one.hazards.ids)
    left_m = tied_m(judged.margin_m)
    few, least, left_out = [], [-1] * PIECES, [0] * PIECES
    for piece, of_piece in grouped(judged.passing.piece).items():
        amiss = judged.infringed | judged.rule_missed
        ranked = sorted(of_piece, key=key_of(one, judged.margin_m))
        least[piece] = ranked[0]
        told = [
            row
            for row in ranked
            if amiss[row] or is_nearest[row] or left_m[row] == left_m[ranked[0]]
        ]
        wanted = [row for rank, row in enumerate(told) if rank < FEW or amiss[row]]
        few += [row for row in wanted if row in told[:MOST]]
        left_out[piece] = sum(row not in told[:MOST] for row in wanted)
    assert found.few.tolist() == few
    assert found.least.tolist() == least
    assert found.left_out_count.tolist() == left_out
    counts = np.bincount(judged.passing.piece[judged.infringed], minlength=PIECES)
    assert found.infringed_count.tolist() == counts.tolist()


@pytest.mark.parametrize(("seed", "rows"), SCENES)
def test_of_each_side_of_each_piece_the_nearest(seed: int, rows: int) -> None:
    one = scene(seed, rows)
    passing = one.judged.passing
    groups = grouped(passing.piece * len(SIDES) + passing.side)
    by_clearance = key_of(one, one.judged.clearance_m)
    expected = [min(groups[group], key=by_clearance) for group in sorted(groups)]
    assert by_side(one.judged, PIECES, one.hazards.ids).tolist() == expected


def test_many_left_out_are_among_the_scenes() -> None:
    """The largest scenes are such that more than are told would be."""
    one = scene(0, 900)
    is_nearest = by_danger(one.judged, one.hazards.ids).is_nearest
    assert np.sum(by_piece(one.judged, is_nearest, PIECES, one.hazards.ids).left_out_count) > 0


def test_of_nothing_nothing_counts() -> None:
    hazards = zoo.points([(0.0, 0.0)])
    judged = judge(NO_PASSING, hazards, margins_of([(LegAsked(),)] * PIECES, LIMITS))
    found = by_danger(judged, hazards.ids)
    assert (found.nearest.size, found.worst.size) == (0, 0)
    of_pieces = by_piece(judged, found.is_nearest, PIECES, hazards.ids)
    assert of_pieces.few.size == 0
    assert of_pieces.least.tolist() == [-1] * PIECES
    assert by_side(judged, PIECES, hazards.ids).size == 0
